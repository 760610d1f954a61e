"""One line of a strip chart: a course of a run in the shown unit, the band of a teaching picture, and what is wanted of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from trainapp import units
from trainapp.stages.working import Array
from trainapp.studies.year import Courses, Quantity, Year
from trainapp.studies.year.goals import conditions_of
from trainapp.train.zones import HOUSE
from trainapp.units import System
from trainapp.water.analytes import BY_KEY

#: Days from which down a course is read by the minute.
FINE_DAYS = 3
_BARE = frozenset({"none"})
#: Quantities of which the least of a day is the worst, beside analytes that are bad when low.
_LEAST = frozenset({"pressure", "dose_credited", "dose_estimate", "dose_mean", "lamp", "film", "ph"})


class ChartError(ValueError):
    """A chart that cannot be drawn; its text is the sentence."""


@dataclass(frozen=True, slots=True)
class Line:
    """What one line of a chart shows: a name for its end, a run, and a quantity of it (see `Year.quantities`)."""

    name: str
    year: Year
    at: str
    key: str

    @property
    def quantity(self) -> Quantity:
        """The quantity.

        Raises:
            ChartError: the run has no such quantity.
        """
        return quantity_of(self.year, self.at, self.key)


@dataclass(frozen=True, slots=True)
class Series:
    """A line ready to be drawn, arrays in the shown unit, shape (slots,), NaN where there is no value.

    Attributes:
        values: the course itself. low, high: the band of a teaching picture, else None; it has no line of its own.
        start, step: hours since the start of the run at which the first slot begins, and hours of a slot.
    """

    name: str
    quantity: Quantity
    values: Array
    low: Array | None
    high: Array | None
    start: float
    step: float

    @property
    def illustrative(self) -> bool:
        """Whether it is a teaching picture."""
        return self.low is not None

    @property
    def hours(self) -> Array:
        """Hours since the start of the run at the middle of each slot, shape (slots,)."""
        return np.asarray(self.start + (np.arange(len(self.values)) + 0.5) * self.step)

    @property
    def most(self) -> float:
        """The greatest value that is drawn, 0 where there is none."""
        top = self.values if self.high is None else self.high
        return float(np.nanmax(top)) if np.isfinite(top).any() else 0.0

    @property
    def of_day(self) -> str:
        """Which value of a day stands for it where a day has one: the worst, or the last of what grows."""
        key = self.quantity.key
        if key.startswith("stock_"):
            return "last"
        if key in _LEAST or (key in BY_KEY and BY_KEY[key].adverse == "low"):
            return "lowest"
        return "highest"

    def by_day(self) -> Series:
        """The same with one value a day, the one that stands for it."""
        ends = (None if course is None else self._days(course) for course in (self.low, self.high))
        return replace(self, values=self._days(self.values), low=next(ends), high=next(ends), step=24.0)

    def _days(self, course: Array) -> Array:
        by_day = course.reshape(-1, round(24.0 / self.step))
        if self.of_day == "last":
            return np.asarray(by_day[:, -1])
        lowest = self.of_day == "lowest"
        filled = np.where(np.isnan(by_day), np.inf if lowest else -np.inf, by_day)
        found = filled.min(axis=1) if lowest else filled.max(axis=1)
        return np.where(np.isinf(found), np.nan, found)

    def at(self, hour: float) -> tuple[float, float] | None:
        """Least and most at an hour, alike where it is no band; None where there is no value."""
        slot = min(max(int((hour - self.start) / self.step), 0), len(self.values) - 1)
        low, high = (self.values, self.values) if self.low is None or self.high is None else (self.low, self.high)
        found = float(low[slot]), float(high[slot])
        return found if np.isfinite(found).all() else None


def choices(year: Year) -> tuple[Quantity, ...]:
    """What a chart of a run can show, in flow order; the ends of a band are no choice of their own."""
    return tuple(quantity for quantity in year.quantities() if not quantity.key.endswith(("_slow", "_fast")))


def place_name(year: Year, at: str) -> str:
    """What a place is called: "house", "Softener", "Softener (left)" where there are several."""
    stages = year.machine.plan.stages
    if at not in stages:
        return at.replace("_", " ").replace("-", " ")
    label, kind = stages[at].spec.label, stages[at].spec.kind
    return label if sum(stage.spec.kind == kind for stage in stages.values()) == 1 else f"{label} ({at})"


def quantity_of(year: Year, at: str, key: str) -> Quantity:
    """A quantity of a run.

    Raises:
        ChartError: there is none, with what there is instead.
    """
    told = choices(year)
    found = next((quantity for quantity in told if (quantity.at, quantity.key) == (at, key)), None)
    if found is not None:
        return found
    places = list(dict.fromkeys(quantity.at for quantity in told))
    if at not in places:
        raise ChartError(f'"{at}" is no place of this train; there are {", ".join(places)}')
    raise ChartError(f'{at} has no "{key}"; it has {", ".join(quantity.key for quantity in told if quantity.at == at)}')


def series_of(line: Line, system: System, window: tuple[int, int] | None = None) -> Series:
    """A line of a run, or of some days of it.

    Args:
        window: (first day, days); a few days are read by the minute.

    Raises:
        ChartError: no such quantity, or days that the run has not.
    """
    quantity, courses, start, step, part = line.quantity, line.year.courses, 0.0, 1.0, slice(None)
    if window is not None:
        first, days = days_of(line.year, window)
        start = first * 24.0
        if days <= FINE_DAYS:
            courses, step = line.year.zoom(first, days), 1.0 / 60.0
        else:
            part = slice(first * 24, (first + days) * 24)
    values = _shown(courses.of(line.at, line.key)[part], quantity.dimension, system)
    low = high = None
    if quantity.illustrative:
        ends = [_shown(course[part], quantity.dimension, system) for course in _band(line.year, courses, quantity)]
        low, high = np.minimum(*ends), np.maximum(*ends)
    return Series(line.name, quantity, values, low, high, start, step)


def days_of(year: Year, window: tuple[int, int]) -> tuple[int, int]:
    """A window held to a run.

    Raises:
        ChartError: it begins beyond its end.
    """
    whole, (first, days) = year.pieces.slots // 24, window
    if not 0 <= first < whole or days < 1:
        raise ChartError(f"{days} days from day {first} on are not in a run of {whole} days")
    return first, min(days, whole - first)


def _band(year: Year, courses: Courses, quantity: Quantity) -> tuple[Array, Array]:
    """Both ends of a teaching picture: of a film that grows fast and slowly, else from nothing to what the picture gives."""
    own = courses.of(quantity.at, quantity.key)
    known = {q.key for q in year.quantities() if q.at == quantity.at}
    if f"{quantity.key}_slow" in known:
        return courses.of(quantity.at, f"{quantity.key}_slow"), courses.of(quantity.at, f"{quantity.key}_fast")
    light = year.lights.get(quantity.at)
    if quantity.key.startswith("stock_") and light is not None:
        slow, fast = light.ageing.band
        return own * slow, own * fast
    return np.where(np.isnan(own), np.nan, 0.0), own


def _shown(values: Array, dimension: str, system: System) -> Array:
    return values if dimension in _BARE else np.asarray(units.convert(values, dimension, system))


def unit_of(dimension: str, system: System) -> str:
    """The unit of a chart's axis, "" for none."""
    return "" if dimension in _BARE else units.typeset(units.unit(dimension, system))


def shown(value: float, quantity: Quantity, system: System) -> str:
    """A value of a chart, given in its unit, as it is printed, without the unit."""
    dimension = quantity.dimension
    if dimension == "fraction":
        return f"{value:.0f}"
    text = units.show(units.internal(value, dimension, system), dimension, system, analyte=quantity.key)
    return units.typeset(text.removesuffix(f" {units.unit(dimension, system)}"))


# What is wanted -------------------------------------------------------------------------------------------------------------------


def wanted(line: Line, system: System) -> float | None:
    """What is wanted of a quantity, in the shown unit: the goal at the house, a chamber's rating; None where nothing is."""
    found, dimension = _wanted(line), line.quantity.dimension
    return None if found is None else float(units.convert(found, dimension, system))


def _wanted(line: Line) -> float | None:
    plan, at, key = line.year.machine.plan, line.at, line.key
    light = line.year.lights.get(at)
    if light is not None:
        own = {"dose_credited": light.ageing.rated_dose, "dose_estimate": light.ageing.rated_dose, "dose_mean": light.ageing.rated_dose}
        return {**own, "flow": light.ageing.rated_flow * light.ageing.stage.count, "lamp": light.ageing.lamp_end}.get(key)
    if at != HOUSE:
        return None
    if key == "pressure":
        return plan.goal_pressure
    limits = [limit for c in conditions_of(line.year.machine) if c.analyte == key for limit in (c.maximum, c.minimum) if limit is not None]
    return limits[0] if limits and key in BY_KEY else None


__all__ = ["ChartError", "Line", "Series", "choices", "days_of", "place_name", "quantity_of", "series_of", "shown", "unit_of", "wanted"]
