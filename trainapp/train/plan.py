"""A document compiled once: graph, stages, pipes, supply, demand and raw water, ready to be evaluated any number of times."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any, TypeVar

import networkx as nx
import numpy as np

from trainapp.dimensions import DAY
from trainapp.hydraulics.pipes import PipeRun, joined, pipe_run
from trainapp.hydraulics.supply import Supply
from trainapp.hydraulics.water_properties import water
from trainapp.stages import registry
from trainapp.stages.base import Duty, Limit, Stage
from trainapp.stages.working import Array
from trainapp.train.demands import EndDemand, demands_of
from trainapp.train.document import Document, settings_of
from trainapp.train.errors import DocumentError
from trainapp.train.graph import Graph, flow_order, graph_of
from trainapp.train.hydraulic import Pipework, set_valves
from trainapp.train.model import PipeSegment
from trainapp.train.overrides import limits_in_force
from trainapp.train.raw import SURFACE, RawWater, needs_disinfection, raw_water
from trainapp.train.supplies import supply_of
from trainapp.train.zones import HOUSE, SUPPLY, Link, Zone, cut_zones

T = TypeVar("T")
Segments = tuple[tuple[str, float, float, tuple[tuple[str, int], ...]], ...]


class Pipe:
    """The pipe of one link: its segments in flow order as one element. Links of like pipe share one.

    Most trains are piped alike from end to end and carry one flow, so the last answer is kept.
    """

    __slots__ = ("_last", "bore", "element", "label", "length", "runs")

    def __init__(self, runs: list[PipeRun]) -> None:
        self.runs = tuple(runs)
        self.element = joined(runs) if len(runs) > 1 else runs[0]
        narrowest = min(runs, key=lambda run: run.bore)
        self.bore, self.label = narrowest.bore, narrowest.label
        self.length = sum(run.length for run in runs)
        self._last = (0.0, *self.element.loss_and_slope(0.0))

    def loss(self, flow: float) -> float:
        """Pa lost at m3/s."""
        return self.loss_and_slope(flow)[0]

    def slope(self, flow: float) -> float:
        """Pa per m3/s."""
        return self.loss_and_slope(flow)[1]

    def loss_and_slope(self, flow: float) -> tuple[float, float]:
        """Both at once, at little more than the cost of one."""
        last, loss, slope = self._last
        if flow != last:
            loss, slope = self.element.loss_and_slope(flow)
            self._last = (flow, loss, slope)
        return loss, slope

    def range_note(self, flow: float) -> str:
        """One sentence where no friction correlation holds in one of its segments, else nothing."""
        return next((note for run in self.runs if (note := run.range_note(flow))), "")

    def velocity(self, flow: float) -> float:
        """m/s in its narrowest segment."""
        return flow / (0.25 * np.pi * self.bore**2)


@dataclass
class Plan:
    """Everything that evaluation needs and that does not change between evaluations of one document.

    Attributes:
        document, graph: as opened; `order` the live nodes in flow order, "supply" first, the ends last.
        stages: every stage by id, loose ones included; `live` those that water passes.
        limits: what may enter each live stage, overrides of the document applied.
        raw: the design sample as a stream, with what it assumes and doubts.
        sources: what pushes each pressure zone, by its root.
        demands: by end. fills: filling flow of each tank open to air, m3/s (3,).
        pipes, work: resistances at the coldest water.
        shut: closed valves that stand in the train and carry nothing.
        cold, warm: degC. unsafe: the water needs disinfection. chlorinated: it carries a residual. source: the supply's source word.
    """

    document: Document
    graph: Graph
    order: tuple[str, ...]
    stages: dict[str, Stage]
    live: frozenset[str]
    limits: dict[str, tuple[Limit, ...]]
    raw: RawWater
    zones: tuple[Zone, ...]
    sources: dict[str, Supply]
    demands: dict[str, EndDemand]
    fills: dict[str, Array]
    pipes: dict[Link, Pipe]
    work: Pipework
    cold: float
    warm: float
    unsafe: bool
    chlorinated: bool
    source: str

    shut: frozenset[str] = frozenset()
    _kept: dict[Hashable, Any] = field(default_factory=dict, init=False)

    def once(self, make: Callable[[Plan], T]) -> T:
        """What `make` makes of this plan, made once: for what does not change between evaluations."""
        if make not in self._kept:
            self._kept[make] = make(self)
        made: T = self._kept[make]
        return made

    def once_for(self, key: Hashable, make: Callable[[], T]) -> T:
        """The same under a key of its own, for what is asked of one node or at one pressure."""
        if key not in self._kept:
            self._kept[key] = make()
        made: T = self._kept[key]
        return made

    def keep(self, make: Callable[[Plan], T], made: T) -> None:
        """Take over what was made of a plan that differs in nothing that `make` reads."""
        self._kept[make] = made

    @cached_property
    def assumed(self) -> frozenset[str]:
        """Analytes that a model of this train reads: assumed where they were not measured."""
        return frozenset(a for node, stage in self.stages.items() if node in self.live for a in stage.spec.needs)

    @cached_property
    def only_way(self) -> Mapping[str, tuple[str, ...]]:
        """Ends that no water reaches but through the node, by node."""
        parents = nx.immediate_dominators(self.graph.subgraph(self.order), SUPPLY)
        ways: dict[str, list[str]] = {}
        for end in self.demands:
            node = end
            while node in parents and node != SUPPLY and parents[node] is not None and parents[node] != node:
                node = parents[node]
                ways.setdefault(node, []).append(end)
        return {node: tuple(ends) for node, ends in ways.items()}

    @cached_property
    def duty(self) -> Duty:
        """What every stage is told of the site; flows and daily volume are its own."""
        return Duty(
            flows=np.zeros((3, 1)),
            daily=0.0,
            cold=self.cold,
            warm=self.warm,
            unsafe=self.unsafe,
            chlorinated=self.chlorinated,
            source=self.source,
            uv_dose=self.document.goals.value("uv_dose"),
            surface=self.source in SURFACE or self.document.supply.word("surface_influence") == "yes",
        )

    @property
    def goal_pressure(self) -> float:
        """Pa wanted at the house main."""
        return self.demands[HOUSE].pressure

    def zone_of(self, node: str) -> Zone:
        """The zone whose pressure reaches the node's inlet."""
        return next(zone for zone in self.zones if node in zone.nodes[1:])

    def path_to(self, node: str) -> list[Link]:
        """Pipes from the root of its zone to a node, the shortest way."""
        way = nx.shortest_path(self._live_graph, self.zone_of(node).root, node)
        return list(zip(way, way[1:], strict=False))

    @cached_property
    def _live_graph(self) -> Graph:
        """The pipes that water passes."""
        return nx.DiGraph([link for zone in self.zones for link in zone.links])


def open_plan(document: Document) -> Plan:
    """Compile a document.

    Raises:
        DocumentError: something in it that cannot be used, naming the place.
    """
    graph = graph_of(document)
    order = flow_order(graph)
    cold, warm = document.supply.temperatures
    stages = {entry.id: _stage(document, entry.id) for entry in document.stages}
    live = frozenset(order)
    demands = {end: d for end, d in demands_of(document).items() if end in live}
    raw = raw_water(document)
    work, pipes = _pipework(document, graph, {n: s for n, s in stages.items() if n in live}, demands, cold)
    breaks = [node for node in order if node in stages and stages[node].breaks_pressure]
    closed = [node for node in order if node in stages and stages[node].is_shut]
    zones = cut_zones(graph, order, breaks, closed)
    fed = {node for zone in zones for node in zone.nodes}
    shut = frozenset(node for node in closed if any(source in fed for source in graph.predecessors(node)))
    if HOUSE not in fed:
        raise DocumentError(("stages", closed[0], "settings", "position"), "the valve is closed and no other way leads to the house")
    plan = Plan(
        document=document,
        graph=graph,
        order=tuple(node for node in order if node in fed or node in shut),
        stages=stages,
        live=live,
        limits={node: limits_in_force(stage) for node, stage in stages.items() if node in live},
        raw=raw,
        zones=zones,
        sources={zone.root: supply_of(document) if zone.root == SUPPLY else stages[zone.root].pump_supply() for zone in zones},
        demands=demands,
        fills={node: _fill(stages[node], _behind(zones, node, demands)) for node in breaks if node in fed},
        shut=shut,
        pipes=pipes,
        work=work,
        cold=cold,
        warm=warm,
        unsafe=needs_disinfection(document, raw),
        chlorinated=raw.chlorinated,
        source=document.supply.word("source"),
    )
    for zone in zones:
        if any(node in work.shares for node in zone.nodes):
            from trainapp.train.pressure import held_back, zone_demands

            set_valves(zone, work, held_back(plan, zone, zone_demands(plan, zone, 2)))
    return plan


def _stage(document: Document, stage_id: str) -> Stage:
    kind = registry.kind(document.stage(stage_id).kind)
    assert kind is not None  # the document refuses unknown kinds
    return kind(stage_id, settings_of(document.stage(stage_id), items=document.items))


def _pipework(
    document: Document, graph: Graph, stages: Mapping[str, Stage], demands: Mapping[str, EndDemand], cold: float
) -> tuple[Pipework, dict[Link, Pipe]]:
    pipes = {link: _pipe(_segments(graph.edges[link]["pipe"]), cold) for link in graph.edges}
    both = {node: stage.elements(cold) for node, stage in stages.items()}
    work = Pipework(
        pipes=pipes,
        clean={node: elements[0] for node, elements in both.items()},
        dirty={node: elements[1] for node, elements in both.items()},
        caps={node: stage.flow_cap * stage.count for node, stage in stages.items() if stage.flow_cap is not None},
        holds={node: stage.holds_pressure for node, stage in stages.items() if stage.holds_pressure is not None},
        lifts={end: demand.lift for end, demand in demands.items()},
        shares={node: stage.wanted_share for node, stage in stages.items() if stage.wanted_share is not None and not stage.is_shut},
        density=water(cold).density,
    )
    return work, pipes


def _segments(pipe: Iterable[PipeSegment]) -> Segments:
    return tuple((s.word("material"), s.value("size"), s.value("length"), tuple(s.fitting_counts.items())) for s in pipe)


@lru_cache(maxsize=256)
def _pipe(segments: Segments, cold: float) -> Pipe:
    return Pipe([pipe_run(material, size, length, dict(fittings), cold) for material, size, length, fittings in segments])


def _behind(zones: Iterable[Zone], tank: str, demands: Mapping[str, EndDemand]) -> float:
    """m3 a day that all ends behind a tank use."""
    zone = next(z for z in zones if z.root == tank)
    return sum(demands[end].daily if end in demands else _behind(zones, end, demands) for end in zone.ends)


def _fill(stage: Stage, daily: float) -> Array:
    """What a tank open to air draws while it fills; over the day, what its ends use."""
    fill = float(stage.settings.number("fill_flow"))
    return np.array([fill, daily / DAY, fill])
