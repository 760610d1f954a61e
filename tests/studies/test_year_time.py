"""Days, draws and the clock: what is drawn adds up, and the next event is found where it is."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.studies.year_cases import site, stage, years
from trainapp.dimensions import DAY, GALLON, GPM, HOUR, MINUTE
from trainapp.studies.year.clock import ELAPSED, IDLE, WARM, Clock, clock_of, pauses
from trainapp.studies.year.draws import Demand, Tap, demand_of
from trainapp.studies.year.options import Options, PowerCut, Spike, Upkeep, YearError, read_spike
from trainapp.studies.year.patterns import BUILT_IN, Draw, Pattern, pattern_of
from trainapp.studies.year.season import season_of
from trainapp.train.errors import DocumentError
from trainapp.train.plan import open_plan
from trainapp.train.zones import HOUSE

PEAK, DAILY = 7.0 * GPM, 280.0 * GALLON


def clock(demand: Demand, days: int = 14) -> Clock:
    return clock_of(demand, days, 0, "minute", 25 * MINUTE)


# Patterns -----------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", BUILT_IN)
def test_a_pattern_draws_what_the_document_says(name: str) -> None:
    pattern = pattern_of(name, PEAK, DAILY)
    full = max(pattern.volume(kind) for kind in pattern.days)
    week = sum(pattern.volume(kind) for kind in pattern.week)
    # a household's daily volume is the mean of its week, a cabin's and a shop's that of a full day
    assert (week / 7.0 if name == "household" else full) == pytest.approx(DAILY, rel=1e-9)
    for draws in pattern.days.values():
        for draw, then in zip(draws, draws[1:], strict=False):
            assert draw.start + draw.seconds <= then.start + 1e-6
        assert all(draw.flow <= PEAK * (1 + 1e-9) and draw.start + draw.seconds <= DAY for draw in draws)


def test_a_household_draws_most_in_the_morning_and_reaches_its_peak() -> None:
    pattern = pattern_of("household", PEAK, DAILY)
    by_hour = np.zeros(24)
    for draw in pattern.days["weekday"]:
        by_hour[int(draw.start // HOUR)] += draw.seconds * draw.flow
    assert int(by_hour.argmax()) in (6, 7, 8)
    assert by_hour[1:5].sum() < 0.03 * by_hour.sum()
    assert max(draw.flow for draw in pattern.days["weekday"]) == pytest.approx(PEAK)


def test_a_cabin_is_empty_in_the_week_and_in_winter() -> None:
    pattern = pattern_of("weekend_cabin", PEAK, DAILY)
    assert pattern.kind_of(20) == ""
    assert pattern.volume(pattern.kind_of(100)) == 0.0
    assert pattern.volume(pattern.kind_of(103)) > 0.0


def test_more_than_an_hour_holds_is_drawn_at_the_peak() -> None:
    pattern = pattern_of("household", 1.0 * GPM, 900.0 * GALLON)
    assert pattern.volume("weekend") == pytest.approx(1.1 * 900.0 * GALLON)
    assert max(draw.flow for draw in pattern.days["weekend"]) >= 1.0 * GPM
    for hour in range(24):
        spent = sum(d.seconds for d in pattern.days["weekend"] if hour * HOUR <= d.start < (hour + 1) * HOUR)
        assert spent <= HOUR + 1e-6


def csv(folder: Path, text: str) -> str:
    (folder / "own.csv").write_text(text, encoding="utf-8")
    return "own.csv"


def test_a_csv_of_ones_own(tmp_path: Path) -> None:
    name = csv(tmp_path, "day,time,flow (gpm)\nall,06:00,2\nall,07:00,0\nsun,09:00,4.5\nsun,09:30,0\n")
    pattern = pattern_of(name, PEAK, DAILY, tmp_path)
    assert pattern.days["mon"] == (Draw(6 * HOUR, HOUR, pytest.approx(2.0 * GPM)),)
    assert pattern.volume("sun") == pytest.approx(30 * 4.5 * GALLON)
    assert pattern.kind_of(6) == "sun"


def test_a_csv_of_many_flows_keeps_its_volume(tmp_path: Path) -> None:
    rows = "".join(f"{minute // 60:02d}:{minute % 60:02d},{0.1 + minute * 0.003:.4f} gpm\n" for minute in range(0, 1440, 10))
    pattern = pattern_of(csv(tmp_path, f"time,flow\n{rows}"), PEAK, DAILY, tmp_path)
    flows = {draw.flow for draw in pattern.days["mon"]}
    assert len(flows) <= 16
    exact = sum((0.1 + minute * 0.003) * 10.0 for minute in range(0, 1440, 10)) * GALLON
    assert pattern.volume("mon") == pytest.approx(exact, rel=1e-3)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("hour,flow\n", "must name the columns"),
        ("", "must name the columns"),
        ("time,flow\n25:00,2 gpm\n", 'line 2: "25:00" is not a time of day'),
        ("time,flow\n06:00,2 furlongs\n", 'line 2: "2 furlongs" is not a flow'),
        ("day,time,flow\nsomeday,06:00,2 gpm\n", 'line 2: "someday" is not a day'),
        ("time,flow\n06:00,0 gpm\n", "nothing is drawn on any day"),
        ("flow,time\n2.5 gpm", 'line 2: "" is not a time of day'),
        pytest.param(f"time,flow\n06:00,{'1' * 140_000}\n", "line 2: this is not CSV", id="endless cell"),
        pytest.param("time,flow\n" + "06:00,2 gpm\n" * 700_000, "the file has 8 MB; a pattern has at most 8 MB", id="endless file"),
    ],
)
def test_a_bad_csv_names_the_place(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(DocumentError, match="demand.pattern") as found:
        pattern_of(csv(tmp_path, text), PEAK, DAILY, tmp_path)
    assert told in str(found.value) and "own.csv" in str(found.value)


def test_an_unknown_pattern_and_a_missing_file_are_refused(tmp_path: Path) -> None:
    with pytest.raises(DocumentError, match='"lighthouse" is not a pattern: household, weekend_cabin, shop'):
        pattern_of("lighthouse", PEAK, DAILY)
    with pytest.raises(DocumentError, match='"nowhere.csv" cannot be read'):
        pattern_of("nowhere.csv", PEAK, DAILY, tmp_path)
    with pytest.raises(DocumentError, match=r"demand.pattern: the file .*cannot be read"):
        pattern_of("a\0.csv", PEAK, DAILY, tmp_path)


# Draws of several ends ------------------------------------------------------------------------------------------------------------

_NOBODY = Pattern("test", {"mon": (Draw(6 * HOUR, HOUR, 1e-4), Draw(18 * HOUR, 2 * HOUR, 2e-4))}, ("mon",) * 7)


def test_an_outlet_is_drawn_with_the_house_or_in_its_pauses() -> None:
    demand = demand_of(_NOBODY, {"barn": Tap(0.36, 1e-4, True), "garden": Tap(0.36, 1e-4, False)}, dict)
    at = {name: i for i, name in enumerate(demand.ends)}
    together = alone = 0.0
    for span in demand.days["mon"]:
        flows = demand.columns[span.column]
        together += span.seconds * (flows[at["barn"]] > 0.0)
        assert not (flows[at[HOUSE]] > 0.0 and flows[at["garden"]] > 0.0)
        alone += span.seconds * (flows[at["garden"]] > 0.0)
    assert together == pytest.approx(3600.0) and alone == pytest.approx(3600.0)


def test_what_is_left_when_an_end_is_shut_is_a_column() -> None:
    demand = demand_of(_NOBODY, {"barn": Tap(0.36, 1e-4, True)}, dict)
    for column, left in enumerate(demand.without(frozenset({HOUSE}))):
        flows = demand.columns[column].copy()
        flows[0] = 0.0
        assert (left == -1) == (not flows.any())
        if left >= 0:
            assert np.array_equal(demand.columns[left], flows)


# The clock ------------------------------------------------------------------------------------------------------------------------


def test_time_is_drawn_or_idle() -> None:
    demand = demand_of(pattern_of("household", PEAK, DAILY), {}, dict)
    at = clock(demand).at(9.37 * DAY)
    assert at[:IDLE].sum() + at[IDLE] == pytest.approx(9.37 * DAY)
    assert at[ELAPSED] == pytest.approx(9.37 * DAY)
    assert 0.0 < at[WARM] < at[IDLE]


def test_many_moments_are_each_moment() -> None:
    made = clock(demand_of(pattern_of("household", PEAK, DAILY), {}, dict))
    times = np.linspace(0.0, made.end, 57)
    assert np.allclose(made.at_all(times), [made.at(float(t)) for t in times], rtol=0, atol=1e-6)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 10.0), st.floats(0.01, 3.0), st.floats(1e-3, 1.0), st.sampled_from(["minute", "hour"]))
def test_a_limit_is_met_where_it_is(start: float, length: float, share: float, detail: str) -> None:
    demand = demand_of(pattern_of("household", PEAK, DAILY), {}, dict)
    made = clock_of(demand, 14, 0, detail, 25 * MINUTE)  # type: ignore[arg-type]
    growth = np.zeros((2, made.inside.shape[2]))
    growth[0, : len(demand.columns)], growth[1, 2] = demand.columns[:, 0], 1.0
    begin, end = start * DAY, (start + length) * DAY
    most = growth @ (made.at(end) - made.at(begin))
    wanted = np.array([share * most[0] + 1e-9, np.inf])
    met = made.crossing(begin, end, growth, wanted)
    if most[0] < wanted[0]:
        assert met is None
        return
    assert met is not None and met[1] == 0 and begin <= met[0] <= end
    grown = growth[0] @ (made.at(met[0]) - made.at(begin))
    assert grown == pytest.approx(wanted[0], rel=1e-6, abs=1e-12)
    assert growth[0] @ (made.at(max(met[0] - 60.0, begin)) - made.at(begin)) <= wanted[0] * (1 + 1e-9)


def test_nothing_is_met_that_does_not_grow() -> None:
    made = clock(demand_of(_NOBODY, {}, dict))
    assert made.crossing(0.0, made.end, np.zeros((1, made.inside.shape[2])), np.array([1.0])) is None


def test_warm_time_is_what_is_left_of_pauses() -> None:
    demand = demand_of(_NOBODY, {}, dict)
    made, after = clock(demand, 1), 25 * MINUTE
    inside = sum(max(end - begin - after, 0.0) for begin, end in pauses(demand.days["mon"]))
    # water that stood since the evening before is warm from midnight to six
    assert made.at(DAY)[WARM] == pytest.approx(inside + 6 * HOUR)


# What is asked ----------------------------------------------------------------------------------------------------------------------


def test_a_spike_is_written_with_peak_day_and_length() -> None:
    assert read_spike("turbidity=15 NTU@95+14") == Spike("turbidity", 15.0, 95.0, 14.0)
    assert read_spike("iron = 8000 ug/L").peak == pytest.approx(8.0)
    spike = read_spike("iron=8 mg/L@100+10")
    heights = [spike.height(day) for day in range(98, 113)]
    assert max(heights) == 1.0 and heights[0] == heights[-1] == 0.0


def test_a_spike_goes_on_over_new_year() -> None:
    spike = read_spike("iron=8 mg/L@360+14")
    told = [spike.height(day) for day in (359, 360, 364, 0, 3, 8, 9)]
    assert [height > 0.0 for height in told] == [False, True, True, True, True, True, False]
    season = season_of(open_plan(site(stage("softener", "softener"))), Options(days=3 * 365, spike=spike))
    on = [day for day in range(3 * 365) if season.raw_of[day] != 0]
    assert on == [day for day in range(3 * 365) if day % 365 >= 360 or day % 365 < 9]


@pytest.mark.parametrize("text", ["hardness=3 gpg", "turbidity", "iron=3 furlongs", "turbidity=5 NTU@x"])
def test_a_bad_spike_is_one_sentence(text: str) -> None:
    with pytest.raises(YearError):
        read_spike(text)


@pytest.mark.parametrize(
    "asked",
    [
        {"days": 0}, {"days": 99999}, {"start_day": 400}, {"detail": "second"}, {"upkeep": Upkeep("sometimes")},  # type: ignore[arg-type]
        {"upkeep": Upkeep("late", -1.0)}, {"spike": Spike("iron", -1.0)}, {"cuts": (PowerCut(1, 25, 2),)},
        {"upkeep": Upkeep("late", math.nan)}, {"upkeep": Upkeep("late", math.inf)}, {"upkeep": Upkeep("late", 731.0)},
        {"spike": Spike("iron", math.nan)}, {"spike": Spike("iron", 8.0, math.nan)}, {"spike": Spike("iron", 8.0, 365.0)},
        {"spike": Spike("iron", 8.0, 95.0, 366.0)}, {"spike": Spike("iron", 8.0, 95.0, math.nan)}, {"cuts": (PowerCut(1, 2, math.nan),)},
    ],
)  # fmt: skip
def test_what_cannot_be_asked_is_refused(asked: dict[str, object]) -> None:
    with pytest.raises(YearError):
        Options(**asked)  # type: ignore[arg-type]


def test_two_runs_are_the_same() -> None:
    train = site(stage("softener", "softener"))
    one, other = (years(train, days=40) for _ in range(2))
    assert one.totals == other.totals and one.gone_wrong == other.gone_wrong
