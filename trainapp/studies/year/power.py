"""Power cuts: the lamp is dark, the pump and the valves' clocks stand still, and water flows on for as long as the tank holds some."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from trainapp.dimensions import DAY, HOUR
from trainapp.hydraulics.supply import Well
from trainapp.stages.ageing import LampAgeing
from trainapp.studies.year.agenda import Event
from trainapp.studies.year.happenings import Happening
from trainapp.studies.year.options import YEAR_DAYS
from trainapp.train.plan import Plan
from trainapp.train.zones import SUPPLY

if TYPE_CHECKING:
    from trainapp.studies.year.march import March


class Power:
    """Whether there is power, and what follows while there is none.

    Attributes:
        on: whether there is.
        shut: ends that get no water because of it.
        lag: s by which the clocks of valves run late.
    """

    def __init__(self, march: March) -> None:
        self._march = march
        self._plan: Plan = march.machine.plan
        self.on = True
        self.shut: frozenset[str] = frozenset()
        self.lag = 0.0
        self._began = 0.0

    def plan(self) -> None:
        """Put every cut of the run on the agenda."""
        options = self._march.options
        for year in range(options.days // YEAR_DAYS + 2):
            for cut in options.cuts:
                begin = (cut.day + year * YEAR_DAYS - options.start_day) * DAY + cut.hour * HOUR
                if 0.0 <= begin < options.days * DAY:
                    self._march.agenda.add(Event(begin, "cut"))
                    self._march.agenda.add(Event(begin + cut.hours * HOUR, "back"))

    @property
    def left(self) -> float:
        """m3 that still flow without power; infinite with it."""
        is_dry = self.shut >= self._ends_of(SUPPLY)
        return np.inf if self.on or is_dry else stored_water(self._plan)

    def _ends_of(self, root: str) -> frozenset[str]:
        """Ends that a zone's pressure brings water to, tanks not counted."""
        zone = next(z for z in self._plan.zones if z.root == root)
        return frozenset(end for end in zone.ends if end in self._plan.demands)

    def behind(self, node: str) -> frozenset[str]:
        """Ends that a valve at a chamber shuts: those that no other way leads to, where it has one."""
        ageing = self._march.machine.ageings.get(node)
        shuts = isinstance(ageing, LampAgeing) and ageing.shuts
        return frozenset(self._plan.only_way.get(node, ())) if shuts else frozenset()

    def happen(self, event: Event) -> None:
        """A cut begins, the power is back, or someone sets the clocks."""
        if event.kind == "cut":
            self._cut()
        elif event.kind == "back":
            self._back()
        else:
            self._march.agenda.shift("wash", -self.lag, self._march.now, DAY)
            self.lag = 0.0

    def _cut(self) -> None:
        march = self._march
        self.on, self._began = False, march.now
        shut = {end for node in march.machine.ageings for end in self.behind(node)}
        # behind a tank open to air its own pump stands still at once
        shut |= {end for zone in self._plan.zones if zone.root != SUPPLY for end in self._ends_of(zone.root)}
        if stored_water(self._plan) <= 0.0:
            shut |= self._ends_of(SUPPLY)
        self.shut = frozenset(shut)
        march.tell(Happening(march.now, "", "power-cut", "power-cut", None, "The power failed."))

    def ran_dry(self) -> None:
        """The pressure tank has given what it held."""
        self.shut = self.shut | self._ends_of(SUPPLY)
        self._march.tell(Happening(self._march.now, "", "power-cut", "tank-empty", "note", "Without power the pressure tank ran empty."))

    def _back(self) -> None:
        march = self._march
        length = march.now - self._began
        self.on, self.shut = True, frozenset()
        march.state[march.machine.stored] = 0.0
        march.tell(Happening(march.now, "", "power-cut", "power-back", None, "The power is back."))
        upkeep = march.options.upkeep
        if upkeep.kept == "on-time":
            return
        self.lag += length
        march.agenda.shift("wash", length, march.now, DAY)
        if upkeep.kept == "late":
            march.agenda.add(Event(march.now + upkeep.delay * DAY, "clocks"))


def stored_water(plan: Plan) -> float:
    """m3 that flow on when the power fails: of a well half its tank's drawdown and what lies below the cut-in; endless from a main."""
    source = plan.sources[SUPPLY]
    if not isinstance(source, Well):
        return np.inf
    tank = source.tank
    if tank is None:
        return 0.0
    air = (tank.precharge + tank.atmosphere) / (tank.cut_in + tank.atmosphere)
    return 0.5 * tank.drawdown + tank.volume * max(1.0 - air, 0.0)
