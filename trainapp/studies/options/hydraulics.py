"""The hydraulics of a layout: all its trains carry the same flows through the same pipes, so pressures are sums over their stages."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from trainapp.checks.policy import amount
from trainapp.hydraulics.constants import GRAVITY
from trainapp.hydraulics.elements import Element
from trainapp.hydraulics.supply import Supply
from trainapp.stages.base import Cleaning
from trainapp.stages.working import PEAK, Array
from trainapp.studies.options.local import Carried
from trainapp.train.capacity import OPEN_TAPS
from trainapp.train.evaluation import Evaluation
from trainapp.train.hydraulic import greatest_flow
from trainapp.train.plan import Plan
from trainapp.train.zones import HOUSE, SUPPLY

#: Pa by which a pressure may be under what is wanted and still read as it; as the check of pressures has it.
SLACK = 345.0
#: A wash is short below this part of what it asks; as the check of cleaning has it.
WASH_SLACK = 1 - 1e-3
#: Pa around the edge within which an evaluation's own solver decides how much flow is left to wash with.
_CLOSE = 200.0


@dataclass(frozen=True, slots=True)
class End:
    """An end behind the train: Pa that pipes and height take on the way there, Pa wanted there; `dry`: nothing comes from its taps."""

    name: str
    lost: float
    wanted: float
    dry: float


def dry_below(plan: Plan, end: str) -> float:
    """Pa at an end at which nothing is left at its worst tap, with dirty filters and the supply at its lowest: no option ends so."""
    loss = plan.document.goals.get("house_loss") if end == HOUSE else 0.0
    return min(loss or 0.0, plan.demands[end].pressure)


@dataclass(frozen=True, slots=True)
class Alone:
    """An outlet behind the train that is drawn at a time of its own.

    Attributes:
        name: its id. flow: m3/s of its own peak. clean, lowest: Pa there if no stage took any. wanted: Pa.
    """

    name: str
    flow: float
    clean: float
    lowest: float
    wanted: float

    def judged(self, clean: Array, dirty: Array) -> tuple[NDArray[np.bool_], Array]:
        """Whether trains fail here, and whether it is a caution, where stages take `clean` and `dirty` Pa at its flow."""
        at_clean, at_lowest = np.maximum(self.clean - clean, 0.0), np.maximum(self.lowest - dirty, 0.0)
        short = at_lowest < self.wanted
        fails = (at_clean <= 0.0) | (short & (at_clean < self.wanted))
        return np.asarray(fails), (short & ~fails).astype(np.float64)


class Line:
    """Supply, pipes and ends of a layout.

    Attributes:
        carried: what passes each place.
        clean, lowest: Pa ahead of the first place, with the supply running and at its lowest.
        ends: what hangs behind the last place, the house first.
        source: what pushes the house's zone; `most` the flow that it gives at all, m3/s.
    """

    def __init__(self, sample: Evaluation, heads: list[str], places: list[str]) -> None:
        plan = self._plan = sample.plan
        root = plan.zone_of(HOUSE).root
        #: Nodes of the house's zone ahead of the places, the root first.
        self._before = [root, *(head for head in heads if head != root and head in plan.zone_of(HOUSE).nodes)]
        self._places = places
        self.carried = tuple(Carried(sample.stages[place].flow, sample.stages[place].daily) for place in places)
        start = sample.points[heads[-1] if heads else SUPPLY].pressure
        self.clean, self.lowest = start.clean, start.lowest
        self.source: Supply = plan.sources[root]
        self.most = min(self.source.max_flow, self.source.flow_at(0.0, lowest=False))
        drinking = sorted((name for name, end in plan.demands.items() if end.drinking), key=lambda name: name != HOUSE)
        self.ends = tuple(self._end(sample, name) for name in drinking)
        self.alone = tuple(self._alone(end) for end in self.ends if plan.demands[end.name].alone > 0.0)
        self._least = amount("least_pressure")

    def _end(self, sample: Evaluation, name: str) -> End:
        plan, demand = self._plan, self._plan.demands[name]
        way = pairwise([self._before[-1], *self._places, name])
        lost = sum(plan.pipes[link].loss(float(sample.links[link].flow[PEAK])) for link in way)
        return End(name, lost + self._lift(name), demand.pressure, dry_below(plan, name))

    def _alone(self, end: End) -> Alone:
        plan = self._plan
        flow = plan.demands[end.name].alone
        way = pairwise([*self._before, *self._places, end.name])
        ahead = [element for node in self._before[1:] if (element := plan.work.stage(node, False)) is not None]
        lost = sum(plan.pipes[link].loss(flow) for link in way) + sum(element.loss(flow) for element in ahead) + self._lift(end.name)
        return Alone(end.name, flow, self.source.running(flow) - lost, self.source.lowest(flow) - lost, end.wanted)

    def _lift(self, end: str) -> float:
        """Pa that the height of an end takes."""
        return self._plan.work.density * GRAVITY * self._plan.demands[end].lift

    # Pressure at the ends -----------------------------------------------------------------------------------------------------

    def lowest_at_house(self, dirty: Array) -> Array:
        """Pa that a gauge shows at the house, filters dirty and the supply at its lowest, where stages take `dirty` Pa."""
        return np.maximum(self.lowest - self.ends[0].lost - dirty, 0.0)

    def judged(self, clean: Array, dirty: Array) -> tuple[NDArray[np.bool_], Array]:
        """What the check of pressures says of trains: whether one fails at any end, and at how many ends it is a caution.

        Args:
            clean, dirty: Pa that all stages of each train take at the peak, shape (trains,).
        """
        fails, cautions = np.zeros(len(clean), dtype=bool), np.zeros(len(clean))
        for end in self.ends:
            left = (self.clean - clean, self.clean - dirty, self.lowest - dirty)
            at_clean, at_dirty, at_lowest = (np.maximum(pressure - end.lost, 0.0) for pressure in left)
            cut_in = at_lowest + at_clean - at_dirty
            bad = (at_clean < end.wanted - SLACK) | (cut_in < min(self._least, end.wanted) - SLACK) | (at_clean <= 0.0)
            bad |= at_lowest <= end.dry
            low = (at_dirty < end.wanted - SLACK) | (at_lowest < end.wanted - SLACK)
            fails |= bad
            cautions += low & ~bad
        return np.asarray(fails), cautions

    # Washing ------------------------------------------------------------------------------------------------------------------

    def spare_to_wash(self, place: int, pressure: float, flow: float) -> float:
        """Pa that dirty stages ahead of a place may take so that this flow reaches it at this pressure; negative infinity out of reach."""
        if flow > self.most:
            return -np.inf
        pipes, work = self._plan.pipes, self._plan.work
        left = self.source.lowest(flow) - pressure
        left -= sum(pipes[link].loss(flow) for link in pairwise([*self._before, *self._places[: place + 1]]))
        return left - sum(element.loss(flow) for node in self._before[1:] if (element := work.stage(node, True)) is not None)

    def flow_to_wash(self, place: int, wash: Cleaning, ahead: list[Element]) -> float:
        """m3/s that reach a place to wash with behind dirty stages, found as an evaluation finds it."""

        def spare(flow: float) -> float:
            return self.spare_to_wash(place, wash.pressure, flow) - sum(element.loss(flow) for element in ahead)

        return greatest_flow(spare, self.most, wash.flow)

    def is_close(self, spare: Array) -> Array:
        """Where spare pressure is so little that the solver's own tolerance decides."""
        return np.asarray(np.abs(spare) < _CLOSE)

    # Open taps ----------------------------------------------------------------------------------------------------------------

    def spare_to_push(self, flow: float) -> float:
        """Pa that clean stages may take so that this flow still leaves 10 psi at the house with every tap open."""
        pipes, work = self._plan.pipes, self._plan.work
        pressure = self.source.running(flow)
        for link in pairwise(self._before):
            element, held = work.stage(link[1], False), work.holds.get(link[1])
            pressure -= pipes[link].loss(flow) + (element.loss(flow) if element is not None else 0.0)
            pressure = pressure if held is None else min(pressure, held)
        pressure -= sum(pipes[link].loss(flow) for link in pairwise([self._before[-1], *self._places, HOUSE]))
        return pressure - self._lift(HOUSE) - OPEN_TAPS


def is_out_of_reach(spare: float) -> bool:
    """Whether spare pressure is below nothing by more than the solver's own tolerance."""
    return spare < -_CLOSE


def wash_needs(wash: Cleaning) -> tuple[float, float]:
    """m3/s below which a wash is a caution, and below which a failure."""
    least = wash.published[0] if wash.published else wash.flow
    return wash.flow * WASH_SLACK, min(wash.flow, least) * WASH_SLACK
