"""Washes and regenerations: when each begins, what the house gets meanwhile, and how much a short supply leaves undone."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from trainapp.dimensions import DAY, HOUR, MINUTE
from trainapp.hydraulics.elements import Resistance, Series
from trainapp.stages.ageing import Washing, starved
from trainapp.studies.year.agenda import Event
from trainapp.studies.year.happenings import Happening
from trainapp.train.capacity import backwash_flow

if TYPE_CHECKING:
    from trainapp.studies.year.march import March

_STARVED = "The supply gave too little water to lift the bed: the wash took out only part of what it held."
_WRONG_HOUR = "The valve's clock runs late since a power cut: it cleaned itself while water was wanted."


class Washes:
    """What cleans itself now, and when the next does.

    Attributes:
        passed: stages that water goes by meanwhile. shut: ends that get none.
    """

    def __init__(self, march: March) -> None:
        self._march = march
        self._stages = {node: ageing.washing for node, ageing in march.machine.ageings.items() if ageing.washing is not None}
        self._running: dict[str, tuple[float, float]] = {}
        self._called: set[str] = set()
        self._switched: dict[str, float] = {}
        self.passed: frozenset[str] = frozenset()
        self.shut: frozenset[str] = frozenset()

    @property
    def draining(self) -> tuple[tuple[str, float], ...]:
        """Stages that send water to drain now, each with the share of its usual flow."""
        return tuple((node, share) for node, (_, share) in self._running.items())

    def plan(self) -> None:
        """Put the first of every clock on the agenda, and every meter that calls from the beginning."""
        for node, washing in self._stages.items():
            self._by_clock(node, washing)
            self.look(node)

    def _by_clock(self, node: str, washing: Washing) -> None:
        if np.isfinite(washing.every_days):
            day = np.floor((self._march.now - self._march.power.lag) / DAY) + max(np.ceil(washing.every_days - 1e-9), 1.0)
            self._march.agenda.add(Event(day * DAY + washing.cleaning.hour * HOUR + self._march.power.lag, "wash", node))

    def look(self, node: str) -> None:
        """See whether a stage's meter calls."""
        washing = self._stages.get(node)
        march = self._march
        if washing is None or not washing.metered or node in self._called or not march.ageing(node).calls(march.of(node)):
            return
        self._called.add(node)
        if washing.at_once:
            self._march.agenda.add(Event(max(march.now, self._switched.get(node, -np.inf) + washing.shortest), "ready", node))
            return
        hour = washing.cleaning.hour * HOUR + march.power.lag
        begin = np.floor(march.now / DAY) * DAY + hour
        while begin < march.now:
            begin += DAY
        march.agenda.add(Event(begin, "wash", node))

    def happen(self, event: Event) -> None:
        """A wash begins or ends."""
        node = event.stage
        if event.kind == "washed":
            self._end(node)
        elif not self._march.power.on:
            # a clock without power stands still: it comes to its hour that much later
            self._march.agenda.add(replace(event, time=self._march.now + HOUR))
        elif node not in self._running:
            self._begin(node)

    # One wash -----------------------------------------------------------------------------------------------------------------------

    def _begin(self, node: str) -> None:
        march, washing = self._march, self._stages[node]
        stage = march.ageing(node).stage
        cleaned, share = self._reach(node, washing)
        self._running[node] = (cleaned, share)
        march.agenda.drop("wash", node)
        march.agenda.add(Event(march.now + washing.cleaning.total_minutes * MINUTE * stage.count, "washed", node))
        march.tell(Happening(march.now, node, washing.cleaning.name, washing.cleaning.name))
        if march.power.lag >= HOUR and stage.passes_raw:
            march.tell(Happening(march.now, node, "wash", "wrong-hour", "caution", _WRONG_HOUR))
        if cleaned < 1.0:
            march.tell(Happening(march.now, node, "wash", "wash-starved", "caution", _STARVED))
        if washing.at_once:
            self._switched[node] = march.now
            self._make_new(node)
        elif stage.passes_raw:
            self.passed |= {node}
        elif stage.during_cleaning == "closed" and stage.count == 1:
            self.shut |= frozenset(march.machine.plan.only_way.get(node, ()))

    def _end(self, node: str) -> None:
        march, washing = self._march, self._stages[node]
        if not washing.at_once:
            self._make_new(node)
        del self._running[node]
        self.passed -= {node}
        closed = [n for n in self._running if march.ageing(n).stage.during_cleaning == "closed" and march.ageing(n).stage.count == 1]
        self.shut = frozenset(end for n in closed for end in march.machine.plan.only_way.get(n, ()))
        self._by_clock(node, washing)
        self.look(node)

    def _make_new(self, node: str) -> None:
        march, rows = self._march, self._march.machine.slices[node]
        before, ageing = march.of(node).copy(), march.ageing(node)
        washed = ageing.wash(before, self._running[node][0])
        march.state[rows] = washed.state
        for service in ageing.services:
            place = march.machine.regular.get((node, service.key))
            if place is not None:
                # what a wash used up counts towards the next planned service, too
                i = ageing.index(service.stock)
                march.state[place] += max(float(washed.state[i] - before[i]), 0.0)
        self._called.discard(node)
        if washed.drained:
            march.track.flushed.append((node, march.now, washed.drained))
        march.track.salt += self._stages[node].cleaning.salt * washed.drained * ageing.stage.count
        if washed.short is not None:
            march.tell(Happening(march.now, node, "wash", washed.short.code, washed.short.severity, washed.short.sentence))
        march.settle()

    def _reach(self, node: str, washing: Washing) -> tuple[float, float]:
        """How much of a full wash the supply allows, and of its water."""
        wanted = self._march.ageing(node).wanted_flow(self._march.temperature)
        if wanted <= 0.0:
            return 1.0, 1.0
        others = sum(self._stages[n].cleaning.flow for n in self._running)
        available = max(self._available(node, washing) - others, 0.0)
        share = min(available / wanted, 1.0) if washing.cleaning.name == "backwash" else 1.0
        return starved(available, wanted), round(share, 3)

    def _available(self, node: str, washing: Washing) -> float:
        """m3/s that reach a stage's inlet at the pressure that it wants, with what is on the filters ahead by now."""
        march, plan = self._march, self._march.machine.plan
        dirty = {}
        for name, (linear, quadratic) in march.dirt().items():
            count = plan.stages[name].count
            dirty[name] = Series((plan.work.clean[name], Resistance(float(linear[0]) / count, float(quadratic[0]) / count**2)))
        now = replace(plan, work=replace(plan.work, dirty={**plan.work.clean, **dirty}))
        return backwash_flow(now, node, washing.cleaning.pressure, washing.cleaning.flow)
