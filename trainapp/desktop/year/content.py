"""What the Year view says of an answer, in words: what goes wrong, and the numbers of one run or two."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from trainapp import units
from trainapp.desktop.year.calendar import DAY_HOURS, MONTH_HOURS
from trainapp.desktop.year.scrub import Milestone
from trainapp.desktop.year.work import Answer
from trainapp.reports.year_moment import undated
from trainapp.reports.year_words import numbers, show, when
from trainapp.stages.base import Severity
from trainapp.studies.year import GoneWrong, Year

NOTHING = "Nothing that was modelled goes wrong. Only tests show whether water is fit to drink."


@dataclass(frozen=True, slots=True)
class WrongLine:
    """One thing that goes wrong.

    Attributes:
        number: in the list of its run, as on the bench. hour: of the run, where the clock goes to. severity: its mark and word.
        when: a date, or the months of a teaching picture. place, sentence: where, what and why.
        illustrative: whether a teaching picture says when. has_hour: whether it is at one hour of the run, be it an invented one.
    """

    number: int
    hour: float
    severity: Severity
    when: str
    place: str
    sentence: str
    illustrative: bool
    has_hour: bool = True


@dataclass(frozen=True, slots=True)
class WrongList:
    """What goes wrong in one run, under the name of its train ("" for one alone)."""

    head: str
    lines: tuple[WrongLine, ...]


def wrong_lists(answer: Answer) -> tuple[WrongList, ...]:
    """What goes wrong in each run."""
    return tuple(
        WrongList(letter(answer, i), tuple(_wrong(answer, i, place) for place in range(len(year.gone_wrong))))
        for i, year in enumerate(answer.years)
    )


def letter(answer: Answer, index: int) -> str:
    """The name of a run: "A  with the softener", "" for one alone."""
    return f"{'AB'[index]}  {answer.labels[index]}" if len(answer.years) > 1 else ""


def _wrong(answer: Answer, index: int, place: int) -> WrongLine:
    year = answer.years[index]
    wrong = year.gone_wrong[place]
    hour = wrong.months[0] * MONTH_HOURS if wrong.months is not None else math.floor((wrong.day or 0.0) * DAY_HOURS)
    last = year.options.days * DAY_HOURS - 1.0
    where = "at the house" if wrong.stage == "house" else answer.title(index, wrong.stage)
    sentence = _with_names(wrong.sentence, answer.titles[index])
    return WrongLine(
        place + 1,
        min(float(hour), last),
        wrong.severity,
        _when(answer, index, wrong),
        where,
        sentence,
        wrong.illustrative,
        wrong.months is None,
    )


def _when(answer: Answer, index: int, wrong: GoneWrong) -> str:
    """When something goes wrong; a date with the month of use by which the clock goes where that shows no date."""
    year = answer.years[index]
    told = when(year, wrong)
    if wrong.months is not None or wrong.invented or not undated(answer.years):
        return told
    return f"{told}, month {(wrong.day or 0.0) * DAY_HOURS / MONTH_HOURS:.1f}"


def _with_names(sentence: str, titles: Mapping[str, str]) -> str:
    """A sentence with the names of stages instead of their ids, in the places where the study puts ids."""
    for stage, title in titles.items():
        sentence = re.sub(rf"(?<![\w-]){re.escape(stage)}(?=: | was cleaning itself| took the most)", title, sentence)
    return sentence


def milestones(lists: Sequence[WrongList]) -> list[Milestone]:
    """Marks on the slider. A film's picture has no hour, so it has none; an invented power cut has its words, without a date."""
    return [
        Milestone(line.hour, line.severity, f"{each.head + ': ' if each.head else ''}{line.when}, {line.place}: {line.sentence}")
        for each in lists
        for line in each.lines
        if line.has_hour
    ]


# Numbers ----------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class NumberLine:
    """One number of each run; those of a teaching picture are bands and say so."""

    label: str
    values: tuple[str, ...]
    illustrative: bool = False


def number_lines(answer: Answer, system: units.System) -> tuple[NumberLine, ...]:
    """The numbers of the run, or of both beside each other."""
    if answer.pair is None:
        return tuple(_alone(answer.year, system))
    return tuple(_beside(answer, system))


def _alone(year: Year, system: units.System) -> Iterator[NumberLine]:
    for told in numbers(year):
        if told.band is not None:
            yield NumberLine(told.label, (_band(told.band),), True)
        elif told.value is not None:
            yield NumberLine(told.label, (units.typeset(show(told.value, told.dimension, system)),))


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
