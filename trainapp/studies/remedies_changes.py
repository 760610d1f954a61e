"""What an edit changes, in words: pressure, water, salt, upkeep before and after."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from trainapp import units
from trainapp.dimensions import DAY, YEAR
from trainapp.spelling import inside
from trainapp.stages.base import Duty
from trainapp.studies.remedies_sizing import duty_at
from trainapp.train.evaluation import Evaluation, StageResult
from trainapp.train.zones import HOUSE
from trainapp.units import System
from trainapp.water.analytes import BY_KEY

_YEAR, _WEEK = YEAR / DAY, 7.0  # d
#: How many changes are told.
_TOLD = 3
#: A change of less than this share is none.
_LEAST = 0.02
#: Water at the house that is told, in this order.
_WATER = ("hardness", "iron", "manganese", "turbidity", "ph", "hydrogen_sulfide", "tannin", "free_chlorine", "sodium")


@dataclass(frozen=True, slots=True)
class _Figure:
    """One figure before and after: what it is, both values, dimension, analyte; `least` the change below which it is not told."""

    what: str
    before: float
    after: float
    dimension: str
    analyte: str = ""
    least: float = 0.0

    @property
    def moved(self) -> float:
        """Change as a share of the greater of both; 0 where it is not worth telling."""
        change, most = abs(self.after - self.before), max(abs(self.before), abs(self.after))
        if not np.isfinite(change) or most <= 0 or change < max(_LEAST * most, self.least):
            return 0.0
        return change / most

    def told(self, system: System) -> str:
        """ "pressure at the house 31.0 psi instead of 24.2 psi"."""
        after, before = (units.show(value, self.dimension, system, analyte=self.analyte) for value in (self.after, self.before))
        return "" if after == before else f"{self.what} {after} instead of {before}"


def changes_between(before: Evaluation, after: Evaluation, system: System = "us") -> tuple[str, ...]:
    """Two or three figures that an edit changes most, in words; the pressure at the house leads where it moves."""
    figures = [figure for figure in _figures(before, after) if figure.moved > 0]
    lead = [figure for figure in figures if figure.analyte == "" and figure.dimension == "pressure"][:1]
    rest = sorted((figure for figure in figures if figure not in lead), key=lambda figure: -figure.moved)
    told = [text for figure in (*lead, *rest) if (text := figure.told(system))]
    return tuple(told[:_TOLD])


def _figures(before: Evaluation, after: Evaluation) -> Iterator[_Figure]:
    old, new = (evaluation.points[HOUSE] for evaluation in (before, after))
    left = [max(point.pressure.dirty, 0.0) for point in (old, new)]
    yield _Figure("pressure at the house with dirty filters", left[0], left[1], "pressure", least=500.0)
    yield _Figure("most flow at the house", before.capacity.flow, after.capacity.flow, "flow")
    for name in _WATER:
        dimension = BY_KEY[name].dimension
        ends = [float(point.water.get(name)[1, -1, 0]) for point in (old, new)]
        yield _Figure(f"{inside(BY_KEY[name].label)} at the house", ends[0], ends[1], dimension, name)
    for stage, result in after.stages.items():
        if "disinfection" in result.stage.spec.tags and stage in before.stages:
            ends = [float(r.inlet.get("uvt")[:, -1, 0].min()) for r in (before.stages[stage], result)]
            yield _Figure("UVT into the chamber", ends[0], ends[1], "uvt", "uvt")
    salt, drained = (tuple(sum(_cleanings(e, what)) for e in (before, after)) for what in ("salt", "volume"))
    yield _Figure("salt in a month", salt[0] * _YEAR / 12, salt[1] * _YEAR / 12, "mass")
    yield _Figure("water to drain in a week", drained[0] * _WEEK, drained[1] * _WEEK, "volume")
    chores = [round(_chores(e)) for e in (before, after)]
    yield _Figure("chores in a year", chores[0], chores[1], "none", least=1.0)


def _cleanings(evaluation: Evaluation, what: str) -> Iterator[float]:
    """Salt (kg) or water (m3) of each stage that cleans itself, a day."""
    for result in evaluation.stages.values():
        if result.cleaning is not None and result.cleaning.every_days > 0:
            yield float(getattr(result.cleaning, what)) * result.stage.count / result.cleaning.every_days


def _chores(evaluation: Evaluation) -> float:
    """Chores in a year, all stages."""
    return sum(
        _YEAR / chore.every_days
        for result in evaluation.stages.values()
        for chore in result.stage.chores(result.inlet, _duty(evaluation, result))
        if chore.every_days > 0
    )


def _duty(evaluation: Evaluation, result: StageResult) -> Duty:
    return duty_at(evaluation.plan, result.flow / result.stage.count)


__all__ = ["changes_between"]
