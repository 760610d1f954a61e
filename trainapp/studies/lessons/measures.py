"""What a lesson reads out of a check or a year: never typed by hand, always a number of the engine."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol, cast

import numpy as np

from trainapp.checks.flow_controls import flow_judged
from trainapp.dimensions import HOUR, YEAR
from trainapp.stages.working import FLOWS, Array, FlowName
from trainapp.studies.lessons.errors import LessonError
from trainapp.studies.lessons.numbers import Number
from trainapp.studies.year import Totals, Year
from trainapp.train.errors import quoted
from trainapp.train.evaluation import Evaluation
from trainapp.water.analytes import BY_KEY
from trainapp.water.stream import ADVERSE, FAVOURABLE

_PRESSURES = ("pressure_clean", "pressure_dirty", "pressure_lowest")
_WASHES = ("backwash_wanted", "backwash_given")
#: Courses of the bench's picture, as shares.
_SHARES: Mapping[str, str] = {
    "share_fill": "Capacity that is left",
    "share_clog": "Dirt on the way to when it is due",
    "share_store": "Salt or chemical that is left",
}
#: Illustrative courses that have a band, and those that are its slow and its fast end.
_BANDS: Mapping[str, tuple[str, str]] = {
    "dose_credited": ("dose_credited_slow", "dose_credited_fast"),
    "film": ("film_slow", "film_fast"),
}
#: Of the illustrative courses, those that the film's light is a factor of.
_BEHIND_FILM = ("dose_estimate", "dose_mean")


class Wanted(Protocol):
    """What measure and watch have in common."""

    @property
    def at(self) -> str: ...
    @property
    def key(self) -> str: ...
    @property
    def where(self) -> str: ...
    @property
    def flow(self) -> str: ...
    @property
    def of_day(self) -> str: ...


@dataclass(frozen=True, slots=True)
class Course:
    """One quantity by the day, arrays of shape (days,); `low` and `high` are its band, None where it is one line."""

    values: Array
    low: Array | None
    high: Array | None
    dimension: str
    illustrative: bool
    analyte: str = ""

    def at(self, day: int) -> Number:
        """One day's number."""
        value = float(self.values[day])
        low, high = (value if end is None else float(end[day]) for end in (self.low, self.high))
        return Number(value, min(low, high), max(low, high), self.dimension, self.illustrative, self.analyte)


# A check ------------------------------------------------------------------------------------------------------------------------


def of_check(evaluation: Evaluation, wanted: Wanted) -> Number:
    """A number of one moment, by the adverse reading of the sample.

    Raises:
        LessonError: no such place or number; the place in the lesson is left to the caller ("at" or "key").
    """
    at, key = wanted.at, wanted.key
    if at not in evaluation.points:
        raise LessonError("at", f"{quoted(at)} is not a place of this train; there are {', '.join(evaluation.points)}")
    point, stage, flow = evaluation.points[at], evaluation.stages.get(at), FLOWS.index(cast("FlowName", wanted.flow))
    if key in BY_KEY and BY_KEY[key].dimension != "state":
        water = stage.inlet if stage is not None and wanted.where == "into" else point.water
        rows = np.broadcast_to(water.get(key), (2, len(FLOWS), water.waters))
        value, other = float(rows[ADVERSE, flow, 0]), float(rows[FAVOURABLE, flow, 0])
        if getattr(wanted, "reading", "adverse") == "adverse":
            other = value
        return Number(value, min(value, other), max(value, other), BY_KEY[key].dimension, analyte=key)
    if key == "flow":
        # through a chamber it is judged as the check judges it: a separate control at the upper end of its band
        lit = stage is not None and "disinfection" in stage.stage.spec.tags
        return Number.of(float((flow_judged(evaluation, at) if lit else point.flow)[flow]), "flow")
    if key in _PRESSURES:
        return Number.of(float(getattr(point.pressure, key.removeprefix("pressure_"))), "pressure")
    if stage is not None and key in _WASHES and stage.cleaning is not None:
        given = stage.backwash_available if key == "backwash_given" else stage.cleaning.flow
        return Number.of(np.nan if given is None else float(given), "flow")
    results = {} if stage is None else stage.working.results
    if key in results:
        found = results[key]
        value = np.broadcast_to(found.value, np.broadcast_shapes(found.value.shape, (2, len(FLOWS), 1)))[ADVERSE, flow, 0]
        return Number.of(float(value), found.dimension)
    known = ["flow", *_PRESSURES, *(_WASHES if stage is not None and stage.cleaning is not None else ()), *results]
    raise LessonError("key", f"{quoted(key)} is neither an analyte nor a number of {at}: {', '.join(known)}")


# A year, by the day ---------------------------------------------------------------------------------------------------------------


def of_year(year: Year, wanted: Wanted) -> Course:
    """A quantity by the day.

    Raises:
        LessonError: no such place or quantity ("at" or "key").
    """
    at, key = wanted.at, wanted.key
    if at not in year.machine.plan.order:
        raise LessonError("at", f"{quoted(at)} is not a place of this train; there are {', '.join(year.machine.plan.order)}")
    if key in _SHARES:
        return _share(year, at, key, wanted.of_day)
    known = {quantity.key: quantity for quantity in year.quantities() if quantity.at == at}
    if key not in known:
        raise LessonError("key", f"{quoted(key)} is not a course of {at}: {', '.join([*known, *_SHARES])}")
    values, (low, high) = year.course(at, key), _band(year, at, key)
    by_day = [None if course is None else daily(course, wanted.of_day) for course in (values, low, high)]
    assert by_day[0] is not None
    analyte = key if key in BY_KEY else ""
    return Course(by_day[0], by_day[1], by_day[2], known[key].dimension, low is not None, analyte)


def _share(year: Year, at: str, key: str, of_day: str) -> Course:
    if at not in year.machine.ageings:
        raise LessonError("at", f"{quoted(at)} does not age")
    hourly: Array | None = getattr(year.stage(at), key.removeprefix("share_"))
    if hourly is None:
        raise LessonError("key", f"{quoted(key)} is nothing that {at} has")
    return Course(daily(hourly, of_day), None, None, "fraction", False)


def _band(year: Year, at: str, key: str) -> tuple[Array | None, Array | None]:
    """Both ends of an illustrative course's band by the hour, None twice where it has none."""
    if key in _BANDS:
        low, high = (year.course(at, end) for end in _BANDS[key])
        return low, high
    if key in _BEHIND_FILM:
        film, value = year.course(at, "film"), year.course(at, key)
        low, high = (value * year.course(at, end) / film for end in _BANDS["film"])
        return low, high
    return None, None


def daily(hourly: Array, of_day: str) -> Array:
    """One value a day of a course by the hour, shape (days,); a day without any keeps the day before."""
    values = hourly.reshape(-1, 24)
    if of_day == "last":
        made = values[:, -1]
    else:
        known = np.isfinite(values)
        filler = {"least": np.inf, "most": -np.inf, "mean": 0.0}[of_day]
        filled = np.where(known, values, filler)
        if of_day == "mean":
            made = filled.sum(axis=1) / np.maximum(known.sum(axis=1), 1)
        else:
            made = filled.min(axis=1) if of_day == "least" else filled.max(axis=1)
        made = np.where(known.any(axis=1), made, np.nan)
    place = np.maximum.accumulate(np.where(np.isnan(made), 0, np.arange(len(made))))
    return np.asarray(made[place])


def day_of(month: float, days: int) -> int:
    """The day of a run, from 0, in which a month of it ends; 0 is its first day."""
    return int(np.clip(np.ceil(month * YEAR / 12 / (24 * HOUR)) - 1, 0, days - 1))


def taken(course: Course, take: str, month: float) -> tuple[Number, int]:
    """The day's number that counts, and that day."""
    values = course.values
    known = np.isfinite(values)
    if take == "month" or not known.any():
        day = day_of(month, len(values))
    elif take == "last":
        day = len(values) - 1
    elif take == "mean":
        ends = [None if end is None else float(np.nanmean(end)) for end in (course.low, course.high)]
        mean = float(np.nanmean(values))
        low, high = (mean if end is None else end for end in ends)
        return Number(mean, min(low, high), max(low, high), course.dimension, course.illustrative, course.analyte), len(values) - 1
    else:
        day = int(np.nanargmin(values) if take == "least" else np.nanargmax(values))
    return course.at(day), day


# Totals ---------------------------------------------------------------------------------------------------------------------------

_TOTALS: Mapping[str, tuple[str, Callable[[Totals], float]]] = {
    "salt": ("mass", lambda t: t.salt),
    "drained_water": ("volume", lambda t: t.drained_water),
    "house_water": ("volume", lambda t: t.house_water),
    "regenerations": ("pieces", lambda t: t.regenerations),
    "washes": ("pieces", lambda t: t.washes),
    "cartridges": ("pieces", lambda t: t.cartridges),
    "lamps": ("pieces", lambda t: t.lamps),
    "lowest_pressure": ("pressure", lambda t: t.lowest_pressure),
    "hours_low_pressure": ("hours", lambda t: t.low_pressure_hours),
    "hours_dry": ("hours", lambda t: t.dry_hours),
    "hours_drawn": ("hours", lambda t: t.drawn_hours),
    "hours_unlit": ("hours", lambda t: t.hours_unlit),
    "hours_outside_rating_sure": ("hours", lambda t: max((light.sure for light in t.lights.values()), default=0.0)),
    "energy": ("energy", lambda t: t.energy_lamp + t.energy_pump),
}
_JUDGED = "hours_"


def of_total(year: Year, key: str) -> Number:
    """A number of the whole run.

    Raises:
        LessonError: no such number ("key").
    """
    totals = year.totals
    if key == "hours_outside_rating":
        worst = max(totals.lights.values(), key=lambda light: light.outside, default=None)
        return Number.of(0.0, "hours") if worst is None else Number(worst.outside, min(worst.band), max(worst.band), "hours", True)
    if key in _TOTALS:
        dimension, read = _TOTALS[key]
        return Number.of(float(read(totals)), dimension)
    if key.removeprefix(_JUDGED) in totals.judged:
        return Number.of(float(totals.judged[key.removeprefix(_JUDGED)]), "hours")
    known = [*_TOTALS, "hours_outside_rating", *(_JUDGED + name for name in totals.judged)]
    raise LessonError("key", f"{quoted(key)} is not a total of a year: {', '.join(known)}")


__all__ = ["Course", "Wanted", "daily", "day_of", "of_check", "of_total", "of_year", "taken"]
