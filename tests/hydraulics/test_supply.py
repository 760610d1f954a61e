"""Wells, tanks and mains: two pressures, what a pump gives, and a tank charged wrongly."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.hydraulics.constants import GALLON, GPM, GRAVITY, PSI
from trainapp.hydraulics.supply import Mains, Supply, Well, lift_pressure
from trainapp.hydraulics.tank import PressureTank
from trainapp.hydraulics.water_properties import water

CURVE = ((0.0, 92.0 * PSI), (6.0 * GPM, 78.0 * PSI), (12.0 * GPM, 48.0 * PSI))
WELL = Well(CURVE, cut_in=40.0 * PSI, cut_out=60.0 * PSI)
HELD = Well(CURVE, control="constant", set_pressure=55.0 * PSI)
MAIN = Mains(70.0 * PSI, 55.0 * PSI, 12.0 * GPM)
SUPPLIES = st.sampled_from([WELL, HELD, MAIN])


@pytest.mark.parametrize(
    ("gpm", "pump", "running", "lowest"),
    [
        (0.0, 92.0, 60.0, 40.0),
        (7.0, 73.0, 60.0, 40.0),
        (10.0, 58.0, 58.0, 40.0),
        (12.0, 48.0, 48.0, 40.0),
        (13.0, 43.0, 43.0, 40.0),
        (13.2, 42.0, 42.0, 40.0),
        (13.3, 0.0, 0.0, 0.0),
    ],
)
def test_a_switched_well_has_two_pressures(gpm: float, pump: float, running: float, lowest: float) -> None:
    """Running is the pump's curve, bounded by the cut-out at which it stops; lowest is bounded by the cut-in."""
    q = gpm * GPM
    found = (WELL.on_curve(q)[0] / PSI, WELL.running(q) / PSI, WELL.lowest(q) / PSI)
    assert found == pytest.approx((pump, running, lowest), abs=1e-9)


def test_a_constant_pressure_pump_holds_its_pressure() -> None:
    assert HELD.running(3.0 * GPM) == HELD.lowest(3.0 * GPM) == 55.0 * PSI
    assert HELD.running(12.0 * GPM) / PSI == pytest.approx(48.0)
    assert HELD.rest() == HELD.rest(lowest=True) == 55.0 * PSI


@pytest.mark.parametrize(
    ("psi", "lowest", "running"),
    [(61.0, 0.0, 0.0), (54.0, 0.0, 10.8), (48.0, 0.0, 12.0), (43.0, 0.0, 13.0), (40.0, 13.2, 13.2), (5.0, 13.2, 13.2)],
)
def test_flow_at_a_pressure(psi: float, lowest: float, running: float) -> None:
    assert WELL.flow_at(psi * PSI) / GPM == pytest.approx(lowest)
    assert WELL.flow_at(psi * PSI, lowest=False) / GPM == pytest.approx(running)


@given(SUPPLIES, st.floats(0.1, 13.0), st.booleans())
def test_flow_and_pressure_undo_each_other(supply: Supply, gpm: float, lowest: bool) -> None:
    pressure = supply.lowest(gpm * GPM) if lowest else supply.running(gpm * GPM)
    assert supply.flow_at(pressure, lowest) >= gpm * GPM * (1.0 - 1e-9)
    assert supply.flow_at(pressure + 1.0, lowest) <= max(supply.flow_at(pressure, lowest), gpm * GPM)


@given(SUPPLIES, st.floats(0.0, 12.0), st.floats(0.0, 1.0))
def test_pressure_never_rises_with_flow(supply: Supply, gpm: float, more: float) -> None:
    assert supply.running((gpm + more) * GPM) <= supply.running(gpm * GPM) <= supply.rest()
    assert supply.lowest(gpm * GPM) <= supply.running(gpm * GPM)


def test_what_lies_beyond_the_curve_is_said() -> None:
    assert WELL.range_note(12.0 * GPM) == ""
    assert "beyond the last point" in WELL.range_note(13.0 * GPM)
    assert "more than the pump's curve" in WELL.range_note(14.0 * GPM)
    assert MAIN.range_note(12.0 * GPM) == ""
    assert "square law" in MAIN.range_note(13.0 * GPM)


def test_a_curve_that_ends_near_nothing_is_not_drawn_below_it() -> None:
    steep = Well(((0.0, 90.0 * PSI), (10.0 * GPM, 1.0 * PSI)), cut_in=30.0 * PSI, cut_out=50.0 * PSI)
    assert steep.running(11.0 * GPM) == 0.0
    assert steep.pumped_at(0.0) <= steep.max_flow


def test_a_pump_known_by_one_point() -> None:
    pump = Well(((10.0 * GPM, 50.0 * PSI),), control="constant", set_pressure=50.0 * PSI)
    assert pump.running(4.0 * GPM) == 50.0 * PSI
    assert pump.flow_at(45.0 * PSI) / GPM == pytest.approx(11.0)


def test_a_main_that_does_not_fall() -> None:
    main = Mains(60.0 * PSI, 60.0 * PSI, 10.0 * GPM)
    assert main.flow_at(50.0 * PSI) == math.inf
    assert main.flow_at(61.0 * PSI) == 0.0
    assert main.running(100.0 * GPM) == 60.0 * PSI


@pytest.mark.parametrize(
    "bad",
    [
        {"curve": ()},
        {"curve": ((0.0, 5e5), (0.0, 4e5))},
        {"curve": ((0.0, 4e5), (1e-3, 5e5))},
        {"curve": CURVE, "cut_in": 4e5, "cut_out": 3e5},
        {"curve": CURVE, "control": "constant"},
    ],
)
def test_a_well_refuses_nonsense(bad: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="pump curve|switch|constant-pressure"):
        Well(**{"cut_in": 3e5, "cut_out": 4e5} | bad)  # type: ignore[arg-type]


@pytest.mark.parametrize("bad", [(5e5, 6e5, 1e-3), (5e5, 4e5, 0.0), (5e5, -1.0, 1e-3)])
def test_a_main_refuses_nonsense(bad: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="a main needs"):
        Mains(*bad)


def test_lift_takes_the_weight_of_water() -> None:
    assert lift_pressure(10.0, 10.0) == pytest.approx(10.0 * GRAVITY * water(10.0).density)


# Tanks ------------------------------------------------------------------------------------------------------------------------


def _tank(precharge: float) -> PressureTank:
    return PressureTank(44.0 * GALLON, precharge * PSI, 40.0 * PSI, 60.0 * PSI)


def test_a_tank_charged_above_the_cut_in_runs_empty() -> None:
    high = _tank(45.0)
    assert high.charged_above_cut_in
    assert not _tank(38.0).charged_above_cut_in
    # It is empty from 45 psi down: all the water it ever held has gone before the pump starts.
    assert high.factor == pytest.approx(1.0 - (45.0 * PSI + high.atmosphere) / (60.0 * PSI + high.atmosphere))
    assert _tank(61.0).drawdown == 0.0
    assert _tank(61.0).volume_for(1e-4) == math.inf
    assert high.best_precharge / PSI == pytest.approx(38.0)


@given(st.floats(0.0, 40.0), st.floats(0.0, 40.0))
def test_more_air_gives_more_water_up_to_the_cut_in(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert _tank(low).drawdown <= _tank(high).drawdown


def test_cycles() -> None:
    tank = _tank(38.0)
    assert tank.run_time(10.0 * GPM) == pytest.approx(tank.drawdown / (10.0 * GPM))
    # The pump works against half of 40 and 60 psi: 78 - 5 x (flow - 6) = 50 psi.
    assert WELL.refill_flow / GPM == pytest.approx(11.6)


@pytest.mark.parametrize("bad", [(0.0, 2e5, 3e5, 4e5), (0.1, -1.0, 3e5, 4e5), (0.1, 2e5, 4e5, 3e5)])
def test_a_tank_refuses_nonsense(bad: tuple[float, float, float, float]) -> None:
    with pytest.raises(ValueError, match="a pressure tank needs"):
        PressureTank(*bad)
