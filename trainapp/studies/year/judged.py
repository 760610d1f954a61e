"""What is wrong with the water at the house and before a chamber, piece by piece, and the first time of each thing with its reason."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from trainapp import data, units
from trainapp.dimensions import DAY, YEAR
from trainapp.stages.base import Limit, Severity
from trainapp.stages.working import Array
from trainapp.studies.year.happenings import GoneWrong
from trainapp.studies.year.light import Flags, Light
from trainapp.studies.year.machine import Regime
from trainapp.studies.year.pieces import Pieces
from trainapp.studies.year.series import Courses
from trainapp.train.zones import HOUSE
from trainapp.water.analytes import BY_KEY

_MONTH = YEAR / 12


@dataclass(frozen=True, slots=True)
class Condition:
    """Water that a house notices.

    Attributes:
        key, title, sentence: name in results, name on screen, what is told.
        analyte, minimum, maximum: what is beyond it, JSON unit.
        source, status: where the limit comes from.
    """

    key: str
    title: str
    sentence: str
    analyte: str
    minimum: float | None
    maximum: float | None
    source: str
    status: str


def conditions() -> tuple[Condition, ...]:
    """Those of resources/year/judged.toml."""
    return tuple(_condition(row) for row in data.load_toml("year/judged.toml")["condition"])


def _condition(row: Mapping[str, str]) -> Condition:
    dimension = BY_KEY[row["analyte"]].dimension
    least, most = (units.parse(row[end], dimension) if end in row else None for end in ("minimum", "maximum"))
    return Condition(row["key"], row["title"], row["sentence"], row["analyte"], least, most, row["source"], row["status"])


@dataclass(frozen=True, slots=True)
class Judged:
    """Seconds of each piece in which something was wrong, arrays of shape (pieces,).

    Attributes:
        at_house: by key of a condition that could be judged.
        at_light: by (chamber, analyte) of an inlet limit that was passed.
        low_pressure: below the goal at the house main, with the supply at its lowest. dry: the house wanted water and got less or none.
    """

    at_house: Mapping[str, Array]
    at_light: Mapping[tuple[str, str], Array]
    low_pressure: Array
    dry: Array


def judge(courses: Courses) -> Judged:
    """Judge a run."""
    pieces = courses.pieces
    known = pieces.regimes[0].response.leaving[HOUSE]
    at_house = {c.key: _at_house(pieces, c) for c in conditions() if known.is_known(c.analyte).all()}
    at_light: dict[tuple[str, str], Array] = {}
    for node, light in courses.lights.items():
        for limit in pieces.machine.plan.limits[node]:
            if pieces.regimes[0].response.entering[node].is_known(limit.analyte).all():
                at_light[node, limit.analyte] = _at_light(light, limit)
    dry = np.zeros(len(pieces.start))
    for regime, rows in pieces.groups():
        dry[rows] = pieces.seconds[rows] @ regime.unserved
    return Judged(at_house, at_light, _low(courses), dry)


def _at_house(pieces: Pieces, condition: Condition) -> Array:
    draws = np.asarray(pieces.machine.layout.drawn[HOUSE] > 0.0)

    def beyond(regime: Regime) -> Array:
        value = pieces.machine.row(regime.response.leaving[HOUSE], condition.analyte)
        return np.asarray(draws & _beyond(value, condition.minimum, condition.maximum), dtype=np.float64)

    return pieces.each(beyond)


def _at_light(light: Light, limit: Limit) -> Array:
    pieces = light.pieces
    found = np.zeros(len(pieces.start))
    for regime, rows in pieces.groups():
        value = pieces.machine.row(regime.response.entering[light.node], limit.analyte)
        found[rows] = light.passing[rows] @ np.asarray(_beyond(value, limit.minimum, limit.maximum), dtype=np.float64)
    return found


def _beyond(value: Array, least: float | None, most: float | None) -> Flags:
    over = np.zeros(value.shape, dtype=bool) if most is None else value > most * (1.0 + 1e-9)
    return np.asarray(over if least is None else over | (value < least * (1.0 - 1e-9)))


def _low(courses: Courses) -> Array:
    goal, draws = courses.pieces.machine.plan.goal_pressure, courses.pressures.draws
    found = np.zeros(len(courses.pieces.start))
    for rows, drawn, pressure in courses.pressures_of(HOUSE):
        found[rows] = (courses.pieces.drawn[rows, :draws] * (drawn & (pressure < goal))).sum(axis=1)
    return found


# First times --------------------------------------------------------------------------------------------------------------------


def gone_wrong(courses: Courses, judged: Judged) -> tuple[GoneWrong, ...]:
    """The first time of everything that goes wrong, soonest first; teaching pictures, which have no date, last."""
    found = [*_told(courses.pieces), *_noticed(courses.pieces, judged), *(w for light in courses.lights.values() for w in _dark(light))]
    return tuple(sorted(found, key=lambda w: (w.day is None, w.day or 0.0, w.code)))


def _told(pieces: Pieces) -> Iterator[GoneWrong]:
    """What stages and valves told themselves."""
    seen = set()
    for happening in pieces.track.happenings:
        place = (happening.code, happening.stage)
        severity = happening.severity
        if severity is None or severity == "note" or place in seen or happening.illustrative:
            continue
        seen.add(place)
        yield GoneWrong(happening.code, happening.stage or HOUSE, severity, happening.day, happening.sentence)


def _noticed(pieces: Pieces, judged: Judged) -> Iterator[GoneWrong]:
    told = {c.key: c for c in conditions()}
    for key, seconds in judged.at_house.items():
        yield from _first(pieces, seconds, key, HOUSE, "caution", told[key].sentence)
    low = "With the pump at its cut-in less pressure was left at the house than is wanted."
    yield from _first(pieces, judged.low_pressure, "low-pressure", HOUSE, "caution", low)
    dry = "The house got less water than it wanted, or none."
    yield from _first(pieces, judged.dry, "no-water", HOUSE, "caution", dry)


def _dark(light: Light) -> Iterator[GoneWrong]:
    unsafe = light.pieces.machine.plan.unsafe
    severity: Severity = "fail" if unsafe else "caution"
    sentences = {
        "flow": "More water passed the chamber than it is rated for.",
        "water": "The water that passed the chamber was darker than it is rated for.",
        "lamp": "The lamp was older than the rating allows for: it glowed, but gave less light than is counted on.",
        "unlit": "Water passed the chamber while its lamp had no light, and nothing shut it off.",
    }
    for cause, sentence in sentences.items():
        code = "unlit" if cause == "unlit" else f"outside-rating-{cause}"
        yield from _first(light.pieces, light.outside(cause), code, light.node, severity, sentence)
    yield from _filmed(light, severity)


def _filmed(light: Light, severity: Severity) -> Iterator[GoneWrong]:
    low, high = light.ageing.band
    soonest, latest = (light.pieces.first(light.outside("film", band) > 0.0) for band in (high, low))
    if soonest is not None:
        months = (soonest / _MONTH, np.inf if latest is None else latest / _MONTH)
        told = "A film on the sleeve took more light than the rating allows for. Real rates must come from the sensor and from looking at the sleeve."
        yield GoneWrong("outside-rating-film", light.node, severity, None, told, months)


def _first(pieces: Pieces, seconds: Array, code: str, stage: str, severity: Severity, sentence: str) -> Iterator[GoneWrong]:
    start = pieces.first(seconds > 1e-6)
    if start is not None:
        yield GoneWrong(code, stage, severity, start / DAY, sentence)


__all__ = ["Condition", "Judged", "conditions", "gone_wrong", "judge"]
