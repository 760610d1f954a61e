"""The judgement of a value against a limit."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from trainapp.checks.judge import BROKEN, CLOSE, NOTED, OVER, RANK, UNSURE, UNSURE_NOTE, WITHIN, Bounds, judge

INF = float("inf")


def bounds(
    above: tuple[float, float, float] = (INF, INF, INF), below: tuple[float, float, float] = (-INF, -INF, -INF), middle: int = OVER
) -> Bounds:
    """Bounds of one row."""
    steps = [np.full((1, 1, 1), x) for x in (*above, *below)]
    return Bounds(*steps, np.full((1, 1, 1), middle, dtype=np.int8))


def outcome(low: float, high: float, given: Bounds) -> int:
    return int(judge(np.full((1, 1, 1), low), np.full((1, 1, 1), high), given)[0, 0, 0])


GUIDE = bounds((0.3, 0.3, 0.6))


def test_a_guide_is_a_caution_beyond_it_and_a_fail_at_twice_it() -> None:
    assert [outcome(x, x, GUIDE) for x in (0.2, 0.3, 0.31, 0.6, 0.61)] == [WITHIN, WITHIN, OVER, OVER, BROKEN]


def test_a_limit_that_a_conversion_left_a_hair_above_is_kept() -> None:
    assert outcome(0.1 + 0.2, 0.1 + 0.2, GUIDE) == WITHIN


def test_an_interval_across_a_limit_cannot_be_told() -> None:
    assert outcome(0.0, 0.5, GUIDE) == UNSURE
    assert outcome(0.0, 0.9, GUIDE) == UNSURE
    assert outcome(0.4, 0.9, GUIDE) == OVER, "both ends are over the guide, and only one is twice over"
    assert outcome(0.0, 0.5, bounds((0.3, INF, INF))) == UNSURE_NOTE
    assert outcome(0.5, INF, bounds((0.3, 0.3, 0.3))) == BROKEN, "more than 0.5 is over 0.3 however much more"


def test_a_least_value_is_judged_from_below() -> None:
    rated = bounds(below=(75.0, 75.0, 75.0))
    assert [outcome(x, x, rated) for x in (74.0, 75.0, 80.0)] == [BROKEN, WITHIN, WITHIN]
    assert outcome(70.0, 80.0, rated) == UNSURE


def test_a_range_is_judged_on_both_sides() -> None:
    ph = bounds((8.5, 8.5, 9.0), (6.5, 6.5, 6.0), CLOSE)
    assert [outcome(x, x, ph) for x in (5.9, 6.2, 7.0, 8.7, 9.1)] == [BROKEN, CLOSE, WITHIN, CLOSE, BROKEN]


def test_what_is_not_known_is_not_judged() -> None:
    assert outcome(np.nan, np.nan, GUIDE) == WITHIN


def test_a_note_stays_a_note() -> None:
    assert outcome(9.0, 9.0, bounds((1.0, INF, INF))) == NOTED


numbers = st.floats(0.0, 10.0)


@given(low=numbers, span=numbers, more=numbers)
def test_more_of_it_is_never_better(low: float, span: float, more: float) -> None:
    assert RANK[outcome(low, low + span, GUIDE)] <= RANK[outcome(low + more, low + span + more, GUIDE)]


@given(low=numbers, span=numbers)
def test_a_fail_needs_both_ends(low: float, span: float) -> None:
    if outcome(low, low + span, GUIDE) == BROKEN:
        assert outcome(low, low, GUIDE) == BROKEN
