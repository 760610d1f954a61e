"""The train's own curve: the pressure that it asks for at the supply's gauge, against the flow that is drawn there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainapp.stages.working import PEAK, Array
from trainapp.train.hydraulic import distribute, propagate
from trainapp.train.plan import Plan
from trainapp.train.pressure import held_back, zone_demands
from trainapp.train.zones import SUPPLY, Zone

_POINTS = 32
_HELD = 1e-6


@dataclass(frozen=True, slots=True)
class TrainCurve:
    """What the train asks for, its ends drawing in the proportion of their peaks.

    Attributes:
        flow: m3/s at the gauge, shape (n,), rising from 0.
        clean, dirty: Pa at the gauge that leave every end the pressure wanted there, lift included, shape (n,).
        held: m3/s beyond which flow controls let nothing more through, None where the curve goes on.
    """

    flow: Array
    clean: Array
    dirty: Array
    held: float | None

    def crossing(self, supply: Array, dirty: bool) -> float | None:
        """m3/s at which a supply of these pressures (Pa at `flow`) just gives what is asked for; None where it never does or always."""
        spare = supply - (self.dirty if dirty else self.clean)
        below = np.flatnonzero(spare < 0.0)
        if not len(below) or below[0] == 0:
            return None
        i = int(below[0])
        part = spare[i - 1] / (spare[i - 1] - spare[i])
        return float(self.flow[i - 1] + part * (self.flow[i] - self.flow[i - 1]))


def train_curve(plan: Plan, most: float) -> TrainCurve:
    """The curve up to `most` m3/s at the gauge of the supply.

    Ends that draw nothing at the peak have no say. A tank open to air ends the zone and asks for no pressure.
    """
    zone = next(zone for zone in plan.zones if zone.root == SUPPLY)
    peak = zone_demands(plan, zone, PEAK)
    total = sum(peak.values())
    flows, rows = [0.0], [_asked(plan, zone, dict.fromkeys(peak, 0.0), peak)]
    for wanted in np.linspace(0.0, most, _POINTS)[1:].tolist() if total > 0.0 else ():
        demands = held_back(plan, zone, {end: flow * wanted / total for end, flow in peak.items()})
        drawn = sum(demands.values())
        if drawn > flows[-1] * (1.0 + _HELD):
            flows.append(drawn)
            rows.append(_asked(plan, zone, demands, peak))
    clean, dirty = np.array(rows).T
    return TrainCurve(np.array(flows), clean, dirty, flows[-1] if 0.0 < flows[-1] < most * (1.0 - _HELD) else None)


def _asked(plan: Plan, zone: Zone, demands: dict[str, float], peak: dict[str, float]) -> tuple[float, float]:
    """Pa asked for at the gauge, filters clean and dirty."""
    asked = []
    for dirty in (False, True):
        flows = distribute(zone, plan.work, demands, dirty=dirty)
        state = propagate(zone, plan.work, flows, 0.0, dirty=dirty)
        asked.append(max((_wanted(plan, end) - state.outlet[end] for end in zone.ends if peak[end] > 0.0), default=0.0))
    return asked[0], asked[1]


def _wanted(plan: Plan, end: str) -> float:
    demand = plan.demands.get(end)
    return demand.pressure if demand is not None else 0.0
