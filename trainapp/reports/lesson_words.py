"""What a lesson's sheets say in words and rows: how the right answer came about, and the numbers behind it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from trainapp.reports.in_units import in_units
from trainapp.reports.year_words import numbers
from trainapp.spelling import inside
from trainapp.studies.lessons import Control, Fact, LessonError, Number, Played, PlayedBench, control_text, said
from trainapp.studies.lessons.measures import day_of, of_check, of_year
from trainapp.studies.year import Year
from trainapp.units import System, typeset
from trainapp.water.analytes import BY_KEY

#: Courses told behind an answer, in order, each with what one day's value of it is.
_COURSES = {
    "pressure": "least", "hardness": "mean", "iron": "mean", "manganese": "mean", "turbidity": "mean", "uvt": "least",
    "ph": "mean", "lamp": "least", "film": "least", "dose_credited": "least", "dose_estimate": "least", "share_fill": "last",
    "share_clog": "most", "share_store": "last",
}  # fmt: skip
#: What is not called by the name of an analyte.
_OWN = {
    "flow": "Flow", "pressure": "Pressure, lowest", "lamp": "Light of the lamp over a new one", "film": "Light through the sleeve's film",
    "pressure_clean": "Pressure, clean filters", "pressure_dirty": "Pressure, dirty filters",
    "pressure_lowest": "Pressure, dirty filters, pump at its cut-in", "share_fill": "Capacity that is left",
    "share_clog": "Dirt on the way to when it is due", "share_store": "Salt or chemical that is left",
    "dose_credited": "Dose that the rating leaves", "dose_estimate": "Dose by optics, for teaching", "absorbance": "Absorbance",
    "backwash_wanted": "Flow that a backwash wants", "backwash_given": "Flow that the supply gives it",
}  # fmt: skip
_NUMBERS = (
    "flow", "pressure_clean", "pressure_dirty", "pressure_lowest", "hardness", "iron", "manganese", "turbidity", "uvt", "ph", "tannin",
    "absorbance", "dose_credited", "backwash_wanted", "backwash_given",
)  # fmt: skip
_OF_DAY = {"least": "least of the day", "most": "most of the day", "mean": "mean of the day", "last": "at the end of the day"}
_TAKEN = {"least": "the least of the run", "most": "the most of the run", "mean": "the mean of the run", "last": "at the end of the run"}


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is read of a bench."""

    at: str
    key: str
    where: str = "out"
    flow: str = "peak"
    of_day: str = "least"


def what_is_read(played: Played) -> str:
    """Which number of the engine the lesson asks for, as a sentence."""
    measure = played.lesson.measure
    if measure.read == "total":
        return f"{measure.label}: a total of {_run(played)}."
    place, label = place_words(played), measure.label.lower()
    at = "" if any(word in label for word in (measure.at, place.split(" ")[-1])) else f" at {place}"
    if measure.read == "check":
        water = ", in the water going in" if measure.where == "into" and measure.key in BY_KEY else ""
        reading = "both readings of the sample" if measure.reading == "both" else "the adverse reading of the sample"
        return f"{measure.label}{at}{water}: worked out at the {measure.flow} flow, by {reading}."
    when = f"month {measure.month:g}" if measure.take == "month" else _TAKEN[measure.take]
    return f"{measure.label}{at}: {_OF_DAY[measure.of_day]}, {when} of {_run(played)}."


def place_words(played: Played) -> str:
    """The place that the number belongs to, in words."""
    at = played.lesson.measure.at
    for bench in played.benches:
        if at in bench.evaluation.stages:
            return f"the {inside(bench.evaluation.stages[at].stage.spec.label)}"
    return {"house": "the house main", "supply": "the supply"}.get(at, at)


def _run(played: Played) -> str:
    year = played.benches[0].year
    days = year.options.days if year else 0
    return "a year of service" if days == 365 else f"{days} days of service"


def how_it_is_judged(played: Played, system: System) -> str:
    """What is made of the numbers, as a sentence."""
    judge = played.lesson.judge
    if judge.by == "limit":
        verb = "at least" if judge.side == "at_least" else "at most"
        return f"Asked is {verb} {played.limit_text(system)}."
    if judge.by == "compare":
        return f"The two are compared; a difference of less than {100 * judge.alike:.0f} % counts as none."
    whose = {"A": "bench A", "B": "bench B", "B/A": "B over A"}[judge.on]
    return f"Asked is in which range {whose} falls."


def outcome_rows(played: Played, system: System) -> list[tuple[str, ...]]:
    """(letter, bench, number, what it means) of each bench."""
    return [
        (bench.letter, bench.label, number_text(bench.number, system, played.limit), played.verdict(bench.letter, system))
        for bench in played.benches
    ]


def number_text(number: Number, system: System, limit: float | None = None) -> str:
    """A number with its unit; a teaching picture with that word."""
    text = f"{number.text(system, limit)} {number.unit(system)}".rstrip()
    return f"{text}, illustrative" if number.illustrative else text


def behind_rows(played: Played, system: System) -> list[tuple[str, ...]]:
    """(quantity, number of each bench) that stand behind the answer, at the lesson's place and moment."""
    if played.lesson.measure.read == "total":
        return _total_rows(played, system)
    rows = []
    for key in _COURSES if played.lesson.measure.read == "year" else _NUMBERS:
        found = [_behind(played, bench, key) for bench in played.benches]
        if all(number is None or not number.is_known for number in found):
            continue
        rows.append((_label(key), *("" if number is None else number_text(number, system) for number in found)))
    return rows


def _behind(played: Played, bench: PlayedBench, key: str) -> Number | None:
    """One number of a bench, None where it has none."""
    measure = played.lesson.measure
    of_day = measure.of_day if key == measure.key else _COURSES.get(key, "mean")
    asked = _Asked(measure.at, key, measure.where, measure.flow, of_day)
    try:
        if measure.read == "check":
            return of_check(bench.evaluation, asked)
        assert bench.year is not None
        return of_year(bench.year, asked).at(_day(played, bench.year))
    except LessonError:
        return None


def _day(played: Played, year: Year) -> int:
    return day_of(played.lesson.measure.month, year.options.days) if played.hour is None else int(played.hour // 24)


def _label(key: str) -> str:
    return _OWN.get(key) or BY_KEY[key].label


def _total_rows(played: Played, system: System) -> list[tuple[str, ...]]:
    """Totals of the runs beside each other, those that are nothing left out."""
    sides = [{told.key: told for told in numbers(bench.year)} for bench in played.benches if bench.year is not None]
    rows = []
    for key, first in sides[0].items():
        found = [side.get(key) for side in sides]
        if all(told is None or not told.value or told.band is not None for told in found):
            continue
        values = [Number.of(math.nan if told is None or told.value is None else told.value, first.dimension) for told in found]
        rows.append((first.label, *("" if not value.is_known else number_text(value, system) for value in values)))
    return rows


def control_rows(played: Played, system: System) -> Iterator[tuple[str, str, str]]:
    """(what may be changed, from where to where, where the scene has it) of each control."""
    for control in played.lesson.controls:
        yield control.label, control_span(control, system), control_text(control, control.start, system)


def control_span(control: Control, system: System) -> str:
    """What the class may choose from."""
    if control.choices:
        return ", ".join(choice.text for choice in control.choices)
    assert control.min is not None and control.max is not None
    return f"{control_text(control, control.min, system)} to {control_text(control, control.max, system)}"


def try_row(played: Played, index: int, tried: Played | None, system: System) -> tuple[str, ...]:
    """(what is tried and told of it, number of each bench, answer) of something to try; numbers empty where it was not played."""
    attempt = played.lesson.tries[index]
    text = said(played.lesson, attempt.text, system, attempt.set)
    if tried is None:
        return (text, *("" for _ in played.benches), attempt.answer)
    shown = (number_text(bench.number, system, tried.limit) for bench in tried.benches)
    return (text, *shown, tried.answer_text())


def changed_words(played: Played, index: int, system: System) -> str:
    """What is set where, for something to try: "Iron in the well 0 mg/L"."""
    attempt = played.lesson.tries[index]
    parts = []
    for key, value in attempt.set.items():
        control = played.lesson.control(key)
        parts.append(f"{control.label}: {control_text(control, value, system)}")
    return "; ".join(parts)


def fact_text(fact: Fact, system: System) -> str:
    """What a lesson rests on, in the units shown."""
    return in_units(typeset(fact.text), system)


__all__ = [
    "behind_rows", "changed_words", "control_rows", "control_span", "fact_text", "how_it_is_judged", "number_text", "outcome_rows",
    "place_words", "try_row", "what_is_read",
]  # fmt: skip
