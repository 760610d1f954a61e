"""A judged row of the table as a finding's numbers and words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainapp.checks.context import Context, analyte_label
from trainapp.checks.finding import Amount
from trainapp.checks.judge import SEVERITY
from trainapp.checks.table import Row
from trainapp.stages.base import Severity
from trainapp.stages.working import FLOWS, PEAK
from trainapp.water.analytes import BY_KEY

#: A low end below this share of the high one is a range.
_MOVED = 0.98
_WHEN = {"trickle": " when little is drawn at night", "average": " over the day", "peak": ""}


@dataclass(frozen=True, slots=True)
class Judged:
    """One row in the design sample, at the flow that governs it.

    Attributes:
        row: the row.
        outcome: of :mod:`trainapp.checks.judge`.
        flow: index of the flow that governs.
        low, high: ends of the value there.
        above: whether its upper limit is the one in question.
        raw: whether raw water simply reaches it.
    """

    row: Row
    outcome: int
    flow: int
    low: float
    high: float
    above: bool
    raw: bool

    @property
    def severity(self) -> Severity:
        severity = SEVERITY[self.outcome]
        assert severity is not None
        return severity

    @property
    def untouched(self) -> bool:
        """Whether it surely comes as the raw water had it: a range says itself that something may take it."""
        return self.raw and not self.low < _MOVED * self.high

    @property
    def limit(self) -> float:
        """The side of the limit in question."""
        limit = self.row.limit.maximum if self.above else self.row.limit.minimum
        assert limit is not None
        return limit

    @property
    def adverse(self) -> float:
        """The end of the value that is worse for this limit."""
        return self.high if self.above else self.low

    @property
    def value(self) -> Amount:
        """The value as a number or an interval."""
        dimension = BY_KEY[self.row.limit.analyte].dimension
        if np.isinf(self.high):
            return Amount(self.low, None, dimension)
        same = abs(self.high - self.low) <= 5e-3 * abs(self.high)
        return Amount.of(self.adverse, dimension) if same else Amount(self.low, self.high, dimension)

    @property
    def bound(self) -> Amount:
        """The limit as a number."""
        return Amount.of(self.limit, BY_KEY[self.row.limit.analyte].dimension)


def judged(context: Context, index: int) -> Judged | None:
    """One row of the table in the design sample; None where nothing was found or the value was not measured."""
    table = context.table
    outcomes = table.outcome[index, :, 0]
    worst = int(outcomes.max())
    if worst == 0 or not table.known[index]:
        return None
    flow = PEAK if outcomes[PEAK] == worst else int(outcomes.argmax())
    row, low, high = table.rows[index], float(table.low[index, flow, 0]), float(table.high[index, flow, 0])
    maximum = row.limit.maximum
    above = maximum is not None and (row.limit.minimum is None or high > maximum)
    return Judged(row, worst, flow, low, high, above, bool(table.reached[index, flow, 0]))


def told(context: Context, found: Judged) -> str:
    """The value in words, with the flow that governs where it is not the peak: "0.12 mg/L", "between 0.02 and 0.4 mg/L"."""
    key = found.row.limit.analyte
    value, dimension = found.value, BY_KEY[key].dimension
    when = _WHEN[FLOWS[found.flow]]
    if value.high is None:
        return f"more than {context.show(value.low, dimension, key)}{when}"
    if value.low == value.high:
        return context.show_against(value.low, found.limit, dimension, key) + when
    low, high = (context.show_against(end, found.limit, dimension, key) for end in (value.low, value.high))
    return f"between {low} and {high}{when}" if low != high else f"{high}{when}"


def limit_told(context: Context, found: Judged) -> str:
    """The limit in words: "0.05 mg/L"."""
    key = found.row.limit.analyte
    return context.show(found.limit, BY_KEY[key].dimension, key)


def lies(label: str) -> str:
    """The verb of an analyte that cannot be told: iron lies, dissolved solids lie."""
    return "lie" if label.endswith("solids") else "lies"


def reaches(label: str) -> str:
    """The verb of an analyte: iron reaches, dissolved solids reach."""
    return "reach" if label.endswith("solids") else "reaches"


def because(reason: str) -> str:
    """A limit's reason behind a colon, or nothing."""
    return f": {reason}" if reason else ""


__all__ = ["Judged", "analyte_label", "because", "judged", "lies", "limit_told", "reaches", "told"]
