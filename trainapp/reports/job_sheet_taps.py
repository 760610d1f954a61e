"""The sample taps of the job sheet: where to test after start-up, what the design expects to leave there, and what it has to keep to."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from trainapp import units
from trainapp.checks.context import Context
from trainapp.checks.judge import WITHIN
from trainapp.checks.readings import readable
from trainapp.checks.table import BACTERIA
from trainapp.reports.drawing import ranges
from trainapp.reports.export_table import Number
from trainapp.reports.job_sheet_lines import all_lines
from trainapp.reports.ledger import Ledger, Record
from trainapp.reports.print_sources import Citations
from trainapp.reports.print_table import PrintTable, Row
from trainapp.stages.working import PEAK
from trainapp.train.graph import SUPPLY
from trainapp.water.analytes import BY_KEY
from trainapp.water.stream import Stream

#: Where it stands that coliform has to be absent.
_GERMS = "40cfr141.63"
#: What passes such a stage is the water that came.
_PASSING = frozenset({"junction", "flow_control", "regulator", "bypass"})
#: Waters, or flows, that differ by less than this share are told as one.
_ALIKE = 0.25
_ALIKE_PH = 0.2

Ends = tuple[float, float]


@dataclass(slots=True)
class Tap:
    """One place to take a sample.

    Attributes:
        place: what it is called.
        water: that runs there.
        ahead: nodes that it comes to next.
        tests: source and status by analyte. goals: least value that a stage is set to reach, with source and status.
    """

    place: str
    water: Stream
    ahead: Sequence[str]
    tests: dict[str, tuple[str, str]] = field(default_factory=dict)
    goals: dict[str, tuple[float, str, str]] = field(default_factory=dict)


@dataclass(slots=True)
class Span:
    """What an analyte has to keep to, JSON unit, with the sources of both ends."""

    least: float = -math.inf
    most: float = math.inf
    sources: dict[str, tuple[str, str]] = field(default_factory=dict)

    def narrow(self, least: float | None, most: float | None, source: str, status: str) -> None:
        """Keep to these ends, too."""
        if least is not None and least > self.least:
            self.least, self.sources["least"] = least, (source, status)
        if most is not None and most < self.most:
            self.most, self.sources["most"] = most, (source, status)


class TapTable:
    """Makes the table of one evaluation.

    Args:
        ledger: of the evaluation. citations: numbers the sources.
        name: what the sheet calls a node.
    """

    def __init__(self, ledger: Ledger, citations: Citations, name: Callable[[str], str]) -> None:
        self.ledger, self.citations, self.name = ledger, citations, name
        self.evaluation, self.system = ledger.evaluation, ledger.system
        self.context = Context(ledger.evaluation, ledger.system)
        self.graph = self.evaluation.plan.graph

    def table(self) -> PrintTable:
        """Where to take samples after start-up, what the design expects there, and room for what is found."""
        rows = list(self._raw())
        for tap in self.taps():
            rows += self._rows(tap)
        heads = ("tap", "test for", "design expects", "limit", "found on", "found", "source")
        return PrintTable(heads, (22, 18, 17, 11, 12, 13, 7), rows, right=frozenset({6}))

    # Where --------------------------------------------------------------------------------------------------------------------

    def taps(self) -> Iterator[Tap]:
        """Every tap behind the first stage, in flow order."""
        for node, result in self.evaluation.stages.items():
            before = self._before(node, result.inlet)
            if before is not None:
                yield before
            behind = Tap(f"behind {self.name(node)}", self.evaluation.points[node].water, list(self.graph.successors(node)))
            self._ask(behind, self.roles(node), node)
            for key in result.stage.settings.get("removal") or {}:
                behind.tests.setdefault(key, ("common-practice", "common practice"))
            if behind.tests:
                yield behind
        for end in self.context.ends:
            mixed = self._mixed(end) if end in self.evaluation.points else []
            if mixed:
                tests = dict.fromkeys(mixed, ("common-practice", "common practice"))
                yield Tap(f"at {self.name(end)}, mixed", self.evaluation.points[end].water, [end], tests)

    def _before(self, node: str, inlet: Stream) -> Tap | None:
        """The tap ahead of a stage: where unlike waters have met, and into a chamber that no fine cartridge stands ahead of."""
        mixed = self._mixed(node)
        tap = Tap(f"ahead of {self.name(node)}{', mixed' if mixed else ''}", inlet, [node])
        if "disinfection" in self.context.tags(node) and not self._strained(node):
            self._ask(tap, frozenset({"into_uv"}), node)
        for key in mixed:
            tap.tests.setdefault(key, ("common-practice", "common practice"))
        return tap if tap.tests else None

    def roles(self, node: str) -> frozenset[str]:
        """What a stage is to its tap: its tags, and "fine", "chlorine_fed", "unlit" (carbon with no chamber behind it)."""
        context, tags = self.context, self.context.tags(node)
        said = {"fine"} if context.is_fine(node) else set()
        fed = {str(context.setting(other, "oxidant")) for other in (node, *context.before(node)) if other in self.evaluation.stages}
        if "iron_removal" in tags and "chlorine" in fed:
            said.add("chlorine_fed")
        if "carbon" in tags and not context.after(node) & set(context.ultraviolet):
            said.add("unlit")
        return tags | said

    def _ask(self, tap: Tap, roles: frozenset[str], node: str) -> None:
        """Ask for the tests of these roles, and for what the stage is set to reach."""
        for line in all_lines("tap"):
            if line.words & roles:
                for key in line.row["analytes"]:
                    tap.tests.setdefault(key, (line.source, line.status))
                for key, setting in line.row.get("goals", {}).items():
                    spec = self.evaluation.stages[node].stage.spec.settings.get(setting)
                    least = self.context.setting(node, setting)
                    if spec is not None and least is not None and self._asks_for(node, key):
                        tap.goals[key] = (float(least), spec.source, spec.status)

    def _asks_for(self, node: str, key: str) -> bool:
        """Whether the stage itself is set for an analyte: a filter that only lives on chlorine of a feed ahead wants no residual."""
        return key != "free_chlorine" or self.context.setting(node, "oxidant") == "chlorine"

    def _strained(self, node: str) -> bool:
        """Whether a fine cartridge stands straight ahead, on every way."""
        feeding = list(self.graph.predecessors(node))
        return bool(feeding) and all(
            other in self.evaluation.stages
            and (self.context.is_fine(other) or (bool(self.context.tags(other) & _PASSING) and self._strained(other)))
            for other in feeding
        )

    def _mixed(self, node: str) -> list[str]:
        """Analytes that are tested on the way here and in which the waters that meet here differ."""
        feeding = [n for n in self.graph.predecessors(node) if n in self.evaluation.points and (n, node) in self.evaluation.links]
        if len(feeding) < 2:
            return []
        asked: dict[str, None] = {}
        for stage in self.context.stages:
            if stage in self.context.before(node):
                roles = self.roles(stage)
                asked |= {key: None for line in all_lines("tap") if line.words & roles for key in line.row["analytes"]}
        return [key for key in asked if key not in BACTERIA and self._differ(key, [self.evaluation.points[n].water for n in feeding])]

    @staticmethod
    def _differ(key: str, waters: Sequence[Stream]) -> bool:
        found = [ends_at(water, key, PEAK) for water in waters]
        return not all(_alike(key, found[0], other) for other in found[1:])

    # What ---------------------------------------------------------------------------------------------------------------------

    def _raw(self) -> Iterator[Row]:
        """Before the first stage: what the sample found."""
        (raw,) = (line for line in all_lines("tap") if "raw" in line.words)
        records = {record.quantity: record for record in self.ledger.records if record.at == SUPPLY}
        place = "before the first stage"
        for key in raw.row["analytes"]:
            record = records.get(self.ledger.label(key))
            if record is not None:
                cite = self.citations.number(raw.source, raw.status)
                yield place, self.ledger.label(key), _found(record), "", "", "", cite
                place = ""

    def _rows(self, tap: Tap) -> Iterator[Row]:
        place = tap.place
        for key, (source, status) in tap.tests.items():
            cited = [self.citations.number(source, status)]
            if key in BACTERIA:
                # No chamber is credited with anything: what has to be found is said, not what will be.
                expected, limit = "no forecast", "absent"
                cited.append(self.citations.number(_GERMS))
            elif readable(key) and (key != "uvt" or self.context.ultraviolet):
                span = self.span(tap, key)
                expected, limit = self.expected(tap.water, key, span), self._limit(span, key)
                cited += [self.citations.number(*cite) for cite in span.sources.values()]
            else:
                continue
            yield place, self.ledger.label(key), expected, limit, "", "", ", ".join(dict.fromkeys(cited))
            place = ""

    def expected(self, water: Stream, key: str, span: Span) -> str:
        """What the design expects, with its unit: at the peak, or over all flows where they differ by much."""
        low, high = told_ends(water, key)
        if math.isnan(low) or math.isnan(high):
            return "not measured"
        measured = self.evaluation.plan.raw.sheet.get(key)
        if measured is not None and math.isinf(measured.high) and low < high:
            high = math.inf
        counts = low if span.least > -math.inf or BY_KEY[key].adverse == "low" else high
        edge = span.least if counts == low and span.least > -math.inf else span.most
        limit = edge if math.isfinite(edge) else None
        text = ranges.interval((low, high), counts, BY_KEY[key].dimension, self.system, key, limit, high)[0]
        unit = units.typeset(units.unit(BY_KEY[key].dimension, self.system))
        told = f"{text}\u202f{unit}" if unit else text
        return told if self._is_known(water, key) else f"{told}\nraw not measured"

    def _is_known(self, water: Stream, key: str) -> bool:
        """Whether it follows from what was measured; a supply without a residual brings no chlorine, tested or not."""
        return bool(water.is_known(key)[0]) or (key == "free_chlorine" and not self.evaluation.plan.duty.chlorinated)

    # Limits -------------------------------------------------------------------------------------------------------------------

    def span(self, tap: Tap, key: str) -> Span:
        """The strictest limits of what the water comes to before a stage that works on the analyte, and the goal of its own stage."""
        edge = self._straight(tap.ahead)
        span, seen = Span(), set(edge)
        while edge:
            node = edge.pop()
            self._narrow(span, node, key)
            if node not in self.evaluation.stages or self._works_on(node, key):
                continue
            onward = [other for other in self._straight(list(self.graph.successors(node))) if other not in seen]
            seen.update(onward)
            edge += onward
        if key in tap.goals:
            least, source, status = tap.goals[key]
            span.narrow(least, None, source, status)
        return span

    def _straight(self, nodes: Sequence[str]) -> list[str]:
        """Where water goes next, without a way round that is there to be mixed again."""
        ways = [node for node in nodes if "bypass" not in self.context.tags(node)]
        return ways or list(nodes)

    def _narrow(self, span: Span, node: str, key: str) -> None:
        table = self.context.table
        for index in table.of(node):
            limit = table.rows[index].limit
            if limit.analyte != key:
                continue
            flow = min(PEAK, table.low.shape[1] - 1)
            low, high = float(table.low[index, flow, 0]), float(table.high[index, flow, 0])
            beyond = (limit.maximum is not None and high > limit.maximum) or (limit.minimum is not None and low < limit.minimum)
            # what does not bite although the value lies beyond it is no limit here
            if not beyond or table.outcome[index, :, 0].max() != WITHIN:
                span.narrow(limit.minimum, limit.maximum, limit.source, limit.status)

    def _works_on(self, node: str, key: str) -> bool:
        roles = self.roles(node)
        removed: Mapping[str, float] = self.context.setting(node, "removal") or {}
        return key in removed or any(key in line.row["analytes"] for line in all_lines("tap") if line.words & roles)

    def _limit(self, span: Span, key: str) -> str:
        least, most = (self._number(end, key) if math.isfinite(end) else "" for end in (span.least, span.most))
        if least and most:
            return f"{least}–{most}"
        return f"≥{least}" if least else f"≤{most}" if most else ""

    def _number(self, value: float, key: str) -> str:
        text = ranges.number(value, BY_KEY[key].dimension, self.system, key, None)
        return text.rstrip("0").rstrip(".") if "." in text else text


def ends_at(water: Stream, key: str, flow: int) -> Ends:
    """Least and most of an analyte at one flow in the design sample, JSON unit; NaN where nothing is known."""
    values = np.asarray(water.get(key))[..., 0]
    at = values[:, min(flow, values.shape[1] - 1)]
    return float(at.min()), float(at.max())


def told_ends(water: Stream, key: str) -> Ends:
    """Least and most at the peak, or over all flows where those differ by much."""
    peak = ends_at(water, key, PEAK)
    every = [ends_at(water, key, flow) for flow in range(PEAK + 1)]
    over = min(low for low, _ in every), max(high for _, high in every)
    return peak if _alike(key, peak, over) else over


def _alike(key: str, one: Ends, other: Ends) -> bool:
    """Whether two intervals read nearly the same."""
    if any(math.isnan(end) for end in (*one, *other)):
        return True
    if key == "ph":
        return all(abs(a - b) < _ALIKE_PH for a, b in zip(one, other, strict=True))
    return all(abs(a - b) <= _ALIKE * max(abs(a), abs(b)) or _nothing(key, a, b) for a, b in zip(one, other, strict=True))


def _nothing(key: str, *values: float) -> bool:
    """Whether all of these are too little to be told apart by a test at a tap."""
    return all(units.show(value, BY_KEY[key].dimension, "us", analyte=key) == units.show(0.0, BY_KEY[key].dimension, "us", analyte=key)
               for value in values)  # fmt: skip


def _found(record: Record) -> str:
    """What the sample found, with its unit."""
    if not record.value:
        return "not measured"
    text = f"{record.value.value:.{record.value.decimals}f}" if isinstance(record.value, Number) else str(record.value)
    return f"{text}\u202f{record.unit}".strip() if any(letter.isdigit() for letter in text) else text
