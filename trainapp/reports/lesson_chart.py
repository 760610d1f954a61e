"""The one chart of a lesson, for the back of a room or on paper: lines labelled at their right ends, no legend.

Of a teaching picture the band is drawn, with the word for it inside the chart, and months of use along the axis instead of dates.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from trainapp.dimensions import DAY, YEAR
from trainapp.reports.drawing.display import Box, Circle, Dash, Display, Group, Line, Measure, Point, Polyline, Rect, Shape, Text
from trainapp.reports.drawing.measure import measure_dejavu, shorten
from trainapp.reports.drawing.staircase import round_ticks, spaced
from trainapp.reports.drawing.tokens import CAPTION, DOTTED

if TYPE_CHECKING:
    from trainapp.studies.lessons import Chart, ChartLine
    from trainapp.units import System

_DASHES: tuple[Dash, ...] = ((5.0, 3.5), ())
_ILLUSTRATIVE = "illustrative"
#: A run up to this many months is told in days; days of a month.
SHORT_MONTHS, DAYS = 2.5, YEAR / 12 / DAY


@dataclass(frozen=True, slots=True)
class Letters:
    """How large a chart is written and drawn.

    Attributes:
        size: of all letters, px; every distance follows it. name: of the names of lines.
        wide, edge: of a line, and of the edge of a band. scale: of dashes and rings.
        room: for names at the right, at the least. ground: token of what it stands on.
        whole: whether a course over time is drawn to its end, whatever moment its numbers stand for.
    """

    size: float
    name: float
    wide: float
    edge: float
    scale: float
    room: float
    ground: str
    whole: bool = False

    def part(self, px: float) -> float:
        """A distance that is that long beside letters of 16 px."""
        return px * self.size / 16.0


CLASS = Letters(16.0, 20.0, 3.0, 2.0, 1.8, 92.0, "sheet")
PAPER = Letters(CAPTION, CAPTION, 1.5, 1.0, 1.0, 48.0, "page", whole=True)


def lesson_chart(chart: Chart, *, width: float, height: float, system: System = "us", measure: Measure = measure_dejavu) -> Display:
    """The chart of a played lesson on a page."""
    made = LessonChart(chart, system, PAPER)
    return made.draw(chart.now, width, height, measure)


@dataclass(frozen=True, slots=True)
class _Line:
    """A line in shown units."""

    letter: str
    x: NDArray[np.float64]
    y: NDArray[np.float64]
    low: NDArray[np.float64] | None
    high: NDArray[np.float64] | None

    def at(self, x: float) -> tuple[float, float] | None:
        """Ends of its band at an x, twice the value of a plain line; None where it has none."""
        if not len(self.x):
            return None
        place = min(int(np.searchsorted(self.x, x - 1e-9)), len(self.x) - 1)
        found = tuple(float(course[place]) for course in (self.low, self.high) if course is not None) or (float(self.y[place]),) * 2
        return (min(found), max(found)) if all(np.isfinite(value) for value in found) else None


class LessonChart:
    """A lesson's chart in one system of units."""

    def __init__(self, chart: Chart, system: System, letters: Letters = CLASS) -> None:
        from trainapp.studies.lessons.numbers import unit_of

        self.chart, self.system, self.letters = chart, system, letters
        self.unit = unit_of(chart.dimension, system)
        #: A short run is told in days, a longer one in months.
        self.day = DAYS if chart.over == "time" and max(float(line.x[-1]) for line in chart.lines) <= SHORT_MONTHS else 1.0
        self.lines = tuple(self._shown(line) for line in chart.lines)
        self.wanted = None if chart.wanted is None else float(self._y(np.array([chart.wanted]))[0])
        ends = [course[np.isfinite(course)] for line in self.lines for course in (line.y, line.high) if course is not None]
        self.ticks = round_ticks(max([*(float(end.max()) for end in ends if len(end)), self.wanted or 0.0]))
        xs = [line.x for line in self.lines if len(line.x)]
        first = 0.0 if chart.over == "time" else min(float(x[0]) for x in xs)
        self.span = (first, max(float(x[-1]) for x in xs))
        # Whatever the clock shows later has its room from the beginning.
        shown = {float(x) for x in np.linspace(*self.span, 49)} | {self.now}
        self.names = {f"{line.letter} {self._ends_text(line, x)}".strip() for line in self.lines for x in shown}

    def _shown(self, line: ChartLine) -> _Line:
        x = line.x * self.day if self.chart.over == "time" else self._x(line.x)
        low, high = (None if course is None else self._y(course) for course in (line.low, line.high))
        return _Line(line.letter, x, self._y(line.y), low, high)

    def _y(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        return _converted(values, self.chart.dimension, self.system)

    def _x(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        return _converted(values, self.chart.x_dimension, self.system)

    @property
    def now(self) -> float:
        """X of the moment that the numbers stand for, as shown."""
        return self.chart.now * self.day if self.chart.over == "time" else float(self._x(np.array([self.chart.now]))[0])

    # Drawing ------------------------------------------------------------------------------------------------------------------

    def draw(self, x: float, width: float, height: float, measure: Measure) -> Display:
        """The chart in a box of that size: over time up to `x` (months), over something that is changed all of it with `x` marked."""
        letters, x = self.letters, x * self.day if self.chart.over == "time" else x
        plot = self._plot(width, height, measure)
        items: list[Shape] = [*self._title(width, measure), *self._grid(plot, measure), *self._axis(plot, measure)]
        items += self._courses(plot, x)
        if self.wanted is not None:
            y = self._to_y(self.wanted, plot)
            items.append(Line(plot.x, y, plot.right, y, "ink2", 0.67 * self.letters.wide, self._dash(DOTTED)))
        items += self._word(plot, measure) if self.chart.illustrative else []
        return Display(width, height, [*items, *self._cursor(plot, x), *self._ends(plot, x, width, measure)], letters.ground)

    def _dash(self, dash: Dash) -> Dash:
        return tuple(self.letters.scale * part for part in dash)

    def _plot(self, width: float, height: float, measure: Measure) -> Box:
        letters, part = self.letters, self.letters.part
        left = max(measure(_figure(tick), letters.size, False) for tick in self.ticks) + part(14.0)
        names = self.names
        wanted = f"wanted {_figure(self.wanted)}" if self.wanted is not None else ""
        widths = [measure(wanted, letters.size, False), *(measure(name, letters.name, True) for name in names)]
        right = max(letters.room, max(widths) + part(22.0))
        return Box(left, part(32.0), max(width - left - right, 60.0), max(height - part(32.0 + 28.0), 24.0))

    def _to_x(self, x: float, plot: Box) -> float:
        return plot.x + plot.w * (x - self.span[0]) / max(self.span[1] - self.span[0], 1e-12)

    def _to_y(self, y: float, plot: Box) -> float:
        return plot.bottom - plot.h * min(max(y / self.ticks[-1], 0.0), 1.0)

    def _title(self, width: float, measure: Measure) -> list[Shape]:
        size, part = self.letters.size, self.letters.part
        unit = f", {self.unit}" if self.unit else ""
        label = shorten(self.chart.label, width - measure(unit, size, False) - 8.0, size, True, measure)
        after = measure(label, size, True)
        items: list[Shape] = [Text(0.0, size, label, "ink", size, "start", True), Text(after, size, unit, "ink2", size)]
        if self.chart.over != "time":
            from trainapp.studies.lessons.numbers import unit_of

            words = ", ".join(filter(None, (self.chart.x_label, unit_of(self.chart.x_dimension, self.system))))
            room = width - after - measure(unit, size, False) - part(24.0)
            items.append(Text(width, size, shorten(f"to the right: {words}", room, size, False, measure), "ink2", size, "end"))
        return items

    def _grid(self, plot: Box, measure: Measure) -> list[Shape]:
        size, part = self.letters.size, self.letters.part
        ticks = self.ticks if plot.h >= part(22.0) * (len(self.ticks) - 1) else [self.ticks[0], self.ticks[-1]]
        items: list[Shape] = []
        for tick in ticks:
            y = self._to_y(tick, plot)
            items.append(Line(plot.x, y, plot.right, y, "edge" if tick == 0 else "hair", 0.4 * self.letters.wide))
            items.append(Text(plot.x - part(8.0), y + part(6.0), _figure(tick), "ink2", size, "end"))
        return items

    def _axis(self, plot: Box, measure: Measure) -> list[Shape]:
        """What goes right: months, or the values of what is changed."""
        size, part, over_time = self.letters.size, self.letters.part, self.chart.over == "time"
        items: list[Shape] = []
        right = -1e9
        for i, tick in enumerate(_steps(*self.span, 3.0 if over_time and self.day == 1.0 else None)):
            text = f"{'month' if self.day == 1.0 else 'day'} {tick:g}" if over_time and i == 0 else _figure(tick)
            x, half = self._to_x(tick, plot), measure(text, size, False) / 2
            x_text = max(x, plot.x - part(8.0) + half) if i == 0 else x
            items.append(Line(x, plot.bottom, x, plot.bottom + part(4.0), "edge", 0.4 * self.letters.wide))
            if x_text - half > right + part(10.0):
                items.append(Text(x_text, plot.bottom + part(21.0), text, "ink2", size, "middle"))
                right = x_text + half
        return items

    def _courses(self, plot: Box, x: float) -> list[Shape]:
        under: list[Shape] = []
        over: list[Shape] = []
        for i, line in enumerate(self.lines):
            growing = self.chart.over == "time" and not self.letters.whole
            seen = line.x <= x + 1e-9 if growing else np.ones(len(line.x), dtype=bool)
            dash = self._dash(_DASHES[i % 2]) if len(self.lines) > 1 else ()
            if line.low is None or line.high is None:
                over += [Polyline(run, "series1", self.letters.wide, dash, round=True) for run in self._runs(line.x, line.y, seen, plot)]
                continue
            lows, highs = (self._runs(line.x, course, seen, plot) for course in (line.low, line.high))
            for low, high in zip(lows, highs, strict=True):
                under.append(Polyline((*high, *reversed(low)), "", fill="well", closed=True))
                over += [Polyline(run, "series1", self.letters.edge, dash, round=True) for run in (low, high)]
        return [Group([*under, *over], ("chart",), clip=plot.grown(3.0))]

    def _runs(self, x: NDArray[np.float64], y: NDArray[np.float64], seen: NDArray[np.bool_], plot: Box) -> list[tuple[Point, ...]]:
        """Unbroken stretches, px; a px is told by one point."""
        known = np.flatnonzero(seen & np.isfinite(y))
        runs = np.split(known, np.flatnonzero(np.diff(known) > 1) + 1) if len(known) else []
        found = []
        for run in runs:
            stride = max(int(len(x) // max(plot.w, 1.0)), 1)
            kept = sorted({*run[::stride].tolist(), int(run[-1])})
            points = tuple((self._to_x(float(x[k]), plot), self._to_y(float(y[k]), plot)) for k in kept)
            found.append(points if len(points) > 1 else ((points[0][0] - 1.0, points[0][1]), (points[0][0] + 1.0, points[0][1])))
        return found

    def _word(self, plot: Box, measure: Measure) -> list[Shape]:
        """The word for a teaching picture, where the fewest courses are."""
        size, part = self.letters.size, self.letters.part
        width = measure(_ILLUSTRATIVE, size, False) + part(12.0)
        spots = [
            Box(plot.x + share * (plot.w - width), y, width, part(22.0))
            for y in (plot.y + part(2.0), plot.bottom - part(25.0))
            for share in (0.97, 0.7, 0.4, 0.03)
        ]
        box = min(spots, key=self._crowd(plot))
        word = Text(box.x + part(6.0), box.y + size, _ILLUSTRATIVE, "ink2", size)
        return [Rect(box.x, box.y, box.w, box.h, self.letters.ground, "", 0.0, 3.0), word]

    def _crowd(self, plot: Box) -> Callable[[Box], int]:
        """Counts what lies in a box."""
        points = [
            (self._to_x(float(x), plot), self._to_y(float(y), plot))
            for line in self.lines
            for course in (line.low, line.high, line.y)
            if course is not None
            for x, y in zip(line.x[::4], course[::4], strict=True)
            if np.isfinite(y)
        ]
        if self.wanted is not None:
            level = self._to_y(self.wanted, plot)
            points += [(plot.x + i * plot.w / 60, level) for i in range(61)]
        return lambda box: sum(box.grown(4.0).holds(x, y) for x, y in points)

    def _cursor(self, plot: Box, x: float) -> list[Shape]:
        at = self._to_x(min(max(x, self.span[0]), self.span[1]), plot)
        letters, part = self.letters, self.letters.part
        items: list[Shape] = [Line(at, plot.y - part(4.0), at, plot.bottom, "accent", 0.83 * letters.wide)]
        if not letters.whole:
            items.append(Rect(at - 5.0, plot.bottom - 5.0, 10.0, 10.0, "accent"))
        for line in self.lines:
            for value in dict.fromkeys(line.at(x) or ()):
                items.append(Circle(at, self._to_y(value, plot), part(6.0), "page", "series1", 0.83 * letters.wide))
        return items

    def _ends_text(self, line: _Line, x: float) -> str:
        """Value of a line as it is written at its end."""
        from trainapp.studies.lessons.numbers import BETWEEN

        found = line.at(x)
        if found is None:
            return ""
        low, high = (self._told(value) for value in found)
        return low if low == high else f"{low}{BETWEEN}{high}"

    def _told(self, value: float) -> str:
        """A shown value in figures; a small one in no more decimals than the big number has, so that both say one thing."""
        from trainapp.studies.lessons.model import COUNTED
        from trainapp.studies.lessons.numbers import shown

        kind = self.chart.dimension
        if kind in COUNTED or not kind or not 0.0 < abs(value) < 1.0:
            return _figure(value)
        zero, one = _converted(np.array([0.0, 1.0]), kind, self.system)
        return shown(float((value - zero) / (one - zero)), kind, self.system)

    def _ends(self, plot: Box, x: float, width: float, measure: Measure) -> list[Shape]:
        """Names of the lines at the right, in the order of their values, and what is wanted."""
        letters, part = self.letters, self.letters.part
        labels = self._labels(plot, x)
        # Beside the cursor where lines end there, else beside the plot.
        left = self._to_x(min(x, self.span[1]), plot) + part(14.0)
        widest = max((measure(text, letters.name, True) for _, text in labels), default=0.0)
        inside = self.chart.over == "time" and not letters.whole and left + widest + part(8.0) <= plot.right
        left = left if inside else plot.right + part(14.0)
        goal = shorten(f"wanted {_figure(self.wanted)}", width - plot.right - part(16.0), letters.size, False, measure)
        level = self._to_y(self.wanted, plot) if self.wanted is not None else 0.0
        if self.wanted is not None and not inside:
            labels.append((level, goal))
        labels.sort()
        items: list[Shape] = []
        wished = [y + part(6.0) for y, _ in labels]
        places = spaced(wished, letters.name + part(3.0), plot.y + part(6.0), plot.bottom + part(4.0))
        for (_, text), y in zip(labels, places, strict=True):
            if text == goal and self.wanted is not None:
                items.append(Text(left, y, text, "ink2", letters.size))
                continue
            if inside:
                room = measure(text, letters.name, True) + part(8.0)
                items.append(Rect(left - part(4.0), y - part(17.0), room, part(22.0), letters.ground, "", 0.0, 3.0))
            items.append(Text(left, y, text, "ink", letters.name, "start", True))
        if self.wanted is not None and inside:
            items.append(Text(plot.right + part(14.0), level + part(6.0), goal, "ink2", letters.size))
        return items

    def _labels(self, plot: Box, x: float) -> list[tuple[float, str]]:
        """Where the name of each line would stand by its end, px, with its value at an x."""
        labels = []
        for line in self.lines:
            found = line.at(x)
            if found is not None:
                named = len(self.lines) > 1 or self.letters.whole
                text = f"{line.letter if named else ''} {self._ends_text(line, x)}".strip()
                end = line.at(self.span[1]) if self.letters.whole else None
                labels.append((self._to_y(sum(end or found) / 2, plot), text))
        return labels


def _converted(values: NDArray[np.float64], dimension: str, system: System) -> NDArray[np.float64]:
    from trainapp import units
    from trainapp.studies.lessons.model import COUNTED

    if dimension in COUNTED or not dimension:
        return values
    # Every unit is a factor and an offset away.
    zero, one = (float(units.convert(value, dimension, system)) for value in (0.0, 1.0))
    return np.asarray(zero + (one - zero) * values)


def _figure(value: float | None) -> str:
    """A number with no more figures than a class can read."""
    if value is None:
        return ""
    places = 0 if abs(value) >= 20.0 else 1 if abs(value) >= 1.0 else 2
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _steps(first: float, last: float, step: float | None) -> list[float]:
    """Round values along an axis, both ends among them where it begins at nothing."""
    span = last - first
    if step is None or span / step > 8:
        raw = span / 5
        power = 10.0 ** np.floor(np.log10(max(raw, 1e-12)))
        step = float(next(unit * power for unit in (1.0, 2.0, 2.5, 5.0, 10.0) if unit * power >= raw - 1e-12))
    start = np.ceil(first / step - 1e-9) * step + 0.0
    # A year of 365 days ends just before its twelfth month does.
    return [abs(float(value)) if value == 0 else float(value) for value in np.arange(start, last + 0.02 * step, step)]


__all__ = ["CLASS", "PAPER", "LessonChart", "Letters", "lesson_chart"]
