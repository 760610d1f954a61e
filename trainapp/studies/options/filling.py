"""The trains of one layout, filled place by place."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trainapp.checks import flow_short
from trainapp.checks.context import SUPPLY, Context
from trainapp.checks.finding import Finding
from trainapp.hydraulics.elements import Resistance
from trainapp.stages.base import Cleaning
from trainapp.stages.working import PEAK, Array
from trainapp.studies.cost import Use, use_of
from trainapp.studies.options.alike import Alike, bounds_of, without_light
from trainapp.studies.options.choices import Choice
from trainapp.studies.options.criteria import criteria, steps_of
from trainapp.studies.options.front import front
from trainapp.studies.options.hydraulics import wash_needs
from trainapp.studies.options.labels import INDEX, Labels, joined, promising
from trainapp.studies.options.layouts import Layout
from trainapp.studies.options.local import Outcome, judge
from trainapp.studies.options.sweep import Sweep, least
from trainapp.studies.options.trains import Train

Mask = NDArray[np.bool_]
_FLOW_SLACK = 1 + 1e-3
_RATED_SLACK = 1 + 1e-6

_HELD_BACK = Finding("flow-short", "fail", "", "It holds back more than the peak allows", "")
SHORT_WASH = Finding("backwash-short", "fail", "", "Too little flow to wash it", "")
LOW = Finding("low-pressure", "fail", "house", "Low pressure at the house", "")
_LOOSE = Finding("no-flow-control", "fail", "", "Nothing holds the flow to its rating", "")
_WIDE = Finding("room-fit", "caution", "", "Too wide for the room", "")
_NO_PRICE = Finding("no-price", "fail", "", "Its price is not known", "")
_OVER = Finding("over-rating", "caution", "", "More flow than it is made for", "")
_TALL = Finding("room-fit", "caution", "", "Too tall for the room", "")


@dataclass(frozen=True, slots=True)
class _Best:
    """What some places take at the least: m of floor, Pa clean and dirty, pieces that fall short whatever the water."""

    floor: float
    clean: float
    dirty: float
    unfit: int


class Filling:
    """One layout in one pass.

    Attributes:
        sweep, search: the pass and whose it is. layout, line, slots: what is filled.
        lamps: places of chambers. opened: by place, indices of the choices that are worth a run.
    """

    def __init__(self, sweep: Sweep, layout: Layout) -> None:
        self.sweep, self.layout, self.search = sweep, layout, sweep.search
        self.line, self.slots = layout.line, layout.slots
        self.lamps = layout.lamps
        self._plain = all(choice.is_plain for slot in self.slots for choice in slot)
        self._losses: dict[tuple[int, float, bool], Array] = {}
        self._short = [[self._short_of(place, choice) for choice in slot] for place, slot in enumerate(self.slots)]
        self.opened: list[list[int]] = []
        for place in range(len(self.slots)):
            self.opened.append(self._beforehand(place))
        self._at_best = self._bests()
        self._alike: list[Alike] = []

    def trains(self) -> list[Train]:
        """Trains that nothing speaks against and no other of the layout beats."""
        if any(not choices for choices in self.opened):
            return []
        left_out, weighed = dict(self.sweep.tally.left_out), self.sweep.tally.weighed
        while True:
            read = self._read()
            found = self._followed(read)
            if self._read() == read:
                return found
            # a stage looked at what nothing was known to look at: waters may have been taken for one that are not
            self.sweep.tally.left_out, self.sweep.tally.weighed = dict(left_out), weighed

    def _read(self) -> list[frozenset[int]]:
        """By place, rows that stages behind it were seen to look at so far."""
        return [self.search.read_by(slot[0].kind for slot in self.slots[place + 1 :]) for place in range(len(self.slots))]

    def _followed(self, read: list[frozenset[int]]) -> list[Train]:
        """Trains, place by place; waters are one that are alike in what the stages behind look at."""
        bounds, self._alike = list(self.search.at_house), []
        for place, slot in reversed(list(enumerate(self.slots))):
            self._alike.insert(0, Alike(read[place], bounds))
            bounds += [bound for choice in slot for bound in bounds_of(choice)]
        labels = self._start()
        for place in range(len(self.slots)):
            self.search.at(place / len(self.slots))
            labels = self._filled(place, labels)
        return self._finished(labels)

    def _behind(self, place: int) -> int:
        """How many trains go on from one row that is filled up to a place: those that are ruled out beforehand are counted already."""
        return math.prod(len(opened) for opened in self.opened[place + 1 :])

    @property
    def at_supply(self) -> str:
        """The place to which what is said of the supply belongs: the last stage ahead of all places, or the supply."""
        return self.layout.heads[-1].place if self.layout.heads else SUPPLY

    def short_supply(self) -> Finding | None:
        """What the supply fails by: all trains of a layout draw the same from it."""
        sample, site = self.layout.sample, self.sweep.site
        found = flow_short.check(sample, Context(sample, site.system))
        return next((f for f in found if f.severity == "fail" and f.stage == SUPPLY and site.is_own(f)), None)

    def is_low_at_best(self) -> bool:
        """Whether the pressure at an end fails though every place takes as little as any choice of it."""
        taken = [least(self.loss(0, self._peak(0), dirty)[self.opened[0]].tolist()) for dirty in (False, True)]
        rest = self._at_best[0]
        fails, _ = self.line.judged(np.array([taken[0] + rest.clean]), np.array([taken[1] + rest.dirty]))
        return bool(fails[0])

    @property
    def least_unfit(self) -> int:
        """Pieces that fall short in any train of the layout, whatever the water: too tall, made for less flow, or all of it too wide."""
        floor = sum(least([self._floor(choice) for choice in slot]) for slot in self.slots)
        return sum(min(short) for short in self._short) + int(self._is_too_wide(np.array([floor]))[0])

    # What speaks against a choice whatever the water -----------------------------------------------------------------------------

    def _beforehand(self, place: int) -> list[int]:
        """Indices of the choices at a place that are worth a run."""
        sweep, left = self.sweep, []
        trains = math.prod(map(len, self.opened)) * math.prod(len(slot) for slot in self.slots[place + 1 :])
        for index, choice in enumerate(self.slots[place]):
            reason = self.reason_beforehand(place, index)
            if reason is None:
                left.append(index)
            else:
                sweep.tally.leave(choice.place, reason, trains)
        return left

    def _over_alone(self, place: int, choice: Choice) -> int:
        """How many outlets, drawn at a time of their own, send more through a choice than the house does and than it is made for."""
        peak, rating = self._peak(place), choice.stage.rating()
        rated = rating.peak or rating.service
        flows = [alone.flow for alone in self.line.alone]
        return sum(1 for flow in flows if rated is not None and flow > peak and flow > rated * choice.stage.count * _RATED_SLACK)

    def _short_of(self, place: int, choice: Choice) -> int:
        """In how many ways a choice falls short whatever the water."""
        over = place not in self.lamps and choice.is_over_rated(self.line.carried[place].flow)
        return over + choice.is_too_tall(self.sweep.height) + self._over_alone(place, choice)

    def reason_beforehand(self, place: int, index: int) -> Finding | None:
        """What keeps a choice out of every train of this pass, whatever the water."""
        sweep, choice = self.sweep, self.slots[place][index]
        if not sweep.is_priced(choice):
            return _NO_PRICE
        cap, lamp = choice.stage.flow_cap, place in self.lamps
        most = max([sweep.drawn, *(alone.flow for alone in self.line.alone)])
        if cap is not None and most > cap * choice.stage.count * _FLOW_SLACK:
            return _HELD_BACK
        if self._over_alone(place, choice) and (lamp or choice.stage.rating().is_device_rating):
            return _OVER
        others = sum(min(short) for at, short in enumerate(self._short) if at != place)
        if self._short[place][index] + others > sweep.budget:
            return _TALL if choice.is_too_tall(sweep.height) else _OVER
        return None

    # Place by place ------------------------------------------------------------------------------------------------------------------

    def _start(self) -> dict[int, Labels]:
        """The train with its heads alone."""
        sums, sample = np.zeros(len(INDEX)), self.layout.sample
        short = self.short_supply()
        if short is not None:
            self.sweep.tally.leave(self.at_supply, short, self.layout.trains)
            return {}
        for head in self.layout.heads:
            result = sample.stages[head.place]
            verdict = judge(self.sweep.site, sample.plan, self.layout.raw, result)
            if verdict.fails or len(verdict.unfit) > self.sweep.budget:
                self.sweep.tally.leave(head.place, (*verdict.fails, *verdict.unfit)[0], self.layout.trains)
                return {}
            outcome = Outcome(result.outlet, verdict, use_of(sample, head.place), result.cleaning)
            # what heads take of the pressure is taken already where the first place begins
            sums += self._figures(head, outcome, 0.0, 0.0)
        start = self.layout.start if self.lamps else without_light(self.layout.start)
        return {self.search.water(start): Labels.start(sums)}

    def _filled(self, place: int, labels: dict[int, Labels]) -> dict[int, Labels]:
        """All rows with one more place filled, by the water that leaves it."""
        parts: dict[int, list[Labels]] = {}
        ones: dict[bytes, int] = {}
        lamp_follows = any(lamp > place for lamp in self.lamps)
        for water, rows in labels.items():
            for index in self._able(place, rows):
                choice = self.slots[place][index]
                outcome = self.search.outcome(self.layout, place, choice, water, lamp_follows)
                new = self._extended(place, index, outcome, rows)
                if len(new):
                    key = self._alike[place].key(outcome.outlet)
                    leaving = ones[key] = ones[key] if key in ones else self.search.water(outcome.outlet)
                    parts.setdefault(leaving, []).append(new)
        merged = {water: self._worth_following(place, joined(listed)) for water, listed in parts.items()}
        if self.sweep.beam:
            merged = {water: merged[water] for water in promising(merged, self.sweep.beam)}
        return {water: rows.thinned(self.sweep.mere) if self._plain else rows for water, rows in merged.items() if len(rows)}

    def _extended(self, place: int, index: int, outcome: Outcome, rows: Labels) -> Labels:
        """Rows with a choice, without those that cannot bear it."""
        choice, verdict = self.slots[place][index], outcome.verdict
        if verdict.fails:
            return self._without(rows, np.zeros(len(rows), dtype=bool), place, verdict.fails[0])
        if verdict.unfit:
            rows = self._without(rows, rows.column("unfit") + len(verdict.unfit) <= self.sweep.budget, place, verdict.unfit[0])
        cap, short = np.inf, np.zeros(0)
        if len(rows) and outcome.cleaning is not None:
            rows, short = self._washed(place, outcome.cleaning, rows)
        if len(rows) and place in self.lamps:
            rows = self._held(place, choice, rows)
        elif choice.stage.flow_cap is not None:
            cap = choice.stage.flow_cap * (1.0 + choice.stage.cap_band) * choice.stage.count
        clean, dirty = (float(self.loss(place, self._peak(place), is_dirty)[index]) for is_dirty in (False, True))
        new = rows.extended(index, self._figures(choice, outcome, clean, dirty), cap)
        more = self._over_alone(place, choice) + (short if short.size else np.zeros(len(new)))
        new.sums[:, INDEX["cautions"]] += more
        new.sums[:, INDEX["unfit"]] += more
        return new.where(new.column("unfit") + self._at_best[place].unfit <= self.sweep.budget)

    def _without(self, rows: Labels, keep: Mask, place: int, finding: Finding) -> Labels:
        """The rows that are kept; the others are counted."""
        gone = len(rows) - int(keep.sum())
        self.sweep.tally.leave(self.slots[place][0].place, finding, gone * self._behind(place))
        return rows.where(keep)

    def _figures(self, choice: Choice, outcome: Outcome, clean: float, dirty: float) -> Array:
        """What a choice adds to the sums."""
        use: Use = outcome.use
        buy, own = self.sweep.cost(use)
        floor = self._floor(choice)
        plain = [part for element in choice.elements for part in _coefficients(element)]
        unfit = len(outcome.verdict.unfit)
        sums = [buy, own, use.chores_a_year, use.drained, use.salt, outcome.verdict.cautions, unfit, floor, clean, dirty, *plain]
        return np.array(sums, dtype=np.float64)

    def _peak(self, place: int) -> float:
        return float(self.line.carried[place].flow[PEAK])

    def loss(self, place: int, flow: float, dirty: bool) -> Array:
        """Pa that each choice of a place takes at a flow."""
        key = (place, flow, dirty)
        if key not in self._losses:
            self._losses[key] = np.array([choice.elements[dirty].loss(flow) for choice in self.slots[place]])
        return self._losses[key]

    def _lost(self, rows: Labels, places: int, flow: float, dirty: bool) -> Array:
        """Pa that the stages at the first places of each row take at a flow."""
        lost = np.zeros(len(rows))
        for place in range(places):
            lost += self.loss(place, flow, dirty)[rows.chosen[:, place]]
        return lost

    # Wash and open taps -------------------------------------------------------------------------------------------------------------

    def _washed(self, place: int, wash: Cleaning, rows: Labels) -> tuple[Labels, Array]:
        """Rows in which enough is left to wash a stage at a place, and by row whether it is less than the model asks."""
        asked, least_flow = wash_needs(wash)
        rows = self._without(rows, self._reaches(place, wash, least_flow, rows), place, SHORT_WASH)
        short = ~self._reaches(place, wash, asked, rows)
        keep = ~short | (rows.column("unfit") + 1 <= self.sweep.budget)
        return self._without(rows, keep, place, SHORT_WASH), short[keep].astype(np.float64)

    def _reaches(self, place: int, wash: Cleaning, needed: float, rows: Labels) -> Mask:
        """Whether the flow that is left to wash with comes to what is needed."""
        spare = self.line.spare_to_wash(place, wash.pressure, needed) - self._lost(rows, place, needed, dirty=True)
        enough: Mask = np.asarray(spare >= 0.0)
        for row in np.flatnonzero(self.line.is_close(spare)):
            ahead = [self.slots[at][index].elements[1] for at, index in enumerate(rows.chosen[row])]
            enough[row] = self.line.flow_to_wash(place, wash, ahead) >= needed
        return enough

    def _held(self, place: int, choice: Choice, rows: Labels) -> Labels:
        """Rows in which something holds the flow through a chamber to its rating, or the supply cannot push more."""
        stage = choice.stage
        # units side by side: each is held to what comes while the others are shut
        rated = float(stage.settings.number("rated_flow")) * _RATED_SLACK
        own = np.inf if stage.flow_cap is None else stage.flow_cap
        held = np.minimum(rows.held, own) <= rated
        if not held.all():
            taken = self._lost(rows, place, rated, dirty=False) + choice.elements[0].loss(rated * stage.count)
            held |= self.line.spare_to_push(rated) - taken <= 0.0
        return self._without(rows, held, place, _LOOSE)

    # What is not worth following ----------------------------------------------------------------------------------------------------

    def _able(self, place: int, rows: Labels) -> list[int]:
        """Choices that some row could bear for pressure and room, if all that follows is at its best."""
        opened, rest = np.array(self.opened[place]), self._at_best[place]
        losses = [self.loss(place, self._peak(place), dirty)[opened] for dirty in (False, True)]
        floor = np.array([self._floor(self.slots[place][index]) for index in opened])
        taken = [np.add.outer(rows.column(name), loss).ravel() for name, loss in zip(("clean", "dirty"), losses, strict=True)]
        fails, low = self.line.judged(taken[0] + rest.clean, taken[1] + rest.dirty)
        wide = self._is_too_wide(np.add.outer(rows.column("floor"), floor).ravel() + rest.floor)
        own = np.array([self._short[place][index] for index in opened])
        unfit = np.add.outer(rows.column("unfit"), own).ravel() + rest.unfit + low + wide
        able = (~fails & (unfit <= self.sweep.budget)).reshape(len(rows), len(opened))
        trains = self._behind(place)
        for index, gone in zip(opened.tolist(), (len(rows) - able.sum(axis=0)).tolist(), strict=True):
            if gone == len(rows):
                self.sweep.tally.leave(self.slots[place][index].place, LOW, gone * trains)
        return [int(index) for index in opened[able.any(axis=0)]]

    def _worth_following(self, place: int, rows: Labels) -> Labels:
        """Rows that may still end well if all that follows is at its best."""
        rest = self._at_best[place]
        fails, low = self.line.judged(rows.column("clean") + rest.clean, rows.column("dirty") + rest.dirty)
        unfit = rows.column("unfit") + rest.unfit + low + self._is_too_wide(rows.column("floor") + rest.floor)
        return self._without(rows, ~fails & (unfit <= self.sweep.budget), place, LOW)

    def _bests(self) -> list[_Best]:
        """By place, what all places behind it take at the least."""
        bests, rest = [], _Best(0.0, 0.0, 0.0, 0)
        for place in reversed(range(len(self.slots))):
            bests.append(rest)
            some = [self.slots[place][index] for index in self.opened[place]]
            clean, dirty = (least(self.loss(place, self._peak(place), d)[self.opened[place]].tolist()) for d in (False, True))
            floor = least([self._floor(choice) for choice in some])
            unfit = min((self._short[place][index] for index in self.opened[place]), default=0)
            rest = _Best(rest.floor + floor, rest.clean + clean, rest.dirty + dirty, rest.unfit + unfit)
        return bests[::-1]

    def _floor(self, choice: Choice) -> float:
        return sum(choice.bodies) + self.sweep.gap * len(choice.bodies)

    # The end ----------------------------------------------------------------------------------------------------------------------

    def _finished(self, labels: dict[int, Labels]) -> list[Train]:
        """Whole trains, judged by the water and the pressure at the house and by the room."""
        parts = [(rows, values) for water, rows in labels.items() for rows, values in [self._judged(water, rows)] if len(rows)]
        if not parts:
            return []
        rows, values = joined(part for part, _ in parts), np.concatenate([figures for _, figures in parts])
        chosen = rows.chosen
        order = np.lexsort((*reversed(chosen.T), *reversed(values.T), -values[:, 3], values[:, 2], values[:, 0], values[:, 1]))
        kept = order[front(steps_of(values[order]))]
        unfit = rows.column("unfit")
        return [Train(self.layout, tuple(map(int, chosen[i])), tuple(map(float, values[i])), int(unfit[i])) for i in kept]

    def _judged(self, water: int, rows: Labels) -> tuple[Labels, Array]:
        """Rows that nothing speaks against, and their values by criterion."""
        self.sweep.tally.weighed += len(rows)
        last = len(self.slots) - 1
        verdict = self.search.ends(self.layout, water)
        if verdict.fails:
            return self._without(rows, np.zeros(len(rows), dtype=bool), last, verdict.fails[0]), np.zeros((0, len(criteria())))
        fails, low = self.line.judged(rows.column("clean"), rows.column("dirty"))
        for alone in self.line.alone:
            clean, dirty = (self._lost(rows, len(self.slots), alone.flow, is_dirty) for is_dirty in (False, True))
            fails_alone, low_alone = alone.judged(clean, dirty)
            fails, low = fails | fails_alone, low + low_alone
        rows, low = self._without(rows, ~fails, last, LOW), low[~fails]
        wide = self._is_too_wide(rows.column("floor"))
        unfit = rows.column("unfit") + wide + low + len(verdict.unfit)
        keep = unfit <= self.sweep.budget
        rows, low, wide = self._without(rows, keep, last, _WIDE), low[keep], wide[keep]
        rows.sums[:, INDEX["unfit"]] = unfit[keep]
        return rows, self._values(rows, low + wide + verdict.cautions)

    def _is_too_wide(self, floor: Array) -> Array:
        """Whether bodies with a gap for each take more floor than there is."""
        width = self.sweep.width
        if width is None:
            return np.zeros(len(floor))
        return (np.where(floor > 0, floor - self.sweep.gap, 0.0) > width * (1 + 1e-9)).astype(np.float64)

    def _values(self, rows: Labels, more_cautions: Array) -> Array:
        """Figures by criterion, shape (rows, criteria)."""
        buys = np.full(len(rows), any(not head.exists for head in self.layout.heads))
        for place, slot in enumerate(self.slots):
            buys |= np.array([not choice.exists for choice in slot])[rows.chosen[:, place]]
        stands = bool(self.slots or self.layout.heads)
        visits = np.where(buys[:, None], self.sweep.visits(True, stands), self.sweep.visits(False, stands))
        money = (np.column_stack([rows.column("buy"), rows.column("own")]) + visits) * self.sweep.money
        pressure = self.line.lowest_at_house(rows.column("dirty"))
        rest = [rows.column("chores"), pressure, rows.column("drain"), rows.column("salt"), rows.column("cautions") + more_cautions]
        return np.column_stack([money, *rest])


def _coefficients(element: object) -> tuple[float, float]:
    return (element.linear, element.quadratic) if isinstance(element, Resistance) else (0.0, 0.0)
