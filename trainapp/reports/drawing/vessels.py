"""Figures of the bench: vessels to scale with the texture of what fills them, the supply, the person.

A process is told by its outline, its texture and its label, never by a fill colour. Textures are our own, one a medium.
"""

from __future__ import annotations

from functools import lru_cache

from trainapp.reports.drawing.display import Box, Circle, Dots, Line, Path, Point, Polyline, Rect, Shape, Strokes
from trainapp.reports.drawing.frame import FOOT, INCH
from trainapp.reports.drawing.tokens import FINE_DASH, UNLIT_DASH, VESSEL

#: Height of a tank's control valve and of a cartridge's head, metres; common practice, no source.
VALVE_HEIGHT = 6 * INCH
HEAD_HEIGHT = 3 * INCH
CAP_HEIGHT = 2.5 * INCH

#: The person beside the vessels: 5 ft 8 in.
PERSON_HEIGHT = (5 * 12 + 8) * INCH
PERSON_WIDTH = 1.22 * FOOT

#: Spacing of specks of dirt, and of grains of salt, px; spacing of grains that are used up over that of fresh ones.
DIRT_STEP, SALT_STEP = 2.7, 4.4
_CLOSER = 0.58

Segment = tuple[float, float, float, float]


def valve_height(shape: str, height: float) -> float:
    """Height of the head of a vessel `height` metres high, metres."""
    natural = {"tank": VALVE_HEIGHT, "cartridge": HEAD_HEIGHT, "chamber": CAP_HEIGHT}.get(shape, 0.0)
    return min(natural, 0.25 * height)


def tank(x: float, top: float, width: float, height: float, scale: float, texture: str, fill: float) -> list[Shape]:
    """A media tank with its valve head, centred at `x`; `top` is the top of the head, all px; `fill` px of bed."""
    head = valve_height("tank", height / scale) * scale
    shoulder, foot, left, right = top + head, top + height, x - width / 2, x + width / 2
    dome = min(10.0, width / 3)
    body = Path(
        (
            ("M", left, shoulder + dome), ("Q", left, shoulder, x, shoulder), ("Q", right, shoulder, right, shoulder + dome),
            ("L", right, foot - 3), ("Q", right, foot, right - 4, foot), ("L", left + 4, foot), ("Q", left, foot, left, foot - 3), ("Z",),
        ),
        "body", "ink", VESSEL,
    )  # fmt: skip
    bed = bed_of(x, top, width, height, scale, fill)
    cap = min(0.72 * width, 28.0 + 0.2 * width)
    return [body, *media(*bed, texture), Rect(x - cap / 2, top, cap, head, "ink2", "ink", 1.0, 2.0)]


def bed_of(x: float, top: float, width: float, height: float, scale: float, fill: float) -> Box:
    """Where the bed of a tank lies; arguments as of :func:`tank`."""
    head, foot = valve_height("tank", height / scale) * scale, top + height
    bed = min(fill, foot - top - head - min(10.0, width / 3))
    return Box(x - width / 2, foot - bed, width, bed)


def turns_of(x: float, width: float, scale: float, bodies: int) -> tuple[list[float], float]:
    """Centres, and the width of each, of tanks that take turns within the width of a unit."""
    gap = min(2 * INCH * scale, 0.1 * width)
    each = (width - (bodies - 1) * gap) / bodies
    return [x + (i - (bodies - 1) / 2) * (each + gap) for i in range(bodies)], each


def turns(x: float, top: float, width: float, height: float, scale: float, texture: str, fill: float, bodies: int) -> list[Shape]:
    """Tanks side by side that take turns under one valve, within the width of the unit."""
    centres, each = turns_of(x, width, scale, bodies)
    shapes = [shape for centre in centres for shape in tank(centre, top, each, height, scale, texture, fill)]
    head = valve_height("tank", height / scale) * scale
    reach = (centres[-1] - centres[0]) / 2 + min(0.36 * each, 14.0)
    return [*shapes, Rect(x - reach, top, 2 * reach, 0.6 * head, "ink2", "ink", 1.0, 2.0)]


def cartridge(x: float, top: float, width: float, height: float, scale: float) -> list[Shape]:
    """A cartridge housing hanging from its head."""
    head = valve_height("cartridge", height / scale) * scale
    body = Rect(x - width / 2, top + head, width, height - head, "body", "ink", VESSEL, min(4.0, width / 4))
    pleats = tuple((k * width / 4, 6.0, k * width / 4, height - head - 6.0) for k in (-1, 0, 1)) if height - head > 14 else ()
    cap = 1.24 * width
    return [body, Strokes(x, top + head, pleats, "edge", 0.9), Rect(x - cap / 2, top, cap, head, "ink2", "ink", 1.0, 2.0)]


def sleeve_of(x: float, top: float, width: float, height: float, scale: float) -> Box:
    """Where the sleeve of a chamber stands; arguments as of :func:`chamber`."""
    cap, sleeve = valve_height("chamber", height / scale) * scale, max(0.34 * width, 4.0)
    return Box(x - sleeve / 2, top + cap + 4, sleeve, height - cap - 8)


def chamber(x: float, top: float, width: float, height: float, scale: float, lit: bool = True) -> list[Shape]:
    """A UV chamber, standing upright: body, sleeve, lamp, cap; a lamp without light is a broken line."""
    cap = valve_height("chamber", height / scale) * scale
    body, sleeve = height - cap, max(0.34 * width, 4.0)
    y = top + cap
    return [
        Rect(x - width / 2, y, width, body, "body", "ink", VESSEL, min(6.0, width / 3)),
        Rect(x - sleeve / 2, y + 4, sleeve, body - 8, "body", "edge", 0.8, min(3.0, sleeve / 2)),
        Line(x, y + 10, x, y + body - 10, "ink2", 1.6, () if lit else UNLIT_DASH),
        Rect(x - 0.38 * width, top, 0.76 * width, cap, "ink2", "ink", 1.0, 2.0),
    ]


def box(x: float, top: float, width: float, height: float, texture: str, fill: float) -> list[Shape]:
    """Equipment with no outline of its own."""
    shapes: list[Shape] = [Rect(x - width / 2, top, width, height, "body", "ink", VESSEL, 3.0)]
    return shapes + media(x - width / 2, top + height - min(fill, height - 6), width, min(fill, height - 6), texture)


def inline(kind: str, x: float, y: float) -> list[Shape]:
    """A device in the pipe: a bow-tie for a bypass valve, the dot of joined pipes for a tee, a block for the rest."""
    if kind == "bypass":
        bow: tuple[Point, ...] = ((x - 7, y - 5), (x + 7, y + 5), (x + 7, y - 5), (x - 7, y + 5))
        return [Polyline(bow, "ink", 1.0, fill="ink2", closed=True)]
    if kind == "tee":
        return [Circle(x, y, 4.0, "pipe")]
    return [Rect(x - 6, y - 7, 12, 14, "ink2", "ink", 1.0, 1.0)]


def beside(x: float, floor: float, width: float, height: float) -> list[Shape]:
    """A brine or solution tank from `x` rightwards."""
    return [Rect(x, floor - height, width, height, "body", "edge", 1.2, 3.0)]


def pressure_tank(x: float, floor: float, width: float, height: float) -> list[Shape]:
    """The well's pressure tank, with the line between air and water."""
    left, right, top = x - width / 2, x + width / 2, floor - height
    dome = min(16.0, height / 5)
    outline = Path(
        (
            ("M", left, top + dome), ("Q", left, top, x, top), ("Q", right, top, right, top + dome), ("L", right, floor - 3),
            ("Q", right, floor, right - 4, floor), ("L", left + 4, floor), ("Q", left, floor, left, floor - 3), ("Z",),
        ),
        "body", "ink", VESSEL,
    )  # fmt: skip
    middle = floor - height / 2
    return [outline, Line(left, middle, right, middle, "edge", 1.0, FINE_DASH)]


def meter(x: float, y: float) -> list[Shape]:
    """The water meter of a main."""
    return [Circle(x, y, 10.0, "body", "ink", VESSEL), Line(x, y, x + 4.5, y - 4.5, "ink2", 1.6), Circle(x, y, 1.6, "ink2")]


def person(x: float, floor: float, scale: float) -> list[Shape]:
    """A person of 5 ft 8 in, standing at `x`; px per metre."""
    h = PERSON_HEIGHT * scale
    w, top = 0.2154 * h / 2, floor - h

    def at(dx: float, y: float) -> Point:
        return x + dx * w, top + y * h

    body = (
        ("M", *at(-1, 0.185)), ("Q", *at(-1, 0.126), *at(-0.45, 0.126)), ("L", *at(0.45, 0.126)), ("Q", *at(1, 0.126), *at(1, 0.185)),
        ("L", *at(1, 0.5)), ("L", *at(0.68, 0.5)), ("L", *at(0.68, 0.225)), ("L", *at(0.59, 0.225)), ("L", *at(0.59, 1)),
        ("L", *at(0.07, 1)), ("L", *at(0.07, 0.54)), ("L", *at(-0.07, 0.54)), ("L", *at(-0.07, 1)), ("L", *at(-0.59, 1)),
        ("L", *at(-0.59, 0.225)), ("L", *at(-0.68, 0.225)), ("L", *at(-0.68, 0.5)), ("L", *at(-1, 0.5)), ("Z",),
    )  # fmt: skip
    return [Circle(x, top + 0.054 * h, 0.054 * h, "ghost"), Path(body, "ghost")]


# Textures ---------------------------------------------------------------------------------------------------------------------


def media(left: float, top: float, width: float, height: float, texture: str) -> list[Shape]:
    """What fills a vessel, in a rectangle, with a line along its top."""
    if height < 4 or texture in ("none", "pleat", "lamp"):
        return []
    top_line = Line(left + 1, top, left + width - 1, top, "edge", 0.8)
    w, h = round(width), round(height)
    if texture in _DOTS:
        step, r = _DOTS[texture]
        return [Dots(left, top, _dots(w, h, step), r, "edge"), top_line]
    return [Strokes(left, top, _strokes(w, h, texture), "edge", 1.0), top_line]


def denser(area: Box, texture: str) -> list[Shape]:
    """A medium that is used up: its grains stand closer."""
    if area.h < 4 or texture in ("none", "pleat", "lamp"):
        return []
    w, h = round(area.w), round(area.h)
    if texture in _DOTS:
        step, r = _DOTS[texture]
        return [Dots(area.x, area.y, _dots(w, h, _CLOSER * step), r, "edge")]
    return [Strokes(area.x, area.y, _strokes(w, h, texture, _CLOSER), "edge", 1.0)]


def specks(area: Box, step: float = DIRT_STEP) -> list[Shape]:
    """Fine close specks: dirt, or salt where they stand farther apart."""
    points = _dots(round(area.w), round(area.h), step) if area.h >= 4 else ()
    return [Dots(area.x, area.y, points, 0.28 * step, "edge")] if points else []


#: Spacing and radius of dots, px: resin beads stand apart, sand is fine and close.
_DOTS: dict[str, tuple[float, float]] = {"resin": (5.0, 0.95), "sand": (3.6, 0.6)}


@lru_cache(maxsize=256)
def _dots(width: int, height: int, step: float) -> tuple[Point, ...]:
    points: list[Point] = []
    y, row = height - 4.0, 0
    while y > 2.5:
        x = 4.0 + (row % 2) * step / 2
        while x < width - 3:
            points.append((x, y))
            x += step
        y -= step
        row += 1
    return tuple(points)


@lru_cache(maxsize=256)
def _strokes(width: int, height: int, texture: str, closer: float = 1.0) -> tuple[Segment, ...]:
    step_x, step_y, grain = _GRAIN.get(texture, _GRAIN["box"])
    step_x, step_y = closer * step_x, closer * step_y
    segments: list[Segment] = []
    y, row = height - 4.0, 0
    while y > 3.5:
        x = 4.0 + (row % 2) * step_x / 2
        while x < width - 3.5:
            segments.extend((x + a, y + b, x + c, y + d) for a, b, c, d in grain)
            x += step_x
        y -= step_y
        row += 1
    return tuple(segments)


#: Grain of each medium: horizontal and vertical spacing, and its strokes about its place, px.
_GRAIN: dict[str, tuple[float, float, tuple[Segment, ...]]] = {
    "iron": (5.0, 5.0, ((-1.2, 1.2, 1.2, -1.2),)),
    "carbon": (7.0, 7.0, ((-2.1, 0.0, 2.1, 0.0), (0.0, -2.1, 0.0, 2.1))),
    "calcite": (6.5, 6.5, ((-1.9, -1.4, 0.0, 1.4), (0.0, 1.4, 1.9, -1.4))),
    "water": (12.0, 9.0, ((-3.0, 0.0, 3.0, 0.0),)),
    "box": (7.0, 7.0, ((-1.5, 1.5, 1.5, 1.5),)),
}
