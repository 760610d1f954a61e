"""The train cut into pressure zones: each begins at something that makes pressure and ends at taps or at a tank open to air."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import networkx as nx

SUPPLY = "supply"
HOUSE = "house"

Link = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Zone:
    """One pressure zone.

    Attributes:
        root: node that makes the pressure: "supply" or a tank with its own pump.
        nodes: every node of the zone in flow order, the root first. A tank that ends the zone stands in it as an end.
        ends: taps of this zone: house, outlets, tanks.
        links: pipes of this zone, in flow order of their source.
        merges: whether two pipes meet anywhere, so that flows depend on resistance.
    """

    root: str
    nodes: tuple[str, ...]
    ends: tuple[str, ...]
    links: tuple[Link, ...]
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
    return tuple(_zone(graph, order, live, shut, breaking, root) for root in order if root == SUPPLY or root in breaking)


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
    arrivals = [target for _, target in links]
    return Zone(root, nodes, ends, tuple(links), len(set(arrivals)) < len(arrivals))


def tree_flows(zone: Zone, demands: Mapping[str, float]) -> dict[Link, float]:
    """Flow in every pipe of a zone in which no pipes meet: what is drawn at the ends, summed back. m3/s."""
    through = {node: demands.get(node, 0.0) for node in zone.nodes}
    flows: dict[Link, float] = {}
    for source, target in reversed(zone.links):
        flows[source, target] = through[target]
        through[source] += through[target]
    return flows


def node_flows(zone: Zone, flows: Mapping[Link, float], demands: Mapping[str, float]) -> dict[str, float]:
    """Flow that enters every node of a zone (for the root: that leaves it), m3/s."""
    through = dict.fromkeys(zone.nodes, 0.0)
    for (source, target), flow in flows.items():
        through[target] += flow
        if source == zone.root:
            through[source] += flow
    return through
