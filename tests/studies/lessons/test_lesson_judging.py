"""How numbers become answers: limits with both sides, comparisons, ranges, and what a band leaves open."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.studies.lessons.shown import find_lesson, quick
from trainapp.dimensions import GPM
from trainapp.studies.lessons import Number, control_text, lesson_of, limit_text, play, said
from trainapp.studies.lessons.judging import judged
from trainapp.studies.lessons.numbers import parsed, shown, with_unit
from trainapp.units import UnitError


def band(low: float, high: float) -> Number:
    return Number(0.5 * (low + high) * GPM, low * GPM, high * GPM, "flow", illustrative=True)


def one(value: float) -> Number:
    return Number.of(value * GPM, "flow")


def lesson_with(**changes: Any) -> Any:
    return lesson_of({**quick(), **changes})


def answer(lesson: Any, *numbers: Number) -> str | None:
    found = judged(lesson, numbers)[2]
    return None if found is None else found.text


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        (one(8), one(9), "both"), (one(9.1), one(9), "B only"), (one(1), one(10), "A only"), (one(10), one(11), "neither"),
        (band(5, 8), band(1, 9), "both"), (band(8, 10), one(1), None), (Number.of(float("nan"), "flow"), one(1), None),
    ],
)  # fmt: skip
def test_most_that_is_allowed(first: Number, second: Number, expected: str | None) -> None:
    assert answer(lesson_with(), first, second) == expected


def test_least_that_is_wanted() -> None:
    lesson = lesson_with(judge={"by": "limit", "limit": "9 gpm", "side": "at_least"})
    assert answer(lesson, one(9), one(8.99)) == "A only"
    assert judged(lesson, (band(8, 10), one(1)))[1] == ["open", "missed"]


def test_what_nobody_can_tell_may_be_an_answer() -> None:
    lesson = lesson_with(answers=[*quick()["answers"], {"text": "nobody can tell", "when": "open"}])
    assert answer(lesson, band(8, 10), one(1)) == "nobody can tell"
    assert answer(lesson, one(8), one(1)) == "both"


_COMPARED = {
    "judge": {"by": "compare", "better": "less"},
    "answers": [{"text": t, "when": w} for t, w in (("first", "A"), ("second", "B"), ("alike", "alike"))],
    "point": {"text": "x", "answer": "first"},
    "tries": [],
    "scene": "A house.",
}


def test_two_are_compared() -> None:
    lesson = lesson_with(**_COMPARED)
    assert answer(lesson, one(2), one(1)) == "first" and answer(lesson, one(1), one(2)) == "second"
    assert answer(lesson, one(1), one(1.01)) == "alike" and answer(lesson, one(0), one(0)) == "alike"
    assert judged(lesson, (one(2), one(1)))[1] == ["missed", "met"]
    assert answer(lesson, band(1, 2), band(3, 4)) == "second" and answer(lesson, band(1, 3), band(2, 4)) is None


def test_where_a_number_falls() -> None:
    rows = [
        {"text": "few", "below": "4 gpm"},
        {"text": "some", "at_least": "4 gpm", "below": "8 gpm"},
        {"text": "many", "at_least": "8 gpm"},
    ]
    lesson = lesson_with(**{**_COMPARED, "judge": {"by": "range", "on": "B"}, "answers": rows, "point": {"text": "x", "answer": "few"}})
    for flow, expected in ((0, "few"), (3.99, "few"), (4, "some"), (8, "many"), (1e3, "many")):
        assert answer(lesson, one(99), one(flow)) == expected
    assert answer(lesson, one(1), band(3, 5)) is None


def test_how_many_times_as_much() -> None:
    rows: list[dict[str, Any]] = [
        {"text": "less", "below": 1},
        {"text": "up to twice", "at_least": 1, "below": 2},
        {"text": "more", "at_least": 2},
    ]
    lesson = lesson_with(**{**_COMPARED, "judge": {"by": "range", "on": "B/A"}, "answers": rows, "point": {"text": "x", "answer": "less"}})
    assert (
        answer(lesson, one(2), one(1)) == "less"
        and answer(lesson, one(2), one(3)) == "up to twice"
        and answer(lesson, one(1), one(9)) == "more"
    )
    assert answer(lesson, one(0), one(9)) is None


@given(st.floats(0.01, 30.0), st.floats(0.01, 30.0))
@settings(max_examples=50, deadline=None)
def test_more_flow_never_turns_a_bad_chamber_good(flow: float, more: float) -> None:
    lesson = _LESSON
    low, high = sorted((flow, more))
    stands = [judged(lesson, (one(value), one(1)))[1][0] for value in (low, high)]
    assert stands != ["missed", "met"]


_LESSON = lesson_with()


def test_a_lesson_of_one_bench_asks_yes_or_no() -> None:
    tree = quick()
    tree["benches"] = tree["benches"][:1]
    tree["answers"] = [{"text": "it does", "when": "yes"}, {"text": "it does not", "when": "no"}]
    tree |= {"point": {"text": "{A}", "answer": "it does not"}, "tries": []}
    tree["controls"] = tree["controls"][:1]
    played = play(lesson_of(tree))
    assert played.as_told and played.point("us") == "12.0\u202fgpm" and played.verdict("A", "us") == "over 9\u202fgpm"


# Numbers as they are shown --------------------------------------------------------------------------------------------------------------


def test_no_number_reads_as_its_limit() -> None:
    assert one(9.04).text("us", 9 * GPM) == "9.04" and one(9).text("us", 9 * GPM) == "9.0"
    assert band(8.6, 9.4).text("us", 9 * GPM) == "8.6 to 9.4" and band(3, 12).text("us", 9 * GPM) == "3.0 to 12"
    assert shown(float("nan"), "flow", "us") == "unknown" and Number.of(float("nan"), "flow").text("us") == "none"


@given(st.floats(0.0, 40.0), st.floats(0.0, 5.0), st.floats(1.0, 40.0), st.sampled_from(["us", "metric"]))
@settings(max_examples=50, deadline=None)
def test_a_band_never_reaches_across_its_limit(low: float, wide: float, limit: float, system: Any) -> None:
    number = band(low, low + wide)
    for text, end in zip(number.text(system, limit * GPM).split(" to "), (number.low, number.high), strict=False):
        if text.startswith("just"):
            continue
        read = parsed(f"{text} {number.unit(system)}", "flow")
        assert not (read > limit * GPM * (1 + 1e-9) and end < limit * GPM * (1 - 1e-9))
        assert not (read < limit * GPM * (1 - 1e-9) and end > limit * GPM * (1 + 1e-9))


def test_counted_things_and_texts() -> None:
    assert parsed("12 h", "hours") == 12.0 and with_unit(4.0, "pieces", "us") == "4" and with_unit(2.5, "hours", "us") == "2.5\u202fh"
    with pytest.raises(UnitError):
        parsed("12 gpm", "hours")
    lesson = find_lesson("clogged-cartridge")
    assert limit_text(lesson, "metric") == "1.72\u202fbar" and control_text(lesson.control("upkeep"), "on-time", "us") == "on time"
    assert said(lesson, "{turbidity} against {limit}, {upkeep}", "us") == "0.5\u202fNTU against 25\u202fpsi, never"
    hardness = find_lesson("calcite-after-softener")
    assert limit_text(hardness, "metric") == "51\u202fmg/L" and limit_text(hardness, "us") == "3\u202fgpg"
