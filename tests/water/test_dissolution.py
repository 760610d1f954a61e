"""Laws of what dissolves: mass balances close, saturation is an end, more time never dissolves less."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.water.carbonate import CarbonateWater, Ions, from_ph
from trainapp.water.dissolution import (
    CALCITE,
    CARBON_DIOXIDE,
    MAGNESIA,
    SODA_ASH,
    contact,
    dissolution_rate,
    dissolve,
    dissolved_mass,
    dose_to_ph,
    saturated,
)

_WATERS = st.builds(
    lambda ph, alkalinity, calcium, magnesium, sulfate, temperature: from_ph(
        ph, alkalinity, Ions(calcium, magnesium, 0.46 * alkalinity, sulfate=sulfate), temperature
    ),
    st.floats(5.0, 9.0), st.floats(5.0, 300.0), st.floats(0.5, 150.0), st.floats(0.0, 60.0), st.floats(0.0, 200.0), st.floats(2.0, 30.0),
)  # fmt: skip


@given(_WATERS)
def test_equilibrium_is_saturated_and_closes(water: CarbonateWater) -> None:
    end = saturated(water)
    moles = float(end.dissolved)
    assert float(end.calcite_index) == pytest.approx(0.0, abs=1e-9)
    assert float(end.carbon) == pytest.approx(float(water.carbon) + moles, rel=1e-9)
    assert float(end.alkalinity) == pytest.approx(float(water.alkalinity) + 2.0 * 50043.5 * moles, rel=1e-9)
    assert float(np.asarray(end.ions.calcium)) == pytest.approx(float(np.asarray(water.ions.calcium)) + 40078.0 * moles, rel=1e-9)


@given(_WATERS)
def test_saturated_water_stays(water: CarbonateWater) -> None:
    end = saturated(water)
    assert float(saturated(end).dissolved) == pytest.approx(0.0, abs=1e-9 * (1.0 + abs(float(end.dissolved))))


@given(_WATERS)
def test_calcite_dissolves_where_the_index_is_negative(water: CarbonateWater) -> None:
    assert (float(saturated(water).dissolved) > 0.0) == (float(water.calcite_index) < 0.0)


@given(_WATERS, st.floats(1.0, 100.0), st.sampled_from([CALCITE, MAGNESIA, SODA_ASH]))
def test_what_dissolves_can_leave_again(water: CarbonateWater, amount: float, reagent: type) -> None:
    back = dissolve(dissolve(water, reagent, amount), reagent, -amount)
    assert float(back.ph) == pytest.approx(float(water.ph), abs=1e-7)


@given(_WATERS, st.floats(0.1, 1.0), st.sampled_from([CALCITE, MAGNESIA, SODA_ASH]))
def test_dose_leads_to_its_ph(water: CarbonateWater, rise: float, reagent: type) -> None:
    target = float(water.ph) + rise
    dose = float(dose_to_ph(water, reagent, target))
    if not np.isnan(dose):
        assert dose > 0.0
        assert float(dissolve(water, reagent, dose).ph) == pytest.approx(target, abs=1e-6)


@given(_WATERS, st.floats(0.05, 0.9))
def test_losing_carbon_dioxide_raises_ph(water: CarbonateWater, share: float) -> None:
    lost = share * float(water.carbon_dioxide)
    after = dissolve(water, CARBON_DIOXIDE, -lost)
    assert float(after.ph) > float(water.ph) and float(after.alkalinity) == pytest.approx(float(water.alkalinity), rel=1e-9)


@given(_WATERS, st.floats(0.3e-3, 3e-3))
def test_more_time_dissolves_more_up_to_equilibrium(water: CarbonateWater, grain: float) -> None:
    seconds = np.array([0.0, 5.0, 30.0, 120.0, 600.0, 3600.0, 864_000.0])
    behind, end = contact(water, seconds, grain), saturated(water)
    gained = dissolved_mass(behind)
    reach = max(float(dissolved_mass(end)), 0.0)
    assert gained[0] == pytest.approx(0.0, abs=1e-9) and (np.diff(gained) >= -1e-6 * (1.0 + reach)).all()
    assert (gained <= reach * (1.0 + 1e-9)).all()
    if reach > 0.01:
        assert gained[-1] == pytest.approx(reach, rel=1e-4)


@given(_WATERS)
def test_coarser_grains_and_tighter_time_are_the_same(water: CarbonateWater) -> None:
    """Only surface times time counts: grains twice as coarse need twice the time."""
    one, two = contact(water, 60.0, 1e-3), contact(water, 120.0, 2e-3)
    assert float(one.ph) == pytest.approx(float(two.ph), abs=1e-9)


def test_rate_changes_sign_at_saturation() -> None:
    water = from_ph(np.array([6.0, 9.2]), 150.0, Ions(60.0, 10.0, 20.0), 12.0)
    rate = dissolution_rate(water)
    assert rate[0] > 0.0 > rate[1]


def test_contact_broadcasts_over_flows() -> None:
    water = from_ph(np.full((2, 1, 5), 6.2), 40.0, Ions(10.0, 3.0, 10.0), 11.0)
    behind = contact(water, np.array([[600.0], [60.0], [20.0]]), 1e-3)
    assert behind.ph.shape == (2, 3, 5) and (behind.ph[:, 0] > behind.ph[:, 2]).all()


def test_unknown_water_has_no_answer() -> None:
    water = from_ph(np.array([6.2, np.nan]), 40.0, Ions(10.0, 3.0, 10.0), 11.0)
    assert list(np.isnan(saturated(water).dissolved)) == [False, True]
    assert list(np.isnan(contact(water, 60.0, 1e-3).ph)) == [False, True]


def test_a_ph_out_of_reach_has_no_dose() -> None:
    """Calcite cannot lift a water without carbon dioxide to pH 12."""
    assert np.isnan(float(dose_to_ph(from_ph(7.0, 100.0, Ions(30.0, 5.0, 15.0), 10.0), CALCITE, 12.5)))
