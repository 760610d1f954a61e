"""The ledger as tables: every analyte at every point with its limit; pressure, flow and speed; findings, sources, what was not judged.

A point is the water as it arrives, as on the bench: raw at the supply, into each stage, at each end.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from trainapp import units
from trainapp.checks.context import Context
from trainapp.checks.finding import Finding
from trainapp.checks.readings import SUPPLY, readable
from trainapp.checks.table import BACTERIA
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.cells import Bite, CellMaker
from trainapp.reports.drawing.model import Cell
from trainapp.reports.export_table import Entry, ExportTable, Number, Words, number_of
from trainapp.reports.ledger_words import findings_table, sources_table, words_table
from trainapp.sources import sources
from trainapp.spelling import spelt
from trainapp.stages.working import FLOWS
from trainapp.train.evaluation import Evaluation, Pressures
from trainapp.units import System
from trainapp.water.analytes import ANALYTES, BY_KEY

#: Ends that differ by less than this fraction are one value, as on the bench.
_SAME = 5e-3
_STATUS = {"none": "no limit", "within": "within", "near": "near", "over": "over", "unknown": "cannot tell", "missing": "not measured"}
_MARKED = ("over", "unknown")


@dataclass(frozen=True, slots=True)
class Record:
    """One quantity at one point.

    Attributes:
        at, point, quantity: node id, its name, what it is.
        value: as shown; low, high: its ends in `unit`, None where there is no number (or, of `high`, no end).
        when: the flow that it holds at.
        side, limit: what it is judged by; status: the word for it, with its tint; source, sure: where the limit comes from.
    """

    at: str
    point: str
    quantity: str
    value: Entry
    unit: str
    low: Number | None = None
    high: Number | None = None
    when: str = "peak"
    side: str = ""
    limit: Number | None = None
    status: Words = Words("")
    source: str = ""
    sure: str = ""


class Ledger:
    """Reads one evaluation.

    Args:
        evaluation: of the design sample.
        findings: of it, worst first.
        system: units of every number and sentence.
    """

    def __init__(self, evaluation: Evaluation, findings: Sequence[Finding], system: System = "us") -> None:
        self.evaluation, self.findings, self.system = evaluation, findings, system
        self.context = Context(evaluation, system)
        self.model = bench_model(evaluation, findings, system)
        self.nodes = [node for node in evaluation.plan.order if node in evaluation.points]
        self.names = {SUPPLY: "supply, raw"}
        self.names |= {stage.id: f"into {stage.title}" for stage in self.model.stages}
        self.names |= {end.id: end.label for end in self.model.ends}
        sheet = evaluation.plan.raw.sheet
        limited = {row.limit.analyte for row in self.context.table.rows}
        wanted = {*sheet, *limited, "total_coliform", "e_coli"}
        waters = [evaluation.points[node].water for node in self.nodes]
        told = [a.key for a in ANALYTES if readable(a.key)]
        self.keys = [key for key in told if key in wanted or any(water.is_known(key)[0] for water in waters)]
        self._maker = CellMaker(self.context, self.nodes, findings, self.keys)

    # Tables -------------------------------------------------------------------------------------------------------------------

    def tables(self) -> tuple[ExportTable, ...]:
        """Every sheet of the workbook."""
        cited = [record.source for record in self.records]
        return (
            self.points_table(),
            self.records_table(),
            findings_table(self.model, self.findings, self.system),
            sources_table([*cited, *(finding.source for finding in self.findings)]),
            words_table(self.evaluation, self.model, self.system),
        )

    def points_table(self) -> ExportTable:
        """One row a point, one group of columns an analyte: value, side and limit, status, source; units in a row of their own."""
        columns: dict[str, str] = {"at": "", "point": ""}
        limited = {record.quantity for record in self.records if record.limit is not None}
        rows = []
        for node in self.nodes:
            row: dict[str, Entry] = {"at": node, "point": self.names[node]}
            for record in (record for record in self.records if record.at == node):
                for name, entry, unit in _group(record, record.quantity in limited):
                    row[name] = entry
                    columns[name] = unit
            rows.append(row)
        filled = tuple(tuple(row[name] for name in columns) for row in rows)
        return ExportTable("Ledger", tuple(columns), tuple(columns.values()), filled, fixed=2)

    def records_table(self) -> ExportTable:
        """One row for each quantity at each point, with both ends of every interval."""
        heads = ("at", "point", "quantity", "value", "low", "high", "unit", "at flow", "side", "limit", "status", "source", "source status")
        rows = tuple(
            (
                r.at, r.point, r.quantity, r.value, "" if r.low is None else r.low, "" if r.high is None else r.high, r.unit, r.when,
                r.side, "" if r.limit is None else r.limit, r.status, _cited(r.source), r.sure,
            )
            for r in self.records
        )  # fmt: skip
        return ExportTable("Every value", heads, (), rows, fixed=3)

    # Records ------------------------------------------------------------------------------------------------------------------

    @cached_property
    def records(self) -> tuple[Record, ...]:
        """Every quantity at every point, in flow order."""
        return tuple(record for node in self.nodes for record in (*self._hydraulics(node), *self._waters(node)))

    def label(self, key: str) -> str:
        return spelt(BY_KEY[key].label)

    def _hydraulics(self, node: str) -> Iterator[Record]:
        point, stage = self.evaluation.points[node], self.evaluation.stages.get(node)
        for when, flow in zip(FLOWS, (stage or point).flow, strict=True):
            yield self._plain(node, f"Flow, {when}", float(flow), "flow", when)
        into = [link.velocity for link in self.evaluation.links.values() if link.target == node]
        yield self._plain(node, "Speed in the pipe", max(into, default=math.nan), "velocity")
        pressure: Pressures = stage.inlet_pressure if stage else point.pressure
        for name in ("clean", "dirty", "lowest"):
            yield self._plain(node, f"Pressure, {name}", getattr(pressure, name), "pressure")
        for name in ("clean", "dirty"):
            taken = getattr(stage, f"headloss_{name}") if stage else math.nan
            yield self._plain(node, f"Pressure taken here, {name}", taken, "pressure")

    def _plain(self, node: str, quantity: str, value: float, dimension: str, when: str = "peak") -> Record:
        """A number without a limit; nothing where it is none."""
        unit = units.typeset(units.unit(dimension, self.system))
        if math.isnan(value):
            return Record(node, self.names[node], quantity, "", unit, when=when)
        number = number_of(float(units.convert(value, dimension, self.system)), units.show(value, dimension, self.system))
        return Record(node, self.names[node], quantity, number, unit, number, number, when)

    def _waters(self, node: str) -> Iterator[Record]:
        for key in self.keys:
            cell = self._maker.cell(node, key) if node in self._maker.readings.places else None
            bite = None if cell is None or key in BACTERIA or cell.status == "missing" else self._maker.bite(node, key)
            yield self._water(node, key, cell or Cell(("",), status="missing"), bite)

    def _water(self, node: str, key: str, cell: Cell, bite: Bite | None) -> Record:
        dimension = BY_KEY[key].dimension
        unit = units.typeset(units.unit(dimension, self.system))
        status = Words(_STATUS[cell.status], cell.severity if cell.status in _MARKED else "")
        record = Record(node, self.names[node], self.label(key), cell.values[0], unit, status=status)
        if key in BACTERIA or cell.status == "missing":
            return _counted(record)
        low, high = (bite.low, bite.high) if bite else self._maker.ends(node, key)
        edge = None if bite is None else float(units.convert(bite.limit, dimension, self.system))
        ends = [self._end(end, dimension, key, edge) for end in (low, high)]
        same = math.isfinite(high) and abs(high - low) <= _SAME * max(abs(high), 1e-12)
        adverse = ends[1] if (bite.is_maximum if bite else BY_KEY[key].adverse != "low") else ends[0]
        value: Entry = adverse if adverse is not None and (same or _is_number(cell.values[0])) else cell.values[0]
        record = replace(record, value=value, low=ends[0], high=ends[1])
        return record if bite is None or edge is None else _judged(record, bite, edge, cell)

    def _end(self, value: float, dimension: str, key: str, edge: float | None) -> Number | None:
        if not math.isfinite(value):
            return None
        shown = units.show(value, dimension, self.system, analyte=key)
        return number_of(float(units.convert(value, dimension, self.system)), shown, edge)


def _judged(record: Record, bite: Bite, edge: float, cell: Cell) -> Record:
    """The record with the limit that bites first."""
    side = "≤" if bite.is_maximum else "≥"
    return replace(record, when=FLOWS[bite.flow], side=side, limit=number_of(edge, cell.limit), source=bite.source, sure=bite.status)


def _group(record: Record, limited: bool) -> Iterator[tuple[str, Entry, str]]:
    """Name, entry and unit of each column that a record fills; without a limit at any point, of its value and status alone."""
    yield record.quantity, record.value, record.unit
    if limited:
        yield f"{record.quantity}, side", record.side, ""
        yield f"{record.quantity}, limit", record.limit or "", record.unit
    if record.status.text:
        yield f"{record.quantity}, status", record.status, ""
    if limited:
        yield f"{record.quantity}, source", _cited(record.source), ""


def _is_number(text: str) -> bool:
    """Whether a shown value is one number, not "<0.5" or "73–86"."""
    return bool(re.fullmatch(r"[\d.]+", text))


def _counted(record: Record) -> Record:
    """A record of a word, or of a count."""
    if not isinstance(record.value, str) or not record.value.isdigit():
        return record
    count = Number(float(record.value))
    return replace(record, value=count, low=count, high=count)


def _cited(key: str) -> str:
    """A source as it is printed; a document's own limits cite what the document says."""
    return sources()[key].label if key in sources() else key
