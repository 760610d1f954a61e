"""What is drawn in charts and played on the bench: quantities by the hour, at every node and of every stage."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from trainapp.dimensions import DAY, HOUR
from trainapp.stages.working import Array
from trainapp.studies.year.light import Flags, Light
from trainapp.studies.year.machine import Regime
from trainapp.studies.year.pieces import Index, Pieces
from trainapp.studies.year.pressure import Pressures
from trainapp.train.zones import HOUSE, SUPPLY
from trainapp.water.analytes import BY_KEY


@dataclass(frozen=True, slots=True)
class Quantity:
    """One quantity that has a value every hour.

    Attributes:
        at: node. key: name in results. label: on screen. dimension: of the values, in internal units.
        illustrative: whether it is a teaching picture.
    """

    at: str
    key: str
    label: str
    dimension: str
    illustrative: bool = False


#: Analytes whose course is told at every node.
WATERS: tuple[str, ...] = (
    "hardness", "iron", "manganese", "turbidity", "uvt", "ph", "hydrogen_sulfide", "free_chlorine", "tannin", "nitrate", "sodium",
)  # fmt: skip
_OF_UV: tuple[tuple[str, str, str, bool], ...] = (
    ("dose_credited", "Dose that the rating leaves, least of the hour", "dose", True),
    ("dose_credited_slow", "The same with the film at the slow end of its band", "dose", True),
    ("dose_credited_fast", "The same with the film at the fast end of its band", "dose", True),
    ("dose_estimate", "Dose by optics, for teaching, least of the hour", "dose", True),
    ("dose_estimate_slow", "The same with the film at the slow end of its band", "dose", True),
    ("dose_estimate_fast", "The same with the film at the fast end of its band", "dose", True),
    ("dose_mean", "Dose by optics, for teaching, mean of the hour", "dose", True),
    ("lamp", "Light of the lamp over a new one", "fraction", False),
    ("film", "Light through the sleeve's film", "fraction", True),
    ("film_slow", "The same at the slow end of its band", "fraction", True),
    ("film_fast", "The same at the fast end of its band", "fraction", True),
    ("warmth", "Warming of water that stands in the chamber", "temperature_difference", True),
)


@dataclass
class Courses:
    """Every course of a run, made when it is asked for; arrays of shape (slots,)."""

    pieces: Pieces
    pressures: Pressures
    lights: dict[str, Light]

    @cached_property
    def _kept(self) -> dict[tuple[str, str], Array]:
        return {}

    def quantities(self) -> tuple[Quantity, ...]:
        """All that can be asked for, by node in flow order."""
        found = []
        plan = self.pieces.machine.plan
        for node in plan.order:
            found.append(Quantity(node, "flow", "Flow, mean of the hour", "flow"))
            found.append(Quantity(node, "pressure", "Pressure, lowest of the hour", "pressure"))
            found += [Quantity(node, key, BY_KEY[key].label, BY_KEY[key].dimension) for key in WATERS if self._is_told(node, key)]
            ageing = self.pieces.machine.ageings.get(node)
            for stock in ageing.stocks if ageing else ():
                found.append(Quantity(node, f"stock_{stock.key}", stock.label, stock.dimension, stock.illustrative))
            if node in self.lights:
                found += [Quantity(node, *row) for row in _OF_UV]
        found.append(Quantity(SUPPLY, "temperature", "Water temperature", "temperature"))
        return tuple(found)

    def _is_told(self, node: str, key: str) -> bool:
        stream = self.pieces.regimes[0].response.leaving[node]
        return bool(np.isfinite(self.pieces.machine.row(stream, key)).any())

    def of(self, at: str, key: str) -> Array:
        """One course in internal units (see :meth:`quantities`), shape (slots,). Water that stands keeps the value of what last flowed.

        Raises:
            KeyError: no such quantity there.
        """
        if (at, key) not in self._kept:
            self._kept[at, key] = self._make(at, key)
        return self._kept[at, key]

    def _make(self, at: str, key: str) -> Array:
        machine = self.pieces.machine
        if at not in machine.plan.order:
            raise KeyError(f"{at}: no such place")
        if key == "flow":
            return self.volume(at) / self.pieces.step
        if key in ("pressure", "pressure_running"):
            return self._pressure(at, lowest=key == "pressure")
        if key in WATERS and self._is_told(at, key):
            return self._water(at, key)
        if key == "temperature":
            times = self.pieces.first_slot + (np.arange(self.pieces.slots) + 0.5) * self.pieces.step
            return np.asarray(machine.season.temperatures)[machine.season.temperature_of[(times // DAY).astype(np.intp)]]
        if key.startswith("stock_") and at in machine.ageings:
            place = machine.slices[at].start + machine.ageings[at].index(key.removeprefix("stock_"))
            return self.pieces.last_of_slot(self.pieces.states[:, place])
        if at in self.lights and key in {row[0] for row in _OF_UV}:
            return self._light(self.lights[at], key)
        raise KeyError(f"{at}: {key}")

    def volume(self, at: str) -> Array:
        """m3 through a node in each slot."""
        through = self.pieces.machine.layout.through[at]
        return self.pieces.by_slot(self.pieces.each(lambda _: through))

    # Courses ------------------------------------------------------------------------------------------------------------------------

    def _water(self, at: str, key: str) -> Array:
        """Mean by volume of what leaves a node; transmittance as the mean of absorbances."""
        machine = self.pieces.machine
        through, row = machine.layout.through[at], "absorbance" if key == "uvt" else key

        def carried(regime: Regime) -> Array:
            return through * machine.row(regime.response.leaving[at], row)

        volume = self.volume(at)
        carried_by_slot = self.pieces.by_slot(self.pieces.each(carried))
        mean = np.divide(carried_by_slot, volume, out=np.full_like(volume, np.nan), where=volume > 1e-12)
        first = float(machine.row(self.pieces.regimes[0].response.leaving[at], row)[0])
        mean = _held(mean, first)
        return np.asarray(100.0 * 10.0**-mean) if key == "uvt" else mean

    def _pressure(self, at: str, lowest: bool) -> Array:
        least = self.pieces.least_of_slot(self.pressure_of_pieces(at, lowest))
        source = self.pieces.machine.plan.sources
        rest = source.get(at, source[self.pressures.house_zone.root]).rest(lowest)
        return np.where(np.isnan(least), rest, least)

    def pressure_of_pieces(self, at: str, lowest: bool = True) -> Array:
        """Least Pa at a node's outlet of what each piece drew, NaN where nothing was; shape (pieces,)."""
        found = np.full(len(self.pieces.start), np.nan)
        for rows, drawn, pressure in self.pressures_of(at, lowest):
            found[rows] = np.where(drawn, pressure, np.inf).min(axis=1)
        return found

    def pressures_of(self, at: str, lowest: bool = True) -> Iterator[tuple[Index, Flags, Array]]:
        """Pieces that drew water through a node, which columns each drew, and the Pa at its outlet; (pieces,), (pieces, columns) twice."""
        pieces, draws = self.pieces, self.pressures.draws
        drawn = (pieces.drawn[:, :draws] > 0.0) & (pieces.machine.layout.through[at][:draws] > 0.0)
        states = {node: pieces.of(node) for node in pieces.machine.ageings}
        temperature = np.array([regime.situation.temperature for regime in pieces.regimes])[pieces.regime]
        for step in np.unique(temperature):
            rows = np.flatnonzero((temperature == step) & drawn.any(axis=1))
            if not len(rows):
                continue
            degrees = pieces.machine.season.temperatures[int(step)]
            dirt = {node: ageing.added_loss(states[node][:, rows], degrees) for node, ageing in pieces.machine.ageings.items()}
            pressure = self.pressures.at(at, int(step), dirt, len(rows), lowest)
            if at == HOUSE:
                pressure = self.held(pressure, rows)
            yield rows, drawn[rows], np.maximum(pressure, 0.0)

    def held(self, pressure: Array, rows: Index) -> Array:
        """Pa at the house in some pieces, shape (rows, columns): where it gives out the flow falls to what the rest brings to the taps."""
        left = self.pressures.floor * self._shares[self.pieces.regime[rows]] ** 2
        return np.where(pressure < self.pressures.floor, left, pressure)

    @cached_property
    def _shares(self) -> Array:
        """Share of each column that the pressure brought, shape (regimes, columns)."""
        whole = (1.0,) * self.pressures.draws
        return np.array([regime.situation.shares or whole for regime in self.pieces.regimes])

    def _light(self, light: Light, key: str) -> Array:
        low, high = light.ageing.band
        band = low if key.endswith("_slow") else high if key.endswith("_fast") else 1.0
        if key.startswith("dose_credited"):
            return self.pieces.least_of_slot(light.doses(True, band)[0])
        if key.startswith("dose_estimate"):
            return self.pieces.least_of_slot(light.doses(False, band)[0])
        if key == "dose_mean":
            return self._mean_dose(light)
        if key == "lamp":
            return self.pieces.last_of_slot(light.lamp * light.lit)
        if key == "warmth":
            return light.warmth(self.idle_of_slots())
        return self.pieces.last_of_slot(light.film(band))

    def _mean_dose(self, light: Light) -> Array:
        mean, volume = light.doses(False)[1], light.passing @ light.flow
        whole = self.pieces.by_slot(volume)
        carried = self.pieces.by_slot(np.nan_to_num(mean) * volume)
        return np.divide(carried, whole, out=np.full_like(whole, np.nan), where=whole > 1e-12)

    def idle_of_slots(self) -> Array:
        """Longest time, s, that water had stood in each slot."""
        pieces = self.pieces
        whole, first = idle_of_hours(pieces), int(pieces.first_slot // HOUR)
        times = pieces.first_slot + np.arange(pieces.slots) * pieces.step
        return np.asarray(whole[(times // HOUR).astype(np.intp)]) if pieces.step < HOUR else whole[first : first + pieces.slots]


def idle_of_hours(pieces: Pieces) -> Array:
    """Longest time, s, that water had stood in each hour of a run, by the draws of its days."""
    demand, clock = pieces.machine.demand, pieces.machine.clock
    first = np.full((len(clock.names), 24), np.inf)
    last, inner = np.full((len(clock.names), 24), -np.inf), np.zeros((len(clock.names), 24))
    for i, name in enumerate(clock.names):
        for span in demand.days[name]:
            begin, end = span.start, span.start + span.seconds
            for hour in range(int(begin // HOUR), min(int(np.ceil(end / HOUR)), 24)):
                low, high = max(begin, hour * HOUR), min(end, (hour + 1) * HOUR)
                inner[i, hour] = max(inner[i, hour], low - last[i, hour] if np.isfinite(last[i, hour]) else 0.0)
                first[i, hour], last[i, hour] = min(first[i, hour], low), high
    kinds, days = np.asarray(clock.kinds), np.arange(len(clock.kinds))[:, None] * 24 * HOUR
    begins, ends = (first[kinds] + days).ravel(), (last[kinds] + days).ravel()
    edges = np.arange(1, len(begins) + 1) * HOUR
    before = np.concatenate([[0.0], np.maximum.accumulate(np.maximum(ends, 0.0))[:-1]])
    drawn = np.isfinite(begins)
    at_first = np.where(drawn, begins - before, edges - before)
    return np.asarray(np.maximum(np.maximum(at_first, inner[kinds].ravel()), np.where(drawn, edges - ends, 0.0)))


def _held(values: Array, first: float) -> Array:
    """Gaps filled with the value before."""
    place = np.maximum.accumulate(np.where(np.isnan(values), 0, np.arange(len(values))))
    held = values[place]
    return np.where(np.isnan(held), first, held)
