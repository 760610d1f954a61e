"""Parts of a view that move as one: what a window moves when it pans, without laying anything out anew."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from trainapp.reports.drawing.display import (
    Box,
    Circle,
    Dots,
    Group,
    Line,
    Path,
    Polyline,
    Rect,
    Shape,
    Strokes,
    Tag,
    Text,
    hit,
    is_cut,
    walk,
)

LayerName = Literal["headline", "bench", "names", "under", "bands", "fixed"]


@dataclass(frozen=True)
class Layer:
    """Shapes in px of the drawing as if nothing were panned.

    Attributes:
        name: "headline" stays; "bench" and "names" move sideways, the bench up and down as well; "under" (lines), "bands" and "fixed"
            (heads and words) scroll together, of these only "bands" sideways.
        clip: what is seen of it, px of the view; None for all of it.
    """

    name: LayerName
    shapes: list[Shape]
    clip: Box | None = None

    def move(self, pan: Pan) -> tuple[float, float]:
        """How far it is moved right and down, px."""
        x = -pan.x if self.name in ("bench", "names", "bands") else 0.0
        y = pan.y if self.name == "bench" else -pan.scroll if self.name in ("under", "bands", "fixed") else 0.0
        return x, y

    @cached_property
    def groups(self) -> dict[Tag, Group]:
        """The first group of each tag."""
        found: dict[Tag, Group] = {}
        for shape, _ in walk(self.shapes):
            if isinstance(shape, Group) and shape.tag:
                found.setdefault(shape.tag, shape)
        return found

    def at(self, x: float, y: float, pan: Pan) -> Group | None:
        """The topmost group under a point of the view."""
        if self.clip is not None and not self.clip.holds(x, y):
            return None
        right, down = self.move(pan)
        return hit(self.shapes, x - right, y - down)

    def placed(self, pan: Pan) -> list[Shape]:
        """The shapes where they are seen."""
        right, down = self.move(pan)
        shapes = moved(self.shapes, right, down) if right or down else self.shapes
        if self.clip is None:
            return shapes
        left, end = self.clip.x, self.clip.right
        return [Group([s for s in shapes if not (isinstance(s, Group) and is_cut(s.whole, left, end))], clip=self.clip)]


@dataclass(frozen=True, slots=True)
class Pan:
    """Px that bench and bands are moved left (`x`), the bench is moved down (`y`), and the bands below it are moved up (`scroll`)."""

    x: float = 0.0
    y: float = 0.0
    scroll: float = 0.0

    def within(self, most: Pan) -> Pan:
        """Held to what there is to be seen."""
        return Pan(*(min(max(a, 0.0), b) for a, b in ((self.x, most.x), (self.y, most.y), (self.scroll, most.scroll))))


def moved(shapes: list[Shape], dx: float, dy: float) -> list[Shape]:
    """Shapes moved right by `dx` and down by `dy`."""
    return [_moved(shape, dx, dy) for shape in shapes]


def _moved(shape: Shape, dx: float, dy: float) -> Shape:
    if isinstance(shape, Line):
        return shape._replace(x1=shape.x1 + dx, y1=shape.y1 + dy, x2=shape.x2 + dx, y2=shape.y2 + dy)
    if isinstance(shape, Polyline):
        return shape._replace(points=tuple((x + dx, y + dy) for x, y in shape.points))
    if isinstance(shape, Path):
        return shape._replace(commands=tuple(_moved_command(command, dx, dy) for command in shape.commands))
    if isinstance(shape, Rect | Circle | Dots | Strokes | Text):
        return shape._replace(x=shape.x + dx, y=shape.y + dy)
    areas = tuple(_moved_box(area, dx, dy) for area in shape.areas)
    clip, whole = (_moved_box(box, dx, dy) if box is not None else None for box in (shape.clip, shape.whole))
    return replace(shape, items=moved(shape.items, dx, dy), areas=areas, clip=clip, whole=whole)


def _moved_command(command: tuple[str | float, ...], dx: float, dy: float) -> tuple[str | float, ...]:
    numbers = [float(part) + (dy if i % 2 else dx) for i, part in enumerate(command[1:])]
    return (command[0], *numbers)


def _moved_box(box: Box, dx: float, dy: float) -> Box:
    return Box(box.x + dx, box.y + dy, box.w, box.h)
