"""The display list painted with QPainter: what :mod:`trainapp.reports.drawing` lays out, on the screen."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QPolygonF

from trainapp.desktop.figures import local
from trainapp.desktop.fonts import font, measure
from trainapp.reports.drawing.display import Circle, Dots, Group, Line, Path, Polyline, Rect, Shape, Strokes, Text

Colours = Callable[[str], QColor]
Figures = Callable[[str], str]

#: One call of a painter's method with its arguments. A drawing is turned into these once and painted from them as often as it is shown.
Stroke = tuple[Callable[..., None], tuple[Any, ...]]


@contextmanager
def saved(painter: QPainter) -> Iterator[QPainter]:
    """The painter, put back as it was at the end whatever happens."""
    painter.save()
    try:
        yield painter
    finally:
        painter.restore()


def paint(painter: QPainter, shapes: Iterable[Shape], colours: Colours, figures: Figures = local) -> None:
    """Paint shapes in order; the painter is left as it was. `figures` as of :func:`recorded`."""
    turn = painter.worldTransform()
    strokes = recorded(shapes, colours, turn.m11() == 1.0 and turn.m22() == 1.0 and not turn.isRotating(), figures)
    with saved(painter):
        for hint in HINTS:
            painter.setRenderHint(hint)
        play(painter, strokes)


def play(painter: QPainter, strokes: Iterable[Stroke]) -> None:
    """Paint what was recorded. Pen, brush and font are left as the last stroke had them."""
    for call, arguments in strokes:
        call(painter, *arguments)


#: How a painter is set up for a drawing.
HINTS = (QPainter.RenderHint.Antialiasing, QPainter.RenderHint.TextAntialiasing)


def recorded(shapes: Iterable[Shape], colours: Colours, crisp: bool = True, figures: Figures = local) -> list[Stroke]:
    """The strokes that paint shapes in order.

    Args:
        crisp: one px of the drawing is one of the painter's, so that hairlines and texts are laid on whole ones.
        figures: how numbers in texts are written, as the reader's locale does by default; paper keeps them as they are, with `str`.
    """
    brush = _Brush(colours, crisp, figures)
    brush.all(shapes)
    return brush.strokes


class _Brush:
    """Records one shape after another; a pen, brush or font that is set already is not set again."""

    def __init__(self, colours: Colours, crisp: bool, figures: Figures) -> None:
        self.colours, self.crisp, self.figures = colours, crisp, figures
        self.strokes: list[Stroke] = []
        self._pen: Any = None
        self._fill: Any = None
        self._font: Any = None

    def do(self, call: Callable[..., None], *arguments: Any) -> None:
        self.strokes.append((call, arguments))

    def all(self, shapes: Iterable[Shape]) -> None:
        for shape in shapes:
            _DRAW[type(shape)](self, shape)

    def group(self, group: Group) -> None:
        if group.clip is None:
            self.all(group.items)
            return
        kept = self._pen, self._fill, self._font
        self.do(QPainter.save)
        self.do(QPainter.setClipRect, QRectF(*group.clip), Qt.ClipOperation.IntersectClip)
        self.all(group.items)
        self.do(QPainter.restore)
        self._pen, self._fill, self._font = kept

    def line(self, line: Line) -> None:
        x1, y1, x2, y2 = line.x1, line.y1, line.x2, line.y2
        if self.crisp and line.width <= 1.0:
            # A hairline between two rows of pixels would be two grey ones.
            if x1 == x2:
                x1 = x2 = int(x1) + 0.5
            elif y1 == y2:
                y1 = y2 = int(y1) + 0.5
        self.pen(line.token, line.width, line.dash, Qt.PenCapStyle.FlatCap)
        self.do(QPainter.drawLine, QLineF(x1, y1, x2, y2))

    def polyline(self, line: Polyline) -> None:
        join = Qt.PenJoinStyle.RoundJoin if line.round else Qt.PenJoinStyle.MiterJoin
        self.pen(line.stroke, line.width, line.dash, Qt.PenCapStyle.FlatCap, join)
        points = QPolygonF([QPointF(x, y) for x, y in line.points])
        if line.closed or line.fill:
            self.fill(line.fill)
        if line.closed:
            self.do(QPainter.drawPolygon, points)
        elif line.fill:
            path = QPainterPath()
            path.addPolygon(points)
            self.do(QPainter.drawPath, path)
        else:
            self.do(QPainter.drawPolyline, points)

    def rect(self, rect: Rect) -> None:
        self.pen(rect.stroke, rect.width, rect.dash, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.MiterJoin)
        self.fill(rect.fill)
        area = QRectF(rect.x, rect.y, rect.w, rect.h)
        if rect.corner:
            corner = min(rect.corner, rect.w / 2, rect.h / 2)
            self.do(QPainter.drawRoundedRect, area, corner, corner)
        else:
            self.do(QPainter.drawRect, area)

    def circle(self, circle: Circle) -> None:
        self.pen(circle.stroke, circle.width, circle.dash)
        self.fill(circle.fill)
        self.do(QPainter.drawEllipse, QPointF(circle.x, circle.y), circle.r, circle.r)

    def path(self, path: Path) -> None:
        self.pen(path.stroke, path.width, join=Qt.PenJoinStyle.MiterJoin)
        self.fill(path.fill)
        self.do(QPainter.drawPath, _outline(path))

    def dots(self, dots: Dots) -> None:
        self.pen(dots.token, 2 * dots.r, cap=Qt.PenCapStyle.RoundCap)
        self.do(QPainter.drawPoints, QPolygonF([QPointF(dots.x + x, dots.y + y) for x, y in dots.points]))

    def marks(self, strokes: Strokes) -> None:
        self.pen(strokes.token, strokes.width, cap=Qt.PenCapStyle.FlatCap)
        x, y = strokes.x, strokes.y
        self.do(QPainter.drawLines, [QLineF(x + a, y + b, x + c, y + d) for a, b, c, d in strokes.segments])

    def text(self, text: Text) -> None:
        x, words = text.x, self.figures(text.text)
        if text.anchor != "start":
            width = measure(words, text.size, text.bold)
            x -= width if text.anchor == "end" else width / 2
        y = text.y
        if self.crisp:
            x, y = round(x), round(y)
        self.pen(text.token, 1.0)
        if self._font != (text.size, text.bold):
            self._font = text.size, text.bold
            self.do(QPainter.setFont, font(text.size, text.bold))
        self.do(QPainter.drawText, QPointF(x, y), words)

    def fill(self, token: str) -> None:
        if self._fill != token:
            self._fill = token
            self.do(QPainter.setBrush, QBrush(self.colours(token)) if token else QBrush(Qt.BrushStyle.NoBrush))

    def pen(
        self,
        token: str,
        width: float,
        dash: tuple[float, ...] = (),
        cap: Qt.PenCapStyle = Qt.PenCapStyle.SquareCap,
        join: Qt.PenJoinStyle = Qt.PenJoinStyle.RoundJoin,
    ) -> None:
        if not token or width <= 0:
            token, width, dash = "", 0.0, ()
        if self._pen == (token, width, dash, cap, join):
            return
        self._pen = token, width, dash, cap, join
        if not token:
            self.do(QPainter.setPen, QPen(Qt.PenStyle.NoPen))
            return
        pen = QPen(self.colours(token), width, Qt.PenStyle.SolidLine, cap, join)
        if dash:
            # Qt counts dashes in pen widths, the display list in px.
            pen.setDashPattern([part / width for part in (dash if len(dash) % 2 == 0 else dash * 2)])
        self.do(QPainter.setPen, pen)


_DRAW: dict[type, Callable[[_Brush, Shape], None]] = {
    Group: _Brush.group,
    Line: _Brush.line,
    Polyline: _Brush.polyline,
    Rect: _Brush.rect,
    Circle: _Brush.circle,
    Path: _Brush.path,
    Dots: _Brush.dots,
    Strokes: _Brush.marks,
    Text: _Brush.text,
}


def _outline(path: Path) -> QPainterPath:
    made = QPainterPath()
    for command in path.commands:
        name, numbers = command[0], [float(part) for part in command[1:]]
        if name == "M":
            made.moveTo(*numbers)
        elif name == "L":
            made.lineTo(*numbers)
        elif name == "Q":
            made.quadTo(*numbers)
        else:
            made.closeSubpath()
    return made


# Where shapes lie -------------------------------------------------------------------------------------------------------------


def bounds(shapes: Iterable[Shape]) -> QRectF:
    """A rectangle that holds all that the shapes paint."""
    area = QRectF()
    for shape in shapes:
        area = area.united(_BOUNDS[type(shape)](shape))
    return area


def _around(points: Iterable[tuple[float, float]], reach: float) -> QRectF:
    xs, ys = zip(*points, strict=True)
    return QRectF(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)).adjusted(-reach, -reach, reach, reach)


def _group_bounds(group: Group) -> QRectF:
    area = bounds(group.items)
    return area if group.clip is None else area.intersected(QRectF(*group.clip))


def _path_bounds(path: Path) -> QRectF:
    numbers = [[float(part) for part in command[1:]] for command in path.commands]
    points = [(row[i], row[i + 1]) for row in numbers for i in range(0, len(row) - 1, 2)]
    return _around(points, path.width + 1) if points else QRectF()


def _strokes_bounds(strokes: Strokes) -> QRectF:
    ends = [(strokes.x + p, strokes.y + q) for a, b, c, d in strokes.segments for p, q in ((a, b), (c, d))]
    return _around(ends, strokes.width + 1) if ends else QRectF()


def _dots_bounds(dots: Dots) -> QRectF:
    return _around([(dots.x + x, dots.y + y) for x, y in dots.points], dots.r + 1) if dots.points else QRectF()


def _text_bounds(text: Text) -> QRectF:
    box = text.box(measure).grown(2.0)
    return QRectF(*box)


_BOUNDS: dict[type, Callable[[Shape], QRectF]] = {
    Group: _group_bounds,
    Line: lambda s: _around([(s.x1, s.y1), (s.x2, s.y2)], s.width + 1),
    # A mitred corner may stand out by more than half the pen.
    Polyline: lambda s: _around(s.points, 2 * s.width + 1) if s.points else QRectF(),
    Rect: lambda s: QRectF(s.x, s.y, s.w, s.h).adjusted(-s.width - 1, -s.width - 1, s.width + 1, s.width + 1),
    Circle: lambda s: QRectF(s.x - s.r, s.y - s.r, 2 * s.r, 2 * s.r).adjusted(-s.width - 1, -s.width - 1, s.width + 1, s.width + 1),
    Path: _path_bounds,
    Dots: _dots_bounds,
    Strokes: _strokes_bounds,
    Text: _text_bounds,
}
