"""One train on one floor line, to scale and without its room: what is laid beside other trains at the same scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from trainapp.reports.drawing import bench
from trainapp.reports.drawing.display import Display, Line, Measure, Rect, Shape, Text
from trainapp.reports.drawing.floor import lay_out
from trainapp.reports.drawing.frame import FOOT, Frame, Options
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.routes import route
from trainapp.reports.drawing.scene import Scene
from trainapp.reports.drawing.tokens import CAPTION, FLOOR
from trainapp.reports.drawing.vessels import PERSON_HEIGHT, PERSON_WIDTH, person

#: The largest and the least scale, px per metre: between them a vessel is still told from its neighbour.
SCALE_MOST, SCALE_LEAST = 36.0 / FOOT, 6.0 / FOOT
#: Beside and above the train, and under the floor without and with numbers, px.
SIDE, TOP, UNDER, NUMBERS = 10.0, 6.0, 6.0, 16.0
#: The frame's wall stands so far to the right of the frame's left side.
_WALL = Frame(0.0, 0.0).wall
#: Middles of neighbouring units of one stage, px at the least: at a small scale they are drawn wider than they are.
_APART = 17.0
_NARROWER = 2.5


class _Close(Frame):
    """A frame without row heads: the supply stands near the wall."""

    __slots__ = ()

    @property
    def supply(self) -> float:
        return self.wall + 16.0


def lineup(model: BenchModel, scale: float, measure: Measure, numbers: bool = True) -> Display:
    """A train at a scale.

    Args:
        model: its findings, rows, room and places on the floor are left out: the stages stand in flow order.
        scale: px per metre. numbers: whether the number of each stage stands under it.
    """
    made = _scene(model, scale, measure)
    right = made.at.end + SIDE
    items: list[Shape] = [Line(SIDE, made.floor, right, made.floor, "ink", FLOOR * 0.8)]
    items += [_small_gap(shape) if isinstance(shape, Rect) else shape for shape in bench.figures(made)]
    if numbers:
        items += _numbers(made)
    height = made.floor + (NUMBERS if numbers else UNDER)
    return Display(right + SIDE, height, items, "page")


def lineup_scale(models: Sequence[BenchModel], width: float, height: float, measure: Measure) -> float:
    """The one scale, px per metre, at which each train is no wider and no higher than that; the least where none is small enough."""
    low, high = SCALE_LEAST, SCALE_MOST
    if _fit(models, high, width, height, measure):
        return high
    for _ in range(8):
        middle = (low + high) / 2
        low, high = (middle, high) if _fit(models, middle, width, height, measure) else (low, middle)
    return low


def person_display(scale: float) -> Display:
    """The person of 5 ft 8 in at the same scale, on a floor line of its own."""
    width, floor = PERSON_WIDTH * scale + 2 * SIDE, TOP + PERSON_HEIGHT * scale
    items: list[Shape] = [Line(0.0, floor, width, floor, "ink", FLOOR * 0.8), *person(width / 2, floor, scale)]
    return Display(width, floor + UNDER, items, "page")


def _fit(models: Sequence[BenchModel], scale: float, width: float, height: float, measure: Measure) -> bool:
    displays = (lineup(model, scale, measure) for model in models)
    return all(display.width <= width and display.height <= height for display in displays)


def _scene(model: BenchModel, scale: float, measure: Measure) -> Scene:
    """The geometry, moved so that it begins at the left edge."""
    stages = tuple(replace(stage, x=None) for stage in model.stages)
    bare = replace(
        model, stages=stages, supply=replace(model.supply, x=None), findings=(), rows=(), columns=(), pressure=None, try_flow=None,
        room_width=None, room_height=None,
    )  # fmt: skip
    way = route([stage.id for stage in bare.stages], bare.links, [end.id for end in bare.ends])
    frame = _Close(SIDE - _WALL, SIDE - _WALL + 1.0)
    at = lay_out(bare, way, (), frame, scale, 0.0)
    at = replace(at, units={node: _apart(middles) for node, middles in at.units.items()})
    floor = TOP + bench.extent(bare, way) * scale
    return bench.scene(bare, way, Options(at.end, floor), frame, at, measure, TOP, floor)


def _small_gap(gap: Rect) -> Rect:
    """The gap of a crossed pipe, no wider than small pipes ask for, on white."""
    return Rect(gap.x + _NARROWER, gap.y + _NARROWER, gap.w - 2 * _NARROWER, gap.h - 2 * _NARROWER, "page")


def _apart(middles: tuple[float, ...]) -> tuple[float, ...]:
    """Middles of units about the same point, never nearer than they can be drawn."""
    centre, count = sum(middles) / max(len(middles), 1), len(middles)
    gap = (middles[-1] - middles[0]) / (count - 1) if count > 1 else _APART
    return middles if gap >= _APART else tuple(centre + (i - (count - 1) / 2) * _APART for i in range(count))


def _numbers(made: Scene) -> list[Shape]:
    """The number of each stage under its middle; of those that hang in the pipe none."""
    items: list[Shape] = []
    edge = 0.0
    for stage in made.model.stages:
        boxes = made.units.get(stage.id)
        if not boxes or not stage.number:
            continue
        text = Text((boxes[0].x + boxes[-1].right) / 2, made.floor + 13.0, stage.number, "ink2", CAPTION, "middle", True)
        if text.box(made.measure).x > edge:
            items.append(text)
            edge = text.box(made.measure).right + 3.0
    return items
