"""Pipes that pass over other stages, because the user placed these elsewhere than the flow goes."""

from __future__ import annotations

from collections.abc import Iterator

from trainapp.reports.drawing.model import HOUSE, BenchModel
from trainapp.reports.drawing.standing import floor_places
from trainapp.train.routes import Fork, Route, nodes_of


def detours(model: BenchModel, route: Route) -> dict[tuple[str, str], int]:
    """Level above the run of each link that passes over other stages; three levels in turn."""
    places = floor_places(model, route)
    if not places:
        return {}
    lanes = {key: node for fork in route.forks() for key, node in _fork_mates(fork)}
    found: dict[tuple[str, str], int] = {}
    for link in route.links.values():
        a, b = link.key
        if a not in places or (b not in places and b != HOUSE):
            continue
        start, stop, mates = places[a], places.get(b, float("inf")), lanes.get(link.key, frozenset())
        between = (x for node, x in places.items() if node not in (a, b, *mates) and min(start, stop) < x < max(start, stop))
        if stop < start or any(True for _ in between):
            found[a, b] = len(found) % 3 + 1
    return found


def _fork_mates(fork: Fork) -> Iterator[tuple[tuple[str, str], frozenset[str]]]:
    """Links into and out of each lane, with the stages of the fork: their headers pass over these anyway."""
    inside = frozenset(node for lane in fork.lanes for node in nodes_of(lane.items))
    for lane in fork.lanes:
        for way in (*lane.firsts, *lane.lasts):
            yield way.key, inside
