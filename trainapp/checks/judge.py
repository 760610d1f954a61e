"""The one judgement of a value against a limit, for every row, flow and water at once.

A value is an interval: its favourable and its adverse end. The favourable end decides how bad a finding is: a fail needs both ends
beyond the limit. Where only the adverse end is beyond, the answer is 'cannot tell'.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trainapp.stages.base import Severity

Array = NDArray[np.float64]
Outcomes = NDArray[np.int8]

#: What a judgement can be, in rising weight.
WITHIN, NOTED, UNSURE_NOTE, UNSURE, CLOSE, OVER, BROKEN = range(7)

#: Severity of each outcome; None is no finding.
SEVERITY: tuple[Severity | None, ...] = (None, "note", "note", "caution", "caution", "caution", "fail")
#: The same as a rank, for comparing: none, note, caution, fail.
RANK: NDArray[np.int8] = np.array([0, 1, 1, 2, 2, 2, 3], dtype=np.int8)

# Unit conversions leave the last digits of a limit open: a value at its limit is within.
_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class Bounds:
    """Where a value begins to be a note, a caution, a fail: above and below; infinite where a side or a step does not apply.

    Each array broadcasts to (rows, flows, waters) and rises from note to fail. `middle` is what a caution is called: OVER a guide, or
    CLOSE to a limit within the accuracy of the model.
    """

    note_above: Array
    caution_above: Array
    fail_above: Array
    note_below: Array
    caution_below: Array
    fail_below: Array
    middle: Outcomes

    def take(self, rows: NDArray[np.intp]) -> Bounds:
        """The bounds of some rows."""
        return Bounds(*(getattr(self, name)[rows] for name in self.__slots__))


def judge(low: Array, high: Array, bounds: Bounds) -> Outcomes:
    """The outcome of each value.

    Args:
        low, high: ends of the values, shape (rows, flows, waters), NaN where nothing is known.
        bounds: what they are judged by.

    Returns:
        outcomes of the same shape; WITHIN where nothing is known.
    """
    above = tuple(bound * (1 + _SLACK) for bound in (bounds.note_above, bounds.caution_above, bounds.fail_above))
    best, worst = _above(low, above, bounds.middle), _above(high, above, bounds.middle)
    sided = np.flatnonzero(np.isfinite(bounds.note_below).reshape(len(low), -1).any(axis=1))
    if sided.size:
        part = bounds.take(sided)
        best[sided] = np.maximum(best[sided], _below(high[sided], part))
        worst[sided] = np.maximum(worst[sided], _below(low[sided], part))
    unsure = np.where(worst >= CLOSE, UNSURE, np.where(worst > WITHIN, UNSURE_NOTE, WITHIN))
    return np.where(best > WITHIN, best, unsure).astype(np.int8)


def _above(value: Array, bounds: tuple[Array, ...], middle: Outcomes) -> Outcomes:
    note, caution, fail = bounds
    return _grade(value > note, value > caution, value > fail, middle)


def _below(value: Array, bounds: Bounds) -> Outcomes:
    return _grade(
        value < bounds.note_below * (1 - _SLACK),
        value < bounds.caution_below * (1 - _SLACK),
        value < bounds.fail_below * (1 - _SLACK),
        bounds.middle,
    )


def _grade(noted: NDArray[np.bool_], cautioned: NDArray[np.bool_], failed: NDArray[np.bool_], middle: Outcomes) -> Outcomes:
    graded = noted.astype(np.int8) * np.int8(NOTED)
    np.copyto(graded, middle, where=cautioned)
    graded[failed] = BROKEN
    return graded
