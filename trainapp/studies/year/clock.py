"""Time: for how long each column has been drawn up to any moment of the run, and for how long water stood."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from trainapp.dimensions import DAY
from trainapp.stages.working import Array
from trainapp.studies.year.draws import STEP, Demand, Span
from trainapp.studies.year.options import Detail

#: Columns of time behind those of the draws: nothing drawn; that, and standing warm; time itself.
IDLE, WARM, ELAPSED = -3, -2, -1
BEHIND = 3


@dataclass(frozen=True, slots=True)
class Clock:
    """Seconds of every column since the start, at any moment.

    Attributes:
        step: s told apart inside a day.
        kinds: kind of every day, as an index into `inside`; names in `names`.
        before: seconds of every column before each day, shape (days + 1, columns).
        inside: seconds since midnight by kind of day, shape (kinds, steps + 1, columns).
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
        steps = (time - day * DAY) / self.step
        row = min(int(steps), self.inside.shape[1] - 2)
        table, part = self.inside[self.kinds[day]], steps - row
        found: Array = self.before[day] + table[row] + part * (table[row + 1] - table[row])
        return found

    def at_all(self, times: Array) -> Array:
        """The same at many moments, shape (moments, columns)."""
        days = np.minimum((times // DAY).astype(np.intp), len(self.kinds) - 1)
        steps = (times - days * DAY) / self.step
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
        if not np.any(growth @ (self.at(end) - begin) >= wanted):
            return None
        low, high = start / self.step, end / self.step
        row, last = int(low) + 1, int(np.ceil(high))
        # straight inside a step: look for the step first, then for the place in it
        while row < last:
            middle = (row + last) // 2
            if np.any(growth @ (self.at(middle * self.step) - begin) >= wanted):
                last = middle
            else:
                row = middle + 1
        low, high = max(low, row - 1.0), min(high, float(row))
        below = growth @ (self.at(low * self.step) - begin)
        above = growth @ (self.at(high * self.step) - begin)
        with np.errstate(divide="ignore", invalid="ignore"):
            shares = np.where(above >= wanted, (wanted - below) / (above - below), np.inf)
        shares = np.where(np.isnan(shares), 0.0, np.maximum(shares, 0.0))
        first = int(np.argmin(shares))
        return min((low + float(shares[first]) * (high - low)) * self.step, end), first


def clock_of(demand: Demand, days: int, start_day: int, detail: Detail, warm_after: float) -> Clock:
    """The clock of a run.

    Args:
        days, start_day: of the run. warm_after: s of standing from which water counts as warm.
    """
    names = tuple(demand.days)
    step = STEP[detail]
    inside = np.stack([_inside(demand.days[name], len(demand.columns), step, warm_after) for name in names])
    kinds = tuple(names.index(demand.pattern.kind_of(start_day + day)) for day in range(days))
    per_day = inside[:, -1]
    before = np.zeros((days + 1, inside.shape[2]))
    np.cumsum(per_day[list(kinds)], axis=0, out=before[1:])
    return Clock(step, names, kinds, before, inside)


def _inside(spans: Sequence[Span], columns: int, step: float, warm_after: float) -> Array:
    """Seconds of every column since midnight at every step of one kind of day."""
    edges = np.arange(round(DAY / step) + 1) * step
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
