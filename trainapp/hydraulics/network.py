"""Flows and heads of a network of elements: given heads at some nodes, given draws at others, loops and bridges allowed.

A head is a pressure in Pa. Height is told in one of two ways, never both: either as each link's `drop` (rho g times its rise), and
heads are plain gauge pressures; or not at all, and heads are pressure plus rho g times height.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

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


@dataclass(slots=True)
class _Link:
    """A link."""

    key: Key
    start: Node
    end: Node
    element: Element
    drop: float = 0.0


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
    heads, flows = _solve_plain(links, fixed, network.draws)
    delivered = {node: min(max(flows.pop((_Tap, node)), 0.0), tap.nominal) for node, tap in network.outlets.items()}
    heads.pop(_Tap, None)
    return Solution(heads, flows, delivered)


class _Tap:
    """The open air behind every outlet; a type serves as the one node that no caller can name by accident."""


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
