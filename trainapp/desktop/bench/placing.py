"""Where things go: which pipe a stage lands in, which neighbour an arrow key means. Reads documents and layouts, changes nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from trainapp.reports.drawing.display import Box, Tag
from trainapp.reports.drawing.staircase import lane_tag
from trainapp.reports.drawing.view import View
from trainapp.train.document import Document
from trainapp.train.graph import HOUSE as HOUSE
from trainapp.train.graph import SUPPLY as SUPPLY
from trainapp.train.routes import Route, nodes_of

Ends = tuple[str, str]

#: Kinds that everything else is put ahead of: nothing but pipe belongs behind them.
_LAST = "disinfection"


def into(document: Document, node: str) -> list[Ends]:
    """Pipes that lead into a node, in the order of the document."""
    return [link.ends for link in document.links if link.to == node]


def out_of(document: Document, node: str) -> list[Ends]:
    """Pipes that lead out of a node, in the order of the document."""
    return [link.ends for link in document.links if link.from_ == node]


def onward(document: Document, node: str) -> Ends | None:
    """The pipe out of a node that leads on to the house, else the first one."""
    ways = out_of(document, node)
    return next((way for way in ways if way[1] not in document.outlets), ways[0] if ways else None)


# Adding -----------------------------------------------------------------------------------------------------------------------


def place_for(document: Document, selection: Tag, kind: str, tags_of: Callable[[str], Iterable[str]]) -> Ends | None:
    """The pipe that a stage from the shelf goes into without a pointer: the one selected, the one behind what is selected, else the
    one ahead of the disinfection; None for the end of the train.

    Args:
        tags_of: the roles of a kind.
    """
    if len(selection) == 3 and selection[0] == "link":
        return str(selection[1]), str(selection[2])
    node = selected_node(selection)
    if node is not None:
        way = onward(document, node) or next(iter(into(document, node)), None)
        if way is not None:
            return way
    if _LAST in tags_of(kind):
        return None
    for stage in document.stages:
        if _LAST in tags_of(stage.kind) and into(document, stage.id):
            return into(document, stage.id)[0]
    return None


def selected_node(selection: Tag) -> str | None:
    """The node that a selection speaks of: a stage, an end, the supply, or where a cell stands."""
    if selection == ("supply",):
        return SUPPLY
    if len(selection) == 2 and selection[0] in ("stage", "end"):
        return str(selection[1])
    if len(selection) == 3 and selection[0] == "cell":
        return str(selection[2])
    return None


# Moving along -----------------------------------------------------------------------------------------------------------------


def step_along(document: Document, stage: str, forward: bool) -> Ends | None:
    """The pipe that a stage goes into when it changes places with its neighbour; None where there is none to change with."""
    if forward:
        ahead = onward(document, stage)
        return onward(document, ahead[1]) if ahead and ahead[1] != HOUSE else None
    behind = into(document, stage)
    if not behind or behind[0][0] == SUPPLY:
        return None
    before = into(document, behind[0][0])
    return before[0] if before else None


def neighbour(order: list[str], node: str | None, step: int) -> str | None:
    """The next node of a walk, the first one where nothing is selected yet; None past the ends."""
    if node not in order:
        return order[0 if step > 0 else -1] if order else None
    at = order.index(node) + step
    return order[at] if 0 <= at < len(order) else None


def walk_order(view: View, ends: Iterable[str]) -> list[str]:
    """Nodes in the order in which arrow keys visit them: supply, stages, loose stages, ends with the house last."""
    others = [end for end in ends if end != HOUSE]
    return [SUPPLY, *view.route.nodes(), *view.route.loose, *others, HOUSE]


# Under the pointer ------------------------------------------------------------------------------------------------------------


def link_at(view: View, tag: Tag, x: float) -> Ends | None:
    """The pipe that something dropped at a point goes into: the pipe there, one beside the stage there, else the one at that x.

    Args:
        tag: of what lies at the point. x: of the bench, as if it were not panned.
    """
    if len(tag) == 3 and tag[0] == "link":
        return str(tag[1]), str(tag[2])
    links = [link for link in view.route.links.values() if link.target in view.spread.centres]
    if len(tag) == 2 and tag[0] == "stage":
        node = str(tag[1])
        before = x < view.spread.centres.get(node, x)
        beside = [link for link in links if (link.target if before else link.source) == node]
        if beside:
            return max(beside, key=lambda link: link.flow).key
    around = [link for link in links if _reaches(view, link.source, link.target, x)]
    if not around:
        return _end_link(view, x)
    # Of lanes side by side the nearest, of equals the one that carries most.
    return min(around, key=lambda link: (_far(view, link.source, link.target, x), -link.flow)).key


def _reaches(view: View, source: str, target: str, x: float) -> bool:
    at = view.spread.centres
    return source in at and at[source] <= x <= at[target]


def _far(view: View, source: str, target: str, x: float) -> float:
    at = view.spread.centres
    return round(abs(x - (at[source] + at[target]) / 2) / 4.0)


def _end_link(view: View, x: float) -> Ends | None:
    """Left of everything the pipe out of the supply, right of everything the one to the house."""
    at = view.spread.centres
    ends = [link for link in view.route.links.values() if (link.source == SUPPLY if x < at[SUPPLY] else link.target == HOUSE)]
    return max(ends, key=lambda link: (link.target in at, link.flow)).key if ends else None


def gap_x(view: View, link: Ends) -> float:
    """x at which a gap opens in a pipe: between what stands before and behind it."""
    at, reach = view.spread.centres, view.spread.extents
    left = at.get(link[0], view.wall) + reach.get(link[0], (0.0, 0.0))[1]
    right = at.get(link[1], view.spread.end) - reach.get(link[1], (0.0, 0.0))[0]
    return (left + right) / 2


def stages_in(view: View, area: Box) -> list[str]:
    """Stages that a rubber band touches, in drawing order."""
    order = [*view.route.nodes(), *view.route.loose]
    groups = ((node, view.find(("stage", node))) for node in order)
    return [node for node, group in groups if group is not None and any(box.meets(area) for box in group.areas)]


def nearest_node(view: View, x: float) -> str:
    """The node of the bands that stands nearest to an x."""
    return min(view.grid.nodes, key=lambda node: abs(view.grid.nodes[node] - x))


def band_edges(view: View) -> tuple[float, float]:
    """Between which x of the view the bands are seen."""
    clip = view.layer("bands").clip
    return (clip.x, clip.right) if clip is not None else (0.0, view.width)


#: A place on the bench that is the same at any size: how far it is from one node to the next, or px per metre beyond the last.
Place = tuple[str, str, float]


def place_at(view: View, x: float) -> Place:
    """The place at an x of the bench."""
    nodes = sorted(view.spread.centres, key=lambda node: view.spread.centres[node])
    at = view.spread.centres
    before = [node for node in nodes if at[node] <= x]
    behind = [node for node in nodes if at[node] > x]
    if not before or not behind:
        node = before[-1] if before else behind[0]
        return node, node, (x - at[node]) / view.spread.scale
    return before[-1], behind[0], (x - at[before[-1]]) / (at[behind[0]] - at[before[-1]])


def x_of(view: View, place: Place) -> float:
    """x of a place."""
    at, (first, second, part) = view.spread.centres, place
    if first == second:
        return at[first] + part * view.spread.scale
    return at[first] + part * (at[second] - at[first])


def lanes_of(route: Route, selection: Tag) -> tuple[Tag, ...]:
    """Tags of the lanes that hold what is selected, an outer one before its inner ones: the staircase shows them opened."""
    node = selected_node(selection)
    link = selection[1:] if len(selection) == 3 and selection[0] == "link" else ()
    found: list[Tag] = []
    for fork in route.forks():
        for lane in fork.lanes:
            own = list(nodes_of(lane.items))
            if node in own or (link and own and (link[0] in own or link[1] in own)):
                found.append(lane_tag(fork, lane))
    return tuple(found)


# Cells ------------------------------------------------------------------------------------------------------------------------


def cells(view: View) -> list[list[Tag]]:
    """Tags of the ledger's cells as they are shown, row by row."""
    rows: dict[str, list[Tag]] = {}
    for tag in view.layer("bands").groups:
        if len(tag) == 3 and tag[0] == "cell":
            rows.setdefault(str(tag[1]), []).append(tag)
    return list(rows.values())


def walk_cells(view: View, selection: Tag, right: int, down: int) -> Tag | None:
    """The cell that an arrow key leads to from a cell; from a row's end or a column's end None."""
    grid = cells(view)
    place = next(((r, c) for r, row in enumerate(grid) for c, tag in enumerate(row) if tag == selection), None)
    if place is None:
        return None
    row, column = place[0] + down, place[1] + right
    if not 0 <= row < len(grid) or not 0 <= column < len(grid[row]):
        return None
    return grid[row][column]


def first_cell(view: View, node: str) -> Tag | None:
    """The uppermost cell of the column that a node stands over."""
    key = next((column.key for column in view.columns if node in column.nodes), None)
    return next((tag for row in cells(view) for tag in row if tag[2] == key), None)
