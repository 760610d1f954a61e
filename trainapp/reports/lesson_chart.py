"""The one chart of a lesson on paper: lines labelled at their right ends, no legend; of a teaching picture the band and its word."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from trainapp import units
from trainapp.reports.drawing.display import Box, Circle, Display, Group, Measure, Point, Polyline, Rect, Shape, Text
from trainapp.reports.drawing.display import Line as Stroke
from trainapp.reports.drawing.measure import measure_dejavu, shorten
from trainapp.reports.drawing.staircase import round_ticks, spaced
from trainapp.reports.drawing.tokens import BODY, CAPTION, DIRTY_DASH, DOTTED
from trainapp.reports.year_moment import ILLUSTRATIVE_WORD
from trainapp.stages.working import Array
from trainapp.studies.lessons import Chart, ChartLine
from trainapp.studies.lessons.model import COUNTED
from trainapp.studies.lessons.numbers import BETWEEN, unit_of
from trainapp.units import System

_TOKENS, _DASHES = ("series1", "series1"), ((), DIRTY_DASH)
_PAD, _WIDTH = 8.0, 1.5
#: px between figures along the axis, at the least.
_PITCH = 46.0


def lesson_chart(chart: Chart, *, width: float, height: float, system: System = "us", measure: Measure = measure_dejavu) -> Display:
    """The chart of a played lesson as a display list on a page."""
    return Display(width, height, _Drawn(chart, width, height, system, measure).draw(), "page")


@dataclass
class _Drawn:
    """Lays one chart out; everything in the shown units."""

    chart: Chart
    width: float
    height: float
    system: System
    measure: Measure
    lines: list[ChartLine] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.lines = [self._shown(line) for line in self.chart.lines]

    def _shown(self, line: ChartLine) -> ChartLine:
        low, high = (None if course is None else self._up(course) for course in (line.low, line.high))
        return ChartLine(line.letter, line.label, self._right(line.x), self._up(line.y), low, high)

    def _up(self, values: Array) -> Array:
        return values if self.chart.dimension in COUNTED else np.asarray(units.convert(values, self.chart.dimension, self.system))

    def _right(self, values: Array) -> Array:
        return values if self.chart.over == "time" else np.asarray(units.convert(values, self.chart.x_dimension, self.system))

    # Scales -------------------------------------------------------------------------------------------------------------------

    @cached_property
    def wanted(self) -> float | None:
        """The dotted line."""
        return None if self.chart.wanted is None else float(self._up(np.array([self.chart.wanted]))[0])

    @cached_property
    def ticks(self) -> list[float]:
        """Figures up the side, from 0."""
        ends = [course for line in self.lines for course in (line.y, line.high) if course is not None and np.isfinite(course).any()]
        return round_ticks(max([*(float(np.nanmax(end)) for end in ends), self.wanted or 0.0]))

    @cached_property
    def span(self) -> tuple[float, float]:
        """Both ends of the axis."""
        first = 0.0 if self.chart.over == "time" else min(float(line.x.min()) for line in self.lines)
        return first, max(float(line.x.max()) for line in self.lines)

    @cached_property
    def plot(self) -> Box:
        """The area of the lines, px."""
        left = max(self.measure(f"{tick:g}", CAPTION, False) for tick in self.ticks) + 2 * _PAD
        right = max(self.measure(text, CAPTION, True) for text in self._names()) + 2 * _PAD
        top, below = BODY + 2 * _PAD, (1 if self.chart.over == "time" else 2) * CAPTION + 2 * _PAD
        return Box(left, top, self.width - left - right, self.height - top - below)

    def x(self, value: float) -> float:
        first, last = self.span
        return self.plot.x + (value - first) / max(last - first, 1e-12) * self.plot.w

    def y(self, value: float) -> float:
        return self.plot.bottom - min(max(value / self.ticks[-1], 0.0), 1.0) * self.plot.h

    # Shapes -------------------------------------------------------------------------------------------------------------------

    def draw(self) -> list[Shape]:
        plot, goal = self.plot, self.wanted
        items: list[Shape] = [*self._title(), *self._grid(), *self._axis(), *self._courses()]
        if goal is not None:
            items.append(Stroke(plot.x, self.y(goal), plot.right, self.y(goal), "ink2", 1.2, DOTTED))
        return [*items, *self._word(), *self._now(), *self._labels()]

    def _title(self) -> list[Shape]:
        unit = unit_of(self.chart.dimension, self.system)
        label = shorten(self.chart.label, self.width - 80.0, BODY, True, self.measure)
        place = self.measure(label, BODY, True) + 6.0
        return [Text(0.0, BODY, label, "ink", BODY, "start", True), *([Text(place, BODY, unit, "ink3", CAPTION)] if unit else [])]

    def _grid(self) -> list[Shape]:
        plot = self.plot
        lines = [Stroke(plot.x, self.y(t), plot.right, self.y(t), "edge" if t == 0 else "hair") for t in self.ticks]
        figures = [Text(plot.x - _PAD, self.y(t) + 0.36 * CAPTION, f"{t:g}", "ink2", CAPTION, "end") for t in self.ticks]
        return [*lines, *figures]

    def _axis(self) -> list[Shape]:
        plot, (first, last) = self.plot, self.span
        time = self.chart.over == "time"
        items: list[Shape] = []
        for tick in _round_between(first, last, plot.w / _PITCH):
            x = self.x(tick)
            text = f"month {tick:g}" if time and tick == 0.0 else f"{tick:g}"
            items += [
                Stroke(x, plot.bottom, x, plot.bottom + 3.0, "edge"),
                Text(x, plot.bottom + CAPTION + 5.0, text, "ink2", CAPTION, "middle"),
            ]
        if not time:
            below = ", ".join(part for part in (self.chart.x_label, unit_of(self.chart.x_dimension, self.system)) if part)
            items.append(Text(plot.x + plot.w / 2, plot.bottom + 2 * CAPTION + 9.0, below, "ink2", CAPTION, "middle"))
        return items

    def _courses(self) -> list[Shape]:
        under: list[Shape] = []
        over: list[Shape] = []
        for i, line in enumerate(self.lines):
            if line.low is None or line.high is None:
                over += [Polyline(tuple(run), _TOKENS[i], _WIDTH, _DASHES[i], round=True) for run in self._runs(line.x, line.y)]
                continue
            for low, high in zip(self._runs(line.x, line.low), self._runs(line.x, line.high), strict=True):
                under.append(Polyline((*high, *reversed(low)), "", fill="well", closed=True))
                over += [Polyline(tuple(run), _TOKENS[i], 1.0, _DASHES[i], round=True) for run in (low, high)]
        return [Group(under + over, ("chart",), "", self.chart.label, clip=self.plot.grown(2.0))]

    def _runs(self, x: Array, y: Array) -> list[list[Point]]:
        """Unbroken stretches of a course, px."""
        known = np.isfinite(y)
        edges = np.flatnonzero(np.diff(np.concatenate([[False], known, [False]]).astype(np.int8)))
        return [
            [(self.x(float(a)), self.y(float(b))) for a, b in zip(x[i:j], y[i:j], strict=True)]
            for i, j in zip(edges[::2], edges[1::2], strict=True)
        ]

    def _word(self) -> list[Shape]:
        """The word for a teaching picture, where least is drawn."""
        if not self.chart.illustrative:
            return []
        plot, width = self.plot, self.measure(ILLUSTRATIVE_WORD, CAPTION, False)
        corners = [
            Box(x, y, width + 8.0, CAPTION + 6.0)
            for y in (plot.y + 4.0, plot.bottom - CAPTION - 10.0)
            for x in (plot.right - width - 12.0, plot.x + 4.0)
        ]
        box = min(corners, key=self._covers)
        return [
            Rect(box.x, box.y, box.w, box.h, "page", "", 0.0, 3.0),
            Text(box.x + 4.0, box.bottom - 5.0, ILLUSTRATIVE_WORD, "ink2", CAPTION),
        ]

    def _covers(self, box: Box) -> int:
        """How many values lie under a box."""
        inside = 0
        for line in self.lines:
            for course in (line.low, line.high, line.y):
                if course is not None:
                    inside += sum(box.holds(self.x(float(a)), self.y(float(b))) for a, b in zip(line.x, course, strict=True) if b == b)
        return inside

    def _now(self) -> list[Shape]:
        """The moment that the numbers stand for."""
        x = self.x(self.now)
        items: list[Shape] = [Stroke(x, self.plot.y, x, self.plot.bottom, "accent", _WIDTH)]
        for line in self.lines:
            near = self._near(line)
            ends = (line.y,) if line.low is None or line.high is None else (line.low, line.high)
            items += [Circle(x, self.y(float(end[near])), 3.0, "page", "ink", _WIDTH) for end in ends if np.isfinite(end[near])]
        return items

    def _names(self) -> list[str]:
        goal = self.wanted
        return [self._name(line) for line in self.lines] + ([] if goal is None else [f"wanted {goal:.3g}"])

    def _name(self, line: ChartLine) -> str:
        """Letter of a line and its value at the moment of the numbers."""
        ends = (line.y,) if line.low is None or line.high is None else (line.low, line.high)
        values = [float(end[self._near(line)]) for end in ends]
        if not all(np.isfinite(values)):
            return line.letter
        texts = dict.fromkeys(f"{value:.{_places(self.ticks[-1])}f}" for value in sorted(values))
        return f"{line.letter} {BETWEEN.join(texts)}"

    def _near(self, line: ChartLine) -> int:
        """Place of the value that stands for the moment of the numbers."""
        return int(np.argmin(np.abs(line.x - self.now)))

    @cached_property
    def now(self) -> float:
        """X of that moment."""
        return self.chart.now if self.chart.over == "time" else float(self._right(np.array([self.chart.now]))[0])

    def _labels(self) -> list[Shape]:
        """Letters at the right ends of the lines, in the order of their values."""
        ends = [(_last(line), self._name(line), i) for i, line in enumerate(self.lines)]
        if self.wanted is not None:
            ends.append((self.wanted, self._names()[-1], -1))
        ends.sort(key=lambda end: -end[0])
        plot = self.plot
        wanted = [self.y(value) + 0.36 * CAPTION for value, _, _ in ends]
        places = spaced(wanted, 1.3 * CAPTION, plot.y + 0.36 * CAPTION, plot.bottom + 0.36 * CAPTION)
        return [
            Text(plot.right + _PAD, y, text, "ink" if i >= 0 else "ink2", CAPTION, "start", i >= 0)
            for (_, text, i), y in zip(ends, places, strict=True)
        ]


def _last(line: ChartLine) -> float:
    """Where a line ends, the middle of a band."""
    known = np.flatnonzero(np.isfinite(line.y))
    return float(line.y[known[-1]]) if len(known) else 0.0


def _places(most: float) -> int:
    """Decimals that a chart of that height can bear."""
    return 0 if most >= 20.0 else 1 if most >= 2.0 else 2


def _round_between(first: float, last: float, most: float) -> list[float]:
    """Round values between two, no more than `most` of them."""
    steps = [base * 10.0**power for power in range(-4, 5) for base in (1.0, 2.0, 2.5, 5.0)]
    step = next((s for s in sorted([*steps, 3.0, 6.0]) if (last - first) / s <= most), last - first)
    ticks = np.arange(np.ceil(first / step - 1e-9), np.floor(last / step + 1e-9) + 1) * step
    return [float(f"{tick:.6g}") + 0.0 for tick in ticks]


__all__ = ["lesson_chart"]
