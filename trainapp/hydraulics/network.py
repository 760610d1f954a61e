"""Flows and heads of a network of elements: given heads at some nodes, given draws at others, loops and bridges allowed.

A head is a pressure in Pa. Height is told in one of two ways, never both: either as each link's `drop` (rho g times its rise), and
heads are plain gauge pressures; or not at all, and heads are pressure plus rho g times height.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple, Protocol

from trainapp.hydraulics._newton import NoConvergence, settle
from trainapp.hydraulics._reduce import Reduction, reduce
from trainapp.hydraulics.constants import PSI
from trainapp.hydraulics.elements import Element, loss_and_slope
from trainapp.hydraulics.limiter import FlowControl

Node = Hashable
Key = Hashable

#: m3/s, the size of flow that a search without any draw starts from.
_GUESS = 4e-4
#: Pa at an open end from which it passes all that it wants; below, the flow falls with the square root of pressure.
FULL_DRAW = 0.5 * PSI
#: Pa across one link that only a flow limit asked to pass more than its limit can come to.
_IMPOSSIBLE = 1e9
_FIXED_POINT = 1e-10
_FIXED_POINT_ROUNDS = 200


class NetworkError(ValueError):
    """A network that has no solution; its text is one sentence naming the node or link."""


class Solution(NamedTuple):
    """A solved network.

    Attributes:
        heads: Pa by node.
        flows: m3/s by link, positive from its start to its end.
        delivered: m3/s by outlet that was asked for with :meth:`Network.outlet`.
    """

    heads: dict[Node, float]
    flows: dict[Key, float]
    delivered: dict[Node, float]


class Multigraph(Protocol):
    """As much of networkx.MultiDiGraph as :meth:`Network.of_graph` reads."""

    @property
    def nodes(self) -> Any: ...

    @property
    def edges(self) -> Any: ...


@dataclass(slots=True)
class _Link:
    """A link; `held` is the head that a regulator keeps behind it, None for any other element."""

    key: Key
    start: Node
    end: Node
    element: Element
    drop: float = 0.0
    held: float | None = None


@dataclass(slots=True)
class Network:
    """A network to be built link by link and then solved. Nodes come into being with the links that touch them."""

    links: list[_Link] = field(default_factory=list)
    fixed: dict[Node, float] = field(default_factory=dict)
    draws: dict[Node, float] = field(default_factory=dict)
    outlets: dict[Node, FlowControl] = field(default_factory=dict)

    def link(self, key: Key, start: Node, end: Node, element: Element, drop: float = 0.0) -> None:
        """Add a link; `drop` is the Pa that it takes from start to end whatever the flow (negative: gives)."""
        if start == end:
            raise NetworkError(f"{key} leads from {start} to itself")
        self.links.append(_Link(key, start, end, element, drop))

    def regulate(self, key: Key, start: Node, end: Node, element: Element, head: float) -> None:
        """Add a pressure regulator: the head behind it is at most `head` Pa; wide open it takes what `element` does."""
        self.link(key, start, end, element)
        self.links[-1].held = head

    def fix(self, node: Node, head: float) -> None:
        """Give a node's head, Pa."""
        self.fixed[node] = head

    def draw(self, node: Node, flow: float) -> None:
        """Draw m3/s from a node whatever the pressure (negative: feed); several draws at one node add up."""
        self.draws[node] = self.draws.get(node, 0.0) + flow

    def outlet(self, node: Node, wanted: float, full_at: float = FULL_DRAW) -> None:
        """Draw `wanted` m3/s from a node as long as its head is at least `full_at` Pa, and what comes below that; see `delivered`."""
        if wanted > 0.0:
            self.outlets[node] = FlowControl(wanted, full_at, 0.0, one_way=True)

    @classmethod
    def of_graph(cls, graph: Multigraph) -> Network:
        """The network of a networkx.MultiDiGraph.

        Edges carry `element` and perhaps `drop`; their keys in the solution are (start, end, key). Nodes may carry `head` or `draw`.
        """
        network = cls()
        for start, end, key, data in graph.edges(keys=True, data=True):
            network.link((start, end, key), start, end, data["element"], data.get("drop", 0.0))
        for node, data in graph.nodes(data=True):
            if "head" in data:
                network.fix(node, data["head"])
            network.draw(node, data.get("draw", 0.0))
        return network


def solve(network: Network) -> Solution:
    """The flows and heads of a network, to better than one part in 1e9.

    Raises:
        NetworkError: no head is given; a node is not joined to one; more is drawn than a flow limit passes; the iteration does not
            settle (a link without any resistance between two given heads).
    """
    links = list(network.links)
    fixed = dict(network.fixed)
    for node, tap in network.outlets.items():
        links.append(_Link((_Tap, node), node, _Tap, tap))
        fixed[_Tap] = 0.0
    heads, flows = _solve_held(links, fixed, network.draws)
    delivered = {node: min(max(flows.pop((_Tap, node)), 0.0), tap.nominal) for node, tap in network.outlets.items()}
    heads.pop(_Tap, None)
    return Solution(heads, flows, delivered)


def split_flows(links: Iterable[tuple[Key, Node, Node, Element]], source: Node, draws: Mapping[Node, float]) -> dict[Key, float]:
    """Flow in m3/s of each link (key, start, end, element) when `source` feeds `draws` (m3/s by node), lanes sharing by equal loss."""
    network = Network(fixed={source: 0.0}, draws=dict(draws))
    for key, start, end, element in links:
        network.link(key, start, end, element)
    return solve(network).flows


class _Tap:
    """The open air behind every outlet; a type serves as the one node that no caller can name by accident."""


# Regulators -------------------------------------------------------------------------------------------------------------------


def _solve_held(links: list[_Link], fixed: dict[Node, float], draws: Mapping[Node, float]) -> tuple[dict[Node, float], dict[Key, float]]:
    """Solve with each regulator either wide open or holding the head behind it."""
    regulators = [link for link in links if link.held is not None]
    holding: set[Key] = set()
    open_for_good: set[Key] = set()
    for _ in range(2 * len(regulators) + 2):
        heads, flows = _solve_holding(links, fixed, draws, [link for link in regulators if link.key in holding])
        changed = False
        for link in regulators:
            held = link.held or 0.0
            if link.key in holding:
                starved = heads[link.start] - link.element.loss(flows[link.key]) < held
                backward = flows[link.key] < 0.0
                if starved or backward:
                    holding.discard(link.key)
                    changed = True
                    if backward:
                        open_for_good.add(link.key)
            elif heads[link.end] > held and link.key not in open_for_good:
                holding.add(link.key)
                changed = True
        if not changed:
            return heads, flows
    raise NetworkError(f"the regulators {', '.join(str(link.key) for link in regulators)} do not settle")


def _solve_holding(
    links: list[_Link], fixed: dict[Node, float], draws: Mapping[Node, float], holding: list[_Link]
) -> tuple[dict[Node, float], dict[Key, float]]:
    """Solve with these regulators holding: behind each a given head, before each a draw of what leaves behind it."""
    if not holding:
        return _solve_plain(links, fixed, draws)
    held = {link.key for link in holding}
    rest = [link for link in links if link.key not in held]
    given = fixed | {link.end: link.held or 0.0 for link in holding}
    through = {link.key: 0.0 for link in holding}
    weight, last = 1.0, float("inf")
    for _ in range(_FIXED_POINT_ROUNDS):
        drawn = dict(draws)
        for link in holding:
            drawn[link.start] = drawn.get(link.start, 0.0) + through[link.key]
        heads, flows = _solve_plain(rest, given, drawn)
        leaving = {link.key: _leaving(link.end, rest, flows) + drawn.get(link.end, 0.0) for link in holding}
        change = max(abs(leaving[key] - through[key]) for key in through)
        if change <= _FIXED_POINT * max(max(map(abs, leaving.values())), 1e-6):
            return heads, flows | leaving
        weight = 0.5 * weight if change >= last else weight
        last = change
        through = {key: q + weight * (leaving[key] - q) for key, q in through.items()}
    raise NetworkError(f"the regulator {holding[0].key} does not settle")


def _leaving(node: Node, links: list[_Link], flows: Mapping[Key, float]) -> float:
    return sum(flows[link.key] * ((link.start == node) - (link.end == node)) for link in links)


# Plain networks ---------------------------------------------------------------------------------------------------------------


def _solve_plain(
    links: list[_Link], fixed: Mapping[Node, float], draws: Mapping[Node, float]
) -> tuple[dict[Node, float], dict[Key, float]]:
    numbers: dict[Node, int] = {}
    for link in links:
        numbers.setdefault(link.start, len(numbers))
        numbers.setdefault(link.end, len(numbers))
    for node in fixed:
        numbers.setdefault(node, len(numbers))
    for node, flow in draws.items():
        if flow and node not in numbers:
            raise NetworkError(f"no link leads to {node}, where water is drawn")
    ends = [(numbers[link.start], numbers[link.end]) for link in links]
    is_fixed = [node in fixed for node in numbers]
    _check_joined(list(numbers), ends, is_fixed)
    top = max(fixed.values(), default=0.0)
    # Heads are counted from the highest given one, so that small losses keep their digits.
    heads = [fixed.get(node, top) - top for node in numbers]
    drawn = [draws.get(node, 0.0) for node in numbers]
    guess = max(map(abs, drawn), default=0.0) or _GUESS
    joints = [loss_and_slope(link.element) for link in links]
    drops = [link.drop for link in links]
    left = reduce(ends, joints, drops, is_fixed, drawn)
    try:
        settle(left.runs, heads, left.free, left.draws, guess)
    except NoConvergence:
        raise NetworkError(f"the flows of the network of {links[0].key} do not settle") from None
    flows = _read_back(left, ends, joints, drops, heads)
    for link, (u, v) in zip(links, ends, strict=True):
        if abs(heads[u] - heads[v]) > _IMPOSSIBLE:
            raise NetworkError(f"{link.key} cannot pass the flow that is drawn through it")
    return {node: heads[i] + top for node, i in numbers.items()}, {link.key: q for link, q in zip(links, flows, strict=True)}


def _check_joined(nodes: list[Node], ends: list[tuple[int, int]], fixed: list[bool]) -> None:
    """Every node must hang together with one whose head is given."""
    group = list(range(len(nodes)))

    def root(i: int) -> int:
        while group[i] != i:
            group[i] = group[group[i]]
            i = group[i]
        return i

    for u, v in ends:
        group[root(u)] = root(v)
    anchored = {root(i) for i, is_fixed in enumerate(fixed) if is_fixed}
    for i, node in enumerate(nodes):
        if root(i) not in anchored:
            raise NetworkError(f"nothing sets the pressure at {node}")


def _read_back(left: Reduction, ends: list[tuple[int, int]], joints: list[Any], drops: list[float], heads: list[float]) -> list[float]:
    """Flows of all links; heads inside runs and along the cut branches are filled in."""
    flows = [0.0] * len(ends)
    for run in left.runs:
        head = heads[run.start]
        for joint, sign, number in run.parts:
            flow = sign * run.flow
            flows[number] = flow
            u, v = ends[number]
            head -= sign * (joint(flow)[0] + drops[number])
            far = v if sign > 0 else u
            if far != run.end:
                heads[far] = head
    for node, number, flow, other in reversed(left.cut):
        flows[number] = flow
        lost = joints[number](flow)[0] + drops[number]
        heads[node] = heads[other] - lost if ends[number][1] == node else heads[other] + lost
    return flows
