"""Many drawn waters through one train, judged by the same table of limits as one is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from trainapp.checks.context import SUPPLY, Context
from trainapp.checks.judge import RANK
from trainapp.checks.policy import amount
from trainapp.checks.table import Row
from trainapp.stages.working import AVERAGE, PEAK, Array, Working
from trainapp.train.arriving import arriving
from trainapp.train.evaluation import Evaluation, PointResult, StageResult
from trainapp.train.zones import HOUSE
from trainapp.water.stream import Stream

Ranks = NDArray[np.int8]
#: Waters in one go: as many as stay in a processor's cache.
_CHUNK = 2_000
#: A pH beyond its limit by so much counts as a tenth over it.
_PH_TENTH = 0.1


@dataclass(frozen=True, slots=True)
class Judged:
    """What became of drawn waters.

    Attributes:
        ranks: 0 nothing, 1 note, 2 caution, 3 fail, shape (rows, waters). closeness: how near the nearest limit is, 1 and more being a
            failure, shape (waters,).
    """

    ranks: Ranks
    closeness: Array


class Drawn:
    """One evaluated train that drawn waters are sent through.

    Attributes:
        design: its evaluation. rows: limits that are judged, measured ones alone.
    """

    def __init__(self, design: Evaluation) -> None:
        self.design, self.plan = design, design.plan
        context = Context(design)
        table = context.table
        self._known = np.flatnonzero(table.known)
        self.rows: tuple[Row, ...] = tuple(table.rows[i] for i in self._known)
        self._context = context
        self._fails = np.array([_failing(row) for row in self.rows]).reshape(len(self.rows), 2)
        self._is_ph = np.array([row.limit.analyte == "ph" for row in self.rows], dtype=bool)

    def judge(self, water: Stream, peak: Array, daily: Array) -> Judged:
        """Send waters through and judge them.

        Args:
            water: raw, one for each draw. peak, daily: what flows are multiplied with, shape (waters,).
        """
        starts = range(0, max(water.waters, 1), _CHUNK)
        parts = [self._judged(water.part(here), peak[here], daily[here]) for here in (slice(s, s + _CHUNK) for s in starts)]
        return Judged(np.concatenate([part.ranks for part in parts], axis=1), np.concatenate([part.closeness for part in parts]))

    def _judged(self, water: Stream, peak: Array, daily: Array) -> Judged:
        context = _DrawnContext(self._run(water, peak, daily), self._context)
        table = context.table
        ranks: Ranks = RANK[table.outcome[self._known]].max(axis=1)
        return Judged(ranks, self._closeness(table.low[self._known], table.high[self._known]))

    def _closeness(self, low: Array, high: Array) -> Array:
        """The nearest limit of each water, its favourable end counting, as a failure does."""
        if not len(self.rows):
            return np.zeros(low.shape[-1])
        above, below = self._fails[:, :1], self._fails[:, 1:]
        best, worst = low.min(axis=1), high.max(axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            over, under = best / above, below / worst
            ph_over, ph_under = (1.0 + 0.1 * beyond / _PH_TENTH for beyond in (best - above, below - worst))
        over, under = (np.where(self._is_ph[:, None], a, b) for a, b in ((ph_over, over), (ph_under, under)))
        near = np.fmax(np.where(np.isfinite(above), over, 0.0), np.where(np.isfinite(below) & (below > 0), under, 0.0))
        return np.asarray(np.nan_to_num(near, nan=0.0).max(axis=0))

    # Running ------------------------------------------------------------------------------------------------------------------

    def _run(self, water: Stream, peak: Array, daily: Array) -> Evaluation:
        """The water side of an evaluation, flows drawn too."""
        plan, design = self.plan, self.design
        streams: dict[str, Stream] = {SUPPLY: water}
        stages: dict[str, StageResult] = {}
        for node in plan.order[1:]:
            inlet = self._arriving(node, streams)
            result = design.stages.get(node)
            if result is None:
                streams[node] = inlet
                continue
            flows = self._flows(node, result.flow, peak, daily) / result.stage.count
            duty = replace(plan.duty, flows=np.maximum(flows, 1e-9), daily=result.daily / result.stage.count)
            streams[node] = result.stage.treat(inlet, duty, Working(False), [])
            stages[node] = replace(result, inlet=inlet, outlet=streams[node])
        points = {node: PointResult(node, point.flow, point.pressure, streams[node], Working) for node, point in design.points.items()}
        return replace(design, points=points, stages=stages, while_cleaning={}, gaps=())

    def _arriving(self, node: str, streams: Mapping[str, Stream]) -> Stream:
        sources = [source for source in self.plan.graph.predecessors(node) if source in streams]
        links = self.design.links
        flows = [links[s, node].flow[:, None] if (s, node) in links else np.zeros((3, 1)) for s in sources]
        return arriving([streams[source] for source in sources], flows)

    def _flows(self, node: str, flow: Array, peak: Array, daily: Array) -> Array:
        """m3/s through a node, shape (3, waters). A flow control holds what it holds, and a tank fills as fast as ever."""
        drawn = np.repeat(flow[:, None], len(peak), axis=1)
        drawn[AVERAGE] *= daily
        if node in self._with_the_house:
            drawn[PEAK] *= np.minimum(peak, self._most_times)
        return drawn

    @cached_property
    def _with_the_house(self) -> frozenset[str]:
        """Nodes whose flow goes with the house's."""
        return frozenset(self.plan.zone_of(HOUSE).nodes)

    @cached_property
    def _most_times(self) -> float:
        """Multiple of the peak that flow controls let through."""
        plan, house = self.plan, float(self.plan.demands[HOUSE].flows[PEAK])
        caps = [cap / house for node, cap in plan.work.caps.items() if HOUSE in plan.only_way.get(node, ()) and house > 0]
        return max(min(caps, default=np.inf), 1.0)


class _DrawnContext(Context):
    """What the checks see of drawn waters."""

    def __init__(self, evaluation: Evaluation, design: Context) -> None:
        super().__init__(evaluation)
        self._design = design

    @cached_property
    def tests(self) -> dict[str, Any]:
        """A sample of treated water belongs to the water that it was taken from."""
        return {}

    def sleeve_scales(self, stage: str, shape: tuple[int, ...], above: float = 0.0) -> NDArray[np.bool_]:
        """As in the design sample: the index takes longer than all the rest."""
        waters = self._design.evaluation.points[SUPPLY].water.values.shape[2:]
        return np.broadcast_to(self._design.sleeve_scales(stage, waters, above)[:, :1], shape)


def _failing(row: Row) -> tuple[float, float]:
    """Where a failure begins above and below, infinite where that side never fails."""
    above = row.above[2] * (1.0 + amount("model_accuracy") if row.predicted else 1.0)
    return above, row.below[2]


__all__ = ["Drawn", "Judged", "Ranks"]
