"""Time: for how long each column has been drawn up to any moment of the run, and for how long water stood.

Draws are known to the minute. A run by the hour looks at whole hours as long as nothing happens in them, and by the minute into those in
which something does: so both come to the same answers.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from trainapp.dimensions import DAY
from trainapp.stages.working import Array
from trainapp.studies.year.draws import STEP, Demand, Span
from trainapp.studies.year.options import Detail

_FINE = STEP["minute"]

#: Columns of time behind those of the draws: nothing drawn; that, and standing warm; time itself.
IDLE, WARM, ELAPSED = -3, -2, -1
BEHIND = 3


@dataclass(frozen=True, slots=True)
class Clock:
    """Seconds of every column since the start, at any moment.

    Attributes:
        step: s that a search for the next event looks at together, a minute or more of them.
        kinds: kind of every day, as an index into `inside`; names in `names`.
        before: seconds of every column before each day, shape (days + 1, columns).
        inside: seconds since midnight by kind of day, shape (kinds, minutes + 1, columns).
    """

    step: float
    names: tuple[str, ...]
    kinds: tuple[int, ...]
    before: Array
    inside: Array

    @property
    def end(self) -> float:
        """s of the whole run."""
        return len(self.kinds) * DAY

    def at(self, time: float) -> Array:
        """Seconds of every column up to a moment (s since the start), shape (columns,)."""
        day = min(int(time // DAY), len(self.kinds) - 1)
        steps = (time - day * DAY) / _FINE
        row = min(int(steps), self.inside.shape[1] - 2)
        table, part = self.inside[self.kinds[day]], steps - row
        found: Array = self.before[day] + table[row] + part * (table[row + 1] - table[row])
        return found

    def at_all(self, times: Array) -> Array:
        """The same at many moments, shape (moments, columns)."""
        days = np.minimum((times // DAY).astype(np.intp), len(self.kinds) - 1)
        steps = (times - days * DAY) / _FINE
        rows = np.minimum(steps.astype(np.intp), self.inside.shape[1] - 2)
        kinds = np.asarray(self.kinds)[days]
        low = self.inside[kinds, rows]
        return np.asarray(self.before[days] + low + (steps - rows)[:, None] * (self.inside[kinds, rows + 1] - low))

    def crossing(self, start: float, end: float, growth: Array, wanted: Array) -> tuple[float, int] | None:
        """When the first of several amounts has grown by what is wanted of it.

        Args:
            start, end: s, the stretch looked at.
            growth: growth of each amount in a second of each column, shape (amounts, columns); not negative.
            wanted: shape (amounts,).

        Returns:
            The moment and which amount, None where none gets there.
        """
        begin = self.at(start)

        def met(time: float) -> bool:
            return bool(np.any(growth @ (self.at(time) - begin) >= wanted))

        if not met(end):
            return None
        low, high = start, end
        for step in (self.step, _FINE) if self.step > _FINE else (_FINE,):
            low, high = _narrowed(met, low, high, step)
        # straight inside a minute
        below, above = growth @ (self.at(low) - begin), growth @ (self.at(high) - begin)
        with np.errstate(divide="ignore", invalid="ignore"):
            shares = np.where(above >= wanted, (wanted - below) / (above - below), np.inf)
        shares = np.where(np.isnan(shares), 0.0, np.maximum(shares, 0.0))
        first = int(np.argmin(shares))
        return min(low + float(shares[first]) * (high - low), end), first


def _narrowed(met: Callable[[float], bool], low: float, high: float, step: float) -> tuple[float, float]:
    """The stretch between two whole steps (or its own ends) in which something is first met; it is at `high`."""
    row, last = int(low / step) + 1, int(np.ceil(high / step))
    begin, end = row, last
    while row < last:
        middle = (row + last) // 2
        if met(middle * step):
            last = middle
        else:
            row = middle + 1
    return (low if row == begin else (row - 1) * step), (high if row >= end else row * step)


def clock_of(demand: Demand, days: int, start_day: int, detail: Detail, warm_after: float) -> Clock:
    """The clock of a run.

    Args:
        days, start_day: of the run. warm_after: s of standing from which water counts as warm.
    """
    names = tuple(demand.days)
    inside = np.stack([_inside(demand.days[name], len(demand.columns), warm_after) for name in names])
    kinds = tuple(names.index(demand.pattern.kind_of(start_day + day)) for day in range(days))
    per_day = inside[:, -1]
    before = np.zeros((days + 1, inside.shape[2]))
    np.cumsum(per_day[list(kinds)], axis=0, out=before[1:])
    return Clock(STEP[detail], names, kinds, before, inside)


def _inside(spans: Sequence[Span], columns: int, warm_after: float) -> Array:
    """Seconds of every column since midnight at every minute of one kind of day."""
    edges = np.arange(round(DAY / _FINE) + 1) * _FINE
    table = np.zeros((len(edges), columns + BEHIND))
    for span in spans:
        table[:, span.column] += np.clip(edges - span.start, 0.0, span.seconds)
    table[:, ELAPSED] = edges
    table[:, IDLE] = edges - table[:, :columns].sum(axis=1)
    for begin, end in pauses(spans):
        table[:, WARM] += np.clip(edges - (begin + warm_after), 0.0, max(end - begin - warm_after, 0.0))
    # water that stood since the evening before is warm at midnight
    first, last = (spans[0].start, DAY - spans[-1].start - spans[-1].seconds) if spans else (DAY, DAY)
    table[:, WARM] += np.clip(edges - max(warm_after - last, 0.0), 0.0, max(first - max(warm_after - last, 0.0), 0.0))
    return table


def pauses(spans: Sequence[Span]) -> Iterator[tuple[float, float]]:
    """Stretches of a day without any draw, from the first draw on to midnight."""
    ends = [span.start for span in spans[1:]] + [DAY]
    for span, end in zip(spans, ends, strict=False):
        if end > span.start + span.seconds:
            yield span.start + span.seconds, end
