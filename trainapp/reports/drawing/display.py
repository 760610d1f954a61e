"""The display list: what a renderer draws, in order, and what lies under the pointer.

Coordinates and lengths are px with y downwards; colours are names of :mod:`~trainapp.reports.drawing.tokens`, so another theme is
only another rendering. A :class:`Group` carries a tag (what it stands for), a tooltip, an accessible name and its hit areas.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import NamedTuple, TypeAlias

Measure: TypeAlias = Callable[[str, float, bool], float]
Point: TypeAlias = tuple[float, float]
Dash: TypeAlias = tuple[float, ...]
Tag: TypeAlias = tuple[str | int, ...]

#: Height of a capital above the baseline and depth of a descender below it, as fractions of the size, of the drawing's font.
ASCENT, DESCENT = 0.76, 0.24


class Box(NamedTuple):
    """A rectangle: left, top, width, height."""

    x: float
    y: float
    w: float
    h: float

    @property
    def right(self) -> float:
        return self.x + self.w

    @property
    def bottom(self) -> float:
        return self.y + self.h

    def meets(self, other: Box, clearance: float = 0.0) -> bool:
        """Whether the two overlap, or come nearer than `clearance`."""
        return (
            self.x < other.x + other.w + clearance
            and other.x < self.x + self.w + clearance
            and self.y < other.y + other.h + clearance
            and other.y < self.y + self.h + clearance
        )

    def holds(self, x: float, y: float) -> bool:
        """Whether the point lies inside."""
        return self.x <= x <= self.x + self.w and self.y <= y <= self.y + self.h

    def grown(self, by: float) -> Box:
        """The box with `by` more on every side."""
        return Box(self.x - by, self.y - by, self.w + 2 * by, self.h + 2 * by)


class Line(NamedTuple):
    """One straight stroke."""

    x1: float
    y1: float
    x2: float
    y2: float
    token: str
    width: float = 1.0
    dash: Dash = ()


class Polyline(NamedTuple):
    """Straight strokes through points; `closed` joins the last to the first, `round` rounds the joins. An empty token is not drawn."""

    points: tuple[Point, ...]
    stroke: str = ""
    width: float = 1.0
    dash: Dash = ()
    fill: str = ""
    closed: bool = False
    round: bool = False


class Rect(NamedTuple):
    """A rectangle with round corners of radius `corner`."""

    x: float
    y: float
    w: float
    h: float
    fill: str = ""
    stroke: str = ""
    width: float = 1.0
    corner: float = 0.0
    dash: Dash = ()


class Circle(NamedTuple):
    """A circle by centre and radius."""

    x: float
    y: float
    r: float
    fill: str = ""
    stroke: str = ""
    width: float = 1.0
    dash: Dash = ()


class Path(NamedTuple):
    """An outline: commands ("M", x, y), ("L", x, y), ("Q", cx, cy, x, y) and ("Z",)."""

    commands: tuple[tuple[str | float, ...], ...]
    fill: str = ""
    stroke: str = ""
    width: float = 1.0


class Dots(NamedTuple):
    """Many filled dots of one radius, at points relative to (x, y)."""

    x: float
    y: float
    points: tuple[Point, ...]
    r: float
    token: str


class Strokes(NamedTuple):
    """Many short strokes (x1, y1, x2, y2), relative to (x, y)."""

    x: float
    y: float
    segments: tuple[tuple[float, float, float, float], ...]
    token: str
    width: float = 1.0


class Text(NamedTuple):
    """One line of text; (x, y) is its start, middle or end on the baseline."""

    x: float
    y: float
    text: str
    token: str = "ink"
    size: float = 12.0
    anchor: str = "start"
    bold: bool = False

    def box(self, measure: Measure) -> Box:
        """The rectangle that its letters may fill."""
        width = measure(self.text, self.size, self.bold)
        left = self.x - {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]
        return Box(left, self.y - ASCENT * self.size, width, (ASCENT + DESCENT) * self.size)


@dataclass(slots=True)
class Group:
    """Shapes that stand for one thing.

    Attributes:
        items: drawn in order.
        tag: what it stands for: ("stage", id), ("cell", row, column), ("finding", number), ("link", from, to), ("handle", name), ...
        tooltip: text for a pointer that rests on it. name: what a screen reader says.
        areas: where it can be hit; empty for a group that is only looked at.
        clip: nothing of it is drawn, or hit, outside.
        whole: the place that has to be in sight; where the edge of a view cuts it the group is not drawn: no number is read in part.
    """

    items: list[Shape] = field(default_factory=list)
    tag: Tag = ()
    tooltip: str = ""
    name: str = ""
    areas: tuple[Box, ...] = ()
    clip: Box | None = None
    whole: Box | None = None


def is_cut(whole: Box | None, left: float, right: float) -> bool:
    """Whether a place reaches beyond the sides of a view."""
    return whole is not None and (whole.x < left - 0.5 or whole.right > right + 0.5)


Shape: TypeAlias = Line | Polyline | Rect | Circle | Path | Dots | Strokes | Text | Group


@dataclass(slots=True)
class Display:
    """A whole drawing: its size, the token of its ground, and its shapes in drawing order."""

    width: float
    height: float
    items: list[Shape]
    ground: str = "sheet"

    def at(self, x: float, y: float) -> Group | None:
        """The topmost group with a hit area under the point, None where there is none."""
        return hit(self.items, x, y)

    def groups(self) -> Iterator[Group]:
        """Every group that has a tag, in drawing order."""
        return (shape for shape, _ in walk(self.items) if isinstance(shape, Group) and shape.tag)

    def find(self, tag: Tag) -> Group | None:
        """The first group of that tag."""
        return next((group for group in self.groups() if group.tag == tag), None)


def hit(items: list[Shape], x: float, y: float) -> Group | None:
    """The topmost group with a hit area under a point."""
    for shape in reversed(items):
        if not isinstance(shape, Group) or (shape.clip is not None and not shape.clip.holds(x, y)):
            continue
        inner = hit(shape.items, x, y)
        if inner is not None:
            return inner
        if any(area.holds(x, y) for area in shape.areas):
            return shape
    return None


def walk(items: list[Shape], clip: Box | None = None) -> Iterator[tuple[Shape, Box | None]]:
    """Every shape in drawing order, groups before what they hold, each with the innermost clip around it."""
    for shape in items:
        yield shape, clip
        if isinstance(shape, Group):
            yield from walk(shape.items, shape.clip or clip)


def texts(items: list[Shape]) -> Iterator[tuple[Text, Box | None]]:
    """Every text with the clip around it."""
    return ((shape, clip) for shape, clip in walk(items) if isinstance(shape, Text))
