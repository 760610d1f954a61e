"""The track cut at every hour, or minute: how long each way was drawn in each piece, and the state at its end."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from trainapp.dimensions import HOUR
from trainapp.stages.working import Array
from trainapp.studies.year.machine import Machine, Regime
from trainapp.studies.year.march import Track

Index = NDArray[np.intp]
#: s below which two moments are one.
_SAME = 1e-6


@dataclass
class Pieces:
    """The pieces of a run.

    Attributes:
        step: s of a slot, an hour or a minute. first_slot: s at which the first slot begins.
        start, end: s, shape (pieces,). slot: slot that each lies in.
        segment: segment of the track that each lies in. regimes: those met; `regime` is the index of each piece's.
        seconds: of every column of the clock in each piece, shape (pieces, columns).
    """

    machine: Machine
    track: Track
    step: float
    first_slot: float
    start: Array
    end: Array
    slot: Index
    segment: Index
    regimes: tuple[Regime, ...]
    regime: Index
    seconds: Array

    @property
    def slots(self) -> int:
        """How many slots there are."""
        return int(self.slot[-1]) + 1

    def groups(self) -> Iterator[tuple[Regime, Index]]:
        """Every regime with the pieces in it."""
        order = np.argsort(self.regime, kind="stable")
        edges = np.searchsorted(self.regime[order], np.arange(len(self.regimes) + 1))
        for i, regime in enumerate(self.regimes):
            rows = order[edges[i] : edges[i + 1]]
            if len(rows):
                yield regime, rows

    @cached_property
    def drawn(self) -> Array:
        """Seconds of every way (then idle, warm, elapsed) in each piece, shape (pieces, ways + 3)."""
        drawn = np.zeros((len(self.start), self.regimes[0].fold.shape[0]))
        for regime, rows in self.groups():
            drawn[rows] = self.seconds[rows] @ regime.fold.T
        return drawn

    @cached_property
    def states(self) -> Array:
        """The state at the end of each piece, shape (pieces, stocks)."""
        clock, starts = self.machine.clock, np.array([segment.start for segment in self.track.segments])
        begun, at_start = clock.at_all(starts), np.stack([segment.state for segment in self.track.segments])
        at_end = clock.at_all(self.end)
        states = np.zeros((len(self.start), self.machine.stock_count))
        for regime, rows in self.groups():
            segments = self.segment[rows]
            states[rows] = at_start[segments] + (at_end[rows] - begun[segments]) @ regime.growth.T
        return states

    def of(self, node: str) -> Array:
        """The stocks of one stage at the end of each piece, shape (stocks, pieces)."""
        return np.ascontiguousarray(self.states[:, self.machine.slices[node]].T)

    # Putting pieces together --------------------------------------------------------------------------------------------------------

    def each(self, of: Callable[[Regime], Array]) -> Array:
        """One number a piece: seconds of every way weighed by what a regime makes of it (shape (ways,))."""
        ways = self.machine.layout.ways
        found = np.zeros(len(self.start))
        for regime, rows in self.groups():
            found[rows] = self.drawn[rows, :ways] @ of(regime)
        return found

    def total(self, of: Callable[[Regime], Array]) -> float:
        """The same over the whole run."""
        return float(self.each(of).sum())

    def by_slot(self, values: Array) -> Array:
        """Sums over the pieces of each slot, shape (slots,)."""
        return np.asarray(np.bincount(self.slot, weights=values, minlength=self.slots), dtype=np.float64)

    def last_of_slot(self, values: Array) -> Array:
        """The value of the last piece of each slot."""
        return np.asarray(values[np.searchsorted(self.slot, np.arange(self.slots), side="right") - 1])

    def least_of_slot(self, values: Array) -> Array:
        """The least value of the pieces of each slot; NaN where all are."""
        filled = np.where(np.isnan(values), np.inf, values)
        least = np.minimum.reduceat(filled, np.searchsorted(self.slot, np.arange(self.slots)))
        return np.asarray(np.where(np.isinf(least), np.nan, least))

    def first(self, flags: NDArray[np.bool_]) -> float | None:
        """s of the start of the first piece that is flagged, None where none is."""
        found = np.flatnonzero(flags)
        return float(self.start[found[0]]) if len(found) else None


def pieces_of(machine: Machine, track: Track, start: float = 0.0, end: float | None = None, step: float = HOUR) -> Pieces:
    """Cut a track at its slots.

    Args:
        start, end: s, the part of the run to look at, whole slots; all of it where not given. step: s of a slot.
    """
    stop = track.end if end is None else end
    starts = np.array([segment.start for segment in track.segments])
    slots = start + np.arange(round((stop - start) / step) + 1) * step
    edges = np.unique(np.concatenate([starts[(starts > start) & (starts < stop)], slots]))
    edges = edges[np.concatenate([[True], np.diff(edges) > _SAME])]
    middle = 0.5 * (edges[:-1] + edges[1:])
    segment = (np.searchsorted(starts, middle, side="right") - 1).astype(np.intp)
    met = [machine.regime(s.situation) for s in track.segments]
    regimes = tuple(dict.fromkeys(met))
    place = {id(regime): i for i, regime in enumerate(regimes)}
    of_segment = np.array([place[id(regime)] for regime in met])
    return Pieces(
        machine=machine,
        track=track,
        step=step,
        first_slot=start,
        start=edges[:-1],
        end=edges[1:],
        slot=((middle - start) // step).astype(np.intp),
        segment=segment,
        regimes=regimes,
        regime=of_segment[segment],
        seconds=np.diff(machine.clock.at_all(edges), axis=0),
    )
