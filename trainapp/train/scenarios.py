"""The waters axis of a design run: the sample itself, each cleaning stage passed by, each assumed analyte at its plausible ends."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from trainapp.train.plan import Plan
from trainapp.water.plausible import fill, plausible_beside, set_plausible
from trainapp.water.stream import Stream


@dataclass(frozen=True, slots=True)
class Scenarios:
    """Raw water by case.

    Attributes:
        water: shape (rows, 2, 3 flows, cases); case 0 is the design sample.
        while_cleaning: case in which a stage is passed by, by stage id.
        gaps: (analyte, case at its low, case at its high plausible end).
    """

    water: Stream
    while_cleaning: Mapping[str, int]
    gaps: tuple[tuple[str, int, int], ...]


def scenarios_of(plan: Plan) -> Scenarios:
    """Lay the cases of a plan side by side."""
    needed = needed_analytes(plan)
    lowest = {name: result.low for name, result in plan.raw.sheet.items()}
    plausible = plausible_beside(plan.source, lowest)
    missing = [p for p in plausible if p.analyte in needed and np.isnan(plan.raw.stream.get(p.analyte)).any()]
    cleaning = [node for node, stage in plan.stages.items() if node in plan.live and stage.passes_raw]
    # where nothing else is plausible (chlorine in a well) there is nothing to try
    open_ended = [p for p in missing if p.low < p.high]
    cases = 1 + len(cleaning) + 2 * len(open_ended)
    water = Stream(np.repeat(plan.raw.stream.values, cases, axis=3), np.repeat(plan.raw.stream.known, cases, axis=1))
    fill(water, [p for p in missing if p.analyte in plan.assumed])
    gaps = []
    for i, range_of in enumerate(open_ended):
        low = 1 + len(cleaning) + 2 * i
        set_plausible(water, range_of, low=low, high=low + 1)
        gaps.append((range_of.analyte, low, low + 1))
    return Scenarios(water, {node: 1 + i for i, node in enumerate(cleaning)}, tuple(gaps))


def needed_analytes(plan: Plan) -> frozenset[str]:
    """Analytes that a model or a limit of this train reads."""
    judged = {limit.analyte for limits in plan.limits.values() for limit in limits}
    return frozenset(plan.assumed | judged)
