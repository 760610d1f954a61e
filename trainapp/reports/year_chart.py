"""Strip charts of a year of service: one quantity, up to four lines, labelled at their right ends.

Of a teaching picture only its band is drawn, with the word for it inside the chart and months of use along the axis, never a date.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from trainapp.reports.drawing.display import Box, Circle, Dash, Display, Group, Measure, Point, Polyline, Rect, Shape, Text
from trainapp.reports.drawing.display import Line as Stroke
from trainapp.reports.drawing.layers import moved
from trainapp.reports.drawing.measure import measure_dejavu, shorten
from trainapp.reports.drawing.staircase import round_ticks, spaced
from trainapp.reports.drawing.tokens import BODY, CAPTION, DIRTY_DASH, DOTTED, LOWEST_DASH
from trainapp.reports.year_axis import Tick, ticks_of
from trainapp.reports.year_moment import ILLUSTRATIVE_WORD
from trainapp.reports.year_series import ChartError, Line, Series, choices, series_of, shown, unit_of, wanted
from trainapp.stages.working import Array
from trainapp.studies.year import Year
from trainapp.units import System

#: Lines of one chart at the most, the token of each and its dash: a line is told by both.
MOST_LINES = 4
_TOKENS = ("series1", "series2", "series3", "series4")
_DASHES: tuple[Dash, ...] = ((), DIRTY_DASH, (2.0, 2.0), LOWEST_DASH)
_LINE = 1.5

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
) -> Display:
    """One chart as a display list on a page.

    Args:
        lines: one to four of one quantity, of one run or of two on one clock. height: about a third of `width` looks well.
        hour: hours since the start at which a cursor stands and whose values the labels tell.
        day_window: (first day, days) to show instead of the whole run. scale: of type and lines, 1.8 for a class.

    Raises:
        ChartError: no line or too many, lines of unlike units, no such quantity, or days that the run has not.
    """
    made = [series_of(line, system, day_window) for line in lines]
    _check(made)
    chart = _Chart(lines, made, (width, height), system, measure, hour, scale)
    return Display(width, height, chart.draw(), "page")


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
) -> Display:
    """Charts below one another, each `height` px high; arguments as of :func:`strip_chart`."""
    items: list[Shape] = []
    for i, lines in enumerate(rows):
        chart = strip_chart(
            lines, width=width, height=height, system=system, measure=measure, hour=hour, day_window=day_window, scale=scale
        )
        items += moved(chart.items, 0.0, i * height)
    return Display(width, height * len(rows), items, "page")


def charts_of(years: Sequence[tuple[str, Year]], shown: Sequence[tuple[str, str]]) -> list[list[Line]]:
    """Lines for (place, quantity) of one run, or of each of two on one clock: places of one quantity share a chart.

    Args:
        years: each with its name, "" for the only one.

    Raises:
        ChartError: no run has such a quantity.
    """
    rows: dict[str, list[Line]] = {}
    for at, key in dict.fromkeys(shown):
        found = [(name, year) for name, year in years if any((q.at, q.key) == (at, key) for q in choices(year))]
        if not found:
            Line("", years[0][1], at, key).quantity  # noqa: B018 says what there is
        for name, year in found:
            rows.setdefault(key, []).append(Line(", ".join(filter(None, (at, name))), year, at, key))
    return [lines[i : i + MOST_LINES] for lines in rows.values() for i in range(0, len(lines), MOST_LINES)]


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


@dataclass(slots=True)
class _Chart:
    """Lays one chart out."""

    lines: Sequence[Line]
    series: Sequence[Series]
    size: tuple[float, float]
    system: System
    measure: Measure
    hour: float | None
    scale: float

    # Frame ----------------------------------------------------------------------------------------------------------------------------

    @property
    def _caption(self) -> float:
        return CAPTION * self.scale

    @property
    def illustrative(self) -> bool:
        """Whether any line is a teaching picture: then the axis carries no date."""
        return any(series.illustrative for series in self.series)

    def draw(self) -> list[Shape]:
        goal = next((found for line in self.lines if (found := wanted(line, self.system)) is not None), None)
        ticks = round_ticks(max([*(series.most for series in self.series), goal or 0.0]))
        plot = self._plot(ticks, goal)
        grid = [Stroke(plot.x, self._y(t, ticks, plot), plot.right, self._y(t, ticks, plot), "edge" if t == 0 else "hair") for t in ticks]
        items: list[Shape] = [*self._title(plot), *grid, *self._axis(ticks, plot)]
        items += self._drawn(ticks, plot)
        if goal is not None:
            items.append(
                Stroke(plot.x, self._y(goal, ticks, plot), plot.right, self._y(goal, ticks, plot), "ink2", 1.2 * self.scale, DOTTED)
            )
        items += self._word(ticks, plot)
        items += self._cursor(ticks, plot)
        return [*items, *self._labels(ticks, plot, goal)]

    def _plot(self, ticks: Sequence[float], goal: float | None) -> Box:
        """The area of the lines, px."""
        pad, caption = 8.0 * self.scale, self._caption
        left = max(self.measure(f"{tick:g}", caption, False) for tick in ticks) + 2 * pad
        words = [self.measure(text, caption, True) for text in self._ends_words(goal)]
        right = min(max(words) + 2 * pad, 0.4 * self.size[0])
        top, below = BODY * self.scale + 2 * pad, caption + 1.25 * pad
        return Box(left, top, max(self.size[0] - left - right, 40.0), max(self.size[1] - top - below, 20.0))

    @property
    def _span(self) -> tuple[float, float]:
        """Hours at both ends of the axis."""
        first = self.series[0]
        return first.start, first.start + max(len(s.values) * s.step for s in self.series)

    def _x(self, hour: float, plot: Box) -> float:
        start, end = self._span
        return plot.x + (hour - start) / (end - start) * plot.w

    def _y(self, value: float, ticks: Sequence[float], plot: Box) -> float:
        return plot.bottom - min(max(value, 0.0) / ticks[-1], 1.0) * plot.h

    def _title(self, plot: Box) -> list[Shape]:
        quantity, size = self.series[0].quantity, BODY * self.scale
        unit = unit_of(quantity.dimension, self.system)
        room = self.size[0] - 16.0 * self.scale - self.measure(f" {unit}", self._caption, False)
        label = shorten(_title_of(self.series), room, size, True, self.measure)
        x, y = 8.0 * self.scale, plot.y - 8.0 * self.scale
        return [
            Text(x, y, label, "ink", size, "start", True),
            *([Text(x + self.measure(label, size, True) + 6.0 * self.scale, y, unit, "ink3", self._caption)] if unit else []),
        ]

    def _axis(self, ticks: Sequence[float], plot: Box) -> list[Shape]:
        """Figures left of the grid, and time under it."""
        caption, pad = self._caption, 8.0 * self.scale
        items: list[Shape] = [
            Text(plot.x - pad, self._y(tick, ticks, plot) + 0.36 * caption, f"{tick:g}", "ink2", caption, "end") for tick in ticks
        ]
        right = -1e9
        for tick in self._time(plot):
            x = self._x(tick.hour, plot)
            width = self.measure(tick.text, caption, False)
            left = min(max(x - width / 2, plot.x - pad), self.size[0] - width)
            items.append(Stroke(x, plot.bottom, x, plot.bottom + 3.0 * self.scale, "edge"))
            if tick.text and left > right + pad:
                items.append(Text(left, plot.bottom + caption + 0.5 * pad, tick.text, "ink2", caption))
                right = left + width
        return items

    def _time(self, plot: Box) -> list[Tick]:
        room = int(plot.w // (46.0 * self.scale))
        return ticks_of(self.lines[0].year, self._span, max(room, 2), self.illustrative)

    # Lines ----------------------------------------------------------------------------------------------------------------------------

    def _drawn(self, ticks: Sequence[float], plot: Box) -> list[Shape]:
        """Bands under everything, then the edges of bands and the lines."""
        under: list[Shape] = []
        over: list[Shape] = []
        for i, series in enumerate(self.series):
            token, dash = _TOKENS[i], tuple(part * self.scale for part in _DASHES[i])
            if series.low is None or series.high is None:
                for run in self._runs(series, series.values, ticks, plot):
                    over.append(Polyline(tuple(run), token, _LINE * self.scale, dash, round=True))
                continue
            lows, highs = (list(self._runs(series, course, ticks, plot)) for course in (series.low, series.high))
            for low, high in zip(lows, highs, strict=True):
                under.append(Polyline((*high, *reversed(low)), "", fill="well", closed=True))
                over += [Polyline(tuple(run), token, self.scale, dash, round=True) for run in (low, high)]
        return [Group(under + over, ("chart", self.series[0].quantity.key), "", _title_of(self.series), (plot,), clip=plot.grown(2.0))]

    def _runs(self, series: Series, course: Array, ticks: Sequence[float], plot: Box) -> list[list[Point]]:
        """Unbroken stretches of a course in px; where many values fall on one px its least and greatest stand for them."""
        buckets = np.minimum((series.hours - self._span[0]) / (self._span[1] - self._span[0]) * plot.w, plot.w - 1e-6).astype(np.intp)
        runs: list[list[Point]] = []
        if len(course) <= 2 * plot.w:
            places = [(hour, value) for hour, value in zip(series.hours.tolist(), course.tolist(), strict=True)]
            return _split([(self._x(h, plot), None if v != v else self._y(v, ticks, plot)) for h, v in places])
        edges = np.searchsorted(buckets, np.arange(buckets[-1] + 2))
        points: list[tuple[float, float | None]] = []
        for bucket, (first, last) in enumerate(zip(edges[:-1], edges[1:], strict=True)):
            part = course[first:last]
            known = part[np.isfinite(part)]
            x = plot.x + bucket + 0.5
            if not len(part):
                continue
            if not len(known):
                points.append((x, None))
                continue
            low, high = float(known.min()), float(known.max())
            falls = int(np.nanargmax(part)) < int(np.nanargmin(part))
            points += [(x, self._y(v, ticks, plot)) for v in ((high, low) if falls else (low, high))[: 1 if low == high else 2]]
        return runs + _split(points)

    # Words ----------------------------------------------------------------------------------------------------------------------------

    def _word(self, ticks: Sequence[float], plot: Box) -> list[Shape]:
        """The word for a teaching picture, in the corner where it covers least."""
        if not self.illustrative:
            return []
        size = self._caption
        width, pad = self.measure(ILLUSTRATIVE_WORD, size, False), 4.0 * self.scale
        high = size + pad
        corners = [
            Box(x, y, width + 2 * pad, high)
            for y in (plot.y + pad, plot.bottom - high - pad)
            for x in (plot.right - width - 3 * pad, plot.x + pad, plot.x + (plot.w - width) / 2 - pad)
        ]
        box = min(corners, key=lambda corner: self._covers(corner, ticks, plot))
        ground = Rect(box.x, box.y, box.w, box.h, "page", "", 0.0, 3.0)
        return [ground, Text(box.x + pad, box.bottom - 0.5 * pad - 0.12 * size, ILLUSTRATIVE_WORD, "ink2", size)]

    def _covers(self, box: Box, ticks: Sequence[float], plot: Box) -> int:
        """How many values lie under a box."""
        count = 0
        for series in self.series:
            xs = plot.x + (series.hours - self._span[0]) / (self._span[1] - self._span[0]) * plot.w
            inside = (xs >= box.x) & (xs <= box.right)
            for course in (series.values, series.low, series.high):
                if course is not None:
                    ys = plot.bottom - np.clip(np.nan_to_num(course[inside]) / ticks[-1], 0.0, 1.0) * plot.h
                    count += int(((ys >= box.y) & (ys <= box.bottom)).sum())
        return count

    def _cursor(self, ticks: Sequence[float], plot: Box) -> list[Shape]:
        start, end = self._span
        if self.hour is None or not start <= self.hour <= end:
            return []
        x = self._x(self.hour, plot)
        items: list[Shape] = [Stroke(x, plot.y, x, plot.bottom, "accent", 1.5 * self.scale)]
        for series in self.series:
            at = series.at(self.hour)
            if at is not None:
                items += [
                    Circle(x, self._y(v, ticks, plot), 3.0 * self.scale, "page", "ink", _LINE * self.scale) for v in dict.fromkeys(at)
                ]
        return items

    def _ends_words(self, goal: float | None) -> list[str]:
        words = [self._label(series) for series in self.series]
        return words + ([f"wanted {shown(goal, self.series[0].quantity, self.system)}"] if goal is not None else [])

    def _label(self, series: Series) -> str:
        """Name of a line, and its value where a cursor stands."""
        at = None if self.hour is None else series.at(self.hour)
        if at is None:
            return series.name
        low, high = (shown(value, series.quantity, self.system) for value in at)
        return f"{series.name} {low}" if low == high else f"{series.name} {low}\u2013{high}"

    def _labels(self, ticks: Sequence[float], plot: Box, goal: float | None) -> list[Shape]:
        """Names at the right ends of the lines, in the order of their values."""
        ends = [(self._end(series), text, i) for i, (series, text) in enumerate(zip(self.series, self._ends_words(None), strict=True))]
        if goal is not None:
            ends.append((goal, self._ends_words(goal)[-1], -1))
        ends.sort(key=lambda end: -end[0])
        caption, pad = self._caption, 8.0 * self.scale
        tops = [self._y(value, ticks, plot) + 0.36 * caption for value, _, _ in ends]
        places = spaced(tops, 1.3 * caption, plot.y + 0.36 * caption, plot.bottom + 0.36 * caption)
        room = self.size[0] - plot.right - pad
        items: list[Shape] = []
        for (_, text, i), y in zip(ends, places, strict=True):
            x = plot.right + pad
            if i >= 0 and len(self.series) > 1:
                dash = tuple(part * self.scale for part in _DASHES[i])
                items.append(
                    Stroke(
                        x - 6.0 * self.scale,
                        y - 0.36 * caption,
                        x + 6.0 * self.scale,
                        y - 0.36 * caption,
                        _TOKENS[i],
                        _LINE * self.scale,
                        dash,
                    )
                )
                x += 9.0 * self.scale
            words = shorten(text, room - (x - plot.right - pad), caption, i >= 0, self.measure)
            items.append(Text(x, y, words, "ink" if i >= 0 else "ink2", caption, "start", i >= 0))
        return items

    def _end(self, series: Series) -> float:
        """Where a line ends: the middle of a band."""
        course = series.values if series.low is None or series.high is None else 0.5 * (series.low + series.high)
        known = course[np.isfinite(course)]
        return float(known[-1]) if len(known) else 0.0


def _title_of(series: Sequence[Series]) -> str:
    labels = list(dict.fromkeys(s.quantity.label for s in series))
    return ", ".join(labels)


def _split(points: Sequence[tuple[float, float | None]]) -> list[list[Point]]:
    """Stretches between gaps; one value alone is a stretch of a px."""
    runs: list[list[Point]] = [[]]
    for x, y in points:
        if y is None:
            if runs[-1]:
                runs.append([])
        else:
            runs[-1].append((x, y))
    return [run if len(run) > 1 else [(run[0][0] - 0.5, run[0][1]), (run[0][0] + 0.5, run[0][1])] for run in runs if run]


__all__ = ["MOST_LINES", "ChartError", "Line", "charts_of", "choices", "strip_chart", "strip_charts", "usual"]
