"""One hour of a run, at every place: the water that came by, and flow and pressure of the draw that left the least of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from trainapp.stages.working import Array
from trainapp.studies.year.pieces import Index, Pieces
from trainapp.studies.year.pressure import Dirt
from trainapp.studies.year.response import Response
from trainapp.studies.year.result import Year
from trainapp.train.zones import HOUSE, Link
from trainapp.water.stream import Stream

#: m3 in an hour below which nothing flowed.
_LEAST = 1e-12


class Stand(NamedTuple):
    """Pressure at one place, Pa: with nothing dirty and the supply running, as it is by now, and so with the supply at its lowest."""

    clean: float
    now: float
    lowest: float


@dataclass(frozen=True, slots=True)
class Hour:
    """What an hour looked like.

    Attributes:
        slot: the hour, 0 the first. drew: whether the house drew water in it.
        entering, leaving: mean by volume of the water at each node, one water, in the reading that ran; what passed last where none did.
        through, links: m3/s that came at each node and in each pipe at the draw that left the least pressure; nothing where none drew.
        inlet, outlet: pressures at each node at that draw, at rest where none drew.
    """

    slot: int
    drew: bool
    entering: Mapping[str, Stream]
    leaving: Mapping[str, Stream]
    through: Mapping[str, float]
    links: Mapping[Link, float]
    inlet: Mapping[str, Stand]
    outlet: Mapping[str, Stand]


def hour_of(year: Year, slot: int) -> Hour:
    """One hour of a run; IndexError beyond its end."""
    return year.once(_Reader).hour(slot)


class _Reader:
    """Reads one run hour by hour."""

    def __init__(self, year: Year) -> None:
        self._courses, self._pieces = year.courses, year.pieces
        self._machine = year.machine

    @cached_property
    def _passed(self) -> Mapping[str, Index]:
        """By node: the last hour up to each in which water passed, -1 before the first; shape (slots,)."""
        slots = np.arange(self._pieces.slots)
        return {
            node: np.maximum.accumulate(np.where(self._courses.volume(node) > _LEAST, slots, -1)) for node in self._machine.layout.through
        }

    def hour(self, slot: int) -> Hour:
        if not 0 <= slot < self._pieces.slots:
            raise IndexError(f"hour {slot}: the run has {self._pieces.slots}")
        order, layout = self._machine.plan.order, self._machine.layout
        column = self._worst(slot)
        share, place = (0.0, 0) if column is None else (self._share(*column), column[1])
        through = {node: share * float(flows[place]) for node, flows in layout.through.items()}
        links = {link: share * float(flows[place]) for link, flows in layout.links.items()}
        inlet, outlet = self._at_rest() if column is None else self._pressures(*column)
        return Hour(
            slot=slot,
            drew=bool(self._passed[HOUSE][slot] == slot),
            entering={node: self._water(slot, node, lambda response: response.entering) for node in order[1:]},
            leaving={node: self._water(slot, node, lambda response: response.leaving) for node in order},
            through=through,
            links=links,
            inlet=inlet,
            outlet=outlet,
        )

    # Water ----------------------------------------------------------------------------------------------------------------------------

    def _water(self, slot: int, node: str, of: Callable[[Response], Mapping[str, Stream]]) -> Stream:
        """Mean by volume of what passed a node, both readings alike."""
        pieces, reading = self._pieces, self._machine.reading
        last = int(self._passed[node][slot])
        if last < 0:
            stream = of(pieces.regimes[0].response)[node]
            return _one(stream.values[:, reading, 0, 0], stream.known[:, 0])
        through = self._machine.layout.through[node]
        total, carried, known = 0.0, None, None
        for piece in _rows(pieces, last):
            weights = pieces.drawn[piece, : len(through)] * through
            ways = np.flatnonzero(weights > 0.0)
            if not len(ways):
                continue
            stream = of(pieces.regimes[pieces.regime[piece]].response)[node]
            part = stream.values[:, reading, 0][:, ways] @ weights[ways]
            sure = stream.known[:, ways].all(axis=1)
            total += float(weights[ways].sum())
            carried = part if carried is None else carried + part
            known = sure if known is None else known & sure
        assert carried is not None and known is not None, "an hour in which water passed has a piece in which it did"
        return _one(carried / total, known)

    # Pressure -------------------------------------------------------------------------------------------------------------------------

    def _worst(self, slot: int) -> tuple[int, int] | None:
        """Piece and column of the draw that left the least pressure at the house, or of the greatest flow where the house drew nothing."""
        pieces, layout = self._pieces, self._machine.layout
        rows = _rows(pieces, slot)
        drawn = pieces.drawn[rows, : layout.draws] > 0.0
        for flows in (layout.through[HOUSE], layout.through[self._machine.plan.order[0]]):
            drew = drawn & (flows[: layout.draws] > 0.0)
            if drew.any():
                left = np.stack([self._house_pressure(int(row)) for row in rows])
                place = int(np.argmin(np.where(drew, left, np.inf)))
                return int(rows[place // layout.draws]), place % layout.draws
        return None

    def _share(self, row: int, column: int) -> float:
        """Share of what is drawn that the pressure still brings."""
        shares = self._pieces.regimes[self._pieces.regime[row]].situation.shares
        return shares[column] if shares else 1.0

    def _house_pressure(self, row: int) -> Array:
        step, dirt = self._dirt(row)
        return np.asarray(self._courses.held(self._courses.pressures.at(HOUSE, step, dirt, 1), np.array([row]))[0])

    def _dirt(self, row: int) -> tuple[int, Dirt]:
        pieces, machine = self._pieces, self._machine
        step = pieces.regimes[pieces.regime[row]].situation.temperature
        degrees = machine.season.temperatures[step]
        states = {node: pieces.of(node)[:, [row]] for node in machine.ageings}
        return step, {node: ageing.added_loss(states[node], degrees) for node, ageing in machine.ageings.items()}

    def _pressures(self, row: int, column: int) -> tuple[dict[str, Stand], dict[str, Stand]]:
        step, dirt = self._dirt(row)
        pressures, at = self._courses.pressures, np.array([row])
        none: Dirt = {node: (np.zeros(1), np.zeros(1)) for node in dirt}
        runs = [pressures.along(step, none, 1, False), pressures.along(step, dirt, 1, False), pressures.along(step, dirt, 1)]
        for inlet, outlet in runs:
            for side in (inlet, outlet):
                if HOUSE in side:
                    side[HOUSE] = self._courses.held(side[HOUSE], at)

        def stands(end: int) -> dict[str, Stand]:
            sides = [run[end] for run in runs]
            return {node: Stand(*(max(float(side[node][0, column]), 0.0) for side in sides)) for node in sides[0]}

        return stands(0), stands(1)

    def _at_rest(self) -> tuple[dict[str, Stand], dict[str, Stand]]:
        sources, zone = self._machine.plan.sources, self._courses.pressures.house_zone
        found = {}
        for node in self._machine.plan.order:
            source = sources.get(node, sources[zone.root])
            running = source.rest(False)
            found[node] = Stand(running, running, source.rest(True))
        return {node: stand for node, stand in found.items() if node in self._machine.plan.order[1:]}, found


def _rows(pieces: Pieces, slot: int) -> Index:
    """The pieces of an hour."""
    first, last = np.searchsorted(pieces.slot, [slot, slot + 1])
    return np.arange(first, last, dtype=np.intp)


def _one(row: Array, known: Any) -> Stream:
    """A stream of one water, the same at all three flows and in both readings."""
    values = np.repeat(np.repeat(row[:, None, None, None], 2, axis=1), 3, axis=2)
    return Stream(values, known[:, None])


__all__ = ["Hour", "Stand", "hour_of"]
