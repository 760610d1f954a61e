"""Pressure tanks and peak demand against published tables and examples. Each test names its source and status."""

from __future__ import annotations

import math

import pytest

from trainapp.hydraulics.binomial import Busy, Group, distribution, enumerated
from trainapp.hydraulics.constants import ATMOSPHERE, FOOT, GALLON, GPM, GRAVITY, PSI
from trainapp.hydraulics.demand import daily_use, din_flow, peak_demand, planning_flow, side_by_side
from trainapp.hydraulics.supply import Mains
from trainapp.hydraulics.tank import PressureTank
from trainapp.hydraulics.water_properties import water


def _tank(gallons: float, precharge: float, cut_in: float, cut_out: float, atmosphere: float = 14.696) -> PressureTank:
    return PressureTank(gallons * GALLON, precharge * PSI, cut_in * PSI, cut_out * PSI, atmosphere * PSI)


# Pressure tanks ---------------------------------------------------------------------------------------------------------------


def test_published_drawdown() -> None:
    """85 gal, precharge 28 psi, 30/50 psi, 14.7 psia: 25.1 gal (trade journal, February 2006, example 1; published)."""
    assert _tank(85.0, 28.0, 30.0, 50.0, 14.7).drawdown / GALLON == pytest.approx(25.1, abs=0.1)


def test_drawdown_and_the_tank_that_a_pump_needs() -> None:
    """32 gal, precharge 38 psi, 40/60 psi: 8.255 gal; 10 gpm for a minute asks 38.8 gal (Boyle; computed)."""
    tank = _tank(32.0, 38.0, 40.0, 60.0)
    assert tank.drawdown / GALLON == pytest.approx(8.255, rel=1e-3)
    assert tank.volume_for(10.0 * GPM) / GALLON == pytest.approx(38.8, rel=2e-3)


@pytest.mark.parametrize(
    ("precharge", "cut_in", "cut_out", "atmosphere", "factor"),
    [
        (18, 20, 40, 14.696, 0.3446),
        (28, 30, 50, 14.696, 0.2953),
        (38, 40, 60, 14.696, 0.25796),
        (48, 50, 70, 14.696, 0.2288),
        (30, 40, 60, 14.696, 0.2188),
        (38, 40, 60, 12.23, 0.2663),
    ],
)
def test_drawdown_factors(precharge: float, cut_in: float, cut_out: float, atmosphere: float, factor: float) -> None:
    """Boyle at sea level and at 5000 ft (computed)."""
    assert _tank(1.0, precharge, cut_in, cut_out, atmosphere).factor == pytest.approx(factor, abs=6e-5)


def test_shortest_cycle_is_at_half_the_pumps_flow() -> None:
    """4 x drawdown / pump flow (algebra)."""
    tank = _tank(44.0, 38.0, 40.0, 60.0)
    pump = 11.0 * GPM
    cycles = {part: tank.drawdown / (pump - part * pump) + tank.drawdown / (part * pump) for part in (0.1, 0.3, 0.49, 0.5, 0.51, 0.9)}
    assert min(cycles, key=lambda part: cycles[part]) == 0.5 and cycles[0.5] == pytest.approx(tank.shortest_cycle(pump), rel=1e-12)


def test_head_of_a_foot_of_water() -> None:
    """0.43310 psi at 60 F, 0.43340 at 50 F (computed from IAPWS-95)."""
    assert water((60.0 - 32.0) / 1.8).density * GRAVITY * FOOT / PSI == pytest.approx(0.43310, abs=1e-5)
    assert water(10.0).density * GRAVITY * FOOT / PSI == pytest.approx(0.43340, abs=1e-5)
    assert pytest.approx(14.696, abs=1e-3) == ATMOSPHERE / PSI


def test_main_falls_with_the_square_of_flow() -> None:
    """60 psi at rest, 45 at 10 gpm: 56.25 at 5 gpm, 20 psi (Recommended Standards' least) at 16.33 gpm (algebra)."""
    main = Mains(60.0 * PSI, 45.0 * PSI, 10.0 * GPM)
    assert main.running(5.0 * GPM) / PSI == pytest.approx(56.25, rel=1e-9)
    assert main.flow_at(20.0 * PSI) / GPM == pytest.approx(10.0 * math.sqrt(40.0 / 15.0), rel=1e-9)


# Fixture unit tables ----------------------------------------------------------------------------------------------------------

# Public lavatories are 2 fixture units each, public toilets 5 with a tank and 10 with a flush valve (IPC Table E103.3(2)): whole loads.


@pytest.mark.parametrize(
    ("units", "gpm"),
    [(2, 5.0), (10, 14.6), (20, 19.6), (50, 29.1), (100, 43.5), (200, 65.0), (500, 124.0), (1000, 208.0), (5000, 593.0)],
)
def test_ipc_flush_tanks(units: int, gpm: float) -> None:
    """IPC Table E103.3(3), rows as three data copies give them (secondary)."""
    answer = peak_demand({"lavatory": units // 2}, "ipc_tank", "public")
    assert answer.load == pytest.approx(units)
    assert answer.flow / GPM == pytest.approx(gpm, rel=1e-12)


@pytest.mark.parametrize(("units", "gpm"), [(10, 27.0), (30, 42.0), (80, 61.2), (100, 67.5), (250, 101.0), (500, 143.0), (1000, 208.0)])
def test_ipc_flush_valves(units: int, gpm: float) -> None:
    """IPC Table E103.3(3) (secondary)."""
    answer = peak_demand({"toilet_flush_valve": units // 10}, "ipc_valve", "public")
    assert answer.load == pytest.approx(units)
    assert answer.flow / GPM == pytest.approx(gpm, rel=1e-12)


def test_ipc_row_of_225_units() -> None:
    """225 fixture units of flush valves: 95.5 gpm (secondary)."""
    answer = peak_demand({"toilet_flush_valve": 22, "toilet": 1}, "ipc_valve", "public")
    assert (answer.load, answer.flow / GPM) == (pytest.approx(225.0), pytest.approx(95.5))


@pytest.mark.parametrize(("units", "gpm"), [(4, 4.0), (10, 8.0), (12, 9.0), (140, 53.0), (200, 65.0), (500, 125.0), (1000, 210.0)])
def test_nspc_tanks(units: int, gpm: float) -> None:
    """NSPC Table B.5.4 (published)."""
    assert peak_demand({"lavatory": units // 2}, "nspc", "public").flow / GPM == pytest.approx(gpm, rel=1e-12)


@pytest.mark.parametrize(("units", "gpm"), [(10, 27.0), (120, 74.0), (200, 91.0), (500, 140.0)])
def test_nspc_valves(units: int, gpm: float) -> None:
    """NSPC Table B.5.4 (published)."""
    assert peak_demand({"toilet_flush_valve": units // 10}, "nspc", "public").flow / GPM == pytest.approx(gpm, rel=1e-12)


HOUSE = {"toilet": 1, "lavatory": 1, "bath_shower": 1, "kitchen_sink": 1, "clothes_washer": 1, "dishwasher": 1}
LARGER = {"toilet": 3, "lavatory": 4, "shower": 1, "bath_shower": 1, "kitchen_sink": 1, "dishwasher": 1, "clothes_washer": 1}
TWO_BATHS = {"toilet": 2, "lavatory": 2, "bath_shower": 1, "shower": 1, "kitchen_sink": 1, "clothes_washer": 1}


@pytest.mark.parametrize(("fixtures", "units", "gpm"), [(HOUSE, 8.5, 13.25), (LARGER, 16.4, 18.16)])
def test_houses_by_ipc(fixtures: dict[str, int], units: float, gpm: float) -> None:
    """Private fixture units of Table E103.3(2), straight between rows (computed)."""
    answer = peak_demand(fixtures, "ipc_tank")
    assert (answer.load, answer.flow / GPM) == (pytest.approx(units), pytest.approx(gpm, abs=5e-3))


def test_codes_disagree_on_a_small_house() -> None:
    """A house with two baths: 15.6 gpm by IPC, 8.7 by NSPC (computed)."""
    allowance, ipc, nspc = side_by_side(TWO_BATHS)
    assert (ipc.flow / GPM, nspc.flow / GPM) == (pytest.approx(15.6, abs=0.05), pytest.approx(8.7, abs=0.05))
    assert allowance.flow / GPM == pytest.approx(8.5)


def test_well_allowance() -> None:
    """Private water systems: shower 1.0, lavatory 0.5, toilet 0.75, kitchen 1.0, dishwasher 0.5, laundry sink 1.5, washer 2.0: 7.25 gpm."""
    one_each = dict.fromkeys(("shower", "lavatory", "toilet", "kitchen_sink", "dishwasher", "laundry_sink", "clothes_washer"), 1)
    assert peak_demand(one_each, "well_allowance").flow / GPM == pytest.approx(7.25, rel=1e-12)


# By chance --------------------------------------------------------------------------------------------------------------------

# Chances and flows of the Peak Water Demand Study as two code copies give them (secondary); formulas derived and enumerated here.
_TIMES = {"WC": (0.010, 3.0), "lav": (0.020, 1.5), "combo": (0.055, 5.5), "kitchen": (0.020, 2.2), "CW": (0.055, 3.5), "DW": (0.005, 1.3)}


def _groups(**counts: int) -> list[Group]:
    shower = {"shower": (0.045, 2.0)}
    return [Group(n, *(_TIMES | shower)[name]) for name, n in counts.items()]


_A = _groups(WC=1, lav=1, combo=1, kitchen=1, CW=1, DW=1)
_B = _groups(WC=3, lav=4, shower=1, combo=1, kitchen=1, DW=1, CW=1)
_C = _groups(WC=20, lav=20, combo=20, kitchen=20, CW=20, DW=20)
_D = _groups(lav=100)


@pytest.mark.parametrize(
    ("groups", "expected", "mean", "variance", "idle", "wistort", "modified", "while_running", "all_time"),
    [
        (_A, 0.165, 0.6055, 2.44541, 0.844839, 4.243, 7.860, 9.0, 5.5),
        (_B, 0.290, 0.8455, 2.92781, 0.744262, 4.826, 7.541, 9.0, 7.0),
        (_C, 3.30, 12.110, 48.90819, 0.034315, 28.379, 28.189, 31.2, 31.2),
        (_D, 2.00, 3.000, 4.41000, 0.132620, 7.885, 7.810, 9.0, 9.0),
    ],
    ids=["house", "larger house", "twenty houses", "hundred lavatories"],
)
def test_binomial_cases(
    groups: list[Group],
    expected: float,
    mean: float,
    variance: float,
    idle: float,
    wistort: float,
    modified: float,
    while_running: float,
    all_time: float,
) -> None:
    """Cases A to D (computed by enumeration)."""
    busy = Busy.of(groups)
    assert (busy.expected, busy.mean, busy.variance, busy.idle) == pytest.approx((expected, mean, variance, idle), abs=1e-5)
    assert (busy.wistort(), busy.modified()) == pytest.approx((wistort, modified), abs=1e-3)
    assert (enumerated(groups), enumerated(groups, running=False)) == pytest.approx((while_running, all_time), abs=1e-9)


@pytest.mark.parametrize(
    ("fixtures", "gpm"), [(HOUSE, 9.0), (LARGER, 9.0), ({key: 20 for key in HOUSE}, 28.189), ({"lavatory": 100}, 7.810)]
)
def test_binomial_chooses_its_formula(fixtures: dict[str, int], gpm: float) -> None:
    """The same cases through the table; thresholds 1.25 and 5 from memory."""
    assert peak_demand(fixtures, "binomial").flow / GPM == pytest.approx(gpm, abs=1e-3)


@pytest.mark.parametrize(
    ("count", "chance", "flow", "m", "gpm"), [(100, 0.03, 27.0, 8, 216.0), (100, 0.2, 4.0, 30, 120.0), (10, 0.2, 4.0, 5, 20.0)]
)
def test_hunters_count(count: int, chance: float, flow: float, m: int, gpm: float) -> None:
    """NBS BMS65, 1940: flush valves 9 s in 300 at 27 gpm, flush tanks 60 s in 300 at 4 gpm (parameters from memory)."""
    assert enumerated([Group(count, chance, flow)], running=False) == pytest.approx(gpm) and gpm == m * flow


def test_hunter_brackets_the_code() -> None:
    """100 flush valves weigh 1000 units (208 gpm in IPC), 100 flush tanks 500 (124 gpm): within 4 %."""
    valves, tanks = (enumerated([Group(100, chance, flow)], running=False) for chance, flow in ((0.03, 27.0), (0.2, 4.0)))
    assert valves == pytest.approx(peak_demand({"toilet_flush_valve": 100}, "ipc_valve", "public").flow / GPM, rel=0.04)
    assert tanks == pytest.approx(peak_demand({"toilet": 100}, "ipc_tank", "public").flow / GPM, rel=0.04)


def test_distribution_has_the_groups_mean() -> None:
    """The enumerated distribution sums to one and has the mean and variance of the formulas."""
    chances = distribution(_B)
    flows = [0.1 * i for i in range(len(chances))]
    busy = Busy.of(_B)
    mean = sum(q * p for q, p in zip(flows, chances, strict=True))
    assert float(chances.sum()) == pytest.approx(1.0, rel=1e-12)
    assert mean == pytest.approx(busy.mean, rel=1e-12)
    assert sum((q - mean) ** 2 * p for q, p in zip(flows, chances, strict=True)) == pytest.approx(busy.variance, rel=1e-9)


# Europe -----------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("load", "building", "flow"),
    [
        (0.5, "residential", 0.357), (0.64, "residential", 0.4197), (1.0, "residential", 0.540), (2.0, "residential", 0.748),
        (5.0, "residential", 1.069), (10.0, "residential", 1.352), (12.8, "residential", 1.4623), (50.0, "residential", 2.172),
        (100.0, "residential", 2.610), (500.0, "residential", 3.880), (10.0, "hotel", 1.984),
    ],
)  # fmt: skip
def test_din_1988_300(load: float, building: str, flow: float) -> None:
    """DIN 1988-300:2012, a S^b - c in L/s, constants as two pages give them (secondary)."""
    assert din_flow(load, building)[0] == pytest.approx(flow, abs=1e-3)


@pytest.mark.parametrize(("fixtures", "flow"), [(HOUSE, 0.4197), ({key: 20 for key in HOUSE}, 1.4623)])
def test_din_1988_300_from_fixtures(fixtures: dict[str, int], flow: float) -> None:
    """A house of 0.64 L/s and twenty of them (draws partly from memory)."""
    assert 1e3 * peak_demand(fixtures, "din1988").flow == pytest.approx(flow, abs=1e-3)


@pytest.mark.parametrize(("lavatories", "flow"), [(300, 1.597), (301, 1.602), (40, 0.256 * 40**0.321)])
def test_en_806_3(lavatories: int, flow: float) -> None:
    """EN 806-3:2006 loading units (basin 1); its curve as a published power fit, whose halves meet at 300 units (secondary)."""
    answer = peak_demand({"lavatory": lavatories}, "en806")
    assert answer.load == lavatories
    assert 1e3 * answer.flow == pytest.approx(flow, abs=2e-3)


# A day ------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("supply", "millions_a_day", "million_people", "gallons"), [("mains", 23300.0, 283.0, 82.3), ("well", 3260.0, 42.5, 76.7)]
)
def test_daily_use(supply: str, millions_a_day: float, million_people: float, gallons: float) -> None:
    """USGS Circular 1441, 2015 (published; the division is computed)."""
    each = daily_use(1.0, supply).each / GALLON  # type: ignore[arg-type]
    assert each == pytest.approx(gallons, abs=0.05)
    assert each == pytest.approx(millions_a_day / million_people, abs=0.1)


def test_a_day_in_two_hours() -> None:
    """400 gal in two hours is 3.33 gpm (Penn State Extension; published)."""
    assert planning_flow(400.0 * GALLON) / GPM == pytest.approx(3.33, abs=0.01)
