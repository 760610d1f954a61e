"""From the numbers of the benches to the right answer."""

from __future__ import annotations

import math
from collections.abc import Sequence

from trainapp import units
from trainapp.studies.lessons.errors import LessonError
from trainapp.studies.lessons.model import Answer, Lesson
from trainapp.studies.lessons.numbers import Number, parsed
from trainapp.studies.lessons.played import Standing, ratio_of
from trainapp.studies.lessons.sound import OPEN

#: A number this close to its limit, as a share of it, counts as on it.
_ON = 1e-6


def judged(lesson: Lesson, numbers: Sequence[Number]) -> tuple[float | None, list[Standing], Answer | None]:
    """The limit in internal units, how each bench stands, and the right answer (None where it stays open).

    Raises:
        LessonError: a limit or a range is of another kind than the number.
    """
    kinds = {number.dimension for number in numbers}
    if len(kinds) > 1:
        raise LessonError("measure", f"the benches have numbers of different kinds: {', '.join(sorted(kinds))}")
    limit = _quantity(lesson.judge.limit, numbers[0].dimension, ("judge", "limit")) if lesson.judge.limit else None
    if lesson.judge.by == "limit":
        assert limit is not None
        stands = [_against(number, limit, lesson.judge.side == "at_least") for number in numbers]
        return limit, stands, _chosen(lesson, _who(stands))
    if lesson.judge.by == "compare":
        more = _more(numbers[0], numbers[1], lesson.judge.alike)
        return limit, _compared(more, lesson.judge.better), _chosen(lesson, more)
    return limit, [""] * len(numbers), _in_range(lesson, numbers)


def _quantity(text: str, dimension: str, at: tuple[str, ...]) -> float:
    try:
        return parsed(text, dimension)
    except units.UnitError as error:
        raise LessonError(at, str(error)) from None


def _against(number: Number, limit: float, is_floor: bool) -> Standing:
    slack = _ON * abs(limit)
    if not number.is_known:
        return "open"
    if is_floor:
        return "met" if number.low >= limit - slack else "missed" if number.high < limit - slack else "open"
    return "met" if number.high <= limit + slack else "missed" if number.low > limit + slack else "open"


def _who(stands: Sequence[Standing]) -> str | None:
    """Which benches meet the limit, as `when` says it; None where one is open."""
    if "open" in stands:
        return None
    met = [standing == "met" for standing in stands]
    if len(met) == 1:
        return "yes" if met[0] else "no"
    return {(True, True): "both", (False, False): "neither", (True, False): "A", (False, True): "B"}[met[0], met[1]]


def _more(first: Number, second: Number, alike: float) -> str | None:
    """Which has more; None where bands lie over each other."""
    if not (first.is_known and second.is_known):
        return None
    if first.is_range or second.is_range:
        if first.low > second.high or second.low > first.high:
            return "A" if first.low > second.high else "B"
        return "alike" if first.low == second.low and first.high == second.high else None
    if abs(first.value - second.value) <= alike * max(abs(first.value), abs(second.value)):
        return "alike"
    return "A" if first.value > second.value else "B"


def _compared(more: str | None, better: str) -> list[Standing]:
    if more is None:
        return ["open", "open"]
    if more == "alike" or not better:
        return ["", ""]
    first = (more == "A") == (better == "more")
    return ["met", "missed"] if first else ["missed", "met"]


def _chosen(lesson: Lesson, when: str | None) -> Answer | None:
    return next((answer for answer in lesson.answers if answer.when == (when or OPEN)), None)


def _in_range(lesson: Lesson, numbers: Sequence[Number]) -> Answer | None:
    """The answer in whose range both ends of the number lie."""
    on = lesson.judge.on
    number = ratio_of(numbers[0], numbers[1]) if on == "B/A" else numbers["AB".index(on)]
    if number is None or not number.is_known:
        return None
    found = [_range_of(lesson, end, number.dimension) for end in (number.low, number.high)]
    return found[0] if found[0] is found[1] else None


def _range_of(lesson: Lesson, value: float, dimension: str) -> Answer:
    for i, answer in enumerate(lesson.answers):
        below = answer.below
        if isinstance(below, str):
            below = _quantity(below, dimension, ("answers", f"#{i + 1}", "below"))
        if value < (math.inf if below is None else below):
            return answer
    return lesson.answers[-1]
