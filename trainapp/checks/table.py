"""Every limit that water meets on its way, judged in one stroke: into stages by their limits, at drinking ends by the limit set."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from trainapp.checks.judge import CLOSE, OVER, WITHIN, Array, Bounds, Outcomes, judge
from trainapp.checks.limits import WaterLimit, limit_set
from trainapp.checks.policy import amount
from trainapp.checks.readings import SUPPLY, readable
from trainapp.stages.base import Limit
from trainapp.stages.working import PEAK

if TYPE_CHECKING:
    from trainapp.checks.context import Context

Kind = Literal["inlet", "kept", "rated", "goal"]

#: Analytes of a UV chamber's screening guide that fail where measured raw water simply reaches the chamber above it.
_FOULS = frozenset({"iron", "manganese", "hydrogen_sulfide", "tannin"})
#: What is strict at a UV chamber wherever its limit comes from.
_STRICT_AT_UV = frozenset({"uvt", "turbidity"})
#: Residuals that a model predicts with a stated accuracy.
_PREDICTED = frozenset({"iron", "manganese"})
#: Told by tests of organisms, not by this table.
BACTERIA = frozenset({"total_coliform", "e_coli", "iron_bacteria"})

_NEVER = math.inf


@dataclass(slots=True)
class Row:
    """One limit at one place.

    Attributes:
        at: stage that the water enters, or end that it reaches.
        limit: what it is judged by.
        kind: "inlet"; "kept" for a guide that an override leaves standing; "rated" for what a device judges itself in the design sample
            and this table in the other cases; "goal" at an end.
        above, below: where a note, a caution, a fail begins on either side.
        middle: what its caution is called.
        raw_fails: raw water that simply reaches it is a fail, not a caution.
        predicted: a fail needs to be beyond it by more than the model's accuracy, unless the raw water simply reaches it.
        escalates: a note that becomes a caution where a stage made it worse.
        scales: counts only where the sleeve of the lamp scales.
    """

    at: str
    limit: Limit | WaterLimit
    kind: Kind
    above: tuple[float, float, float] = (_NEVER, _NEVER, _NEVER)
    below: tuple[float, float, float] = (-_NEVER, -_NEVER, -_NEVER)
    middle: int = OVER
    raw_fails: bool = False
    predicted: bool = False
    escalates: bool = False
    scales: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """All rows with their values and outcomes.

    Attributes:
        rows: in flow order, ends last.
        low, high, outcome: shape (rows, flows, waters).
        known: shape (rows,): whether the value was measured, or follows from what was.
        reached: shape (rows, flows, waters): raw water simply reaches it; told where a row has an outcome.
    """

    rows: tuple[Row, ...]
    low: Array
    high: Array
    outcome: Outcomes
    known: NDArray[np.bool_]
    reached: NDArray[np.bool_]
    _at: dict[str, list[int]] = field(default_factory=dict)

    def of(self, at: str) -> list[int]:
        """Indices of the rows at one place."""
        if not self._at:
            for i, row in enumerate(self.rows):
                self._at.setdefault(row.at, []).append(i)
        return self._at.get(at, [])


def build(context: Context) -> Table:
    """Judge every limit of the train, for every flow and water of its evaluation."""
    rows = limits_judged(context)
    if not rows:
        none = np.zeros((0, 1, 1))
        return Table((), none, none, none.astype(np.int8), np.zeros(0, dtype=bool), none.astype(bool))
    readings = context.readings
    places = np.array([readings.places[row.at] for row in rows])
    names = np.array([readings.names[row.limit.analyte] for row in rows])
    low, high = readings.ends([(row.at, row.limit.analyte) for row in rows])
    outcome, reached = np.zeros(low.shape, dtype=np.int8), np.zeros(low.shape, dtype=bool)
    found = np.flatnonzero(_beyond(rows, low, high))
    if found.size:
        outcome[found], reached[found] = _judged(context, [rows[i] for i in found], low[found], high[found])
    return Table(rows, low, high, outcome, readings.known[places, names], reached)


def _beyond(rows: Sequence[Row], low: Array, high: Array) -> NDArray[np.bool_]:
    """In which rows anything lies beyond where the first step begins; most values are well within, and need no more judging."""
    above = np.array([row.above[0] for row in rows])[:, None, None]
    below = np.array([row.below[0] for row in rows])[:, None, None]
    with np.errstate(invalid="ignore"):
        return np.asarray(((high > above) | (low < below)).any(axis=(1, 2)))


def _judged(context: Context, rows: Sequence[Row], low: Array, high: Array) -> tuple[Outcomes, NDArray[np.bool_]]:
    """Outcomes of some rows, and where raw water simply reaches them."""
    entering = list(dict.fromkeys(row.limit.analyte for row in rows))
    raw = context.readings.ends([(SUPPLY, name) for name in entering])[1][[entering.index(row.limit.analyte) for row in rows]]
    with np.errstate(invalid="ignore"):
        reached = np.abs(high - raw) <= raw * amount("raw_reaches")
        worse = high > raw * (1.0 + amount("made_worse"))
    tested = np.array([bool(context.tests) and context.tested(row.at, row.limit.analyte) for row in rows])
    bounds = _bounds(context, rows, reached, worse, tested)
    with np.errstate(invalid="ignore"):
        outcome = judge(low, high, bounds)
    if outcome.shape[1] > PEAK:
        # pH is judged at the peak, whatever a trickle comes to: the bed that overshoots says so itself
        outcome[[row.limit.analyte == "ph" for row in rows], :PEAK] = WITHIN
    return outcome, reached


# Which limits there are -----------------------------------------------------------------------------------------------------


def limits_judged(context: Context) -> tuple[Row, ...]:
    """Every limit of the train with what its caution and its fail begin at; follows from the plan alone."""
    return context.plan.once_for("limits judged", lambda: tuple(_rows(context)))


def _rows(context: Context) -> Iterator[Row]:
    for stage in context.stages:
        for limit in context.plan.limits.get(stage, ()):
            if readable(limit.analyte) and limit.analyte not in BACTERIA and not _rated(context, stage, limit):
                yield _inlet(context, stage, limit)
                if limit.override_of is not None:
                    yield _kept(context, stage, limit.override_of)
        if "disinfection" in context.tags(stage):
            yield from _at_chamber(context, stage)
    for end in context.drinking_ends:
        for goal in _goals(context.limits.key):
            yield replace(goal, at=end)


def _rated(context: Context, stage: str, limit: Limit) -> bool:
    """Whether a chamber's own rated transmittance asks for as much as a guide, and speaks for it."""
    rated = context.setting(stage, "rated_uvt") if limit.analyte == "uvt" and "disinfection" in context.tags(stage) else None
    return rated is not None and limit.minimum is not None and limit.maximum is None and limit.minimum <= rated


def _inlet(context: Context, stage: str, limit: Limit) -> Row:
    uv = "disinfection" in context.tags(stage)
    strict = limit.strict or (uv and limit.analyte in _STRICT_AT_UV)
    row = Row(stage, limit, "inlet")
    if strict:
        row.predicted = limit.analyte in _PREDICTED
        _set(row, limit.minimum, limit.maximum, factor=1.0, band=0.0)
        if row.predicted:
            row.middle = CLOSE
    else:
        row.raw_fails = uv and limit.analyte in _FOULS
        row.scales = uv and limit.analyte == "hardness"
        _set(row, limit.minimum, limit.maximum, factor=amount("guide_fail_factor"), band=amount("ph_guide_band"))
        if not uv:
            # a guide is no device's own limit: what it leads to fails, where that is judged
            row.above, row.below = (*row.above[:2], _NEVER), (*row.below[:2], -_NEVER)
    return row


def _at_chamber(context: Context, stage: str) -> Iterator[Row]:
    """What no override loosens at a chamber: its rated UVT, and turbidity where the water needs disinfection."""
    rated = context.setting(stage, "rated_uvt")
    if rated is not None:
        limit = Limit("uvt", rated, None, "document", "common practice", strict=True, code="outside-rating")
        yield Row(stage, limit, "rated", below=(rated, rated, rated))
    in_force = {limit.analyte: limit for limit in context.plan.limits.get(stage, ())}
    for guide in context.stage(stage).limits():
        own = in_force.get(guide.analyte)
        looser = own is not None and guide.maximum is not None and (own.maximum is None or own.maximum > guide.maximum)
        if looser and own is not None and own.override_of is None and guide.analyte in _STRICT_AT_UV and context.needs_disinfection:
            yield _kept(context, stage, guide)


def _kept(context: Context, stage: str, guide: Limit) -> Row:
    """The guide behind an override without a source: a caution, or as strict as ever where an override may not loosen it."""
    row = _inlet(context, stage, guide)
    row.kind = "kept"
    if not ("disinfection" in context.tags(stage) and guide.analyte in _STRICT_AT_UV and context.needs_disinfection):
        row.raw_fails = row.predicted = False
        row.above, row.below = (*row.above[:2], _NEVER), (*row.below[:2], -_NEVER)
        row.middle = OVER
    return row


@cache
def _goals(key: str) -> tuple[Row, ...]:
    """The rows of a limit set that are judged, at no end yet."""
    judged = (r for r in limit_set(key).rows if r.most is not None and readable(r.analyte) and r.analyte not in BACTERIA)
    return tuple(_goal(limit) for limit in judged)


def _goal(limit: WaterLimit) -> Row:
    row = Row("", limit, "goal")
    if limit.kind == "health":
        row.predicted = limit.analyte in _PREDICTED
        _set(row, limit.minimum, limit.maximum, factor=1.0, band=0.0)
        row.middle = CLOSE
    else:
        row.middle = CLOSE if limit.most == "fail" else OVER
        _set(row, limit.minimum, limit.maximum, factor=1.0 + amount("model_accuracy"), band=amount("ph_accuracy"))
    if limit.most in ("note", "caution"):
        row.above, row.below = (*row.above[:2], _NEVER), (*row.below[:2], -_NEVER)
    if limit.most == "note":
        row.escalates = limit.kind == "aesthetic"
        row.above, row.below = (row.above[0], _NEVER, _NEVER), (row.below[0], -_NEVER, -_NEVER)
    return row


def _set(row: Row, minimum: float | None, maximum: float | None, factor: float, band: float) -> None:
    """Steps of a limit: a caution beyond it, a fail beyond `factor` times it, or `band` further where the analyte has no natural zero."""
    ph = row.limit.analyte == "ph"
    plain = row.limit.analyte == "temperature" and factor != 1.0
    if maximum is not None:
        far = maximum + band if ph else _NEVER if plain else maximum * factor
        row.above = (maximum, maximum, far)
    if minimum is not None:
        far = minimum - band if ph else -_NEVER if plain else minimum / factor
        row.below = (minimum, minimum, far)


# Where each step lies, value by value --------------------------------------------------------------------------------------


def _bounds(
    context: Context, rows: Sequence[Row], reached: NDArray[np.bool_], worse: NDArray[np.bool_], tested: NDArray[np.bool_]
) -> Bounds:
    above = np.array([row.above for row in rows])[:, :, None, None]
    below = np.array([row.below for row in rows])[:, :, None, None]
    note, caution, fail = above[:, 0], above[:, 1], np.broadcast_to(above[:, 2], reached.shape).copy()
    caution = np.broadcast_to(caution, reached.shape).copy()
    for i, row in enumerate(rows):
        if row.raw_fails:
            fail[i][reached[i]] = row.above[1]
        if row.predicted and not tested[i]:
            fail[i][~reached[i]] *= 1.0 + amount("model_accuracy")
        if row.escalates:
            caution[i][worse[i]] = row.above[0]
        if row.scales:
            calm = ~context.sleeve_scales(row.at, reached.shape[1:])
            caution[i][calm] = fail[i][calm] = _NEVER
            # an index that a pH read a tenth otherwise turns round convicts nobody
            fail[i][~context.sleeve_scales(row.at, reached.shape[1:], amount("sleeve_index_sure"))] = _NEVER
    middle = np.array([row.middle for row in rows], dtype=np.int8)[:, None, None]
    return Bounds(note, caution, fail, below[:, 0], below[:, 1], below[:, 2], middle)
