"""Flows and pressures of a train: what each pipe and stage carries, and what is left behind each, with filters clean or dirty."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial

from trainapp.hydraulics.constants import GRAVITY
from trainapp.hydraulics.elements import Element, Resistance, Series
from trainapp.hydraulics.network import Network, NetworkError, solve
from trainapp.train.errors import DocumentError
from trainapp.train.zones import Block, Link, Zone, node_flows

_VALVE_TURNS = 12  # rounds of setting a bypass valve; each brings the share about a decade closer
_VALVE_CLOSE = 1e-6
#: Rounds of solving lanes anew at the flow found with their shares held, and how little that flow then moves.
_SHARE_TURNS, _SHARE_CLOSE = 6, 2e-3
#: Stands for a node in which pipes meet and part again without a stage.
_OPEN = Resistance(quadratic=1.0)


@dataclass(slots=True)
class Pipework:
    """The resistances of a train at the coldest water.

    Attributes:
        pipes: element of every link.
        clean, dirty: element of every stage, all its units together.
        caps: nominal flow of every stage that holds its flow, m3/s.
        holds: outlet pressure of every regulator, Pa.
        lifts: height of every end above the gauge, m.
        shares: wanted share of each open bypass at the peak; `valves` what its valve was set to.
        density: kg/m3.
    """

    pipes: Mapping[Link, Element]
    clean: Mapping[str, Element]
    dirty: Mapping[str, Element]
    caps: Mapping[str, float]
    holds: Mapping[str, float]
    lifts: Mapping[str, float]
    shares: Mapping[str, float]
    density: float
    valves: dict[str, Resistance] = field(default_factory=dict)

    def stage(self, node: str, dirty: bool) -> Element | None:
        """Resistance of a stage, None for the root and the ends."""
        valve = self.valves.get(node)
        return valve if valve is not None else (self.dirty if dirty else self.clean).get(node)


def distribute(
    zone: Zone, work: Pipework, demands: Mapping[str, float], *, dirty: bool = False, like: Mapping[Link, float] | None = None
) -> dict[Link, float]:
    """Flow in every pipe of the zone when its ends draw `demands` (m3/s).

    What a part draws is summed back through the zone; only where lanes part and meet again are they solved, sharing by equal loss.
    With `like`, lanes share as they do in those flows instead: good close by, and far quicker.
    """
    drawn = {node: demands.get(node, 0.0) for node in zone.nodes}
    flows: dict[Link, float] = {}
    for block in zone.blocks:
        drawn[block.entry] += sum(drawn[node] for node in block.nodes)
        if block.has_lanes and like is not None:
            whole = sum(like[link] for link in block.links if link[0] == block.entry)
            times = sum(drawn[node] for node in block.nodes) / whole if whole > 0.0 else 0.0
            flows.update({link: like[link] * times for link in block.links})
        elif block.has_lanes:
            flows.update(_lanes(block, work, drawn, dirty))
        else:
            flows[block.links[0]] = drawn[block.nodes[0]]
    return {link: flows[link] for link in zone.links}


def _lanes(block: Block, work: Pipework, drawn: Mapping[str, float], dirty: bool) -> dict[Link, float]:
    """Flows of lanes: an inlet where pipes meet, the stage behind it, and what each node passes on."""
    if not any(drawn[node] > 0.0 for node in block.nodes):
        return dict.fromkeys(block.links, 0.0)
    arrivals = Counter(target for _, target in block.links)
    net = Network()
    net.fix(block.entry, 0.0)
    for source, target in block.links:
        pipe, stage = work.pipes[source, target], work.stage(target, dirty)
        if arrivals[target] > 1:
            net.link((source, target), source, f"{target} inlet", pipe)
        else:
            net.link((source, target), source, target, pipe if stage is None else Series((pipe, stage)))
    leaving = {source for source, _ in block.links}
    for node in block.nodes:
        meets = arrivals[node] > 1
        stage = work.stage(node, dirty)
        if meets and node in leaving:
            net.link(node, f"{node} inlet", node, stage or _OPEN)
        net.draw(f"{node} inlet" if meets and node not in leaving else node, drawn[node])
    try:
        flows = solve(net).flows
    except NetworkError:
        raise DocumentError(("links", block.entry), "the flows of the lanes that part here do not settle; check their settings") from None
    return {link: flows[link] for link in block.links}


def set_valves(zone: Zone, work: Pipework, demands: Mapping[str, float]) -> None:
    """Set the valve of every open bypass of the zone so that, clean and at the peak, its branch takes its share of its split.

    The valve's loss that gives the wanted flow is what the other lanes lose at it; the two are iterated together.
    """
    wanted = {node: share for node, share in work.shares.items() if node in zone.nodes}
    for node in wanted:
        work.valves.setdefault(node, Resistance(quadratic=1e10))
    for _ in range(_VALVE_TURNS if wanted else 0):
        flows = distribute(zone, work, demands)
        through = node_flows(zone, flows)
        error = 0.0
        for node, share in wanted.items():
            source = next(s for s, t in zone.links if t == node)
            split = _split_of(zone, source)
            target = share * (through[split] if split != zone.root else sum(q for (s, _), q in flows.items() if s == split))
            flow = max(through[node], 1e-12)
            error = max(error, abs(flow / target - 1.0) if target > 0 else 0.0)
            if target > 0:
                # what stands across the valve and its lane's own pipes is fixed by the other lanes: dp = (k + r) q2
                lane = _lane_resistance(zone, work, node, flow)
                total = work.valves[node].quadratic + lane
                work.valves[node] = Resistance(quadratic=max(total * (flow / target) ** 2 - lane, 1.0))
        if error < _VALVE_CLOSE:
            return


def _split_of(zone: Zone, node: str) -> str:
    """The split that a lane hangs on: back up the pipe until more than one leaves."""
    while sum(1 for source, _ in zone.links if source == node) < 2:
        upstream = [s for s, t in zone.links if t == node]
        if not upstream:
            return node
        node = upstream[0]
    return node


def _lane_resistance(zone: Zone, work: Pipework, node: str, flow: float) -> float:
    """What the pipes next to a bypass valve lose, as a coefficient on flow squared."""
    return sum(work.pipes[link].loss(flow) for link in zone.links if node in link) / (flow * flow)


@dataclass(slots=True)
class ZoneState:
    """Pressures of one zone at one state, Pa gauge, by node: at its inlet and at its outlet; `through` is the flow entering each node."""

    inlet: dict[str, float]
    outlet: dict[str, float]
    through: dict[str, float]
    flows: dict[Link, float]

    def stand(self, source: str, node: str) -> None:
        """Let a closed valve stand at the pressure of what feeds it."""
        self.inlet[node] = self.outlet[node] = self.outlet[source]
        self.through[node] = self.flows[source, node] = 0.0


def propagate(zone: Zone, work: Pipework, flows: Mapping[Link, float], start: float, *, dirty: bool) -> ZoneState:
    """Pressure through the zone from `start` (Pa) at its root; where lanes meet, the lowest arrival counts."""
    through = node_flows(zone, flows)
    inlet, outlet = {zone.root: start}, {zone.root: start}
    pipes, weight = work.pipes, work.density * GRAVITY
    for node, links in zone.arriving.items():
        if len(links) == 1:
            (link,) = links
            entering = outlet[link[0]] - pipes[link].loss(flows[link])
        else:
            running = [link for link in links if flows[link] != 0.0] or links
            entering = min(outlet[link[0]] - pipes[link].loss(flows[link]) for link in running)
        inlet[node] = entering
        element = work.stage(node, dirty)
        left = entering if element is None else entering - element.loss(through[node])
        if node in work.lifts:
            left -= weight * work.lifts[node]
        held = work.holds.get(node)
        outlet[node] = left if held is None else min(left, held)
    return ZoneState(inlet, outlet, through, dict(flows))


def settled_flow(
    zone: Zone,
    work: Pipework,
    spare: Callable[[Mapping[Link, float] | None, float], float],
    demands: Callable[[float], Mapping[str, float]],
    most: float,
    guess: float,
    *,
    dirty: bool,
) -> float:
    """As :func:`greatest_flow` for a zone with lanes: found with the lanes' shares held, which are then solved anew where it was found.

    Args:
        spare: spare pressure, lanes sharing as in the flows given, at a flow.
        demands: what the ends draw at a flow.
    """
    flow = min(guess, most) if guess > 0.0 else most
    for _ in range(_SHARE_TURNS if zone.merges else 1):
        like = distribute(zone, work, demands(flow), dirty=dirty) if zone.merges else None
        found = greatest_flow(partial(spare, like), most, flow)
        settled, flow = abs(found - flow) <= _SHARE_CLOSE * most, found
        if settled:
            break
    return flow


#: Losses go roughly with this power of flow: in it a train's spare pressure is almost a straight line.
_POWER = 1.8
_WITHIN = 50.0  # Pa: under a hundredth of a psi


def greatest_flow(spare: Callable[[float], float], most: float, guess: float = 0.0) -> float:
    """The flow from 0 to `most` (m3/s) at which a falling `spare` pressure (Pa) is just used up; 0 or `most` where it never is.

    In flow to the power of loss the line is almost straight: from rest and one guess, the next turns land within a few Pa. Once the
    crossing is bracketed, false position (Illinois) keeps it so.
    """
    at_rest = spare(0.0)
    if at_rest <= 0.0 or most <= 0.0:
        return 0.0
    end = most**_POWER
    low, f_low, high, f_high, side = 0.0, at_rest, end, math.nan, 0
    x = min(guess or most, most) ** _POWER
    for _ in range(60):
        f = spare(x ** (1.0 / _POWER))
        if abs(f) < _WITHIN or (x >= end and f > 0.0) or high - low <= 1e-9 * high:
            break
        if f > 0.0:
            slope = (f - f_low) / (x - low)
            f_high = f_high / 2.0 if side > 0 else f_high
            low, f_low, side = x, f, 1
        else:
            slope = (f - f_low) / (x - low)
            f_low = f_low / 2.0 if side < 0 else f_low
            high, f_high, side = x, f, -1
        open_ended = min(x - f / slope, end) if slope < 0.0 else end
        x = open_ended if math.isnan(f_high) else (low * f_high - high * f_low) / (f_high - f_low)
    return min(float(x ** (1.0 / _POWER)), most)
