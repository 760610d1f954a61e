"""What a run through time answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np

from trainapp.dimensions import DAY, HOUR, MINUTE
from trainapp.stages.working import Array
from trainapp.studies.year.balance import Balance, balances_of
from trainapp.studies.year.gone_wrong import gone_wrong
from trainapp.studies.year.happenings import GoneWrong, Happening
from trainapp.studies.year.judged import Judged, judge
from trainapp.studies.year.light import Light, lights_of
from trainapp.studies.year.machine import Machine
from trainapp.studies.year.march import Track
from trainapp.studies.year.options import Options
from trainapp.studies.year.pieces import Pieces, pieces_of
from trainapp.studies.year.pressure import Pressures
from trainapp.studies.year.series import Courses, Quantity
from trainapp.studies.year.totals import Totals, totals_of
from trainapp.train.document import Document

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class StageCourse:
    """How one stage looks through the run, for the bench; arrays of shape (hours,), values 0 to 1.

    Attributes:
        fill: share of its capacity (resin, carbon, bed) that is left. clog: dirt on the way to when it is due, above 1 beyond it.
        film: share of light that a sleeve's film lets through, None elsewhere; illustrative.
        store: share of salt, chemical or solution left.
        cleaning: share of the hour in which it cleaned itself. lit: share of the hour in which its lamp burned.
        mode: index of its mode at the end of the hour, `modes` their names.
    """

    fill: Array | None
    clog: Array | None
    film: Array | None
    store: Array | None
    cleaning: Array
    lit: Array | None
    mode: Array
    modes: tuple[str, ...]


class Year:
    """A finished run. Numbers of the whole run are made at once, courses when they are asked for.

    Attributes:
        options: what was asked. hours: hours since the start at the end of each hour of a course, shape (hours,).
    """

    def __init__(self, machine: Machine, pressures: Pressures, track: Track, options: Options) -> None:
        self._kept: dict[Callable[[Year], object], object] = {}
        self.options = options
        self.machine = machine
        self.pieces: Pieces = pieces_of(machine, track)
        self.lights: Mapping[str, Light] = lights_of(self.pieces)
        self.courses = Courses(self.pieces, pressures, dict(self.lights))
        self.judged: Judged = judge(self.courses)
        self.totals: Totals = totals_of(self.courses, self.judged)
        self.gone_wrong: tuple[GoneWrong, ...] = gone_wrong(self.courses, self.judged)

    def once(self, make: Callable[[Year], T]) -> T:
        """What `make` makes of this run, made once: for pictures that are drawn again and again."""
        if make not in self._kept:
            self._kept[make] = make(self)
        made: T = self._kept[make]  # type: ignore[assignment]
        return made

    @property
    def document(self) -> Document:
        """The train that ran."""
        return self.machine.plan.document

    @property
    def hours(self) -> Array:
        """Hours since the start at the end of each hour, shape (hours,)."""
        return np.arange(1, self.pieces.slots + 1, dtype=np.float64)

    @property
    def happenings(self) -> tuple[Happening, ...]:
        """Everything that happened, in order."""
        return tuple(self.pieces.track.happenings)

    @cached_property
    def balances(self) -> Mapping[str, Balance]:
        """Where water and substances went, by name."""
        return balances_of(self.pieces)

    def quantities(self) -> tuple[Quantity, ...]:
        """What :meth:`course` can be asked for."""
        return self.courses.quantities()

    def course(self, at: str, key: str) -> Array:
        """One quantity by the hour in internal units, shape (hours,); NaN where there is none (no dose without water).

        Raises:
            KeyError: no such quantity there.
        """
        return self.courses.of(at, key)

    def zoom(self, day: int, days: int = 1) -> Courses:
        """The courses of some days by the minute, from a day of the run on; arrays of shape (days x 1440,)."""
        end = min((day + days) * DAY, self.machine.clock.end)
        pieces = pieces_of(self.machine, self.pieces.track, day * DAY, end, MINUTE)
        return Courses(pieces, self.courses.pressures, lights_of(pieces))

    def stage(self, node: str) -> StageCourse:
        """How a stage looks through the run; KeyError where it does not age."""
        ageing, pieces = self.machine.ageings[node], self.pieces
        states = pieces.of(node)

        def left(role: str) -> Array | None:
            used = [states[i] / stock.full for i, stock in enumerate(ageing.stocks) if stock.role == role and stock.full > 0.0]
            return np.clip(1.0 - pieces.last_of_slot(np.maximum.reduce(used)), 0.0, 1.0) if used else None

        clog = [states[i] / stock.full for i, stock in enumerate(ageing.stocks) if stock.role == "clog"]
        light = self.lights.get(node)
        place = list(self.machine.ageings).index(node)
        modes = np.array([regime.situation.modes[place] for regime in pieces.regimes])[pieces.regime]
        way = self.machine.layout.washes.get(node)
        washing = np.zeros(len(pieces.start)) if way is None else np.where(pieces.drawn[:, way] > 0.0, pieces.end - pieces.start, 0.0)
        return StageCourse(
            fill=left("fill"),
            clog=pieces.last_of_slot(np.maximum.reduce(clog)) if clog else None,
            film=pieces.last_of_slot(light.film()) if light else None,
            store=left("store"),
            cleaning=pieces.by_slot(washing) / HOUR,
            lit=pieces.by_slot(np.where(light.lit, pieces.end - pieces.start, 0.0)) / HOUR if light else None,
            mode=pieces.last_of_slot(modes.astype(np.float64)),
            modes=tuple(mode.key for mode in ageing.modes),
        )


__all__ = ["StageCourse", "Year"]
