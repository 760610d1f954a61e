"""The draws of all ends laid together: which flows there are, and for how long each runs up to any moment.

A *column* is one combination of flows at the ends that occurs. Days are of a few kinds, each laid out once, so that a year costs no more
than those.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import NamedTuple

import numpy as np

from trainapp.dimensions import DAY, HOUR, MINUTE
from trainapp.stages.working import Array
from trainapp.studies.year.options import Detail, season
from trainapp.studies.year.patterns import Draw, Pattern
from trainapp.train.zones import HOUSE

STEP: Mapping[Detail, float] = {"minute": MINUTE, "hour": HOUR}


class Span(NamedTuple):
    """A stretch of a day in which one column is drawn: s after midnight, s, index of the column."""

    start: float
    seconds: float
    column: int


class Tap(NamedTuple):
    """An end beside the house: m3 a day, m3/s, and whether it is drawn while the house draws."""

    daily: float
    peak: float
    with_house: bool


@dataclass(frozen=True, slots=True)
class Demand:
    """All that the ends draw.

    Attributes:
        ends: names, the house first. columns: flow of each end in each column, m3/s, shape (columns, ends); none draws nothing.
        days: spans by kind of day, "" being a day on which nobody is there.
        pattern: the house's pattern.
    """

    ends: tuple[str, ...]
    columns: Array
    days: Mapping[str, tuple[Span, ...]]
    pattern: Pattern

    def without(self, ends: frozenset[str]) -> list[int]:
        """By column: the column that is left when these ends draw nothing, -1 where nothing is drawn then."""
        left = self.columns * [end not in ends for end in self.ends]
        return [next((i for i, row in enumerate(self.columns) if np.array_equal(row, want)), -1) for want in left]


def demand_of(pattern: Pattern, taps: Mapping[str, Tap], caps: Callable[[Mapping[str, float]], Mapping[str, float]]) -> Demand:
    """Lay the house's pattern and the other ends' draws together.

    Args:
        taps: the ends beside the house. caps: what flow controls leave of what the ends draw.
    """
    used = {end: tap for end, tap in taps.items() if tap.daily > 0.0}
    names = (HOUSE, *used)
    found: dict[tuple[float, ...], int] = {}
    laid = {kind: _laid(draws, list(used.values())) for kind, draws in {**pattern.days, "": ()}.items()}
    days: dict[str, tuple[Span, ...]] = {}
    for kind, spans in laid.items():
        row = []
        for start, seconds, flows in spans:
            held = caps(dict(zip(names, flows, strict=True)))
            key = tuple(held[name] for name in names)
            row.append(Span(start, seconds, found.setdefault(key, len(found))))
        days[kind] = tuple(row)
    # what is left of a column when some ends are shut off is a column too
    for key in list(found):
        for left in product(*({0.0, flow} for flow in key)):
            if any(left):
                found.setdefault(left, len(found))
    columns = np.array(list(found)).reshape(len(found), len(names))
    # the house's least flow first: what stands in its pipe is that water
    order = sorted(range(len(found)), key=lambda i: (columns[i, 0] == 0.0, *columns[i]))
    place = {old: new for new, old in enumerate(order)}
    moved = {kind: tuple(Span(s.start, s.seconds, place[s.column]) for s in row) for kind, row in days.items()}
    return Demand(names, columns[order], moved, pattern)


Flows = tuple[float, float, tuple[float, ...]]


def _laid(draws: Sequence[Draw], others: Sequence[Tap]) -> list[Flows]:
    """Stretches of a day with the flow of every end, in time order; what nobody draws is left out."""
    lanes = [list(draws), *(_outlet(draws, tap) if draws else [] for tap in others)]
    edges = sorted({t for lane in lanes for draw in lane for t in (draw.start, draw.start + draw.seconds)})
    spans = []
    for start, end in zip(edges, edges[1:], strict=False):
        middle = 0.5 * (start + end)
        flows = tuple(next((d.flow for d in lane if d.start <= middle < d.start + d.seconds), 0.0) for lane in lanes)
        if any(flows) and end > start:
            spans.append((start, end - start, flows))
    return spans


def _outlet(house: Sequence[Draw], tap: Tap) -> list[Draw]:
    """An outlet draws its day's volume at its peak from its hour on; where it is not drawn with the house, in the house's pauses."""
    seconds = min(tap.daily / tap.peak, DAY)
    flow = tap.daily / seconds
    start = float(season("outlets")["hour"]) * HOUR
    windows = [(start, DAY), (0.0, start)]
    busy = [] if tap.with_house else [(d.start, d.start + d.seconds) for d in house]
    draws, left = [], seconds
    for low, high in windows:
        for begin, end in _pauses(busy, low, high):
            part = min(left, end - begin)
            if part > 1e-9:
                draws.append(Draw(begin, part, flow))
                left -= part
    return sorted(draws)


def _pauses(busy: Sequence[tuple[float, float]], low: float, high: float) -> list[tuple[float, float]]:
    """What is free of a window."""
    free, at = [], low
    for begin, end in sorted(busy):
        if end > low and begin < high:
            if begin > at:
                free.append((at, begin))
            at = max(at, end)
    return [*free, (at, high)] if at < high else free
