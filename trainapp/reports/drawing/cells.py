"""The rows of the ledger from an evaluation: what arrives at each point, against what may, as texts and gauges."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from trainapp import units
from trainapp.checks.context import Context
from trainapp.checks.finding import Finding
from trainapp.checks.judge import SEVERITY, UNSURE, UNSURE_NOTE, WITHIN
from trainapp.checks.readings import Readings, readable
from trainapp.checks.table import BACTERIA
from trainapp.reports.drawing import gauge as gauges
from trainapp.reports.drawing import ranges
from trainapp.reports.drawing.model import SUPPLY, Cell, Gauge, Row, Status
from trainapp.sources import source
from trainapp.spelling import spelt
from trainapp.stages.base import Severity
from trainapp.stages.working import FLOWS, PEAK
from trainapp.water.analytes import ANALYTES, BY_KEY

#: Order of rows on the ledger; the rest follow as the contract lists them.
_FIRST = (
    "hardness", "iron", "manganese", "turbidity", "uvt", "ph", "total_coliform", "e_coli", "nitrate", "hydrogen_sulfide", "tannin",
    "free_chlorine", "arsenic", "lead",
)  # fmt: skip
#: What stages are there for; the rest changes along with it.
_WORKED_ON = frozenset({"hardness", "iron", "manganese", "turbidity", "uvt", "ph", "hydrogen_sulfide", "tannin", "free_chlorine"})
#: Told by the rows of what they are part of.
_PARTS = frozenset(
    {"iron_dissolved", "manganese_dissolved", "turbidity_filtered_5um", "uvt_filtered", "calcium", "magnesium", "total_chlorine"}
)

#: Names that stand in where a row head has no room for the analyte's own.
_SHORT = {
    "hydrogen_sulfide": "Sulfide",
    "tds": "TDS",
    "total_coliform": "Coliform",
    "dissolved_oxygen": "Oxygen",
    "suspended_solids": "Solids",
}

#: Best value of a row whose limit is a least one, in its JSON unit; of the others twice the limit. A pH end is wished 1.5 away.
_BEST = {"uvt": 100.0}
_BEST_PH = 1.5

#: What rows call the flows other than the peak, as the flow slider does, and how near values of two flows are one.
_WHEN = {"trickle": "at night", "average": "by day"}
_SAME = 0.02

#: A change of pH that a stage is there for.
_ACTED_PH = 0.5


def ledger_rows(context: Context, nodes: Sequence[str], findings: Sequence[Finding]) -> tuple[Row, ...]:
    """A row for every analyte that was measured or that a limit at one of `nodes` asks for; cells by node."""
    maker = CellMaker(context, nodes, findings)
    rows = (maker.row(key) for key in maker.keys)
    return tuple(row for row in rows if row is not None)


@dataclass(frozen=True, slots=True)
class Bite:
    """The limit that bites first in one cell, with the value it judges (JSON unit) and the flow at which it does."""

    outcome: int
    low: float
    high: float
    limit: float
    is_maximum: bool
    closeness: float
    flow: int
    reason: str
    source: str
    status: str


class CellMaker:
    """Makes cells for one evaluation: of `keys`, or of every analyte that was measured or that a limit at one of `nodes` asks for."""

    def __init__(self, context: Context, nodes: Sequence[str], findings: Sequence[Finding], keys: Sequence[str] | None = None) -> None:
        self.context, self.nodes, self.system = context, nodes, context.system
        self.findings = findings
        self.keys = self._ledger_keys() if keys is None else list(keys)
        self.readings = Readings(context.evaluation, self.keys)
        self.low, self.high = self.readings.low, self.readings.high
        self._largest: dict[str, float] = {}
        self._ends: dict[tuple[str, str], tuple[float, float]] = {}
        self._origins: dict[tuple[str, str], str] = {}

    def _ledger_keys(self) -> list[str]:
        sheet = self.context.plan.raw.sheet
        limited = {self.context.table.rows[i].limit.analyte for node in self.nodes for i in self.context.table.of(node)}
        keys = [a.key for a in ANALYTES if readable(a.key) and a.key not in _PARTS and (a.key in sheet or a.key in limited)]
        keys += [key for key in ("total_coliform", "e_coli") if key not in keys]
        order = {key: i for i, key in enumerate(_FIRST)}
        return sorted(keys, key=lambda key: order.get(key, len(order)))

    def row(self, key: str) -> Row | None:
        """One row; None where no point has anything to show."""
        cells = {node: cell for node in self.nodes if node in self.readings.places and (cell := self.cell(node, key))}
        analyte = BY_KEY[key]
        unit = units.typeset(units.unit(analyte.dimension, self.system))
        label = spelt(analyte.label)
        return Row(key, label, unit, cells, _SHORT.get(key, ""), acted=self._acted(key)) if cells else None

    def _acted(self, key: str) -> bool:
        """Whether the stages work on an analyte: somewhere there is half as much of it as at first, or the pH is another."""
        if key not in _WORKED_ON:
            return False
        ends = [self.ends(node, key) for node in self.nodes if node in self.readings.places and self.readings.measured(node, key)]
        worst = [low if BY_KEY[key].adverse == "low" else high for low, high in ends]
        if len(worst) < 2 or not all(map(math.isfinite, worst)):
            return False
        if key == "ph":
            return max(worst) - min(worst) >= _ACTED_PH
        amounts = [-math.log10(max(value, 1e-3) / 100.0) for value in worst] if key == "uvt" else worst
        return amounts[0] > 0.0 and min(amounts) <= 0.5 * amounts[0]

    def cell(self, node: str, key: str) -> Cell | None:
        """What arrives of an analyte at a node."""
        if key in BACTERIA:
            return self._germs(node, key)
        if not self.readings.measured(node, key):
            return Cell(("",), status="missing", tooltip=f"{BY_KEY[key].label} was not measured")
        bite = self.bite(node, key)
        ends = self.ends(node, key)
        cell = self._plain(key, *ends) if bite is None else replace(self._judged(key, bite), when=_when(bite, ends))
        return replace(cell, tooltip=f"{cell.tooltip}\n{self._origin(node, key)}") if cell is not None else None

    def ends(self, node: str, key: str) -> tuple[float, float]:
        """Least and most of an analyte at a node at the peak, JSON unit; infinite where it has no upper end."""
        known = self._ends.get((node, key))
        if known is None:
            flow = min(PEAK, self.low.shape[2] - 1)
            at, which = self.readings.places[node], self.readings.names[key]
            known = self._ends[node, key] = self._told(key, float(self.low[at, which, flow]), float(self.high[at, which, flow]))
        return known

    # Limits -------------------------------------------------------------------------------------------------------------------

    def bite(self, node: str, key: str) -> Bite | None:
        """The worst, then the nearest, of the limits at a node."""
        bites = [self._judge(i) for i in self.context.table.of(node) if self.context.table.rows[i].limit.analyte == key]
        known = [bite for bite in bites if bite is not None]
        return max(known, key=lambda bite: (bite.outcome, bite.closeness)) if known else None

    def _judge(self, index: int) -> Bite | None:
        """One limit of the table at the flow that governs it; None where it does not bite although the value lies beyond it."""
        table = self.context.table
        row, outcomes = table.rows[index], table.outcome[index, :, 0]
        worst = int(outcomes.max())
        flow = PEAK if outcomes[min(PEAK, len(outcomes) - 1)] == worst else int(outcomes.argmax())
        flow = min(flow, len(outcomes) - 1)
        low, high = self._told(row.limit.analyte, float(table.low[index, flow, 0]), float(table.high[index, flow, 0]))
        if not table.known[index] or math.isnan(low):
            return None
        limit = row.limit
        sides = [(True, limit.maximum), (False, limit.minimum)]
        closest = max(((_closeness(limit.analyte, low, high, edge, up), edge, up) for up, edge in sides if edge is not None), default=None)
        if closest is None:
            return None
        closeness, edge, is_maximum = closest
        if worst == WITHIN and closeness > 1.0 + 1e-9:
            return None
        return Bite(worst, low, high, edge, is_maximum, closeness, flow, limit.reason, limit.source, limit.status)

    def _told(self, key: str, low: float, high: float) -> tuple[float, float]:
        """Both ends as they are told: what a test could only call more than has no upper end, whatever models go on with."""
        measured = self.context.plan.raw.sheet.get(key)
        return (low, math.inf) if measured is not None and math.isinf(measured.high) and low < high else (low, high)

    def _judged(self, key: str, bite: Bite) -> Cell:
        severity = SEVERITY[bite.outcome]
        status: Status = "unknown" if bite.outcome in (UNSURE, UNSURE_NOTE) else "over"
        if bite.outcome == WITHIN:
            status = "near" if _near(key, bite) else "within"
        best = bite.limit + _BEST_PH if key == "ph" else _BEST.get(key, 2.0 * bite.limit)
        return Cell(
            values=self._texts(key, (bite.low, bite.high), bite.high if bite.is_maximum else bite.low, bite.limit),
            limit=("≤" if bite.is_maximum else "≥") + _trimmed(self._number(bite.limit, key)),
            status=status,
            severity=severity or "fail",
            gauge=_gauge(key, bite, best),
            closeness=bite.closeness,
            tooltip=self._tooltip(key, bite),
        )

    def _tooltip(self, key: str, bite: Bite) -> str:
        dimension = BY_KEY[key].dimension

        def against(end: float) -> str:
            return self.context.show_against(end, bite.limit, dimension, key)

        low, high = bite.low, bite.high
        if math.isinf(high):
            value = f"more than {against(low)}"
        elif ranges.single(low, high):
            value = against(high if bite.is_maximum else low)
        elif low > 0.0:
            value = " to ".join(dict.fromkeys((against(low), against(high))))
        else:
            value = f"less than {against(high)}"
        side = "at most" if bite.is_maximum else "at least"
        when = "" if bite.flow == PEAK else f" at the {FLOWS[bite.flow]} flow"
        why = f": {bite.reason}" if bite.reason else ""
        told = f"{BY_KEY[key].label} {value}{when}, {side} {self.context.show(bite.limit, dimension, key)}{why}."
        return units.typeset(f"{told} {_cited(bite.source)} ({bite.status})")

    def _origin(self, node: str, key: str) -> str:
        """What changed an analyte last on its way to a node."""
        known = self._origins.get((node, key))
        if known is None:
            known = self._origins[node, key] = self._origin_of(node, key)
        return known

    def _origin_of(self, node: str, key: str) -> str:
        graph, places = self.context.plan.graph, self.readings.places
        feeding = [before for before in graph.predecessors(node) if before in places] if node in graph else []
        if len(feeding) > 1:
            return f"Mixed ahead of {self.context.name(node)}."
        if not feeding or feeding[0] == SUPPLY:
            return "As in the raw water."
        before = feeding[0]
        ends = zip(self.ends(before, key), self.ends(node, key), strict=True)
        if all(a == b or ranges.single(min(a, b), max(a, b)) for a, b in ends):
            return self._origin(before, key)
        return f"Changed last in {self.context.name(before)}."

    # Texts --------------------------------------------------------------------------------------------------------------------

    def _plain(self, key: str, low: float, high: float) -> Cell | None:
        if math.isnan(low):
            return None
        analyte = BY_KEY[key]
        told = " to ".join(dict.fromkeys(self.context.show(value, analyte.dimension, key) for value in (low, high) if math.isfinite(value)))
        said = "more than " if math.isinf(high) else ""
        if low <= 0.0 < high:
            said, told = "less than ", self.context.show(high, analyte.dimension, key)
        tooltip = units.typeset(f"{analyte.label} {said}{told}; no limit here.")
        return Cell(self._texts(key, (low, high), low if analyte.adverse == "low" else high), tooltip=tooltip)

    def _texts(self, key: str, ends: tuple[float, float], adverse: float, limit: float | None = None) -> tuple[str, ...]:
        """The value, never rounded onto or across its limit; intervals of one row have decimals by the largest value in it."""
        if key not in self._largest:
            highs = [self.ends(node, key)[1] for node in self.nodes if node in self.readings.places and self.readings.measured(node, key)]
            self._largest[key] = max(filter(math.isfinite, highs), default=0.0)
        return ranges.interval(ends, adverse, BY_KEY[key].dimension, self.system, key, limit, self._largest[key])

    def _number(self, value: float, key: str) -> str:
        return ranges.number(value, BY_KEY[key].dimension, self.system, key, None)

    # Germs --------------------------------------------------------------------------------------------------------------------

    def _germs(self, node: str, key: str) -> Cell:
        """Bacteria are told by tests alone: as found before a chamber, as something to test behind one."""
        result = self.context.plan.raw.sheet.get(key)
        if result is None:
            return Cell(("",), status="missing", tooltip=f"{BY_KEY[key].label} was not measured")
        found = [f.severity for f in self.findings if f.analyte in BACTERIA] if node in self.context.drinking_ends else []
        present = self.context.germs(key) == "present"
        if present and self._disinfected(node):
            worst: Severity = "fail" if "fail" in found else "caution"
            tooltip = "treated, test to confirm: only a test after start-up shows whether a disinfection works"
            return Cell(("test", "?"), status="over" if "fail" in found else "unknown", severity=worst, tooltip=tooltip)
        word = result.state or self._texts(key, (result.low, result.high), result.high)[0]
        if present and node in self.context.drinking_ends:
            severity: Severity = "fail" if "fail" in found or self.context.needs_disinfection else "caution"
            return Cell((word, "+"), status="over", severity=severity, tooltip=f"{BY_KEY[key].label}: {result.text}")
        return Cell((word,), tooltip=f"{BY_KEY[key].label}: {result.text}")

    def _disinfected(self, node: str) -> bool:
        """Whether every way to the node passes a chamber."""
        chambers = frozenset(self.context.ultraviolet)
        return bool(chambers) and node not in chambers and node not in self.context.reached_without(chambers)


def _closeness(key: str, low: float, high: float, limit: float, is_maximum: bool) -> float:
    """How near a value is to a limit: 1 at it, more beyond it."""
    if key == "ph":
        return 1.0 - ((limit - high) if is_maximum else (low - limit)) / _BEST_PH
    if is_maximum:
        return high / limit if limit > 0 else (2.0 if high > 0 else 0.0)
    return limit / low if low > 0 else 2.0


def _when(bite: Bite, peak: tuple[float, float]) -> str:
    """At which flow a limit bites, where the value is another than at the peak."""
    same = all(a == b or math.isclose(a, b, rel_tol=_SAME) for a, b in zip((bite.low, bite.high), peak, strict=True))
    return "" if same else _WHEN.get(FLOWS[bite.flow], "")


def _near(key: str, bite: Bite) -> bool:
    """Past 80 % of a maximum, within 20 % of the way from a minimum to the best value, within 0.2 of a pH."""
    if key == "ph":
        return ((bite.limit - bite.high) if bite.is_maximum else (bite.low - bite.limit)) < gauges.NEAR_PH
    if bite.is_maximum:
        return bite.high > gauges.NEAR * bite.limit
    best = _BEST.get(key, 2.0 * bite.limit)
    return bite.low < bite.limit + (1.0 - gauges.NEAR) * (best - bite.limit)


def _gauge(key: str, bite: Bite, best: float) -> Gauge:
    high = None if math.isinf(bite.high) else bite.high
    low = bite.low
    if high is not None and ranges.single(low, high):
        low = high if bite.is_maximum else low
        high = low
    if key == "ph" and bite.is_maximum:
        # Distance below a greatest pH, drawn as an amount: 1.5 below is empty.
        return gauges.maximum_gauge(low - bite.limit + _BEST_PH, None if high is None else high - bite.limit + _BEST_PH, _BEST_PH)
    if bite.is_maximum:
        return gauges.maximum_gauge(low, high, bite.limit)
    return gauges.minimum_gauge(low, high, bite.limit, best)


def _trimmed(text: str) -> str:
    """A number without needless zeros: a limit is a given value, not a measured one."""
    return text.rstrip("0").rstrip(".") if "." in text else text


@lru_cache(maxsize=256)
def _cited(key: str) -> str:
    """A source as a tooltip names it; the document's own limits cite the document."""
    try:
        return source(key).label
    except KeyError:
        return key


def raw_nodes(changed: Iterable[str], feeders: dict[str, list[str]], order: Sequence[str]) -> set[str]:
    """Nodes that raw water reaches unchanged, `feeders` being what feeds each."""
    touched = set(changed)
    raw = {"supply"}
    for node in order:
        sources = feeders.get(node, [])
        if sources and all(s in raw and s not in touched for s in sources):
            raw.add(node)
    return raw
