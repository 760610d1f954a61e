"""What laying a bypass does to the plain tree of a document, and the tees that go with it. The tree is changed in place.

Where pipes part right behind what a bypass leads round, or meet right ahead of it, a tee is set there: through it every lane gets the
same water, and the water is taken from all of them alike. A tee that joins nothing any more goes with the pipe that needed it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import networkx as nx

from trainapp.train import steps
from trainapp.train.graph import Graph
from trainapp.train.steps import Ends, Tree

TEE = "tee"


def lay(tree: Tree, row: dict[str, Any], over: Ends) -> None:
    """Lay a pipe with a valve, `row`, from one node to another further down, by tees where it needs them."""
    target = _behind(tree, over)
    source = _ahead(tree, (over[0], target))
    steps.insert_entry(tree, row, (source, target))
    steps.link(tree, (source, row["id"]), None)
    steps.link(tree, (row["id"], target), None)


def _ways(tree: Tree) -> Graph:
    ways: Graph = nx.DiGraph((row["from"], row["to"]) for row in tree.get("links", []))
    return ways


def _behind(tree: Tree, over: Ends) -> str:
    """Where it comes back: ahead of the lanes that part from the one stage on the way to its end."""
    ways, (source, target) = _ways(tree), over
    if source not in ways or target not in ways:
        return target
    last = [node for node in ways.predecessors(target) if nx.has_path(ways, source, node)]
    if len(last) != 1 or last[0] == source:
        return target
    lanes = [node for node in ways.successors(last[0]) if node == target or node not in tree.get("outlets", {})]
    if len(lanes) < 2:
        return target
    if is_tee(tree, last[0]):
        return str(last[0])
    made = _tee(tree, (last[0], target))
    for pipe in tree["links"]:
        if pipe["from"] == last[0] and pipe["to"] in lanes:
            pipe["from"] = made
    steps.link(tree, (last[0], made), None)
    return made


def _ahead(tree: Tree, over: Ends) -> str:
    """Where it leaves: behind where the lanes meet that feed the one stage on the way from its beginning."""
    ways, (source, target) = _ways(tree), over
    if source not in ways or target not in ways:
        return source
    first = [node for node in ways.successors(source) if nx.has_path(ways, node, target)]
    if len(first) != 1 or first[0] == target or ways.in_degree(first[0]) < 2:
        return source
    if is_tee(tree, first[0]):
        return str(first[0])
    made = _tee(tree, ("", first[0]))
    for pipe in tree["links"]:
        if pipe["to"] == first[0]:
            pipe["to"] = made
    steps.link(tree, (made, first[0]), None)
    return made


def _tee(tree: Tree, ends: Ends) -> str:
    """A new tee, written behind the first of its ends, or ahead of the second where that is no stage."""
    row = steps.entry(tree, TEE, None, {}, {}, None)
    steps.insert_entry(tree, row, ends)
    return str(row["id"])


def is_tee(tree: Tree, node: str) -> bool:
    """Whether a node is a tee."""
    return any(stage["id"] == node and stage["kind"] == TEE for stage in tree.get("stages", []))


def joining(tree: Tree, beside: str) -> list[str]:
    """Tees next to a node in which pipes meet and part."""
    ways = _ways(tree)
    if beside not in ways:
        return []
    near = [*ways.predecessors(beside), *ways.successors(beside)]
    return [node for node in near if is_tee(tree, node) and ways.in_degree(node) > 1 and ways.out_degree(node) > 1]


def close(tree: Tree, tees: Iterable[str]) -> None:
    """Take away those of the tees that join nothing any more: what is left of their pipes meets or parts without them."""
    for node in tees:
        ways = _ways(tree)
        if node not in ways or min(ways.in_degree(node), ways.out_degree(node)) < 2:
            steps.remove(tree, node)
