"""The train as a graph: nodes that water passes, links that carry it, and the rules that make a document's links a train."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, TypeAlias

import networkx as nx

from trainapp.train.errors import DocumentError, Report, dotted, quoted
from trainapp.train.model import LinkEntry, StageEntry

if TYPE_CHECKING:
    from trainapp.train.document import Document

SUPPLY, HOUSE = "supply", "house"
RESERVED = (SUPPLY, HOUSE)

if TYPE_CHECKING:
    Graph: TypeAlias = nx.DiGraph[str]
else:
    Graph = nx.DiGraph


def link_place(link: LinkEntry) -> str:
    """How sentences name a link: `links.screen>iron`."""
    return f"links.{link.from_}>{link.to}"


def build(stages: Iterable[StageEntry], outlets: Iterable[str], links: Iterable[LinkEntry]) -> Graph:
    """The graph of all nodes, in the order of the document: the supply, stages, the house, outlets.

    Node attributes: `role` ("supply", "stage", "end"), `entry` (the StageEntry or None), `live` (water can pass it from the supply to
    an end). Edge attribute: `link` (the LinkEntry).

    Raises:
        DocumentError: an id twice or reserved, a dangling or impossible link, a circle, or a house that no pipe reaches.
    """
    graph: Graph = nx.DiGraph()
    graph.add_node(SUPPLY, role="supply", entry=None)
    for stage in stages:
        _add(graph, stage.id, f"stages.{stage.id}.id", "stage", stage)
    graph.add_node(HOUSE, role="end", entry=None)
    for outlet in outlets:
        _add(graph, outlet, f"outlets.{outlet}", "end", None)
    for link in links:
        _join(graph, link)
    _refuse_circles(graph)
    _mark_live(graph)
    return graph


def _add(graph: Graph, node: str, place: str, role: str, entry: StageEntry | None) -> None:
    check_id(node, place)
    if node in graph or node in RESERVED:
        why = "is reserved for the supply and the house" if node in RESERVED else "names two things"
        raise DocumentError(place, f"{quoted(node)} {why}")
    graph.add_node(node, role=role, entry=entry)


def check_id(name: str, place: str) -> None:
    """Refuse an id that cannot be shown or typed.

    Raises:
        DocumentError: empty, longer than 80 characters, with blanks at its ends or with control characters.
    """
    if not name or len(name) > 80 or name != name.strip() or not name.isprintable():
        raise DocumentError(place, f"{quoted(name)} is not a name: use 1 to 80 printable characters without blanks at the ends")


def _join(graph: Graph, link: LinkEntry) -> None:
    place = link_place(link)
    for node in link.ends:
        if node not in graph:
            raise DocumentError(place, f"{quoted(node)} is neither a stage nor an outlet, the supply or the house")
    if link.to == SUPPLY:
        raise DocumentError(place, "no pipe leads into the supply")
    if graph.nodes[link.from_]["role"] == "end":
        raise DocumentError(place, f"no pipe leads on from {quoted(link.from_)}, water leaves the train there")
    if graph.has_edge(*link.ends):
        raise DocumentError(place, "this link is written twice")
    graph.add_edge(*link.ends, link=link)


def _refuse_circles(graph: Graph) -> None:
    # A peel from the ends is linear; only a train with a circle pays for naming it.
    if nx.is_directed_acyclic_graph(graph):
        return
    circle = [source for source, _ in nx.find_cycle(graph)]
    shown = ", ".join(map(quoted, circle[:6])) + (" and so on" if len(circle) > 6 else "")
    raise DocumentError(f"links.{circle[0]}>{circle[1 % len(circle)]}", f"the water runs in a circle through {shown}")


def _mark_live(graph: Graph) -> None:
    fed = {SUPPLY} | nx.descendants(graph, SUPPLY)
    if HOUSE not in fed:
        raise DocumentError("links", "no pipe leads from the supply to the house")
    ends = [node for node, role in graph.nodes(data="role") if role == "end"]
    used: set[str] = set(ends)
    for end in ends:
        used |= nx.ancestors(graph, end)
    for node in graph:
        graph.nodes[node]["live"] = node in fed and node in used


def idle_reports(graph: Graph) -> Iterator[Report]:
    """Stages that no water passes and outlets that none reaches: kept, and said."""
    for node, facts in graph.nodes(data=True):
        if facts["live"]:
            continue
        if facts["role"] == "end":
            yield Report("unfed", dotted(("outlets", node)), "no pipe leads here from the supply")
        elif facts["role"] == "stage":
            yield Report("loose", dotted(("stages", node)), _why_idle(graph, node))


def _why_idle(graph: Graph, node: str) -> str:
    into, out = graph.in_degree(node), graph.out_degree(node)
    if not into and not out:
        return "this stage stands loose: no pipe is connected"
    if not into:
        return "no water passes this stage: no pipe leads into it"
    return "no water passes this stage: " + ("no pipe leads out of it" if not out else "its pipes do not join the supply to an end")


def graph_of(document: Document) -> Graph:
    """The graph of a document; see :func:`build`. Edges also carry `pipe`, their segments in flow order.

    A new graph each time: the caller may change it.
    """
    graph = build(document.stages, document.outlets, document.links)
    for link in document.links:
        graph.edges[link.ends]["pipe"] = document.pipe_of(link)
    return graph


def flow_order(graph: Graph) -> tuple[str, ...]:
    """Live nodes from the supply on, each after all that feed it, the ends last; among equals the order of the document."""
    rank: Mapping[Any, int] = {node: i for i, node in enumerate(graph)}
    live = graph.subgraph([node for node, alive in graph.nodes(data="live") if alive])
    order = list(nx.lexicographical_topological_sort(live, key=lambda node: rank[node]))
    role = graph.nodes(data="role")
    return tuple([n for n in order if role[n] != "end"] + sorted((n for n in order if role[n] == "end"), key=lambda node: rank[node]))
