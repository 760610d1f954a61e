"""Laws of the carbonate system: what goes in comes out, more calcium scales more, a water does not depend on its neighbours."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.water.carbonate import LOWEST_INDEX, Ions, at_temperature, from_carbon, from_ph
from trainapp.water.thermodynamics import SPECIES, table

_PH, _TEMPERATURE, _ALKALINITY = st.floats(3.5, 10.5), st.floats(0.5, 70.0), st.floats(1.0, 1500.0)
_SALT = st.floats(0.0, 800.0)
_IONS = st.builds(
    Ions, calcium=_SALT, magnesium=st.floats(0.0, 300.0), sodium=_SALT, potassium=st.floats(0.0, 50.0), chloride=_SALT, sulfate=_SALT
)


@given(_PH, _ALKALINITY, _IONS, _TEMPERATURE)
def test_ph_to_carbon_and_back(ph: float, alkalinity: float, ions: Ions, temperature: float) -> None:
    water = from_ph(ph, alkalinity, ions, temperature)
    assert float(from_carbon(water.carbon, water.alkalinity, ions, temperature).ph) == pytest.approx(ph, abs=1e-9)


@given(_PH, _ALKALINITY, _IONS, _TEMPERATURE, st.floats(0.5, 70.0))
def test_heating_and_cooling_gives_the_water_back(ph: float, alkalinity: float, ions: Ions, cold: float, hot: float) -> None:
    water = from_ph(ph, alkalinity, ions, cold)
    back = at_temperature(at_temperature(water, hot), cold)
    assert float(back.ph) == pytest.approx(ph, abs=1e-8)
    assert float(back.carbon) == pytest.approx(float(water.carbon), rel=1e-12)


@given(st.floats(5.5, 9.5), _ALKALINITY, _IONS, _TEMPERATURE, st.floats(1.01, 5.0))
def test_more_calcium_saturates_more(ph: float, alkalinity: float, ions: Ions, temperature: float, times: float) -> None:
    calcium = 1.0 + float(np.asarray(ions.calcium))
    two = Ions(np.array([calcium, times * calcium]), ions.magnesium, ions.sodium, ions.potassium, ions.chloride, ions.sulfate)
    index = from_ph(ph, alkalinity, two, temperature).calcite_index
    assert index[1] > index[0]


@given(st.floats(4.5, 9.0), _ALKALINITY, _IONS, _TEMPERATURE, st.floats(0.01, 1.0))
def test_higher_ph_means_less_carbon(ph: float, alkalinity: float, ions: Ions, temperature: float, step: float) -> None:
    carbon = from_ph(np.array([ph, ph + step]), alkalinity, ions, temperature).carbon
    assert carbon[1] < carbon[0]


@given(_PH, _ALKALINITY, _IONS, _TEMPERATURE)
def test_species_add_up(ph: float, alkalinity: float, ions: Ions, temperature: float) -> None:
    """Every metal and sulfate is found again in its species, alkalinity and ionic strength in all of them."""
    water = from_ph(ph, alkalinity, ions, temperature)
    parts = table().parts
    for k, name in enumerate(("calcium", "magnesium", "sodium", "sulfate")):
        assert float(parts[:, k] @ water.species) == pytest.approx(float(ions.moles(name)), rel=1e-9, abs=1e-20)
    others = float(sum(ions.moles(name) for name in ("potassium", "chloride")))
    strength = 0.5 * (float(table().charges ** 2 @ water.species) + others)
    assert float(water.ionic_strength) == pytest.approx(strength, rel=1e-9)


@given(st.lists(st.tuples(_PH, _ALKALINITY, _SALT, _TEMPERATURE), min_size=2, max_size=6))
def test_a_water_does_not_depend_on_its_neighbours(waters: list[tuple[float, float, float, float]]) -> None:
    ph, alkalinity, calcium, temperature = np.array(waters).T
    together = from_ph(ph, alkalinity, Ions(calcium, 10.0, 20.0), temperature)
    for i in range(len(waters)):
        alone = from_ph(ph[i], alkalinity[i], Ions(calcium[i], 10.0, 20.0), temperature[i])
        assert float(together.carbon[i]) == pytest.approx(float(alone.carbon), rel=1e-10)
        assert float(together.calcite_index[i]) == pytest.approx(float(alone.calcite_index), abs=1e-9)


def test_shapes_broadcast() -> None:
    water = from_ph(np.full((2, 1, 4), 7.2), 150.0, Ions(np.ones((3, 1)) * 60.0, 10.0, 15.0), 12.0)
    assert water.ph.shape == (2, 3, 4) and water.species.shape == (len(SPECIES), 2, 3, 4)
    assert np.ptp(water.calcite_index) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("name", ["ph", "alkalinity", "calcium", "sodium", "sulfate", "chloride", "temperature"])
def test_unknown_in_unknown_out(name: str) -> None:
    given_ = {"ph": 7.2, "alkalinity": 150.0, "calcium": 60.0, "sodium": 20.0, "sulfate": 30.0, "chloride": 20.0, "temperature": 12.0}
    two = {key: np.array([value, np.nan if key == name else value]) for key, value in given_.items()}
    ions = Ions(two["calcium"], 10.0, two["sodium"], chloride=two["chloride"], sulfate=two["sulfate"])
    water = from_ph(two["ph"], two["alkalinity"], ions, two["temperature"])
    for found in (water.ph, water.carbon, water.calcite_index, water.ionic_strength, water.carbon_dioxide):
        assert np.isfinite(found[0]) and np.isnan(found[1])


def test_hydroxide_beyond_alkalinity_leaves_no_carbon() -> None:
    """pH 11 asks for more hydroxide than 10 mg/L of alkalinity; the pH is kept, and comes back."""
    water = from_ph(11.0, 10.0, Ions(20.0, 5.0, 10.0), 15.0)
    assert float(water.carbon) < 1e-12 and float(water.alkalinity) > 20.0
    assert float(water.calcite_index) >= LOWEST_INDEX
    assert float(from_carbon(water.carbon, water.alkalinity, water.ions, 15.0).ph) == pytest.approx(11.0, abs=1e-9)


def test_water_without_calcium_or_salt() -> None:
    """Next to no ions at all still has an answer: pure water with a trace of alkalinity."""
    water = from_ph(7.0, 0.0, Ions(0.0, 0.0, 0.0), 25.0)
    assert float(water.calcite_index) == LOWEST_INDEX and np.isfinite(float(water.ionic_strength))


def test_a_hundred_thousand_waters_at_once() -> None:
    draw = np.random.default_rng(4)
    ph = draw.uniform(4.5, 9.5, 100_000)
    water = from_ph(ph, draw.uniform(5.0, 400.0, ph.size), Ions(draw.uniform(0.0, 200.0, ph.size), 10.0, 20.0, sulfate=40.0), 12.0)
    assert np.isfinite(water.carbon).all() and np.isfinite(water.calcite_index).all()
    back = from_carbon(water.carbon, water.alkalinity, water.ions, 12.0)
    assert float(np.abs(back.ph - ph).max()) < 1e-9
