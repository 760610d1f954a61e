"""How one strip chart of a year of service is laid out: its frame, its lines or bands, its words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from trainapp.reports.drawing.display import Box, Circle, Dash, Group, Measure, Point, Polyline, Rect, Shape, Text
from trainapp.reports.drawing.display import Line as Stroke
from trainapp.reports.drawing.measure import shorten
from trainapp.reports.drawing.staircase import round_ticks, spaced
from trainapp.reports.drawing.tokens import BODY, CAPTION, DIRTY_DASH, DOTTED, LOWEST_DASH
from trainapp.reports.year_axis import Tick, ticks_of
from trainapp.reports.year_moment import ILLUSTRATIVE_WORD
from trainapp.reports.year_series import Line, Series, place_name, shown, unit_of, wanted
from trainapp.stages.working import Array
from trainapp.units import System

#: The token of each line and its dash: a line is told by both.
_TOKENS = ("series1", "series2", "series3", "series4")
_DASHES: tuple[Dash, ...] = ((), DIRTY_DASH, (2.0, 2.0), LOWEST_DASH)
_LINE = 1.5
#: How far the axis reaches over the greatest value, and hours from which on a day has one value.
_HEADROOM, BY_DAY = 1.04, 62 * 24.0
#: Kinds of quantity that end at 100.
_WHOLE = frozenset({"fraction", "uvt"})


@dataclass(slots=True)
class Strip:
    """Lays one chart out.

    Attributes:
        lines, series: what is drawn, and the same read. size: px. hour: where a cursor stands, None for none. scale: of type and lines.
        margins: px left and right of the area of the lines at the least: charts below one another share them.
        undated: whether what stands beside it tells months of use instead of dates; a teaching picture always does.
    """

    lines: Sequence[Line]
    series: Sequence[Series]
    size: tuple[float, float]
    system: System
    measure: Measure
    hour: float | None
    scale: float
    margins: tuple[float, float] = (0.0, 0.0)
    undated: bool = False

    # Frame ----------------------------------------------------------------------------------------------------------------------------

    @property
    def _caption(self) -> float:
        return CAPTION * self.scale

    @property
    def illustrative(self) -> bool:
        """Whether any line is a teaching picture: then the axis carries no date."""
        return any(series.illustrative for series in self.series)

    @property
    def goal(self) -> float | None:
        """What is wanted, in the shown unit."""
        return next((found for line in self.lines if (found := wanted(line, self.system)) is not None), None)

    @property
    def ticks(self) -> list[float]:
        """Figures of the axis; the highest line stays clear of the title."""
        most = max([*(series.most for series in self.series), self.goal or 0.0])
        whole = self.series[0].quantity.dimension in _WHOLE and most <= 100.0 * (1.0 + 1e-9)
        return [0.0, 50.0, 100.0] if whole and most > 50.0 else round_ticks(_HEADROOM * most)

    def needed(self) -> tuple[float, float]:
        """Px that figures left of the lines and names right of them need."""
        pad, caption = 8.0 * self.scale, self._caption
        left = max(self.measure(f"{tick:g}", caption, False) for tick in self.ticks) + 2 * pad
        words = max(self.measure(text, caption, True) for text in self._ends_words(self.goal))
        return left, min(words + 2 * pad + (15.0 * self.scale if len(self.series) > 1 else 0.0), 0.42 * self.size[0])

    def draw(self) -> list[Shape]:
        """The chart."""
        goal, ticks, plot = self.goal, self.ticks, self._plot()
        grid = [Stroke(plot.x, self._y(t, ticks, plot), plot.right, self._y(t, ticks, plot), "edge" if t == 0 else "hair") for t in ticks]
        items: list[Shape] = [*self._title(plot), *grid, *self._axis(ticks, plot)]
        items += self._drawn(ticks, plot)
        if goal is not None:
            y = self._y(goal, ticks, plot)
            items.append(Stroke(plot.x, y, plot.right, y, "ink2", 1.2 * self.scale, DOTTED))
        items += self._word(ticks, plot)
        items += self._cursor(ticks, plot)
        return [*items, *self._labels(ticks, plot, goal)]

    def _plot(self) -> Box:
        """The area of the lines, px."""
        pad, caption = 8.0 * self.scale, self._caption
        left, right = (max(need, margin) for need, margin in zip(self.needed(), self.margins, strict=True))
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
        size, unit = BODY * self.scale, unit_of(self.series[0].quantity.dimension, self.system)
        room = self.size[0] - 26.0 * self.scale - self.measure(unit, self._caption, False)
        label = shorten(self.title, room, size, True, self.measure)
        x, y = 8.0 * self.scale, plot.y - 8.0 * self.scale
        beside = x + self.measure(label, size, True) + 10.0 * self.scale
        return [
            Text(x, y, label, "ink", size, "start", True),
            *([Text(beside, y, unit, "ink3", self._caption)] if unit else []),
        ]

    @property
    def title(self) -> str:
        """What is drawn, where, and which value of a day stands for it."""
        labels = list(dict.fromkeys(series.quantity.label.removesuffix(", " + _of_hour(series.quantity.label)) for series in self.series))
        places = list(dict.fromkeys(place_name(line.year, line.at) for line in self.lines))
        of = self.series[0].of_day if self._by_day else _of_hour(self.series[0].quantity.label)
        words = f"{of} of each day" if self._by_day else of
        return ", ".join(filter(None, (" and ".join(labels), places[0] if len(places) == 1 else "", words)))

    @property
    def _by_day(self) -> bool:
        """Whether one value stands for each day."""
        return self.series[0].step >= 24.0

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
        return ticks_of(self.lines[0].year, self._span, max(room, 2), self.undated or self.illustrative)

    # Lines ----------------------------------------------------------------------------------------------------------------------------

    def _drawn(self, ticks: Sequence[float], plot: Box) -> list[Shape]:
        """Bands under everything, then the edges of bands and the lines."""
        under: list[Shape] = []
        over: list[Shape] = []
        for i, series in enumerate(self.series):
            token, dash = _TOKENS[i], tuple(part * self.scale for part in _DASHES[i])
            if series.low is None or series.high is None:
                runs = self._runs(series, series.values, ticks, plot)
                over += [Polyline(tuple(run), token, _LINE * self.scale, dash, round=True) for run in runs]
                continue
            lows, highs = (self._runs(series, course, ticks, plot) for course in (series.low, series.high))
            for low, high in zip(lows, highs, strict=True):
                under.append(Polyline((*high, *reversed(low)), "", fill="well", closed=True))
                over += [Polyline(tuple(run), token, self.scale, dash, round=True) for run in (low, high)]
        return [Group(under + over, ("chart", self.series[0].quantity.key), "", self.title, (plot,), clip=plot.grown(2.0))]

    def _runs(self, series: Series, course: Array, ticks: Sequence[float], plot: Box) -> list[list[Point]]:
        """Unbroken stretches of a course in px."""
        points = zip(series.hours.tolist(), course.tolist(), strict=True)
        return _split([(self._x(hour, plot), None if value != value else self._y(value, ticks, plot)) for hour, value in points])

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


def _of_hour(label: str) -> str:
    """What of an hour a label says that it tells ("lowest of the hour"), "" for nothing."""
    last = label.rsplit(", ", 1)[-1]
    return last if last.endswith("of the hour") else ""


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
