"""What the Year view says of an answer, in words: what goes wrong, and the numbers of one run or two."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from trainapp import units
from trainapp.desktop.year.calendar import DAY_HOURS, MONTH_HOURS
from trainapp.desktop.year.scrub import Milestone
from trainapp.desktop.year.work import Answer
from trainapp.reports.year_words import numbers, show, when
from trainapp.stages.base import Severity
from trainapp.studies.year import Year

#: Gives number and name of a place by its id.
Title = Callable[[str], str]
NOTHING = "Nothing that was modelled goes wrong. Only tests show whether water is fit to drink."


@dataclass(frozen=True, slots=True)
class WrongLine:
    """One thing that goes wrong.

    Attributes:
        number: in the list of its run, as on the bench. hour: of the run, where the clock goes to. severity: its mark and word.
        when: a date, or the months of a teaching picture. place, sentence: where, what and why.
        illustrative: whether a teaching picture says when.
    """

    number: int
    hour: float
    severity: Severity
    when: str
    place: str
    sentence: str
    illustrative: bool


@dataclass(frozen=True, slots=True)
class WrongList:
    """What goes wrong in one run, under the name of its train ("" for one alone)."""

    head: str
    lines: tuple[WrongLine, ...]


def wrong_lists(answer: Answer, title: Title) -> tuple[WrongList, ...]:
    """What goes wrong in each run."""
    heads = [letter(answer, i) for i in range(len(answer.years))]
    return tuple(
        WrongList(head, tuple(_wrong(year, i, title) for i in range(len(year.gone_wrong))))
        for head, year in zip(heads, answer.years, strict=True)
    )


def letter(answer: Answer, index: int) -> str:
    """The name of a run: "A  with the softener", "" for one alone."""
    return f"{'AB'[index]}  {answer.labels[index]}" if len(answer.years) > 1 else ""


def _wrong(year: Year, index: int, title: Title) -> WrongLine:
    wrong = year.gone_wrong[index]
    hour = wrong.months[0] * MONTH_HOURS if wrong.months is not None else math.floor((wrong.day or 0.0) * DAY_HOURS)
    last = year.options.days * DAY_HOURS - 1.0
    place = "at the house" if wrong.stage == "house" else title(wrong.stage)
    sentence = _with_names(wrong.sentence, [entry.id for entry in year.document.stages], title)
    return WrongLine(index + 1, min(float(hour), last), wrong.severity, when(year, wrong), place, sentence, wrong.illustrative)


def _with_names(sentence: str, stages: Sequence[str], title: Title) -> str:
    """A sentence with the names of stages instead of their ids, in the places where the study puts ids."""
    for stage in stages:
        sentence = re.sub(rf"(?<![\w-]){re.escape(stage)}(?=: | was cleaning itself| took the most)", title(stage), sentence)
    return sentence


def milestones(lists: Sequence[WrongList]) -> list[Milestone]:
    """Marks on the slider. Teaching pictures have no date, so they have none."""
    return [
        Milestone(line.hour, line.severity, f"{each.head + ': ' if each.head else ''}{line.when}, {line.place}: {line.sentence}")
        for each in lists
        for line in each.lines
        if not line.illustrative
    ]


# Numbers ----------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class NumberLine:
    """One number of each run; those of a teaching picture are bands and say so."""

    label: str
    values: tuple[str, ...]
    illustrative: bool = False


def number_lines(answer: Answer, title: Title, system: units.System) -> tuple[NumberLine, ...]:
    """The numbers of the run, or of both beside each other."""
    if answer.pair is None:
        return tuple(_alone(answer.year, title, system))
    return tuple(_beside(answer, system))


def _alone(year: Year, title: Title, system: units.System) -> Iterator[NumberLine]:
    for told in numbers(year):
        if told.band is not None:
            yield NumberLine(_named(told.label, year, title), (_band(told.band),), True)
        elif told.value is not None:
            yield NumberLine(_named(told.label, year, title), (units.typeset(show(told.value, told.dimension, system)),))


def _named(label: str, year: Year, title: Title) -> str:
    """A label with the names of chambers instead of their ids."""
    for node in year.totals.lights:
        for before, after in ((f"past {node} ", f"past {title(node)} "), (f", {node}", f", {title(node)}")):
            label = label.replace(before, after)
    return label


def _beside(answer: Answer, system: units.System) -> Iterator[NumberLine]:
    assert answer.pair is not None
    for measure in answer.pair.measures:
        bands = measure.band or (None, None)
        dimension = "pieces" if measure.dimension == "none" else measure.dimension
        values = tuple(
            _band(band) if band is not None else "–" if value is None else units.typeset(show(value, dimension, system))
            for value, band in zip((measure.first, measure.second), bands, strict=True)
        )
        yield NumberLine(measure.label + (", illustrative" if measure.illustrative else ""), values, measure.illustrative)


def _band(band: tuple[float, float]) -> str:
    low, high = (f"{hours:.0f}" for hours in band)
    return units.typeset(f"{low} h" if low == high else f"{low} to {high} h")
