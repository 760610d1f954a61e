"""A chart as a display list: open axes, lines labelled at their right end, no legend; and the widget that paints it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from trainapp.desktop.fonts import measure
from trainapp.desktop.painter import paint
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Box, Circle, Dash, Group, Line, Point, Polyline, Rect, Shape, Text
from trainapp.reports.drawing.staircase import spaced
from trainapp.reports.drawing.tokens import BODY, CAPTION, DOTTED

_LEFT, _TOP, _BOTTOM, _GAP = 36.0, 26.0, 34.0, 14.0


@dataclass(frozen=True, slots=True)
class Curve:
    """One line: points in the units shown, its label, and how it is drawn. `dots` marks its points."""

    label: str
    points: tuple[Point, ...]
    token: str = "series1"
    width: float = 1.5
    dash: Dash = ()
    dots: bool = False


@dataclass(frozen=True, slots=True)
class Chart:
    """What a chart shows, in the units shown.

    Attributes:
        title, unit: the quantity upwards and its unit. across: the same across, with its unit.
        curves: at most four are labelled at their ends.
        band: (low, high, words) of a range upwards that is shaded.
        stops: (x, words) of upright lines. meets: points marked by a full dot with words.
        top, right: what the axes have to reach.
    """

    title: str
    unit: str
    across: str
    curves: tuple[Curve, ...]
    band: tuple[float, float, str] | None = None
    stops: tuple[tuple[float, str], ...] = ()
    meets: tuple[tuple[float, float, str], ...] = ()
    top: float = 1.0
    right: float = 1.0


class _Frame:
    """Where values lie in px."""

    def __init__(self, chart: Chart, width: float, height: float) -> None:
        labels = [measure(curve.label, CAPTION) for curve in chart.curves if curve.label]
        self.left, self.right = _LEFT, width - max(labels, default=0.0) - 14.0
        self.top, self.bottom = _TOP + 18.0, height - _BOTTOM
        self.ticks = ticks(chart.top)
        self.across = [tick for tick in ticks(chart.right) if tick <= chart.right * 1.001]
        self.most = chart.right

    def x(self, value: float) -> float:
        return self.left + value / self.most * (self.right - self.left)

    def y(self, value: float) -> float:
        return self.bottom - value / self.ticks[-1] * (self.bottom - self.top)

    def points(self, curve: Curve) -> tuple[Point, ...]:
        """A line in px."""
        return tuple((self.x(x), self.y(y)) for x, y in curve.points)

    @property
    def area(self) -> Box:
        return Box(self.left - 5.0, self.top - 2.0, self.right - self.left + 9.0, self.bottom - self.top + 6.0)


def ticks(most: float) -> list[float]:
    """0 and four to eight round values up to at least `most`."""
    power = 10.0 ** math.floor(math.log10(max(most, 1e-9)))
    step = next(unit * power for unit in (0.2, 0.25, 0.5, 1.0, 2.0, 2.5) if math.ceil(most / (unit * power) - 1e-9) <= 6)
    return [i * step for i in range(math.ceil(most / step - 1e-9) + 1)]


def chart_shapes(chart: Chart, width: float, height: float) -> list[Shape]:
    """The chart in a box of that size, px."""
    frame = _Frame(chart, width, height)
    shapes: list[Shape] = [
        Text(0.0, 14.0, chart.title, "ink", BODY, "start", True),
        Text(measure(chart.title, BODY, True) + 6.0, 14.0, chart.unit, "ink3", CAPTION),
        Text(frame.right, height - 4.0, chart.across, "ink3", CAPTION, "end"),
    ]
    if chart.band is not None:
        shapes.append(
            Rect(frame.left, frame.y(chart.band[1]), frame.right - frame.left, frame.y(chart.band[0]) - frame.y(chart.band[1]), "well")
        )
    for tick in frame.ticks:
        y = frame.y(tick)
        shapes.append(Line(frame.left, y, frame.right, y, "edge" if tick == 0 else "hair"))
        shapes.append(Text(frame.left - 8.0, y + 4.0, f"{tick:g}", "ink3", CAPTION, "end"))
    for tick in frame.across:
        x = frame.x(tick)
        shapes.append(Line(x, frame.bottom, x, frame.bottom + 4.0, "edge"))
        shapes.append(Text(x, frame.bottom + 16.0, f"{tick:g}", "ink3", CAPTION, "middle"))
    places = Places(Box(frame.left, frame.top - 6.0, width - frame.left, frame.bottom - frame.top + 6.0))
    for curve in chart.curves:
        places.follow(frame.points(curve))
    shapes += _band(chart, frame, places)
    shapes += _stops(chart, frame, places)
    shapes += [_line(curve, frame) for curve in chart.curves]
    shapes += _meets(chart, frame, places)
    return shapes + _ends(chart, frame, places)


def _band(chart: Chart, frame: _Frame, places: Places) -> list[Shape]:
    """The words of the band, at its lower edge or its upper one."""
    if chart.band is None:
        return []
    low, high, words = chart.band
    tried = [Text(frame.left + 6.0, y, words, "ink3", CAPTION) for y in (frame.y(low) - 5.0, frame.y(high) + 14.0)]
    text = next((text for text in tried if places.free(text.box(measure))), None)
    if text is None:
        return []
    places.take(text.box(measure))
    return [text]


def _stops(chart: Chart, frame: _Frame, places: Places) -> list[Shape]:
    shapes: list[Shape] = []
    for value, words in chart.stops:
        x = frame.x(value)
        shapes.append(Line(x, frame.top - 4.0, x, frame.bottom, "ink2", 1.2, DOTTED))
        anchor = "end" if x + measure(words, CAPTION) / 2 > frame.right else "middle"
        text = Text(x, frame.top - 8.0, words, "ink2", CAPTION, anchor)
        places.take(text.box(measure))
        places.follow(((x, frame.top - 4.0), (x, frame.bottom)))
        shapes.append(text)
    return shapes


def _line(curve: Curve, frame: _Frame) -> Shape:
    points = frame.points(curve)
    items: list[Shape] = [Polyline(points, curve.token, curve.width, curve.dash, round=True)] if curve.width else []
    if curve.dots:
        items += [Circle(x, y, 3.5, "page", curve.token, 1.5) for x, y in points]
    return Group(items, clip=frame.area)


def _ends(chart: Chart, frame: _Frame, places: Places) -> list[Shape]:
    """Labels: right of the axes where a line reaches so far, in the order of their ends; else beside the end."""
    named = [(_end(curve, frame), curve) for curve in chart.curves if curve.label and curve.points]
    far = sorted((end for end in named if end[0][0] >= frame.right - 12.0), key=lambda end: end[0][1])
    heights = spaced([y + 4.0 for (_, y), _ in far], _GAP, frame.top + 4.0, frame.bottom + 4.0)
    shapes: list[Shape] = []
    for y, (_, curve) in zip(heights, far, strict=True):
        shapes.append(Text(frame.right + 10.0, y, curve.label, "ink", CAPTION))
    for (x, y), curve in named:
        if x < frame.right - 12.0:
            shapes += places.beside(x, max(y, frame.top + 8.0), curve.label)
    return shapes


def _end(curve: Curve, frame: _Frame) -> Point:
    """Where a line leaves the chart: at its end, or through the top."""
    most = frame.ticks[-1]
    for (x0, y0), (x1, y1) in zip(curve.points, curve.points[1:], strict=False):
        if y0 <= most < y1:
            return frame.x(x0 + (most - y0) / (y1 - y0) * (x1 - x0)), frame.y(most)
    x, y = curve.points[-1]
    return frame.x(x), frame.y(y)


def _meets(chart: Chart, frame: _Frame, places: Places) -> list[Shape]:
    """Full dots with their words."""
    shapes: list[Shape] = []
    for x, y, words in sorted(chart.meets):
        shapes += places.beside(frame.x(x), frame.y(y), words)
        shapes.append(Circle(frame.x(x), frame.y(y), 4.0, "ink"))
    return shapes


class Places:
    """Finds room for words beside a point, clear of lines and of other words."""

    def __init__(self, area: Box) -> None:
        self.area = area
        self._boxes: list[Box] = []
        self._points: list[Point] = []

    def take(self, box: Box) -> None:
        """Nothing else stands here."""
        self._boxes.append(box)

    def follow(self, points: Sequence[Point]) -> None:
        """No words stand over this line."""
        for (x0, y0), (x1, y1) in zip(points, points[1:], strict=False):
            count = max(int(math.hypot(x1 - x0, y1 - y0) / 3.0), 1)
            self._points += [(x0 + (x1 - x0) * i / count, y0 + (y1 - y0) * i / count) for i in range(count + 1)]

    def beside(self, x: float, y: float, words: str) -> list[Shape]:
        """The words at the nearest place that is free."""
        tried = [Text(x + dx, y + dy, words, "ink", CAPTION, anchor) for dx, dy, anchor in _AROUND]
        text = next((text for text in tried if self.free(text.box(measure))), tried[0])
        self.take(text.box(measure))
        return [text]

    def free(self, box: Box) -> bool:
        """Whether nothing is there yet."""
        inside = self.area.x <= box.x and box.right <= self.area.right and self.area.y <= box.y and box.bottom <= self.area.bottom
        grown = box.grown(1.5)
        return inside and not any(box.meets(other, 2.0) for other in self._boxes) and not any(grown.holds(*p) for p in self._points)


def _around() -> list[tuple[float, float, str]]:
    """Offsets of a text from a point, near ones first."""
    found = []
    for reach in (0.0, 8.0, 18.0, 30.0, 44.0):
        for dy in (4.0, 17.0 + reach, -8.0 - reach):
            found += [(8.0 + reach, dy, "start"), (-8.0 - reach, dy, "end")]
        found += [(0.0, -10.0 - reach, "middle"), (0.0, 20.0 + reach, "middle")]
    return found


_AROUND = _around()


class ChartView(QWidget):
    """Paints a chart at whatever size it has; what it shows stands in words beside it."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.chart: Chart | None = None
        self.setAccessibleName(name)
        self.setMinimumSize(360, 240)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def sizeHint(self) -> QSize:
        return QSize(560, 300)

    def show_chart(self, chart: Chart | None, words: Sequence[str] = ()) -> None:
        """Show another chart; `words` say the same to who cannot see it."""
        self.chart = chart
        self.setAccessibleDescription(" ".join(words))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if self.chart is not None:
            painter = QPainter(self)
            paint(painter, chart_shapes(self.chart, float(self.width()), float(self.height())), look().colour)
