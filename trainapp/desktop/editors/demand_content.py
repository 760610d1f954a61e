"""What the demand editor shows: fields, fixtures with what each adds, and the answers of several tables beside each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, cast

from trainapp import units
from trainapp.desktop.card_content import Field, Group
from trainapp.desktop.editors.sheet import Cell, Column, Line
from trainapp.desktop.editors.values import Value, quantities, setter
from trainapp.hydraulics.demand import (
    TABLES,
    DemandError,
    PeakDemand,
    Use,
    daily_use,
    fixture_labels,
    peak_demand,
    planning_flow,
    side_by_side,
)
from trainapp.sources import source
from trainapp.train.document import Document
from trainapp.train.edits import Batch, Edit, RemoveValue, SetValue

_HERE = ("demand",)
FIXTURE_COLUMNS = (Column("fixture", "Fixture", 168), Column("count", "Count", 64, right=True), Column("adds", "Adds", 0, right=True))


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer as a card shows it: its table, the flow, where it comes from, what there is to say, whether it holds now."""

    table: str
    title: str
    flow: str
    how: str
    comes: str
    notes: tuple[str, ...]
    holds: bool


def use_of(document: Document) -> Use:
    """What the site is used for."""
    return cast(Use, document.site.word("use"))


def groups_of(document: Document, system: units.System) -> list[Group]:
    """Peak, day's use and head count."""
    demand = document.demand
    (peak,) = quantities(demand, _HERE, (Value("peak", "Peak", "flow", "the most that is drawn at once; it stands before any table"),))
    answer = answer_in_force(document)
    if answer is not None:
        shown, meaning = units.show(answer.flow, "flow", system), f"{peak.meaning}; {answer.title} where it is not given"
        peak = Field(peak.key, peak.label, meaning, "quantity", None, shown, peak.change, "flow")
    return [Group("", (peak, _daily(document, system), _people(document)))]


def _daily(document: Document, system: units.System) -> Field:
    use = daily_use(document.people, document.supply.kind)
    given = document.demand.given("daily")
    default = units.show(use.volume, "volume", system)
    meaning = f"what a day uses; where it is not given, {document.people} people: {use.title} ({use.status})"
    raw = str(document.demand.raw("daily")) if given else None
    return Field("demand.daily", "Day's use", meaning, "quantity", raw, "" if given else default, setter(("demand", "daily")), "volume")


def _people(document: Document) -> Field:
    given = document.demand.given("people")
    stands = "" if given else str(document.people)

    def change(value: Any) -> Edit:
        whole = int(value) if isinstance(value, str) and value.isascii() and value.isdigit() and len(value) < 9 else value
        return setter(("demand", "people"))(whole)

    meaning = "head count, from which a day's use follows; that of the site where it is not given"
    return Field("demand.people", "People", meaning, "text", str(document.demand.raw("people")) if given else None, stands, change)


# Fixtures ---------------------------------------------------------------------------------------------------------------------


def load_of(value: float, answer: PeakDemand, system: units.System, unit: bool = True) -> str:
    """A load by a table: a number of its own units, or a flow, which is told in the units shown."""
    if answer.load_unit != "gpm":
        return f"{value:g}\u202f{answer.load_unit}" if unit else f"{value:g}"
    shown = units.show(units.parse(f"{value:g} gpm", "flow"), "flow", system) if system != "us" else f"{value:g} gpm"
    return units.typeset(shown) if unit else shown.rpartition(" ")[0]


def fixture_lines(document: Document, answer: PeakDemand | None, system: units.System = "us") -> list[Line]:
    """A line for every fixture, with what it adds by the table of an answer."""
    counts = document.demand.fixture_counts
    adds = {part.fixture: part for part in answer.parts} if answer is not None else {}
    lines = []
    for key, label in fixture_labels().items():
        count, part = counts.get(key, 0), adds.get(key)
        told = ""
        if part is not None and answer is not None:
            told = f"{part.count} × {load_of(part.each, answer, system, unit=False)} = {load_of(part.total, answer, system)}"
        missing = "not in this table" if count and part is None and answer is not None else ""
        cells = (
            Cell(label, token="ink" if count else "ink2", bold=bool(count)),
            Cell(str(count) if count else "", str(count) if count else "", True, hint="0", bold=bool(count)),
            Cell(told or missing, token="ink2" if told else "ink3"),
        )
        lines.append(Line(key, label, cells))
    return lines


def set_count(document: Document, fixture: str, count: int) -> Edit:
    """Count a fixture; of none that is left the whole count goes."""
    counts: dict[str, Any] = {**(document.demand.raw("fixtures") or {}), fixture: count}
    counts = {key: value for key, value in counts.items() if key != fixture or count}
    label = f"Count {fixture_labels()[fixture].partition(' (')[0].lower()}"
    change = SetValue(path=("demand", "fixtures"), value=counts) if counts else RemoveValue(path=("demand", "fixtures"))
    return Batch(edits=[change], name=label)


# Answers ----------------------------------------------------------------------------------------------------------------------


def answer_in_force(document: Document) -> PeakDemand | None:
    """The table's answer that the train is judged by, None where the peak is typed or cannot be worked out."""
    if document.demand.given("peak"):
        return None
    try:
        return peak_demand(document.demand.fixture_counts, document.demand.word("table"), use_of(document))
    except DemandError:
        return None


def answers_of(document: Document, also: str, system: units.System) -> list[Answer]:
    """Three answers side by side, and those of the document's own table and of one more that is asked for where they are others."""
    counts, use = document.demand.fixture_counts, use_of(document)
    try:
        found = list(side_by_side(counts, use))
    except DemandError:
        return []
    for table in (document.demand.word("table"), also):
        if table and table not in {answer.table for answer in found}:
            found += _one_more(counts, table, use)
    typed, table = document.demand.given("peak"), document.demand.word("table")
    return [_told(answer, not typed and answer.table == table, system) for answer in found]


def _one_more(counts: dict[str, int], table: str, use: Use) -> Sequence[PeakDemand]:
    try:
        return side_by_side(counts, use, (table,))
    except DemandError:
        return ()


def _told(answer: PeakDemand, holds: bool, system: units.System) -> Answer:
    comes = source(answer.source).label
    return Answer(
        answer.table,
        answer.title,
        units.typeset(units.show(answer.flow, "flow", system)),
        f"{load_of(answer.load, answer, system)}; {answer.formula}",
        f"{comes} ({answer.status})" if comes else answer.status,
        answer.notes,
        holds,
    )


def table_titles(document: Document) -> list[tuple[str, str]]:
    """Key and title of every table."""
    titles = []
    for table in TABLES:
        try:
            titles.append((table, peak_demand({"kitchen_sink": 1, "toilet": 1}, table, use_of(document)).title))
        except DemandError:
            titles.append((table, table))
    return titles


def choose(document: Document, table: str) -> Edit:
    """Judge the train by a table instead of a typed peak or another table."""
    edits: list[Any] = [SetValue(path=("demand", "table"), value=table)]
    if document.demand.given("peak"):
        edits.append(RemoveValue(path=("demand", "peak")))
    return Batch(edits=edits, name="Choose a demand table")


def summary(document: Document, system: units.System) -> str:
    """What peak holds, and the planning rule beside it."""
    demand = document.demand
    rule = units.typeset(units.show(planning_flow(document.daily_volume), "flow", system))
    beside = f"A day's use in two hours, a planning rule for small supplies, would be {rule}."
    if demand.given("peak"):
        peak = units.typeset(units.show(demand.value("peak"), "flow", system))
        tables = (
            " Clear it, or choose an answer below, to go by a table."
            if demand.fixture_counts
            else " Count fixtures to compare it with tables."
        )
        return f"The peak of {peak} is typed and holds.{tables} {beside}"
    answer = answer_in_force(document)
    if answer is None:
        return f"No table knows these fixtures: count others, or type a peak. {beside}"
    return f"The peak is {units.typeset(units.show(answer.flow, 'flow', system))} by {answer.title}. {beside}"
