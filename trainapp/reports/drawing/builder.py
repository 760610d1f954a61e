"""From an evaluation and its findings to what the bench drawing shows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from trainapp import units
from trainapp.checks.context import Context
from trainapp.checks.finding import Finding
from trainapp.checks.policy import amount
from trainapp.hydraulics.pipes import pipe_size
from trainapp.reports.drawing.cells import ledger_rows, raw_nodes
from trainapp.reports.drawing.model import (
    HOUSE,
    SUPPLY,
    BenchModel,
    Column,
    EndModel,
    FlowTick,
    LinkModel,
    Pressure,
    PressureModel,
    StageModel,
    SupplyModel,
    TryFlow,
)
from trainapp.reports.drawing.told import finding_models, verdict_model
from trainapp.reports.in_units import in_units
from trainapp.stages.base import Severity, Stage
from trainapp.stages.working import PEAK
from trainapp.train.demands import TRICKLE
from trainapp.train.document import LinkEntry
from trainapp.train.evaluation import Evaluation, Pressures
from trainapp.train.floor import places
from trainapp.train.graph import flow_order
from trainapp.train.numbering import UNNUMBERED, numbers
from trainapp.train.routes import Route, route
from trainapp.train.shares import FLOW_STEP, shared_out
from trainapp.units import System

#: What a source is called under the floor.
_SOURCES = {"spring": "Spring", "surface": "Surface water", "rain": "Rain water", "dug_well": "Dug well", "driven_well": "Driven well"}

#: Height of a pressure tank as a multiple of its width, and the tank drawn where the document names none, m3; common practice, no source.
_SLENDER = 2.0
_SMALL_TANK = 0.02


def bench_model(evaluation: Evaluation, findings: Sequence[Finding], system: System = "us") -> BenchModel:
    """Everything the bench view shows of an evaluation, as texts in `system` ("us" or "metric").

    Args:
        evaluation: of the design sample.
        findings: of it, worst first; their order is their numbering.
    """
    return _Builder(evaluation, findings, system).build()


class _Builder:
    """Reads one evaluation."""

    def __init__(self, evaluation: Evaluation, findings: Sequence[Finding], system: System) -> None:
        self.evaluation, self.findings, self.system = evaluation, findings, system
        self.plan, self.document = evaluation.plan, evaluation.plan.document
        self.context = Context(evaluation, system)
        order = [node for node in flow_order(self.plan.graph) if node in self.plan.stages]
        self.order = [*order, *(node for node in self.plan.stages if node not in order)]
        self.bypasses = frozenset(node for node, stage in self.plan.stages.items() if "bypass" in stage.spec.tags)
        unnumbered = {node for node, stage in self.plan.stages.items() if stage.spec.tags & UNNUMBERED}
        self.ends = [HOUSE, *self.document.outlets]
        self.links = tuple(self._links())
        self.route: Route = route(self.order, self.links, self.ends)
        self.numbers = numbers(self.route, unnumbered)
        self.names = {node: self.numbers.get(node) or self._name(stage) for node, stage in self.plan.stages.items()}
        self.names |= {HOUSE: "house", SUPPLY: "supply"} | {end: _plain(end) for end in self.document.outlets}
        self.places = places(self.document)

    def build(self) -> BenchModel:
        columns = tuple(self._columns())
        spoken = {node: f"{self.numbers.get(node, '')} {self._name(stage)}".strip() for node, stage in self.plan.stages.items()}
        return BenchModel(
            site=self.document.site.word("name"),
            system="metric" if self.system == "metric" else "us",
            supply=self._supply(),
            stages=tuple(self._stage(node) for node in self.order),
            links=self.links,
            ends=tuple(self._end(end) for end in self.ends if end in self.plan.demands or end == HOUSE),
            columns=columns,
            rows=ledger_rows(self.context, [column.node for column in columns], self.findings),
            pressure=self._pressure(),
            try_flow=self._try_flow(),
            findings=finding_models(self.evaluation, self.findings, self.names, self.system),
            verdict=verdict_model(self.evaluation, self.findings, {**self.names, **spoken}, self.system),
            flow_unit=units.unit("flow", self.system),
            flow_factor=float(units.convert(1.0, "flow", self.system)),
            speed_unit=units.unit("velocity", self.system),
            room_width=self.document.room.get("width"),
            room_height=self.document.room.get("height"),
        )

    # Words --------------------------------------------------------------------------------------------------------------------

    def _show(self, value: float, dimension: str) -> str:
        return units.typeset(units.show(value, dimension, self.system))

    def _figure(self, value: float, dimension: str) -> str:
        """A shown value without its unit."""
        return units.typeset(units.show(value, dimension, self.system).removesuffix(f" {units.unit(dimension, self.system)}"))

    def _name(self, stage: Stage) -> str:
        if stage.id in self.bypasses:
            return "Bypass"
        given = stage.settings.get("name") if "declared" in stage.spec.tags else None
        return str(given or stage.spec.label)

    def _size(self, stage: Stage) -> str:
        """What identifies a stage's size; lengths of one unit are joined by a multiplication sign, but a bed is not as high as its tank."""
        parts: list[str] = []
        lengths: list[str] = []
        for key, value, dimension in stage.size_line():
            if key == "bed_depth" and isinstance(value, float):
                parts.insert(0, f"bed {self._show(value, dimension)}")
            elif key == "height" and isinstance(value, float):
                parts.append(f"{self._show(value, dimension)} high")
            elif dimension == "length" and isinstance(value, float):
                lengths.append(self._figure(value, dimension))
            elif isinstance(value, float):
                parts.append(self._show(value, dimension))
            else:
                parts.append(f"class {value}" if key == "device_class" else _plain(str(value)) if key != "tanks" else f"{value} tanks")
        if lengths:
            parts.insert(0, f"{' × '.join(lengths)}\u202f{units.unit('length', self.system)}")
        if stage.count > 1:
            parts.insert(0, f"{stage.count} units")
        return ", ".join(parts)

    # Stages, links, ends ------------------------------------------------------------------------------------------------------

    def _stage(self, node: str) -> StageModel:
        stage = self.plan.stages[node]
        result = self.evaluation.stages.get(node)
        size = self._size(stage)
        loses = result if "junction" not in stage.spec.tags else None
        fall = (self._figure(loses.headloss_clean, "pressure"), self._figure(loses.headloss_dirty, "pressure")) if loses else ("", "")
        number, name = self.numbers.get(node, ""), self._name(stage)
        told = [f"{number} {name}".strip() + (f", {size}" if size else "")]
        if result:
            taken = f"; takes {fall[0]} clean, {fall[1]} dirty" if loses else ""
            told.append(f"{self._show(float(result.flow[PEAK]), 'flow')} at the peak{taken}")
        return StageModel(
            id=node,
            kind="bypass" if node in self.bypasses else stage.spec.kind,
            number=number,
            name=name,
            size=size,
            figure=stage.figure(),
            count=stage.count,
            x=self.places.get(node),
            bodies=int(stage.settings.get("tanks") or 1),
            fall=fall,
            clearance=self._clearance(stage),
            tooltip="\n".join(told),
        )

    def _clearance(self, stage: Stage) -> tuple[str, ...]:
        """What the free height above is for, and what there is of it."""
        figure, height = stage.figure(), self.document.room.get("height")
        if figure.clear_above <= 0:
            return (f"comes down {self._show(figure.clear_below, 'length')}",) if figure.clear_below > 0 else ()
        needed = self._show(figure.clear_above, "length")
        first = f"lamp draws out {needed}" if "disinfection" in stage.spec.tags else f"needs {needed} above"
        return (
            (first,)
            if height is None
            else (first, f"{self._show(max(height - figure.base - figure.height, 0.0), 'length')} to the ceiling")
        )

    def _links(self) -> Iterator[LinkModel]:
        """Every link of the document; one that no water passes has no flow."""
        bare = self._unprotected()
        flows = {key: float(link.flow[PEAK]) for key, link in self.evaluation.links.items()}
        shown = shared_out(flows, FLOW_STEP / units.convert(1.0, "flow", self.system))
        for entry in self.document.links:
            source, target = entry.ends
            result = self.evaluation.links.get((source, target))
            flow = flows.get((source, target), 0.0)
            total = sum(q for (a, _), q in flows.items() if a == source)
            label = result.label if result else "pipe"
            told = f"{in_units(label, self.system)}, {self._show(shown.get((source, target), flow), 'flow')}"
            told += f", {self._show(result.velocity, 'velocity')}" if result else ""
            fast = result is not None and result.velocity > amount("velocity_caution") * (1 + 1e-9)
            yield LinkModel(
                source=source,
                target=target,
                flow=flow,
                share=self._share(source, target, flow / total if total > 0 else 0.0),
                speed=self._figure(result.velocity, "velocity") if result else "",
                too_fast="caution" if fast else "",
                diameter=self._diameter(entry),
                unprotected=(source, target) in bare,
                tooltip=told,
            )

    def _share(self, source: str, target: str, part: float) -> str:
        """What a bypass takes of the flow, on the pipe that leads to it."""
        if target not in self.bypasses:
            return ""
        return f"bypass {100 * part:.0f}\u202f%" if part > 0 else "bypass, closed"

    def _diameter(self, entry: LinkEntry) -> float:
        """Outside diameter of a link's pipe, m; of several segments the widest."""
        return max(pipe_size(s.word("material"), s.value("size")).outside for s in self.document.pipe_of(entry))

    def _unprotected(self) -> frozenset[tuple[str, str]]:
        """Links on which water that must be disinfected goes round every chamber to somebody's mouth, from where they part."""
        context = self.context
        chambers = frozenset(context.ultraviolet)
        if not any(f.code == "unprotected-path" and f.severity != "note" for f in self.findings) or not chambers:
            return frozenset()
        bare = context.reached_without(chambers)
        taps = [end for end in context.drinking_ends if end in bare]
        before = {node for tap in taps for node in (context.before(tap) | {tap})}
        ahead = {node for uv in chambers for node in context.before(uv)}
        return frozenset(key for key in self.evaluation.links if key[0] in bare and key[1] in bare & before and key[1] not in ahead)

    def _end(self, end: str) -> EndModel:
        if end == HOUSE:
            return EndModel(end, "house", "to the house", self._end_told(end))
        label = _plain(end)
        if end in self._raw:
            label += ", raw"
        elif end in self.plan.demands and not self.plan.demands[end].drinking:
            label += ", not for drinking"
        return EndModel(end, _plain(end), label, self._end_told(end))

    def _end_told(self, end: str) -> str:
        point = self.evaluation.points.get(end)
        if point is None:
            return f"{_plain(end)}: no water reaches it"
        at = point.pressure
        told = f"{self._figure(at.clean, 'pressure')} clean, {self._show(at.dirty, 'pressure')} dirty"
        return f"{_plain(end)}: {self._show(float(point.flow[PEAK]), 'flow')} at the peak, {told}"

    def _supply(self) -> SupplyModel:
        supply, x = self.document.supply, self.places.get(SUPPLY)
        if supply.kind == "mains":
            static = supply.get("static")
            return SupplyModel("mains", "Main", self._gauged(static) if static is not None else "", x=x)
        name = _SOURCES.get(supply.word("source"), "Well")
        if supply.word("control") == "constant":
            size = self._gauged(supply.value("set_pressure"))
        else:
            size = self._gauged(supply.value("cut_in"), supply.value("cut_out"))
        volume = supply.get("tank_volume") or _SMALL_TANK
        width = float((4.0 * volume / (np.pi * _SLENDER)) ** (1.0 / 3.0))
        return SupplyModel("well", name, size, width, _SLENDER * width, x=x)

    def _gauged(self, *pressures: float) -> str:
        """Pressures that the supply is set to, without needless zeros: "40/60 psi"."""
        shown = (f"{float(units.convert(p, 'pressure', self.system)):.1f}".removesuffix(".0") for p in pressures)
        return f"{'/'.join(shown)}\u202f{units.unit('pressure', self.system)}"

    # Columns ------------------------------------------------------------------------------------------------------------------

    @property
    def _raw(self) -> set[str]:
        """Nodes that raw water reaches."""
        changed = [node for node in self.evaluation.stages if self._changes(node)]
        feeders: dict[str, list[str]] = {}
        for source, target in self.evaluation.links:
            feeders.setdefault(target, []).append(source)
        return raw_nodes(changed, feeders, self.plan.order)

    def _changes(self, node: str) -> bool:
        """Whether a stage changes the water at any flow."""
        result = self.evaluation.stages[node]
        before, after = result.inlet.values[..., 0], result.outlet.values[..., 0]
        return not np.allclose(before, after, rtol=1e-9, atol=0.0, equal_nan=True)

    def _columns(self) -> Iterator[Column]:
        """Stages that have a limit or change the water, and the house."""
        raw = self._raw
        for node in self.route.nodes():
            if node in self.evaluation.stages and (self.plan.limits.get(node) or self._changes(node)):
                yield Column(node, node in raw, self._mixed(node))
        if HOUSE in self.evaluation.points:
            yield Column(HOUSE, HOUSE in raw, self._mixed(HOUSE))

    def _mixed(self, node: str) -> bool:
        return sum(target == node for _, target in self.evaluation.links) > 1

    # Pressure and flow --------------------------------------------------------------------------------------------------------

    def _pressure(self) -> PressureModel:
        points, stages = self.evaluation.points, self.evaluation.stages
        entering = {node: self._at(result.inlet_pressure) for node, result in stages.items()}
        entering |= {end: self._at(points[end].pressure) for end in self.ends if end in points}
        leaving = {node: self._at(point.pressure) for node, point in points.items() if node == SUPPLY or node in stages}
        wanted = self.plan.goal_pressure
        decimals = next(places for least, places in units.scale("pressure", self.system).decimals if least == 0)
        return PressureModel(
            unit=units.unit("pressure", self.system),
            decimals=decimals,
            entering=entering,
            leaving=leaving,
            wanted=float(units.convert(wanted, "pressure", self.system)),
            marks=self._marks(points[HOUSE].pressure, wanted) if HOUSE in points else {},
        )

    def _at(self, p: Pressures) -> Pressure:
        clean, dirty, lowest = (float(units.convert(value, "pressure", self.system)) for value in (p.clean, p.dirty, p.lowest))
        return Pressure(clean, dirty, lowest)

    def _marks(self, at: Pressures, wanted: float) -> Mapping[str, Severity]:
        """Which pressures at the house are short, counted as the finding about them counts."""
        found = [f.severity for f in self.findings if f.stage == HOUSE and f.code in ("low-pressure", "flow-short")]
        if not found:
            return {}
        worst: Severity = "fail" if "fail" in found else "caution"
        return {key: worst for key in ("clean", "dirty", "lowest") if getattr(at, key) < wanted - 50.0}

    def _try_flow(self) -> TryFlow | None:
        demand = self.plan.demands.get(HOUSE)
        if demand is None or demand.flows[PEAK] <= 0:
            return None
        peak, capacity = float(demand.flows[PEAK]), self.evaluation.capacity
        ticks = [("night", "night", min(TRICKLE, peak)), ("peak", "peak", peak), ("twice", "twice peak", 2 * peak)]
        if TRICKLE < capacity.flow < 2 * peak:
            word = "without a pause" if capacity.lasting else f"{self.names.get(capacity.at, capacity.at)} gives in"
            ticks.append(("capacity", word, capacity.flow))
        shown = [(key, word, float(units.convert(q, "flow", self.system)), self._figure(q, "flow")) for key, word, q in ticks]
        ordered = sorted((FlowTick(*tick) for tick in shown), key=lambda tick: tick.value)
        return TryFlow(units.unit("flow", self.system), tuple(ordered), float(units.convert(peak, "flow", self.system)))


def _plain(key: str) -> str:
    """A key of the document as words."""
    return key.replace("_", " ").replace("-", " ")
