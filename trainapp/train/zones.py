"""The train cut into pressure zones: each begins at something that makes pressure and ends at taps or at a tank open to air."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import networkx as nx

from trainapp.train.graph import HOUSE as HOUSE
from trainapp.train.graph import SUPPLY as SUPPLY

Link = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Block:
    """A part of a zone that hangs on it by one node: a single pipe, or lanes that part and meet again.

    Attributes:
        entry: the node that feeds it.
        nodes: the others, in flow order.
        links: its pipes.
    """

    entry: str
    nodes: tuple[str, ...]
    links: tuple[Link, ...]

    @property
    def has_lanes(self) -> bool:
        """Whether its flows depend on resistance."""
        return len(self.links) > 1


@dataclass(frozen=True, slots=True)
class Zone:
    """One pressure zone.

    Attributes:
        root: node that makes the pressure: "supply" or a tank with its own pump.
        nodes: every node of the zone in flow order, the root first. A tank that ends the zone stands in it as an end.
        ends: taps of this zone: house, outlets, tanks.
        links: pipes of this zone, in flow order of their source.
        blocks: its parts, each before the part that feeds it.
        arriving: pipes that end at each node but the root.
        merges: whether two pipes meet anywhere, so that flows depend on resistance.
    """

    root: str
    nodes: tuple[str, ...]
    ends: tuple[str, ...]
    links: tuple[Link, ...]
    blocks: tuple[Block, ...]
    arriving: Mapping[str, tuple[Link, ...]]
    merges: bool


def cut_zones(graph: nx.DiGraph, order: Iterable[str], breaks: Iterable[str], closed: Iterable[str]) -> tuple[Zone, ...]:
    """Cut the live part of a train at the nodes that break pressure.

    Args:
        graph: directed, without cycles; `order` its live nodes in flow order, "supply" first.
        breaks: nodes open to air with their own pump.
        closed: nodes that no water passes (a bypass that is shut).
    """
    order = tuple(order)
    shut = frozenset(closed)
    live = frozenset(order)
    breaking = frozenset(breaks)
    zones: list[Zone] = []
    for root in order:
        if root == SUPPLY or (root in breaking and any(root in zone.nodes for zone in zones)):
            zones.append(_zone(graph, order, live, shut, breaking, root))
    return tuple(zones)


def _zone(
    graph: nx.DiGraph, order: tuple[str, ...], live: frozenset[str], shut: frozenset[str], breaking: frozenset[str], root: str
) -> Zone:
    reached = {root}
    links: list[Link] = []
    for node in order:
        if node not in reached or (node in breaking and node != root):
            continue
        for target in graph.successors(node):
            if target in live and target not in shut:
                reached.add(target)
                links.append((node, target))
    nodes = tuple(n for n in order if n in reached)
    ends = tuple(n for n in nodes if n != root and (n in breaking or graph.out_degree(n) == 0))
    blocks = _blocks(nodes, links)
    arriving = {node: tuple(link for link in links if link[1] == node) for node in nodes[1:]}
    return Zone(root, nodes, ends, tuple(links), blocks, arriving, any(block.has_lanes for block in blocks))


def _blocks(nodes: tuple[str, ...], links: list[Link]) -> tuple[Block, ...]:
    """Biconnected parts; each has one entry, as all water of a zone comes from its root."""
    rank = {node: i for i, node in enumerate(nodes)}
    found = []
    for part in nx.biconnected_components(nx.Graph(links)):
        inside = sorted(part, key=rank.__getitem__)
        found.append(Block(inside[0], tuple(inside[1:]), tuple(link for link in links if link[0] in part and link[1] in part)))
    return tuple(sorted(found, key=lambda block: -rank[block.entry]))


def node_flows(zone: Zone, flows: Mapping[Link, float]) -> dict[str, float]:
    """Flow that enters every node of a zone (for the root: that leaves it), m3/s."""
    through = dict.fromkeys(zone.nodes, 0.0)
    for (source, target), flow in flows.items():
        through[target] += flow
        if source == zone.root:
            through[source] += flow
    return through
