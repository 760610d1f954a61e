"""All of a train's hydraulics in one answer. It depends on the plan alone, so it is made once for any number of waters."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainapp.stages.working import PEAK, Array
from trainapp.train.capacity import capacity_of, most_push
from trainapp.train.evaluation import Capacity
from trainapp.train.plan import Plan
from trainapp.train.pressure import PeakStates, Triple, daily_volumes, drawn_alone, peak_states, water_flows
from trainapp.train.zones import HOUSE, Link


@dataclass(frozen=True, slots=True)
class Hydraulics:
    """What flows where, and what pressure is left.

    Attributes:
        flows: m3/s in every pipe at trickle, average and peak, shape (3,).
        daily: m3 a day through every pipe.
        states: pressures of every zone at the peak.
        alone: the zone of each outlet that is drawn at a time of its own, while it is.
        capacity: at the house.
        push, pushed: the most that can be pushed through the open train at the house, and what each node then carries, m3/s; a chamber
            with others beside it carries what comes through each of its units while the others are shut.
    """

    flows: Mapping[Link, Array]
    daily: Mapping[Link, float]
    states: PeakStates
    alone: Mapping[str, Triple]
    capacity: Capacity
    push: float
    pushed: Mapping[str, float]


def hydraulics_of(plan: Plan) -> Hydraulics:
    """Solve the hydraulics of a plan."""
    flows = water_flows(plan)
    states = peak_states(plan, flows)
    capacity = capacity_of(plan, states)
    push, pushed = most_push(plan, 2.0 * max(capacity.flow, float(plan.demands[HOUSE].flows[PEAK])))
    return Hydraulics(flows, daily_volumes(plan), states, drawn_alone(plan), capacity, push, pushed)
