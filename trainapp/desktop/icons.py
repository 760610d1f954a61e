"""Small pictures of things on the shelf: a 16 px grid, one stroke, one weight, in the ink of the theme."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from trainapp.desktop.adding import Icon
from trainapp.desktop.painter import paint, saved
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Line, Polyline, Rect, Shape

SIZE = 16.0
_STROKE = 1.3


def icon_shapes(icon: Icon, token: str = "ink2") -> list[Shape]:
    """Shapes of an icon in a square of 16 px."""
    return _DRAWN[icon](token)


def paint_icon(painter: QPainter, area: QRectF, icon: Icon, token: str = "ink2") -> None:
    """Paint an icon into the middle of a rectangle, at the size of the grid."""
    with saved(painter):
        painter.translate(QPointF(area.center().x() - SIZE / 2, area.center().y() - SIZE / 2))
        paint(painter, icon_shapes(icon, token), look().colour)


def _tank(token: str) -> list[Shape]:
    return [Rect(5.5, 1.0, 5.0, 3.0, token), Rect(4.0, 4.0, 8.0, 11.0, "", token, _STROKE, 3.0)]


def _cartridge(token: str) -> list[Shape]:
    return [Rect(3.0, 1.0, 10.0, 3.0, token), Rect(4.5, 4.0, 7.0, 11.0, "", token, _STROKE, 1.5), Line(8.0, 6.5, 8.0, 12.5, token, _STROKE)]


def _chamber(token: str) -> list[Shape]:
    return [Rect(5.0, 1.0, 6.0, 14.0, "", token, _STROKE, 3.0), Line(8.0, 4.0, 8.0, 12.0, token, _STROKE)]


def _box(token: str) -> list[Shape]:
    return [Rect(3.0, 3.5, 10.0, 10.0, "", token, _STROKE, 2.0)]


def _inline(token: str) -> list[Shape]:
    return [Line(0.5, 8.0, 15.5, 8.0, token, _STROKE), Rect(5.0, 4.5, 6.0, 7.0, token)]


def _bypass(token: str) -> list[Shape]:
    over = Polyline(((2.5, 11.0), (2.5, 4.0), (13.5, 4.0), (13.5, 11.0)), token, _STROKE)
    return [Line(0.5, 11.0, 15.5, 11.0, token, _STROKE), over, Rect(6.0, 8.5, 4.0, 5.0, token)]


def _parallel(token: str) -> list[Shape]:
    return [
        Polyline(((0.5, 8.0), (3.0, 8.0), (3.0, 3.5), (13.0, 3.5), (13.0, 8.0), (15.5, 8.0)), token, _STROKE),
        Polyline(((3.0, 8.0), (3.0, 12.5), (13.0, 12.5), (13.0, 8.0)), token, _STROKE),
        Rect(6.0, 1.5, 4.0, 4.0, token),
        Rect(6.0, 10.5, 4.0, 4.0, token),
    ]


def _outlet(token: str) -> list[Shape]:
    lines = ((0.5, 4.0, 15.5, 4.0), (8.0, 4.0, 8.0, 13.0), (4.5, 13.0, 11.5, 13.0))
    return [Line(*ends, token, _STROKE) for ends in lines]


_DRAWN = {
    "tank": _tank,
    "cartridge": _cartridge,
    "chamber": _chamber,
    "box": _box,
    "inline": _inline,
    "bypass": _bypass,
    "parallel": _parallel,
    "outlet": _outlet,
}
