"""Whether a layout can hold any train at all: what stands in the way of all its trains, told before they are filled one by one.

Every place is looked at on the best that could reach it: no loss of pressure but the least, and of each analyte the least that any choice
ahead leaves. A stage treats a better water no worse (the laws of the stages hold that), so what is over a limit on that water is over it in
every train.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from trainapp.checks.finding import Finding
from trainapp.stages.base import Cleaning
from trainapp.studies.options.choices import Choice
from trainapp.studies.options.filling import LOW, SHORT_WASH, Filling
from trainapp.studies.options.hydraulics import is_out_of_reach, wash_needs
from trainapp.studies.options.local import LEFT_CODE, Outcome, Verdict
from trainapp.studies.options.sweep import Sweep, least
from trainapp.studies.options.trains import Tally
from trainapp.water.analytes import ROW_INDEX
from trainapp.water.stream import Stream

#: Rows of which more is better for all that stages do; of the others it is less.
_MORE = ("ph", "alkalinity", "dissolved_oxygen", "temperature")
_IS_MORE = np.isin(np.arange(len(ROW_INDEX)), [ROW_INDEX[name] for name in _MORE])
#: Findings that compare one analyte with one figure.
_LIMITS, _RAW = frozenset({"inlet-limit", "outside-rating", "iron-on-resin", "health", "outlet-goal", LEFT_CODE}), "raw-while-cleaning"


@dataclass(frozen=True, slots=True)
class Block:
    """A place that no train of a layout gets past: its key, and for each choice there what keeps it out."""

    place: str
    reasons: tuple[Finding, ...]

    def tell(self, tally: Tally, trains: int) -> None:
        """Count the trains of its layout: each choice there stands for as many."""
        share, rest = divmod(trains, len(self.reasons))
        for place, reason in enumerate(self.reasons):
            tally.leave(self.place, reason, share + (place < rest))


def block(filling: Filling) -> Block | None:
    """The first place of a layout that no train gets past, None where one may; `filling` of a pass in which all may be unfit."""
    return _Outlook(filling).found()


class _Outlook:
    """One layout."""

    def __init__(self, filling: Filling) -> None:
        self.filling, self.layout, self.line = filling, filling.layout, filling.line

    def found(self) -> Block | None:
        short = self.filling.short_supply()
        if short is not None:
            return Block(self.filling.at_supply, (short,))
        for place, slot in enumerate(self.layout.slots):
            if not self.filling.opened[place]:
                reasons = [self.filling.reason_beforehand(place, index) for index in range(len(slot))]
                return Block(slot[0].place, tuple(reason for reason in reasons if reason is not None))
        if self.layout.slots and self.filling.is_low_at_best():
            return Block(self.layout.places[0], tuple(LOW for _ in self.layout.slots[0]))
        return self._by_water()

    def _by_water(self) -> Block | None:
        best = _best_of([self.layout.start])
        search, last = self.filling.search, len(self.layout.slots) - 1
        for place, slot in enumerate(self.layout.slots):
            reasons, left, lamp_follows = [], [], any(lamp > place for lamp in self.filling.lamps)
            for index, choice in enumerate(slot):
                reason = self.filling.reason_beforehand(place, index)
                if reason is None:
                    outcome = search.outcome(self.layout, place, choice, search.water(best), lamp_follows)
                    reason = self._kept_out(place, choice, outcome)
                    left += [outcome.outlet] if reason is None else []
                reasons.append(reason)
            if not left:
                return Block(slot[0].place, tuple(reason for reason in reasons if reason is not None))
            best = _best_of(left)
        reason = next(over(search.ends(self.layout, search.water(best))), None)
        return None if reason is None or last < 0 else Block(self.layout.places[last], tuple(reason for _ in self.layout.slots[last]))

    def _kept_out(self, place: int, choice: Choice, outcome: Outcome) -> Finding | None:
        """What keeps a choice out of every train."""
        if outcome.cleaning is not None and self._is_never_washed(place, outcome.cleaning):
            return SHORT_WASH
        return next(over(outcome.verdict), None)

    def _is_never_washed(self, place: int, wash: Cleaning) -> bool:
        """Whether too little is left to wash it, however little the stages ahead take."""
        _, flow = wash_needs(wash)
        ahead = sum(least(self.filling.loss(at, flow, True)[self.filling.opened[at]].tolist()) for at in range(place))
        return is_out_of_reach(self.line.spare_to_wash(place, wash.pressure, flow) - ahead)


def over(verdict: Verdict) -> Iterator[Finding]:
    """Failures in which an analyte is past a limit, whatever else the water holds, or raw water while a stage ahead is cleaned."""
    yield from (f for f in verdict.fails if f.code == _RAW or (f.code in _LIMITS and f.analyte and f.analyte not in _MORE))


def _best_of(waters: list[Stream]) -> Stream:
    """A water that is nowhere worse than any of these, reading by reading.

    Of the columns of raw water that passes by while a stage ahead cleans itself only those are there that all of these bring.
    """
    columns = slice(min(water.waters for water in waters))
    values = np.stack([water.values[..., columns] for water in waters])
    known = np.logical_or.reduce([water.known[:, columns] for water in waters])
    best = np.where(_IS_MORE[:, None, None, None], np.fmax.reduce(values, axis=0), np.fmin.reduce(values, axis=0))
    return Stream(np.asarray(best, dtype=np.float64), known)


def outlook(sweep: Sweep, fillings: Iterator[Filling]) -> Tally | None:
    """What stands in the way of all trains of all layouts, by their number; None as soon as a layout may hold one."""
    tally = Tally(considered=sweep.tally.considered)
    for filling in fillings:
        found = block(filling)
        if found is None:
            return None
        found.tell(tally, filling.layout.trains)
    return tally


__all__ = ["Block", "block", "outlook", "over"]
