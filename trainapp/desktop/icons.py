"""Small pictures of things on the shelf: a 16 px grid, one stroke, one weight, in the ink of the theme."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from trainapp.desktop.adding import ITEM, Icon, ShelfEntry
from trainapp.desktop.painter import paint, saved
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Circle, Dots, Line, Path, Polyline, Rect, Shape
from trainapp.stages import registry

SIZE = 16.0
_STROKE = 1.3


def icon_shapes(entry: ShelfEntry, token: str = "ink2") -> list[Shape]:
    """Shapes of the icon of a line of the shelf in a square of 16 px: each kind has its own, one that is not known its outline."""
    drawn = _KINDS.get(kind_of(entry), _OUTLINES[entry.icon])
    return drawn(token)


def kind_of(entry: ShelfEntry) -> str:
    """The kind of a line of the shelf; of an item of the catalogue the kind that it is an item of."""
    if not entry.key.startswith(ITEM):
        return entry.key
    return next((name for name, kind in registry.kinds().items() if kind.spec.label == entry.group), "")


def paint_icon(painter: QPainter, area: QRectF, entry: ShelfEntry, token: str = "ink2") -> None:
    """Paint an icon into the middle of a rectangle, at the size of the grid."""
    with saved(painter):
        painter.translate(QPointF(area.center().x() - SIZE / 2, area.center().y() - SIZE / 2))
        paint(painter, icon_shapes(entry, token), look().colour)


# Outlines ---------------------------------------------------------------------------------------------------------------------


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


_OUTLINES: dict[Icon, Callable[[str], list[Shape]]] = {
    "tank": _tank,
    "cartridge": _cartridge,
    "chamber": _chamber,
    "box": _box,
    "inline": _inline,
    "bypass": _bypass,
    "parallel": _parallel,
    "outlet": _outlet,
}


# Kinds: the outline with the texture of the medium, as on the bench ---------------------------------------------------------------


def _bed(token: str) -> list[Shape]:
    """A tank wide enough for the sign of what is in it."""
    return [Rect(5.5, 0.6, 5.0, 2.8, token), Rect(3.0, 3.4, 10.0, 11.8, "", token, _STROKE, 3.0)]


def _sediment_bed(token: str) -> list[Shape]:
    grains = ((5.8, 10.0), (8.0, 10.0), (10.2, 10.0), (6.9, 12.4), (9.1, 12.4))
    return [*_bed(token), Dots(0.0, 0.0, grains, 0.8, token)]


def _iron_filter(token: str) -> list[Shape]:
    return [*_bed(token), *(Line(x, 12.6, x + 2.2, 7.6, token, _STROKE) for x in (5.2, 8.0))]


def _neutralizer(token: str) -> list[Shape]:
    return [*_bed(token), Polyline(((5.6, 7.8), (8.0, 12.2), (10.4, 7.8)), token, _STROKE)]


def _carbon_bed(token: str) -> list[Shape]:
    return [*_bed(token), Line(5.4, 9.6, 10.6, 9.6, token, _STROKE), Line(8.0, 7.0, 8.0, 12.2, token, _STROKE)]


def _tannin_resin(token: str) -> list[Shape]:
    return [*_bed(token), Circle(8.0, 9.6, 2.3, "", token, _STROKE)]


def _softener(token: str) -> list[Shape]:
    return [
        Rect(2.5, 1.0, 3.5, 2.6, token),
        Rect(1.2, 3.6, 6.1, 11.2, "", token, _STROKE, 2.6),
        Line(1.2, 8.5, 7.3, 8.5, token, _STROKE),
        Rect(9.3, 7.5, 5.6, 7.3, "", token, _STROKE, 1.0),
    ]


def _contact_tank(token: str) -> list[Shape]:
    water = [Line(x, y, x + 3.0, y, token, _STROKE) for x, y in ((4.2, 7.0), (8.8, 9.4), (4.2, 11.8))]
    return [Rect(2.0, 2.5, 12.0, 12.3, "", token, _STROKE, 4.0), *water]


def _oxidant_feed(token: str) -> list[Shape]:
    tube = Polyline(((5.0, 7.0), (5.0, 2.2), (12.0, 2.2), (12.0, 5.0)), token, _STROKE)
    drop = Path((("M", 12.0, 6.5), ("Q", 14.2, 9.6, 12.0, 10.2), ("Q", 9.8, 9.6, 12.0, 6.5), ("Z",)), token)
    return [Rect(1.5, 7.0, 7.0, 7.8, "", token, _STROKE, 1.5), Line(1.5, 10.5, 8.5, 10.5, token, _STROKE), tube, drop]


def _uv_chamber(token: str) -> list[Shape]:
    rays = [Line(x, y, x + dx, y, token, _STROKE) for y in (5.0, 8.0, 11.0) for x, dx in ((1.0, 2.4), (12.6, 2.4))]
    return [*_chamber(token), *rays]


def _flow_control(token: str) -> list[Shape]:
    upper = Polyline(((2.5, 3.5), (6.0, 3.5), (8.0, 6.6), (10.0, 3.5), (13.5, 3.5)), token, _STROKE)
    lower = Polyline(((2.5, 12.5), (6.0, 12.5), (8.0, 9.4), (10.0, 12.5), (13.5, 12.5)), token, _STROKE)
    return [upper, lower, Line(0.5, 8.0, 15.5, 8.0, token, _STROKE)]


def _tee(token: str) -> list[Shape]:
    return [Line(0.5, 10.0, 15.5, 10.0, token, _STROKE), Line(8.0, 10.0, 8.0, 2.0, token, _STROKE), Circle(8.0, 10.0, 2.6, token)]


def _pressure_regulator(token: str) -> list[Shape]:
    bell = Path(
        (("M", 4.0, 8.0), ("L", 4.0, 6.0), ("Q", 4.0, 3.2, 8.0, 3.2), ("Q", 12.0, 3.2, 12.0, 6.0), ("L", 12.0, 8.0)), "", token, _STROKE
    )
    return [bell, Line(8.0, 0.8, 8.0, 3.2, token, _STROKE), Line(0.5, 11.0, 15.5, 11.0, token, _STROKE), Rect(4.0, 8.0, 8.0, 6.0, token)]


def _storage_pump(token: str) -> list[Shape]:
    return [
        Rect(1.2, 2.0, 7.6, 12.8, "", token, _STROKE, 1.5),
        Line(1.2, 6.0, 8.8, 6.0, token, _STROKE),
        Circle(12.3, 11.8, 2.7, "", token, _STROKE),
        Line(12.3, 9.1, 12.3, 4.0, token, _STROKE),
        Line(8.8, 12.6, 9.7, 12.6, token, _STROKE),
    ]


def _declared(token: str) -> list[Shape]:
    return [
        Rect(2.7, 1.5, 10.6, 13.0, "", token, _STROKE, 1.5),
        *(Line(5.2, y, x, y, token, _STROKE) for y, x in ((5.0, 10.8), (8.0, 10.8), (11.0, 8.4))),
    ]


_KINDS: dict[str, Callable[[str], list[Shape]]] = {
    "sediment_bed": _sediment_bed,
    "iron_filter": _iron_filter,
    "neutralizer": _neutralizer,
    "carbon_bed": _carbon_bed,
    "tannin_resin": _tannin_resin,
    "softener": _softener,
    "contact_tank": _contact_tank,
    "oxidant_feed": _oxidant_feed,
    "uv_chamber": _uv_chamber,
    "flow_control": _flow_control,
    "tee": _tee,
    "pressure_regulator": _pressure_regulator,
    "storage_pump": _storage_pump,
    "declared": _declared,
}
