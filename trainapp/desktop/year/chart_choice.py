"""Which quantities are charted, and how one is picked: plain data beside the widgets."""

from __future__ import annotations

from collections.abc import Sequence

from trainapp.desktop.finder import Choice
from trainapp.desktop.year.work import Answer
from trainapp.reports.year_chart import MOST_LINES
from trainapp.reports.year_series import Line, choices, place_name
from trainapp.studies.year import Quantity, Year
from trainapp.train.document import Document

#: Place and key of a quantity, as a run is asked for it.
Shown = tuple[str, str]
#: Quantities of one chart, all of one dimension.
Chart = tuple[Shown, ...]


def lines_of(answer: Answer, chart: Chart) -> list[Line]:
    """The lines of a chart: each quantity of each run that has it, called by its train, its place, or both where both differ."""
    found = []
    for at, key in chart:
        for i, year in enumerate(answer.years):
            if has(year, (at, key)):
                found.append(Line(_name(answer, i, at, several=len(chart) > 1), year, at, key))
    return found[:MOST_LINES]


def _name(answer: Answer, index: int, at: str, several: bool) -> str:
    place = place_name(answer.years[index], at)
    if len(answer.years) == 1:
        return place
    return f"{'AB'[index]} {place}" if several else f"{'AB'[index]} {answer.labels[index]}"


def place_of(answer: Answer, index: int, at: str) -> str:
    """A place of one of the trains by name."""
    return "House" if at == "house" else "Raw water" if at == "supply" else answer.title(index, at)


def has(year: Year, shown: Shown) -> bool:
    """Whether a run has a quantity."""
    return any((quantity.at, quantity.key) == shown for quantity in choices(year))


def quantity(answer: Answer, shown: Shown) -> Quantity | None:
    """A quantity of any of the runs."""
    return next((q for year in answer.years for q in choices(year) if (q.at, q.key) == shown), None)


def offered(answer: Answer, beside: Chart = ()) -> list[Choice]:
    """Everything that can be charted; beside a chart only what shares its unit and is not in it yet."""
    first = quantity(answer, beside[0]) if beside else None
    found: dict[str, Choice] = {}
    # the session's own train first: its numbers are those on the bench
    for index in sorted(range(len(answer.years)), key=lambda index: index != answer.own):
        for each in choices(answer.years[index]):
            fits = first is None or (each.dimension == first.dimension and each.illustrative == first.illustrative)
            if fits and (each.at, each.key) not in beside:
                word = "illustrative" if each.illustrative else ""
                found.setdefault(
                    f"{each.at} {each.key}", Choice(f"{each.at} {each.key}", f"{place_of(answer, index, each.at)}: {each.label}", word)
                )
    # What comes out at the house is asked for most.
    return sorted(found.values(), key=lambda choice: not choice.key.startswith("house "))


def feeding(document: Document, node: str) -> str | None:
    """The place whose water arrives at a node: its one neighbour upstream, itself for the house; None where waters mix."""
    if node == "house":
        return node
    before = {link.from_ for link in document.links if link.to == node}
    return before.pop() if len(before) == 1 else None


def room_for(answer: Answer, chart: Chart) -> bool:
    """Whether a chart takes one line more."""
    return (len(chart) + 1) * len(answer.years) <= MOST_LINES


def kept(answer: Answer, charts: Sequence[Chart]) -> list[Chart]:
    """The charts without quantities that no run has any more."""
    held = [tuple(shown for shown in chart if quantity(answer, shown) is not None) for chart in charts]
    return [chart for chart in held if chart]
