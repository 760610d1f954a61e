"""The room that lanes, ways out and bridges of the path line take, and where forks begin and end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainapp.reports.drawing.frame import Grid
from trainapp.reports.drawing.model import HOUSE, SUPPLY, LinkModel
from trainapp.train.routes import Fork, Item, Lane, Route, Spur, nodes_of

#: Distance of lanes, and how far a way out drops, px.
LANE = 22.0
DROP = 20.0

#: Distance of bridges over the lanes, px.
BRIDGE = 14.0

#: Room above and below a line for the figures beside it, px.
CLEAR = 20.0
_CLEAR_BAR = 10.0


@dataclass(frozen=True, slots=True)
class Reach:
    """How far a row of items reaches above and below its line, px."""

    up: float = 0.0
    down: float = 0.0


def reach(items: Sequence[Item]) -> Reach:
    """Room that a row of items takes about its line."""
    up = down = 0.0
    for i, item in enumerate(items):
        if isinstance(item, Fork):
            offsets = lane_offsets(item)
            reaches = [reach(lane.items) for lane in item.lanes]
            up = max(up, max(r.up - o for r, o in zip(reaches, offsets, strict=True)))
            down = max(down, max(r.down + o for r, o in zip(reaches, offsets, strict=True)))
        elif isinstance(item, Spur):
            down = max(down, drop(items, i) + reach(item.lane.items).down)
    return Reach(up, down)


def drop(items: Sequence[Item], i: int) -> float:
    """How far the way out at place `i` of a row goes down: under what follows at once, so that its label is clear of it."""
    after = items[i + 1] if i + 1 < len(items) else None
    if isinstance(after, Fork):
        return max(DROP, reach([after]).down + LANE)
    following = i + 2 if isinstance(after, str) else i + 1
    if following < len(items) and isinstance(items[following], Spur):
        return drop(items, following) + LANE
    return DROP


def lane_offsets(fork: Fork) -> list[float]:
    """y of each lane relative to the line that forks; the middle of them on the line."""
    reaches = [reach(lane.items) for lane in fork.lanes]
    at, offsets = 0.0, []
    for i, r in enumerate(reaches):
        at += (reaches[i - 1].down + LANE + r.up) if i else r.up
        offsets.append(at)
    middle = (offsets[0] + offsets[-1]) / 2
    return [offset - middle for offset in offsets]


def height(route: Route) -> tuple[float, float]:
    """Room above and below the main line, px, figures included."""
    r = reach(route.items)
    over = len(bridges(route)) * BRIDGE
    lanes = reach([item for item in route.items if isinstance(item, Fork)]).down
    return max(CLEAR, r.up + CLEAR) + over, max(CLEAR, lanes + CLEAR, r.down + _CLEAR_BAR)


def bridges(route: Route) -> list[LinkModel]:
    """Bridges that the path line shows: those between points that stand on it."""
    known = {SUPPLY, HOUSE, *route.nodes()}
    return [link for link in route.bridges if link.source in known and link.target in known]


def _lean(lane: Lane, offset: float, side: int) -> float:
    """Room that the slants of a lane take at one of its sides (0 or -1), those of a fork that it begins or ends with included, px."""
    own = lane.items[side] if lane.items else None
    if not isinstance(own, Fork):
        return abs(offset)
    return abs(offset) + max(_lean(inner, at, side) for inner, at in zip(own.lanes, lane_offsets(own), strict=True))


def fork_span(fork: Fork, grid: Grid) -> tuple[float, float]:
    """x at which a fork begins and ends: clear of the nodes around it and of the boxes in it."""
    before, after = grid.nodes[fork.split], grid.nodes.get(fork.merge, grid.end)
    inside = [grid.nodes[node] for lane in fork.lanes for node in nodes_of(lane.items)]
    if not inside:
        return before + (after - before) / 3, after - (after - before) / 3
    lead, trail = (max(_lean(*lane, side) for lane in zip(fork.lanes, lane_offsets(fork), strict=True)) for side in (0, -1))
    start = min(before + 0.55 * (min(inside) - before), min(inside) - lead - 16.0)
    end = max(after - 0.55 * (after - max(inside)), max(inside) + trail + 16.0)
    return max(start, before + 12.0), min(end, after - 12.0)


def tee_x(before: float, after: float) -> float:
    """x at which a way out leaves, between the node before it and what comes after."""
    return before + min(34.0, 0.45 * (after - before))


def next_x(rest: Sequence[Item], grid: Grid) -> float:
    """x of what comes first in the rest of a row."""
    for item in rest:
        if isinstance(item, str):
            return grid.nodes[item]
        if isinstance(item, Fork):
            return fork_span(item, grid)[0]
    return grid.nodes[HOUSE]
