"""Which flow runs where in each way that water is drawn: by the ends, by a stage that washes itself, into a tank open to air."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from trainapp.stages.base import Cleaning
from trainapp.stages.working import Array
from trainapp.studies.year.draws import Demand
from trainapp.train.hydraulic import distribute
from trainapp.train.plan import Plan
from trainapp.train.zones import SUPPLY, Link


@dataclass(frozen=True, slots=True)
class Layout:
    """Flows by way: first the columns of the demand, then a wash of each stage that washes itself, then the filling of each tank.

    Attributes:
        links: m3/s in every pipe, shape (ways,).
        through: m3/s through every node (what the supply gives, at the supply), shape (ways,).
        draws: number of columns of the demand. washes, fills: way of each by stage id.
        refill: for every tank: seconds of its filling for each second of every other way, shape (ways,).
        drawn: m3/s at every end, shape (ways,).
    """

    links: Mapping[Link, Array]
    through: Mapping[str, Array]
    draws: int
    washes: Mapping[str, int]
    fills: Mapping[str, int]
    refill: Mapping[str, Array]
    drawn: Mapping[str, Array]

    @property
    def ways(self) -> int:
        """How many ways there are."""
        return self.draws + len(self.washes) + len(self.fills)


def layout_of(plan: Plan, demand: Demand, washing: Mapping[str, Cleaning]) -> Layout:
    """Lay the flows of a train out.

    Args:
        washing: how each stage that washes itself does it; a wash runs at the mean flow of its water.
    """
    draws = len(demand.columns)
    washes = {node: draws + i for i, node in enumerate(washing)}
    fills = {node: draws + len(washes) + i for i, node in enumerate(plan.fills)}
    ways = draws + len(washes) + len(fills)
    links = {link: np.zeros(ways) for zone in plan.zones for link in zone.links}
    drawn = {end: np.zeros(ways) for end in plan.demands}
    for column, flows in enumerate(demand.columns):
        wanted = dict(zip(demand.ends, (float(flow) for flow in flows), strict=True))
        for zone in plan.zones:
            found = distribute(zone, plan.work, {end: wanted.get(end, 0.0) for end in zone.ends if end in plan.demands})
            for link, flow in found.items():
                links[link][column] = flow
        for end, flow in wanted.items():
            drawn[end][column] = flow
    for node, way in washes.items():
        for link in plan.path_to(node):
            links[link][way] = wash_flow(washing[node])
    for node, way in fills.items():
        for link in plan.path_to(node):
            links[link][way] = float(plan.fills[node][2])
    refill = {node: _leaving(plan, links, node) / float(plan.fills[node][2]) for node in fills}
    return Layout(links, _through(plan, links, washes, fills), draws, washes, fills, refill, drawn)


def wash_flow(cleaning: Cleaning) -> float:
    """m3/s that a wash of one unit takes over its whole time."""
    return cleaning.volume / (cleaning.total_minutes * 60.0)


def _leaving(plan: Plan, links: Mapping[Link, Array], node: str) -> Array:
    return np.asarray(sum(links[node, target] for target in plan.graph.successors(node) if (node, target) in links))


def _through(plan: Plan, links: Mapping[Link, Array], washes: Mapping[str, int], fills: Mapping[str, int]) -> dict[str, Array]:
    """What passes every node; wash water of a stage does not, it goes to drain."""
    through = {}
    for node in plan.order:
        if node == SUPPLY:
            through[node] = _leaving(plan, links, node)
            continue
        arriving: Sequence[Array] = [links[source, node] for source in plan.graph.predecessors(node) if (source, node) in links]
        passing = np.sum(arriving, axis=0) if len(arriving) else np.zeros_like(next(iter(links.values())))
        if node in fills:
            # a tank passes on what is drawn behind it, whenever it was filled
            passing = _leaving(plan, links, node)
        if node in washes:
            passing = passing.copy()
            passing[washes[node]] = 0.0
        through[node] = passing
    return through
