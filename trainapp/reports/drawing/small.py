"""Trains as small pictures beside each other: one scale, one floor line, textures drawn anew so that they stay readable."""

from __future__ import annotations

from collections.abc import Sequence

from trainapp.reports.drawing.display import Box, Circle, Dots, Group, Line, Measure, Path, Polyline, Rect, Shape, Strokes, Text, walk
from trainapp.reports.drawing.lineup import SCALE_MOST, lineup
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.tokens import CAPTION, FLOOR
from trainapp.reports.drawing.vessels import media

#: Under the floor line, px: room for numbers; and over the highest pipe.
UNDER, _OVER = 17.0, 6.0
#: Lines are drawn no thinner than this, px; arrows no smaller than this share of their size.
_THINNEST, _ARROW = 1.2, 0.75


def small_scale(models: Sequence[BenchModel], width: float, height: float, measure: Measure) -> float:
    """The one scale, px per metre, at which each train is no wider and no higher than that, numbers left out."""
    found = 1.0
    for model in models:
        wide, high = _natural(model, measure)
        found = min(found, width / wide, height / high)
    return SCALE_MOST * found


def small_height(models: Sequence[BenchModel], scale: float, measure: Measure) -> float:
    """Height of the tallest at a scale, numbers included, px."""
    return max((_natural(model, measure)[1] * scale / SCALE_MOST for model in models), default=0.0) + _OVER + UNDER


def _natural(model: BenchModel, measure: Measure) -> tuple[float, float]:
    """Width of a train at the largest scale, and its height from the floor to its highest pipe."""
    drawn = lineup(model, SCALE_MOST, measure, numbers=False)
    floor = next(shape for shape, _ in walk(drawn.items) if isinstance(shape, Line)).y1
    tops = [y for shape, _ in walk(drawn.items) if isinstance(shape, Polyline) for _, y in shape.points]
    return drawn.width, floor - min(tops, default=0.0)


def small(model: BenchModel, scale: float, width: float, height: float, measure: Measure) -> list[Shape]:
    """A train in a box, its floor line `UNDER` px above the lower edge and as long as the box is wide."""
    natural = lineup(model, SCALE_MOST, measure, numbers=False)
    times = scale / SCALE_MOST
    floor = next(shape for shape in natural.items if isinstance(shape, Line))
    line = height - UNDER
    shrink = _Shrink(model, times, line - floor.y1 * times)
    items: list[Shape] = [Line(0.0, line, width, line, "ink", FLOOR * 0.8)]
    items += [shape for found in natural.items if found is not floor for shape in shrink.shapes(found)]
    return [*items, *_numbers(model, natural.items, shrink, line, measure)]


class _Shrink:
    """Makes shapes smaller and moves them down."""

    def __init__(self, model: BenchModel, times: float, down: float) -> None:
        self.model, self.times, self.down = model, times, down
        self._texture = ""

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A point where it is drawn."""
        return x * self.times, y * self.times + self.down

    def thin(self, width: float) -> float:
        """Width of a line."""
        return max(width * self.times, min(width, _THINNEST))

    def shapes(self, shape: Shape) -> list[Shape]:
        """A shape made smaller; words are left out."""
        k = self.times
        if isinstance(shape, Group):
            return [self._group(shape)]
        if isinstance(shape, Text):
            return []
        if isinstance(shape, Line):
            (x1, y1), (x2, y2) = self.at(shape.x1, shape.y1), self.at(shape.x2, shape.y2)
            return [shape._replace(x1=x1, y1=y1, x2=x2, y2=y2, width=self.thin(shape.width))]
        if isinstance(shape, Polyline) and shape.closed and shape.fill == "pipe":
            return [self._arrow(shape)]
        if isinstance(shape, Polyline):
            return [shape._replace(points=tuple(self.at(x, y) for x, y in shape.points), width=self.thin(shape.width))]
        if isinstance(shape, Rect):
            x, y = self.at(shape.x, shape.y)
            return [shape._replace(x=x, y=y, w=shape.w * k, h=shape.h * k, width=self.thin(shape.width), corner=shape.corner * k)]
        if isinstance(shape, Circle):
            x, y = self.at(shape.x, shape.y)
            return [shape._replace(x=x, y=y, r=max(shape.r * k, 1.0), width=self.thin(shape.width))]
        if isinstance(shape, Path):
            return [shape._replace(commands=tuple(self._command(command) for command in shape.commands), width=self.thin(shape.width))]
        return self._grain(shape)

    def _arrow(self, arrow: Polyline) -> Polyline:
        """The head of an arrow, which keeps most of its size."""
        middle = [sum(part) / len(arrow.points) for part in zip(*arrow.points, strict=True)]
        x, y = self.at(middle[0], middle[1])
        return arrow._replace(points=tuple((x + _ARROW * (px - middle[0]), y + _ARROW * (py - middle[1])) for px, py in arrow.points))

    def _group(self, group: Group) -> Group:
        stage = self.model.stage(str(group.tag[1])) if group.tag[:1] == ("stage",) and len(group.tag) == 2 else None
        self._texture = stage.figure.texture if stage is not None else ""
        areas = tuple(Box(*self.at(area.x, area.y), area.w * self.times, area.h * self.times) for area in group.areas)
        return Group([small for shape in group.items for small in self.shapes(shape)], group.tag, group.tooltip, group.name, areas)

    def _command(self, command: tuple[str | float, ...]) -> tuple[str | float, ...]:
        numbers = [float(part) for part in command[1:]]
        points = [self.at(numbers[i], numbers[i + 1]) for i in range(0, len(numbers), 2)]
        return (command[0], *(part for point in points for part in point))

    def _grain(self, shape: Dots | Strokes) -> list[Shape]:
        """A texture, laid anew in its smaller box; pleats and the like only shrink."""
        x, y = self.at(shape.x, shape.y)
        k = self.times
        if isinstance(shape, Dots):
            ends = shape.points
        else:
            ends = tuple(point for x1, y1, x2, y2 in shape.segments for point in ((x1, y1), (x2, y2)))
        if ends:
            wide, high = max(px for px, _ in ends) + 4.0, max(py for _, py in ends) + 4.0
            made = [found for found in media(x, y, wide * k, high * k, self._texture) if isinstance(found, Dots | Strokes)]
            if made:
                return list(made)
        if isinstance(shape, Strokes):
            segments = tuple((x1 * k, y1 * k, x2 * k, y2 * k) for x1, y1, x2, y2 in shape.segments)
            return [shape._replace(x=x, y=y, segments=segments, width=self.thin(shape.width))]
        return []


def _numbers(model: BenchModel, shapes: Sequence[Shape], shrink: _Shrink, line: float, measure: Measure) -> list[Shape]:
    """Numbers of the stages that stand, as far as they clear each other."""
    items: list[Shape] = []
    edge = 0.0
    for group in shapes:
        stage = model.stage(str(group.tag[1])) if isinstance(group, Group) and group.tag[:1] == ("stage",) else None
        if stage is None or stage.figure.shape == "inline" or not isinstance(group, Group) or not group.areas:
            continue
        left, _ = shrink.at(min(area.x for area in group.areas), 0.0)
        units = [area for area in group.areas[: stage.count]] or list(group.areas)
        right, _ = shrink.at(max(area.right for area in units), 0.0)
        text = Text((left + right) / 2, line + 13.0, stage.number, "ink2", CAPTION, "middle", True)
        box = text.box(measure)
        if box.x > edge:
            items.append(text)
            edge = box.right + 3.0
    return items
