"""Strip charts of a year of service: one quantity, up to four lines, labelled at their right ends.

Of a teaching picture only its band is drawn, with the word for it inside the chart and months of use along the axis, never a date.
"""

from __future__ import annotations

from collections.abc import Sequence

from trainapp.reports.drawing.display import Display, Measure, Shape
from trainapp.reports.drawing.layers import moved
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.year_series import ChartError, Line, Series, choices, place_name, quantity_of, series_of
from trainapp.reports.year_strip import BY_DAY, Strip
from trainapp.studies.year import Year
from trainapp.units import System

#: Lines of one chart at the most.
MOST_LINES = 4

Window = tuple[int, int]


def strip_chart(
    lines: Sequence[Line],
    *,
    width: float,
    height: float,
    system: System = "us",
    measure: Measure = measure_dejavu,
    hour: float | None = None,
    day_window: Window | None = None,
    scale: float = 1.0,
    margins: tuple[float, float] = (0.0, 0.0),
    undated: bool = False,
) -> Display:
    """One chart as a display list on a page.

    Args:
        lines: one to four of one quantity, of one run or of two on one clock. height: about a third of `width` looks well.
        hour: hours since the start at which a cursor stands and whose values the labels tell.
        day_window: (first day, days) to show instead of the whole run. scale: of type and lines, 1.8 for a class.
        margins: px left and right of the lines at the least, see :func:`margins_of`.
        undated: months of use along the axis, as in a picture beside it that shows no date (:func:`year_moment.undated`).

    Raises:
        ChartError: no line or too many, lines of unlike units, no such quantity, or days that the run has not.
    """
    made = _strip(lines, (width, height), system, measure, hour, day_window, scale)
    made.margins, made.undated = margins, undated
    return Display(width, height, made.draw(), "page")


def strip_charts(
    rows: Sequence[Sequence[Line]],
    *,
    width: float,
    height: float,
    system: System = "us",
    measure: Measure = measure_dejavu,
    hour: float | None = None,
    day_window: Window | None = None,
    scale: float = 1.0,
    undated: bool = False,
) -> Display:
    """Charts below one another, each `height` px high; arguments as of :func:`strip_chart`. One without dates leaves them out of all."""
    made = [_strip(lines, (width, height), system, measure, hour, day_window, scale) for lines in rows]
    margins, undated = _shared(made), undated or any(strip.illustrative for strip in made)
    items: list[Shape] = []
    for i, strip in enumerate(made):
        strip.margins, strip.undated = margins, undated
        items += moved(strip.draw(), 0.0, i * height)
    return Display(width, height * len(rows), items, "page")


def margins_of(
    rows: Sequence[Sequence[Line]],
    *,
    width: float,
    system: System = "us",
    measure: Measure = measure_dejavu,
    day_window: Window | None = None,
) -> tuple[float, float]:
    """Px left and right of the lines that charts below one another need, so that their hours stand in one vertical line.

    Raises:
        ChartError: as of :func:`strip_chart`.
    """
    return _shared([_strip(lines, (width, width), system, measure, None, day_window, 1.0) for lines in rows])


def _shared(strips: Sequence[Strip]) -> tuple[float, float]:
    needs = [strip.needed() for strip in strips]
    return max((left for left, _ in needs), default=0.0), max((right for _, right in needs), default=0.0)


def _strip(
    lines: Sequence[Line],
    size: tuple[float, float],
    system: System,
    measure: Measure,
    hour: float | None,
    window: Window | None,
    scale: float,
) -> Strip:
    made = [series_of(line, system, window) for line in lines]
    _check(made)
    if max(len(series.values) * series.step for series in made) > BY_DAY:
        # by the hour a longer stretch is a smear
        made = [series.by_day() for series in made]
    return Strip(lines, made, size, system, measure, hour, scale)


def charts_of(years: Sequence[tuple[str, Year]], shown: Sequence[tuple[str, str]]) -> list[list[Line]]:
    """Lines for (place, quantity) of one run, or of each of two on one clock: places of one quantity share a chart.

    Args:
        years: each with its name, "" for the only one.

    Raises:
        ChartError: no run has such a quantity.
    """
    rows: dict[str, list[tuple[str, str, Year]]] = {}
    for at, key in dict.fromkeys(shown):
        found = [(name, year) for name, year in years if any((q.at, q.key) == (at, key) for q in choices(year))]
        if not found:
            quantity_of(years[0][1], at, key)
        for name, year in found:
            rows.setdefault(key, []).append((name, at, year))
    return [
        [Line(_name(*row, part), row[2], row[1], key) for row in part]
        for key, found in rows.items()
        for part in (found[i : i + MOST_LINES] for i in range(0, len(found), MOST_LINES))
    ]


def _name(name: str, at: str, year: Year, row: Sequence[tuple[str, str, Year]]) -> str:
    """What a line is called at its end: its train where the place is one, its place where the train is one, else both."""
    place = place_name(year, at)
    return name if name and len({other for _, other, _ in row}) == 1 else ", ".join(filter(None, (place, name)))


def usual(year: Year) -> list[tuple[str, str]]:
    """What is worth a chart in any run: pressure and hardness at the house, and what a chamber's rating leaves."""
    wished = [("house", "pressure"), ("house", "hardness"), ("house", "iron"), *((node, "dose_credited") for node in year.lights)]
    there = {(quantity.at, quantity.key) for quantity in choices(year)}
    return [row for row in wished if row in there]


def _check(made: Sequence[Series]) -> None:
    if not 1 <= len(made) <= MOST_LINES:
        raise ChartError(f"{len(made)} lines: a chart takes 1 to {MOST_LINES}")
    first = made[0].quantity
    for other in (series.quantity for series in made):
        if other.dimension != first.dimension:
            raise ChartError(f"{first.label} and {other.label} do not share a chart: their units differ")


__all__ = ["MOST_LINES", "ChartError", "Line", "charts_of", "choices", "margins_of", "strip_chart", "strip_charts", "usual"]
