"""Status marks: each has its own shape, so that none is told by colour alone."""

from __future__ import annotations

from typing import Literal

from trainapp.reports.drawing.display import Box, Circle, Group, Line, Polyline, Rect, Shape, Text
from trainapp.reports.drawing.tokens import CAPTION, MARK_CELL

Mark = Literal["fail", "caution", "note", "near", "unknown", "ok", "accepted"]

#: The word that stands beside a mark.
WORDS: dict[str, str] = {
    "fail": "fail",
    "caution": "caution",
    "note": "note",
    "near": "near",
    "unknown": "cannot tell",
    "ok": "no fail",
    "accepted": "accepted",
}


def mark(kind: Mark, x: float, y: float, size: float = MARK_CELL) -> list[Shape]:
    """Shapes of a mark centred at (x, y)."""
    half = size / 2
    draw = {
        "fail": _fail,
        "caution": _caution,
        "note": _note,
        "near": _near,
        "unknown": _unknown,
        "ok": _ok,
        "accepted": _accepted,
    }[kind]
    return draw(x, y, half)


def _fail(x: float, y: float, h: float) -> list[Shape]:
    arm, width = 0.5 * h, 0.3 * h
    return [
        Rect(x - h, y - h, 2 * h, 2 * h, "fail", "mark_edge", 1.0, 1.5),
        Line(x - arm, y - arm, x + arm, y + arm, "sign", width),
        Line(x - arm, y + arm, x + arm, y - arm, "sign", width),
    ]


def _diamond(x: float, y: float, r: float) -> tuple[tuple[float, float], ...]:
    return (x, y - r), (x + r, y), (x, y + r), (x - r, y)


def _caution(x: float, y: float, h: float) -> list[Shape]:
    return [
        Polyline(_diamond(x, y, 1.2 * h), "mark_edge", 1.0, fill="caution", closed=True),
        Line(x - 0.45 * h, y, x + 0.45 * h, y, "sign", 0.3 * h),
    ]


def _note(x: float, y: float, h: float) -> list[Shape]:
    return [
        Circle(x, y, h, "page", "note", 1.5),
        Line(x, y - 0.1 * h, x, y + 0.55 * h, "note", 0.28 * h),
        Circle(x, y - 0.45 * h, 0.17 * h, "note"),
    ]


def _near(x: float, y: float, h: float) -> list[Shape]:
    return [Polyline(_diamond(x, y, 0.85 * h), "ink", 1.3, fill="page", closed=True)]


def _unknown(x: float, y: float, h: float) -> list[Shape]:
    side = 0.9 * h
    return [
        Rect(x - side, y - side, 2 * side, 2 * side, "page", "ink2", 1.2, 0.0, (2.0, 1.5)),
        Line(x - 0.4 * h, y, x + 0.4 * h, y, "ink2", 1.4),
    ]


def _tick(x: float, y: float, h: float, token: str) -> Polyline:
    return Polyline(((x - 0.65 * h, y), (x - 0.15 * h, y + 0.5 * h), (x + 0.7 * h, y - 0.55 * h)), token, 0.32 * h, round=True)


def _ok(x: float, y: float, h: float) -> list[Shape]:
    return [_tick(x, y, h, "ok")]


def _accepted(x: float, y: float, h: float) -> list[Shape]:
    return [Rect(x - h, y - h, 2 * h, 2 * h, "page", "ink2", 1.3, 1.5), _tick(x, y, 0.8 * h, "ink2")]


CAPSULE_HEIGHT = 18.0


def capsule_width(text: str, measure_bold: float) -> float:
    """Width of a finding capsule whose text measures `measure_bold` px."""
    return 26.0 + measure_bold if text else 18.0


def capsule(kind: Mark, text: str, box: Box) -> Group:
    """A finding's mark and number in a capsule that fills `box`."""
    y = box.y + box.h / 2
    items: list[Shape] = [Rect(box.x, box.y, box.w, box.h, "page", "edge", 1.0, box.h / 2)]
    items += mark(kind, box.x + 9.5, y)
    items.append(Text(box.x + 19.0, y + 4.0, text, "ink", CAPTION, "start", True))
    return Group(items)
