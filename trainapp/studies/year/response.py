"""What the train makes of the water in one state of its stages, for every way that it is drawn: the walk of evaluate(), by modes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import networkx as nx
import numpy as np

from trainapp.stages.ageing import Ageing, treated
from trainapp.stages.base import Duty
from trainapp.stages.working import AVERAGE, PEAK, Array
from trainapp.studies.year.layout import Layout
from trainapp.train.arriving import arriving
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import Plan
from trainapp.train.zones import SUPPLY
from trainapp.water.stream import Stream

#: Mode of a stage that water goes by.
PASSED_BY = -1
_LEAST_FLOW = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Response:
    """The water at every node for every way; streams have the way on their waters axis and hold at flow 0.

    Attributes:
        leaving: by node. entering: by stage.
    """

    leaving: Mapping[str, Stream]
    entering: Mapping[str, Stream]


class Walker:
    """Walks a train for a raw water, a temperature and the modes of its stages.

    Args:
        usual: the train as designed; gives each stage its average and peak.
        ageings: by stage, of those that age.
    """

    def __init__(self, plan: Plan, layout: Layout, usual: Evaluation, ageings: Mapping[str, Ageing]) -> None:
        self._plan, self._layout, self._ageings = plan, layout, ageings
        self._flows = {node: self._slots(layout.through[node], usual.points[node].flow) for node in plan.order}
        self._usual = {link: result.flow[AVERAGE:, None] for link, result in usual.links.items()}
        self._daily = {node: result.daily for node, result in usual.stages.items()}
        self._kept: dict[tuple[str, float, int, tuple[int, ...]], tuple[Stream, Stream]] = {}
        self._ahead = {node: self._ancestors(node) for node in plan.order}

    @staticmethod
    def _slots(ways: Array, usual: Array) -> Array:
        """The flow of the way, the average and the peak, shape (3, ways): models read the latter two as they were designed."""
        slots = np.empty((3, len(ways)))
        slots[0], slots[AVERAGE], slots[PEAK] = ways, usual[AVERAGE], usual[PEAK]
        return slots

    def _ancestors(self, node: str) -> tuple[str, ...]:
        above = nx.ancestors(self._plan.graph, node) | {node}
        return tuple(n for n in self._plan.order if n in above and n in self._ageings)

    def walk(self, raw: Stream, raw_index: int, temperature: float, modes: Mapping[str, int]) -> Response:
        """The water everywhere.

        Args:
            raw: one water, three flows; `raw_index` tells raws apart.
            temperature: degC. modes: by stage that ages.
        """
        ways = self._layout.ways
        start = Stream(np.repeat(raw.values, ways, axis=3), np.repeat(raw.known, ways, axis=1))
        start.set("temperature", temperature)
        leaving, entering = {SUPPLY: start}, dict[str, Stream]()
        for node in self._plan.order[1:]:
            key = (node, temperature, raw_index, tuple(modes[n] for n in self._ahead[node]))
            if key not in self._kept:
                inlet = self._arriving(node, leaving)
                self._kept[key] = (inlet, self._treat(node, inlet, temperature, modes))
            entering[node], leaving[node] = self._kept[key]
        return Response(leaving, entering)

    def _arriving(self, node: str, leaving: Mapping[str, Stream]) -> Stream:
        links = self._layout.links
        near = [s for s in self._plan.graph.predecessors(node) if s in leaving]
        # before a closed valve stands the water of what leads to it
        sources = [s for s in near if (s, node) in links] or near[:1]
        streams = [leaving[source] for source in sources]
        # of one pipe's water no flow is asked: a closed valve's has none
        flows = [self._weights(links[source, node], self._usual[source, node]) for source in sources] if len(sources) > 1 else []
        return arriving(streams, flows)

    @staticmethod
    def _weights(ways: Array, usual: Array) -> Array:
        return np.vstack([ways[None], np.broadcast_to(usual, (2, len(ways)))])

    def _treat(self, node: str, inlet: Stream, temperature: float, modes: Mapping[str, int]) -> Stream:
        stage = self._plan.stages.get(node)
        if stage is None:
            return inlet
        mode, duty = modes.get(node, 0), self.duty(node, temperature)
        if mode == PASSED_BY:
            return inlet.copy()
        ageing = self._ageings.get(node)
        return treated(stage, inlet, duty) if ageing is None else ageing.leaving(mode, inlet, duty)

    def duty(self, node: str, temperature: float) -> Duty:
        """What one unit of a stage is asked, at a water temperature (degC)."""
        count = self._plan.stages[node].count
        flows = np.maximum(self._flows[node], _LEAST_FLOW) / count
        return replace(self._plan.duty, flows=flows, daily=self._daily[node] / count, cold=temperature, warm=temperature)
