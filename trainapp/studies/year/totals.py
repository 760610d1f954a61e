"""The year in numbers: how long what was wrong, what was used, what it cost in water and power."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from trainapp.dimensions import DAY, HOUR
from trainapp.hydraulics.supply import Well
from trainapp.stages.ageing import constants
from trainapp.studies.year.judged import Judged
from trainapp.studies.year.light import CAUSES, Light
from trainapp.studies.year.pieces import Pieces
from trainapp.studies.year.pump import starts_of
from trainapp.studies.year.series import Courses
from trainapp.train.zones import HOUSE

_KWH = 3.6e6


@dataclass(frozen=True, slots=True)
class LightTotals:
    """One chamber over the run, in hours of drawing.

    Attributes:
        passing: hours in which water passed.
        outside: of these, outside its rating for whatever cause; `by_cause` for each cause of :data:`trainapp.studies.year.light.CAUSES`.
        sure: the same with the film left out, whose growth is a teaching picture; `band` with the film at both ends of its band.
        unlit: hours in which water passed a lamp without light.
        beyond: hours in which the water that entered was beyond any limit of what may enter; the rating itself is told in `outside`.
        beyond_limits: hours in which the water that entered was beyond an inlet limit, by analyte; those never passed left out.
        least_credited: least dose that the rating left, mJ/cm2, None where no water passed.
        warmest: K by which the longest standing water had warmed.
    """

    passing: float
    outside: float
    sure: float
    band: tuple[float, float]
    by_cause: Mapping[str, float]
    unlit: float
    beyond: float
    beyond_limits: Mapping[str, float]
    least_credited: float | None
    warmest: float


@dataclass(frozen=True, slots=True)
class Totals:
    """The run in numbers, SI units; hours are hours of drawing.

    Attributes:
        days: length of the run.
        drawn_hours, dry_hours: in which the house drew water; in which it wanted some and got none or less.
        judged: hours in which the water at the house was hard, rusty and so on, by key of :mod:`trainapp.studies.year.goals`.
        lights: by chamber.
        lowest_pressure: Pa at the house main while it drew, and the day of it; low_pressure_hours below the goal.
        untreated_hours: in which someone drew drinking water that nothing disinfects though it must be; None where it need not be.
        house_water, drained_water: m3 to the house; sent to drain by washes.
        salt: kg. energy_lamp, energy_pump: kWh; the latter at the gauge, the depth of a well not counted.
        cartridges, lamps: pieces changed. used: amount by (stage, item, dimension).
        washes, regenerations: how often. pump_starts: None on a main.
    """

    days: int
    drawn_hours: float
    dry_hours: float
    judged: Mapping[str, float]
    lights: Mapping[str, LightTotals]
    lowest_pressure: float
    lowest_pressure_day: float
    low_pressure_hours: float
    untreated_hours: float | None
    house_water: float
    drained_water: float
    salt: float
    energy_lamp: float
    energy_pump: float
    cartridges: float
    lamps: float
    used: Mapping[tuple[str, str, str], float]
    washes: int
    regenerations: int
    pump_starts: int | None

    @property
    def hours_outside_rating(self) -> float:
        """Hours in which water passed the worst chamber outside its rating."""
        return max((light.outside for light in self.lights.values()), default=0.0)

    @property
    def hours_unlit(self) -> float:
        """Hours in which water passed a chamber without light."""
        return max((light.unlit for light in self.lights.values()), default=0.0)

    @property
    def hours_hard(self) -> float:
        """Hours in which the house drew hard water."""
        return self.judged.get("hard", 0.0)


def totals_of(courses: Courses, judged: Judged) -> Totals:
    """Sum a run up."""
    pieces = courses.pieces
    machine, track, layout = pieces.machine, pieces.track, pieces.machine.layout
    house = layout.drawn[HOUSE]
    kinds = [happening.kind for happening in track.happenings]
    pressure = courses.pressure_of_pieces(HOUSE)
    lowest = int(np.nanargmin(pressure)) if np.isfinite(pressure).any() else 0
    return Totals(
        days=round(machine.clock.end / DAY),
        drawn_hours=pieces.total(lambda _: np.asarray(house > 0.0, dtype=np.float64)) / HOUR,
        dry_hours=float(judged.dry.sum()) / HOUR,
        judged={key: float(found.beyond.sum()) / HOUR for key, found in judged.at_house.noticed.items()},
        lights={node: _light(light, courses, judged) for node, light in courses.lights.items()},
        lowest_pressure=float(pressure[lowest]) if np.isfinite(pressure[lowest]) else 0.0,
        lowest_pressure_day=float(pieces.start[lowest]) / DAY,
        low_pressure_hours=float(judged.low_pressure.sum()) / HOUR,
        untreated_hours=float(judged.untreated.sum()) / HOUR if machine.plan.unsafe else None,
        house_water=pieces.total(lambda _: house),
        drained_water=float(sum(float(pieces.drawn[:, way].sum()) * _sent(pieces, node, way) for node, way in layout.washes.items())),
        salt=float(track.salt),
        energy_lamp=sum(light.lit_hours * light.ageing.watts * light.ageing.stage.count for light in courses.lights.values()) / 1e3,
        energy_pump=_pumped(pieces),
        cartridges=_pieces_used(track.used, "cartridge"),
        lamps=_pieces_used(track.used, "UV lamp"),
        used=dict(track.used),
        washes=kinds.count("backwash"),
        regenerations=kinds.count("regeneration"),
        pump_starts=starts_of(pieces),
    )


def _sent(pieces: Pieces, node: str, way: int) -> float:
    """m3/s that a wash sends to drain."""
    return sum(float(flow[way]) for (_, target), flow in pieces.machine.layout.links.items() if target == node)


def _pieces_used(used: Mapping[tuple[str, str, str], float], word: str) -> float:
    return sum(amount for (_, item, dimension), amount in used.items() if word in item and dimension == "none")


def _light(light: Light, courses: Courses, judged: Judged) -> LightTotals:
    least, inlet = light.doses(True)[0], judged.at_light[light.node]
    low, high = light.ageing.band
    outside = {band: float(light.outside_any(band).sum()) / HOUR for band in (None, low, 1.0, high)}
    causes = {cause: float(light.outside(cause).sum()) / HOUR for cause in CAUSES}
    return LightTotals(
        passing=float(light.passing.sum()) / HOUR,
        outside=outside[1.0],
        sure=outside[None],
        band=(outside[low], outside[high]),
        by_cause=causes,
        unlit=causes["unlit"],
        beyond=float(inlet.any.sum()) / HOUR,
        beyond_limits={a: float(each.beyond.sum()) / HOUR for a, each in inlet.by_analyte.items() if each.beyond.any()},
        least_credited=float(np.nanmin(least)) if np.isfinite(least).any() else None,
        warmest=float(light.warmth(courses.idle_of_slots()).max()),
    )


def _pumped(pieces: Pieces) -> float:
    """kWh of every pump: what water takes up at its gauge, over the pump's efficiency."""
    machine = pieces.machine
    energy = 0.0
    for root, source in machine.plan.sources.items():
        if not isinstance(source, Well):
            continue
        flow = machine.layout.through[root]
        pressure = np.array([0.5 * (source.running(float(q)) + source.lowest(float(q))) for q in flow])
        energy += pieces.total(lambda _, p=flow * pressure: p)  # type: ignore[misc]
    return energy / constants("pump")["efficiency"] / _KWH
