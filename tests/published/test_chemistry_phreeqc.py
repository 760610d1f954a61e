"""The carbonate system held against PHREEQC (database phreeqc.dat) on 500 drawn waters, and on salty ones.

Stated accuracy: 0.03 in pH and saturation index up to an ionic strength of 0.1 mol/L, 0.10 above.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.water.phreeqc import Array, at, drawn_waters, solution
from trainapp.water.carbonate import CarbonateWater, at_temperature, from_carbon, from_ph
from trainapp.water.dissolution import dissolved_mass, saturated
from trainapp.water.indices import conductivity

COUNT = 500


@pytest.fixture(scope="module", params=[(COUNT, 1, 1.0), (60, 2, 8.0)], ids=["natural", "salty"])
def pair(request: pytest.FixtureRequest) -> tuple[CarbonateWater, Array]:
    """Drawn waters, and what PHREEQC says: carbon, index; pH, index and ionic strength at 60 degC; conductivity at 25 degC."""
    ph, alkalinity, ions, temperature = drawn_waters(*request.param)
    water = from_ph(ph, alkalinity, ions, temperature)
    told = []
    for i in range(ph.size):
        one = solution(float(ph[i]), at(ions, i), float(temperature[i]), alkalinity=float(alkalinity[i]))
        # PHREEQC counts per kg of water; sodium, which both are given, says how much that is in a litre
        litre = float(ions.moles("sodium")[i]) / one.total_element("Na", "mol")
        row = [one.total_element("C", "mol") * litre, one.si("Calcite"), one.I * litre]
        one.change_temperature(60.0)
        row += [one.pH, one.si("Calcite")]
        one.change_temperature(25.0)
        told.append([*row, one.sc])
        one.forget()
    return water, np.array(told).T


def allowed(water: CarbonateWater) -> Array:
    """The stated accuracy of each water."""
    return np.where(water.ionic_strength <= 0.1, 0.03, 0.10)


def test_saturation_index(pair: tuple[CarbonateWater, Array]) -> None:
    """SI of calcite at the given pH; PHREEQC (computed)."""
    water, told = pair
    assert (np.abs(water.calcite_index - told[1]) <= allowed(water)).all()


def test_carbon_and_ionic_strength(pair: tuple[CarbonateWater, Array]) -> None:
    """Inorganic carbon within 1 % (3 % in salty water), ionic strength within 1 % (3 %); PHREEQC (computed)."""
    water, told = pair
    share = np.where(water.ionic_strength <= 0.1, 0.01, 0.03)
    assert (np.abs(water.carbon / told[0] - 1.0) <= share).all()
    assert (np.abs(water.ionic_strength / told[2] - 1.0) <= share).all()


def test_ph_from_carbon(pair: tuple[CarbonateWater, Array]) -> None:
    """pH from PHREEQC's own inorganic carbon and the alkalinity; PHREEQC (computed)."""
    water, told = pair
    back = from_carbon(told[0], water.alkalinity, water.ions, water.temperature)
    assert (np.abs(back.ph - water.ph) <= allowed(water)).all()


def test_heated_in_a_closed_pipe(pair: tuple[CarbonateWater, Array]) -> None:
    """pH and SI at 60 degC of the same water, nothing lost; PHREEQC (computed)."""
    water, told = pair
    hot = at_temperature(water, 60.0)
    assert (np.abs(hot.ph - told[3]) <= allowed(water)).all()
    assert (np.abs(hot.calcite_index - told[4]) <= allowed(water)).all()


def test_conductivity_within_fifteen_percent(pair: tuple[CarbonateWater, Array]) -> None:
    """Conductivity at 25 degC; PHREEQC, from diffusion coefficients (computed)."""
    water, told = pair
    assert (np.abs(conductivity(water) / told[5] - 1.0) <= 0.15).all()


def test_equilibrium_with_calcite() -> None:
    """pH within 0.03 and calcite dissolved within 2 % (or 0.5 mg/L) of PHREEQC on 60 drawn waters (computed)."""
    ph, alkalinity, ions, temperature = drawn_waters(60, 3)
    end = saturated(from_ph(ph, alkalinity, ions, temperature))
    for i in range(ph.size):
        one = solution(float(ph[i]), at(ions, i), float(temperature[i]), alkalinity=float(alkalinity[i]))
        before = one.total_element("Ca", "mmol")
        one.equalize(["Calcite"], [0.0], [10.0])
        gained = 100.087 * (one.total_element("Ca", "mmol") - before)
        assert end.ph[i] == pytest.approx(one.pH, abs=0.03)
        assert dissolved_mass(end)[i] == pytest.approx(gained, rel=0.02, abs=0.5)
        one.forget()
