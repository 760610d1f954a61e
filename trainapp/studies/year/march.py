"""The march through time: from one event to the next, the stocks moved on exactly between them.

Between two events everything grows in a straight line with what is drawn, so the next moment at which a stock comes to a limit is looked
up, not stepped towards. What the run leaves is a track: the segments, the situation of each and the state at its start.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from trainapp.dimensions import DAY
from trainapp.stages.ageing import Ageing, Service
from trainapp.stages.working import Array
from trainapp.studies.year.agenda import Agenda, Event
from trainapp.studies.year.happenings import Happening
from trainapp.studies.year.machine import Machine, Regime, Situation
from trainapp.studies.year.options import Cancelled, Options
from trainapp.studies.year.power import Power
from trainapp.studies.year.pressure import Pressures
from trainapp.studies.year.washes import Washes

#: s that a segment lasts at the most: how often pressure is asked whether it still brings what is drawn.
_LONGEST = DAY
_NEARLY = 1.0 - 1e-9
#: Rounds without time going by after which an ageing must have broken its word.
_STANDS = 1000
Progress = Callable[[float], bool]


@dataclass(slots=True)
class Segment:
    """A stretch in which nothing happens: from `start` (s), in a situation, with the state at its start."""

    start: float
    situation: Situation
    state: Array


@dataclass(slots=True)
class Track:
    """What a march leaves.

    Attributes:
        segments: in order. end: s, and the state there.
        happenings: in order.
        used: (stage, item, dimension) to the amount used up. services: (stage, key) to how often each was done.
        salt: kg that regenerations used.
        thrown, flushed: (stage, s, share) of each time that what a stage held was thrown out, or went to drain.
    """

    segments: list[Segment] = field(default_factory=list)
    end: float = 0.0
    last: Array = field(default_factory=lambda: np.zeros(0))
    happenings: list[Happening] = field(default_factory=list)
    used: dict[tuple[str, str, str], float] = field(default_factory=dict)
    services: dict[tuple[str, str], int] = field(default_factory=dict)
    salt: float = 0.0
    thrown: list[tuple[str, float, float]] = field(default_factory=list)
    flushed: list[tuple[str, float, float]] = field(default_factory=list)


class March:
    """One run.

    Args:
        progress: told the share that is done; where it answers False the run is cancelled.
    """

    def __init__(self, machine: Machine, pressures: Pressures, options: Options, progress: Progress | None = None) -> None:
        self.machine, self.pressures, self.options, self.progress = machine, pressures, options, progress
        self.state = np.zeros(machine.stock_count)
        self.now = 0.0
        self.track = Track()
        self.agenda = Agenda()
        self.modes = {node: ageing.mode(self.of(node)) for node, ageing in machine.ageings.items()}
        self.power = Power(self)
        self.washes = Washes(self)
        self._due: set[tuple[str, str]] = set()

    # The run ------------------------------------------------------------------------------------------------------------------------

    def run(self) -> Track:
        """March to the end.

        Raises:
            Cancelled: `progress` answered False.
        """
        end, stood = self.machine.clock.end, 0
        self._plan_ahead()
        while self.now < end:
            self._tell(self.now / end)
            begun = self.now
            situation = self._situation()
            regime = self.machine.regime(situation)
            self.track.segments.append(Segment(self.now, situation, self.state.copy()))
            horizon = min(self.agenda.next, self.now + _LONGEST, end)
            if self._move(regime, horizon):
                self.settle()
            while self.agenda.next <= self.now:
                self._happen(self.agenda.pop())
            stood = stood + 1 if self.now == begun else 0
            assert stood < _STANDS, "a stock stands at a limit that changes nothing"
        self._tell(1.0)
        self.track.end, self.track.last = end, self.state.copy()
        return self.track

    def _tell(self, share: float) -> None:
        if self.progress is not None and self.progress(share) is False:
            raise Cancelled

    def _plan_ahead(self) -> None:
        for day in self.machine.season.changes():
            self.agenda.add(Event(day * DAY, "season"))
        self.power.plan()
        self.washes.plan()
        upkeep = self.options.upkeep
        for node, ageing in self.machine.ageings.items():
            for service in ageing.services:
                self._plan_service(node, service)
        for extra in upkeep.extra:
            self.agenda.add(Event(extra.day * DAY, "extra", extra.stage, extra.service))

    def _move(self, regime: Regime, horizon: float) -> bool:
        """Move on to the horizon, or to where a stock comes to its limit first: whether one did."""
        limits = self._limits()
        rows = np.flatnonzero(np.isfinite(limits))
        clock = self.machine.clock
        met = clock.crossing(self.now, horizon, regime.growth[rows], limits[rows] - self.state[rows]) if len(rows) else None
        until = horizon if met is None else met[0]
        self.state += regime.growth @ (clock.at(until) - clock.at(self.now))
        self.now = float(until)
        if met is None:
            return False
        row = int(rows[met[1]])
        self.state[row] = limits[row]
        return True

    def _limits(self) -> Array:
        limits = np.full(len(self.state), np.inf)
        for node, ageing in self.machine.ageings.items():
            limits[self.machine.slices[node]] = ageing.limits(self.of(node))
        for (node, key), row in self.machine.regular.items():
            if (node, key) not in self._due and self.state[row] < self.service(node, key).at * _NEARLY:
                limits[row] = self.service(node, key).at
        limits[self.machine.stored] = self.power.left
        return limits

    # State --------------------------------------------------------------------------------------------------------------------------

    def of(self, node: str) -> Array:
        """The stocks of a stage."""
        return self.state[self.machine.slices[node]]

    def ageing(self, node: str) -> Ageing:
        """How a stage ages."""
        return self.machine.ageings[node]

    def service(self, node: str, key: str) -> Service:
        """One service of a stage."""
        return next(service for service in self.ageing(node).services if service.key == key)

    @property
    def day(self) -> int:
        """Whole days since the start."""
        return min(int(self.now // DAY), self.options.days - 1)

    @property
    def temperature(self) -> float:
        """degC of the water today."""
        return self.machine.season.temperatures[int(self.machine.season.temperature_of[self.day])]

    def tell(self, happening: Happening) -> None:
        """Keep what happened."""
        self.track.happenings.append(happening)

    def refresh(self, node: str) -> None:
        """Read a stage's mode anew, and tell where it came to a bad one."""
        mode = self.ageing(node).mode(self.of(node))
        if mode != self.modes[node]:
            before, told = (self.ageing(node).modes[i] for i in (self.modes[node], mode))
            self.modes[node] = mode
            if told.code and told.code != before.code:
                self.tell(Happening(self.now, node, "mode", told.code, told.severity, told.sentence, told.illustrative))

    def _situation(self) -> Situation:
        season, day = self.machine.season, self.day
        temperature = int(season.temperature_of[day])
        situation = Situation(
            temperature=temperature,
            raw=int(season.raw_of[day]),
            modes=tuple(self.modes.values()),
            passed=self.washes.passed,
            washing=self.washes.draining,
            shut=self.power.shut | self.washes.shut | self._dark(),
            power=self.power.on,
        )
        return replace(situation, shares=self.pressures.shares(temperature, self.dirt()))

    def dirt(self) -> dict[str, tuple[Array, Array]]:
        """What the stocks add to the resistance of every stage by now."""
        return {node: ageing.added_loss(self.of(node)[:, None], self.temperature) for node, ageing in self.machine.ageings.items()}

    def _dark(self) -> frozenset[str]:
        """Ends that a valve shuts because a lamp is dead."""
        dead = [node for node, ageing in self.machine.ageings.items() if ageing.modes[self.modes[node]].unlit]
        return frozenset(end for node in dead for end in self.power.behind(node))

    # Events -------------------------------------------------------------------------------------------------------------------------

    def settle(self) -> None:
        """Some stocks have come to their limits, perhaps several at once: see what follows."""
        if self.state[self.machine.stored] >= self.power.left * _NEARLY:
            self.power.ran_dry()
        for (node, key), place in self.machine.regular.items():
            if (node, key) not in self._due and self.state[place] >= self.service(node, key).at * _NEARLY:
                self._due.add((node, key))
                if self.options.upkeep.kept != "never":
                    self.agenda.add(Event(self.now + self.options.upkeep.delay * DAY, "service", node, key))
        for node in self.machine.ageings:
            self.refresh(node)
            self.washes.look(node)

    def _happen(self, event: Event) -> None:
        if event.kind in ("wash", "washed", "ready"):
            self.washes.happen(event)
        elif event.kind in ("cut", "back", "clocks"):
            self.power.happen(event)
        elif event.kind in ("service", "extra"):
            self._serve(event)

    def _plan_service(self, node: str, service: Service) -> None:
        """The calendar's next time; services that only need decides have none."""
        if np.isfinite(service.every_days) and self.options.upkeep.kept != "never":
            days = float(np.floor(service.every_days)) + self.options.upkeep.delay
            self.agenda.add(Event(self.now + days * DAY, "service", node, service.key))

    def _serve(self, event: Event) -> None:
        node, key = event.stage, event.key
        if node not in self.machine.ageings or not any(s.key == key for s in self.ageing(node).services):
            return
        service, extra = self.service(node, key), event.kind == "extra"
        served = self.ageing(node).serve(self.of(node), key)
        self.state[self.machine.slices[node]] = served.state
        if not extra:
            self._due.discard((node, key))
            if (node, key) in self.machine.regular:
                self.state[self.machine.regular[node, key]] = 0.0
            self.agenda.drop("service", node, key)
            self._plan_service(node, service)
        count = self.ageing(node).stage.count
        self.track.services[node, key] = self.track.services.get((node, key), 0) + 1
        if service.item:
            item = (node, service.item, service.dimension)
            self.track.used[item] = self.track.used.get(item, 0.0) + served.amount * count
        if served.thrown:
            self.track.thrown.append((node, self.now, served.thrown))
        self.tell(Happening(self.now, node, "service", key, None, service.label))
        self.refresh(node)
