"""Pressures through the year: the supply at its lowest, pipes and clean stages as they are built, and what dirt adds by now."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import networkx as nx
import numpy as np

from trainapp.hydraulics.constants import GRAVITY
from trainapp.stages.working import PEAK, Array
from trainapp.studies.year.draws import Demand
from trainapp.studies.year.layout import Layout
from trainapp.train.plan import Plan
from trainapp.train.zones import HOUSE, Zone

#: By stage: what dirt adds to a Q + b Q2 of one unit, Pa s/m3 and Pa s2/m6, each of shape (times,).
Dirt = Mapping[str, tuple[Array, Array]]
#: Losses that are not dirt go with about this power of flow.
_POWER = 1.9
#: Steps in which the share that the pressure still gives is told apart.
_SHARES = 100


class Pressures:
    """The pressures of a train when its ends draw one of the columns of the demand.

    Args:
        temperatures: degC, the steps of the season.
    """

    def __init__(self, plan: Plan, demand: Demand, layout: Layout, temperatures: tuple[float, ...]) -> None:
        self._plan, self._layout, self._columns = plan, layout, demand.columns
        self._pipes = {link: self._each(plan.pipes[link].loss, flows) for link, flows in layout.links.items()}
        self._clean = [{node: self._stage(node, temperature) for node in plan.live if node in plan.stages} for temperature in temperatures]
        self._running = {zone.root: self._supply(zone, lowest=False) for zone in plan.zones}
        self._lowest = {zone.root: self._supply(zone, lowest=True) for zone in plan.zones}
        peak = float(plan.demands[HOUSE].flows[PEAK])
        #: Pa that must be left at the house main for the house's own pipes to bring each column to its taps.
        self.floor = plan.document.goals.value("house_loss") * (self._columns[:, 0] / peak) ** 2
        self.house_zone = plan.zone_of(HOUSE)
        self._before_house = set(nx.ancestors(plan.graph, HOUSE)) & set(self.house_zone.nodes)
        self._each_unit = {node: layout.through[node][: layout.draws] / plan.stages[node].count for node in self._clean[0]}
        self._grid = np.arange(_SHARES + 1) / _SHARES
        source, flows = plan.sources[self.house_zone.root], layout.through[self.house_zone.root][: layout.draws]
        #: Pa of the supply at its lowest at each share of each column.
        self._at_shares = np.array([[source.lowest(float(share * flow)) for flow in flows] for share in self._grid])

    @property
    def draws(self) -> int:
        """Columns of the demand."""
        return self._layout.draws

    def _each(self, loss: Callable[[float], float], flows: Array) -> Array:
        return np.array([loss(float(flow)) for flow in flows[: self._layout.draws]])

    def _stage(self, node: str, temperature: float) -> Array:
        valve = self._plan.work.valves.get(node)
        element = valve if valve is not None else self._plan.stages[node].elements(temperature)[0]
        return self._each(element.loss, self._layout.through[node])

    def _supply(self, zone: Zone, lowest: bool) -> Array:
        source = self._plan.sources[zone.root]
        flows = self._layout.through[zone.root]
        return self._each(source.lowest if lowest else source.running, flows)

    def at(self, node: str, temperature: int, dirt: Dirt, times: int, lowest: bool = True) -> Array:
        """Pa at a node's outlet, shape (times, columns).

        Args:
            temperature: index of the season's step. dirt: by stage. times: how many moments `dirt` holds.
            lowest: with the supply at the bottom of its cycle, else running.
        """
        zone = next((z for z in self._plan.zones if z.root == node), None) or self._plan.zone_of(node)
        return self._zone(zone, temperature, dirt, times, lowest, node)[1][node]

    def along(self, temperature: int, dirt: Dirt, times: int, lowest: bool = True) -> tuple[dict[str, Array], dict[str, Array]]:
        """Pa at the inlet of every node but the supply, and at the outlet of every node; arguments and shapes as of :meth:`at`."""
        inlets, outlets = dict[str, Array](), dict[str, Array]()
        for zone in self._plan.zones:
            entering, leaving = self._zone(zone, temperature, dirt, times, lowest)
            inlets |= entering
            outlets |= {node: at for node, at in leaving.items() if node == zone.root or node not in self._running}
        return inlets, outlets

    def _zone(
        self, zone: Zone, temperature: int, dirt: Dirt, times: int, lowest: bool, last: str = ""
    ) -> tuple[dict[str, Array], dict[str, Array]]:
        """Pa at the inlet and at the outlet of the nodes of a zone, as far as the `last` one."""
        start = (self._lowest if lowest else self._running)[zone.root]
        inlets, outlet = dict[str, Array](), {zone.root: np.broadcast_to(start, (times, self.draws))}
        for name in () if zone.root == last else zone.nodes[1:]:
            sources = [s for s, t in zone.links if t == name]
            arriving = [np.where(self._flows(s, name) > 0.0, outlet[s] - self._pipes[s, name], np.inf) for s in sources]
            inlet = np.minimum.reduce(arriving)
            # a pipe that stands still holds what is before it
            inlets[name] = np.where(np.isinf(inlet), outlet[sources[0]], inlet)
            outlet[name] = self._leaving(name, inlets[name], temperature, dirt)
            if name == last:
                break
        return inlets, outlet

    def _flows(self, source: str, target: str) -> Array:
        return self._layout.links[source, target][: self.draws]

    def _leaving(self, node: str, inlet: Array, temperature: int, dirt: Dirt) -> Array:
        work, left = self._plan.work, inlet
        clean = self._clean[temperature].get(node)
        if clean is not None:
            left = left - clean
        if node in dirt:
            left = left - self.dirt_loss(node, dirt)
        left = left - work.density * GRAVITY * work.lifts.get(node, 0.0)
        held = work.holds.get(node)
        return left if held is None else np.minimum(left, held)

    def dirt_loss(self, node: str, dirt: Dirt) -> Array:
        """Pa that dirt takes in a stage, shape (times, columns)."""
        flow = self._each_unit[node]
        linear, quadratic = dirt[node]
        return np.asarray(linear[:, None] * flow + quadratic[:, None] * flow**2)

    def shares(self, temperature: int, dirt: Dirt) -> tuple[float, ...]:
        """Share of each column that the pressure still brings to the house's taps; () where all of it comes. `dirt` holds one moment."""
        left = self.at(HOUSE, temperature, dirt, 1)[0]
        drawing = self._columns[:, 0] > 0.0
        short = drawing & (left < self.floor)
        if not short.any():
            return ()
        return tuple(np.where(short, self._most(left, dirt), 1.0).tolist())

    def _most(self, left: Array, dirt: Dirt) -> Array:
        """The greatest share of each column's flow that leaves enough at the house, shape (columns,)."""
        linear, quadratic = np.zeros(self.draws), np.zeros(self.draws)
        for node in self._before_house & dirt.keys():
            flow = self._each_unit[node]
            linear, quadratic = linear + dirt[node][0][0] * flow, quadratic + dirt[node][1][0] * flow**2
        lift = self._plan.work.density * GRAVITY * self._plan.work.lifts.get(HOUSE, 0.0)
        rest = np.maximum(self._at_shares[-1] - lift - left - linear - quadratic, 0.0)
        s = self._grid[:, None]
        spare = self._at_shares - lift - linear * s - (quadratic + self.floor) * s**2 - rest * s**_POWER
        # it only falls as the flow grows: the last share at which something is left over
        place = np.maximum((spare >= 0.0).sum(axis=0) - 1, 0)
        return np.asarray(self._grid[place])
