"""How much a train can give: at the house, to a filter that backwashes, and pushed through it with every tap open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import networkx as nx

from trainapp.dimensions import PSI
from trainapp.hydraulics.elements import Resistance
from trainapp.hydraulics.supply import Supply, Well
from trainapp.stages.working import PEAK, Working
from trainapp.train.evaluation import Capacity
from trainapp.train.hydraulic import Pipework, distribute, greatest_flow, propagate, settled_flow
from trainapp.train.naming import Names
from trainapp.train.plan import Plan
from trainapp.train.pressure import PeakStates, zone_demands
from trainapp.train.zones import HOUSE, Link, Zone, node_flows

#: With every tap open, what is left at the house main (rules of the trade for judging whether a flow control is needed).
OPEN_TAPS = 10.0 * PSI
#: m3/s beyond which no train of this scale is asked anything: a supply without an end ends here.
ENDLESS = 0.05
#: Part of a flow within which two limits count as the same.
_SAME = 1e-3
#: So much more flow has to come for a state of filters or supply to be what stops it.
_MATTERS = 0.02
#: A shut lane: at any pressure next to nothing passes.
_SHUT = Resistance(quadratic=1e18)


def capacity_of(plan: Plan, states: PeakStates) -> Capacity:
    """The most the train delivers at the house: the least of pressure (dirty filters, lowest supply), supply and every rating."""
    zone = plan.zone_of(HOUSE)
    source = plan.sources[zone.root]
    others = {end: q for end, q in zone_demands(plan, zone, 2).items() if end != HOUSE}
    drawn = sum(others.values())
    gives = _lasting(plan, zone.root)
    most = max(gives - drawn, 0.0)

    def drawing(flow: float) -> dict[str, float]:
        return {**others, HOUSE: flow}

    def left(like: Mapping[Link, float] | None, flow: float, dirty: bool, lowest: bool) -> float:
        flows = distribute(zone, plan.work, drawing(flow), dirty=dirty, like=like)
        given = source.lowest(flow + drawn) if lowest else source.running(flow + drawn)
        return propagate(zone, plan.work, flows, given, dirty=dirty).outlet[HOUSE] - plan.goal_pressure

    def spare(like: Mapping[Link, float] | None, flow: float) -> float:
        return left(like, flow, True, True)

    by_pressure = settled_flow(zone, plan.work, spare, drawing, most, states.delivered.get(HOUSE, 0.0), dirty=True)
    w = Working()
    lasts = gives < _most(source) * (1.0 - _SAME)
    formula = "min(end of its curve; refill) − others"
    w.step("Q_s", "most the supply gives without a pause, other ends drawing", most, "flow", formula=formula)
    w.step("Q_p", "flow at which the wanted pressure is just left", by_pressure, "flow", formula="p_lowest(Q) − Σ Δp_dirty(Q) = wanted")
    candidates = [(most, zone.root, "supply")]
    if by_pressure < most * (1.0 - _SAME):
        # with no flow at all it is the supply that is too low, not a stage
        at_fault = _greediest(zone, plan, {**others, HOUSE: by_pressure}) if by_pressure > _SAME * most else zone.root
        candidates.append((by_pressure, at_fault, "pressure"))
    candidates += [(flow, node, "rating") for node, flow in _ratings(plan, zone, others, states).items()]
    flow, at, limited_by = min(candidates, key=lambda c: c[0])
    if limited_by == "rating":
        w.step(
            "Q_r",
            f"flow at the house at which {Names(plan.document).inside(at)} reaches its rating",
            flow,
            "flow",
            formula="rating / share of the flow",
        )
    w.step("Q_max", f"the least of these: {limited_by}", flow, "flow", formula="min", result="flow")
    made = Capacity(max(flow, 0.0), at, limited_by, w, lasting=limited_by == "supply" and lasts)
    if limited_by == "pressure":
        more = max(flow * (1.0 + _MATTERS), _MATTERS * most)
        made.dirty, made.cut_in = left(None, more, False, True) > 0.0, left(None, more, True, False) > 0.0
        if not made.dirty and not made.cut_in and left(None, more, False, False) > 0.0:
            made.dirty = made.cut_in = True
    return made


def _lasting(plan: Plan, root: str) -> float:
    """The most that a source gives for longer than what stands in it lasts, m3/s: a well no more than refills it, a tank what fills it."""
    source = plan.sources[root]
    if root in plan.fills:
        fed_by = plan.zone_of(root).root
        return min(_most(source), float(plan.fills[root][PEAK]), _lasting(plan, fed_by))
    refill = source.yield_flow if isinstance(source, Well) else None
    return _most(source) if refill is None else min(_most(source), refill)


def _most(source: Supply) -> float:
    """The most it gives at all: the end of a pump's curve, or a main run down to no pressure; m3/s."""
    return min(source.max_flow, source.flow_at(0.0, lowest=False), ENDLESS)


def _greediest(zone: Zone, plan: Plan, demands: Mapping[str, float]) -> str:
    """The stage that takes most of the pressure."""
    through = node_flows(zone, distribute(zone, plan.work, demands, dirty=True))
    taken = {n: e.loss(through[n]) for n in zone.nodes if (e := plan.work.stage(n, True)) is not None}
    return max(taken, key=lambda n: taken[n]) if taken else zone.root


def _ratings(plan: Plan, zone: Zone, others: Mapping[str, float], states: PeakStates) -> dict[str, float]:
    """Flow at the house at which each stage of the zone (and what holds its flow) comes to its rating.

    Flow through a stage is taken as linear in the house's flow between none and the peak: exact where no lanes meet.
    """
    house = states.delivered.get(HOUSE, 0.0)
    if house <= 0:
        return {}
    full = node_flows(zone, distribute(zone, plan.work, {**others, HOUSE: house}))
    idle = node_flows(zone, distribute(zone, plan.work, {**others, HOUSE: 0.0})) if any(others.values()) else dict.fromkeys(full, 0.0)
    reached = {}
    for node in zone.nodes:
        stage = plan.stages.get(node)
        slope = (full[node] - idle[node]) / house
        if stage is None or node == zone.root or slope <= 1e-9:
            continue
        rating, cap = stage.rating(), plan.work.caps.get(node)
        rated = rating.peak or rating.service
        bounds = [b for b in (rated * stage.count if rated else None, cap) if b]
        if bounds:
            reached[node] = (min(bounds) - idle[node]) / slope
    return reached


def backwash_flow(plan: Plan, node: str, wanted: float, guess: float = 0.0) -> float:
    """m3/s that reach one unit's inlet at `wanted` (Pa) with the supply at its lowest, dirty filters ahead, nothing else drawn.

    `guess` is a flow to start from."""
    zone = plan.zone_of(node)
    source = plan.sources[zone.root]
    path = plan.path_to(node)

    def spare(flow: float) -> float:
        left = source.lowest(flow) - wanted
        for link in path:
            left -= plan.pipes[link].loss(flow)
            element = plan.work.stage(link[1], True) if link[1] != node else None
            left -= element.loss(flow) if element else 0.0
        return left

    return greatest_flow(spare, _most(source), guess)


def most_push(plan: Plan, guess: float) -> tuple[float, dict[str, float]]:
    """Flow with every tap of the house open until 10 psi are left there, filters clean; and what each node then carries.

    Flow controls are left out: the question is what would pass without them. A chamber with others beside it carries what comes while
    they are shut, through each of its units.
    """
    zone = plan.zone_of(HOUSE)
    flow, carried = _pushed(plan, zone, plan.work, guess)
    for node in zone.nodes:
        stage = plan.stages.get(node)
        if stage is not None and "disinfection" in stage.spec.tags and carried[node] > 0.0:
            beside = [n for n in _beside(plan, zone, node) if carried[n] > 0.0]
            if beside or stage.count > 1:
                one = stage.but(count=1).elements(plan.cold)[0]
                clean, valves = {**plan.work.clean, node: one}, {**plan.work.valves, **dict.fromkeys(beside, _SHUT)}
                alone = replace(plan.work, clean=clean, valves=valves)
                carried = {**carried, node: _pushed(plan, zone, alone, flow)[1][node] * stage.count}
    return flow, carried


def _beside(plan: Plan, zone: Zone, chamber: str) -> list[str]:
    """Chambers in lanes beside one, on the way to the same ends."""
    others = [n for n in zone.nodes if n != chamber and n in plan.stages and "disinfection" in plan.stages[n].spec.tags]
    if not others:
        return []
    behind, ahead = nx.descendants(plan.graph, chamber), nx.ancestors(plan.graph, chamber)
    return [n for n in others if n not in behind | ahead and behind & nx.descendants(plan.graph, n)]


def _pushed(plan: Plan, zone: Zone, work: Pipework, guess: float) -> tuple[float, dict[str, float]]:
    """What is pushed through pipework with every tap of the house open, and what each node then carries; m3/s."""
    source = plan.sources[zone.root]

    def drawing(flow: float) -> dict[str, float]:
        return {HOUSE: flow}

    def spare(like: Mapping[Link, float] | None, flow: float) -> float:
        flows = distribute(zone, work, {HOUSE: flow}, like=like)
        return propagate(zone, work, flows, source.running(flow), dirty=False).outlet[HOUSE] - OPEN_TAPS

    flow = settled_flow(zone, work, spare, drawing, _most(source), guess, dirty=False)
    return flow, node_flows(zone, distribute(zone, work, {HOUSE: flow}))
