"""One train on one floor line, to scale and without its room: what is laid beside other trains at the same scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from trainapp.reports.drawing import bench
from trainapp.reports.drawing.display import Box, Display, Line, Measure, Shape, Text
from trainapp.reports.drawing.floor import lay_out
from trainapp.reports.drawing.frame import FOOT, Frame, Options
from trainapp.reports.drawing.model import BenchModel, StageModel
from trainapp.reports.drawing.scene import Scene
from trainapp.reports.drawing.tokens import CAPTION, FLOOR
from trainapp.reports.drawing.vessels import PERSON_HEIGHT, PERSON_WIDTH, person
from trainapp.train.routes import route

#: The largest and the least scale that a train is laid out at, px per metre; what has to be smaller is drawn smaller as a whole.
SCALE_MOST, SCALE_LEAST = 36.0 / FOOT, 8.5 / FOOT
#: A drawing that is drawn smaller than this has no numbers: print keeps to 8 pt.
_READABLE = 0.97
#: Beside and above the train, and under the floor without and with numbers, px.
SIDE, TOP, UNDER, NUMBERS = 10.0, 6.0, 6.0, 16.0
#: The frame's wall stands so far to the right of the frame's left side.
_WALL = Frame(0.0, 0.0).wall
#: Middles of neighbouring units of one stage, px at the least, and how narrow a vessel is ever drawn.
_APART, _THIN = 9.0, 5.0
#: Small pipes are open so far beside what crosses them, px.
_CLEAR = 2.5


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
    items += bench.figures(made, _CLEAR)
    if numbers:
        items += _numbers(made)
    height = made.floor + (NUMBERS if numbers else UNDER)
    return Display(right + SIDE, height, items, "page")


@dataclass(frozen=True, slots=True)
class Lineups:
    """Several trains at one scale.

    Attributes:
        displays: one a train. factor: by which each is to be drawn smaller, 1 where it fits as it is.
        scale: px per metre, that factor in it.
        person: of 5 ft 8 in, at the same scale and factor.
    """

    displays: tuple[Display, ...]
    factor: float
    scale: float
    person: Display


def lineups(models: Sequence[BenchModel], width: float, height: float, measure: Measure, numbers: bool = True) -> Lineups:
    """Trains at the one scale at which each is no wider and no higher than that.

    Args:
        numbers: whether stages are numbered; not where the drawing has to become so small that they could not be read.
    """
    scale = _largest(models, width, height, measure, numbers)
    displays = tuple(lineup(model, scale, measure, numbers) for model in models)
    factor = min([1.0, *(min(width / each.width, height / each.height) for each in displays)])
    if numbers and factor < _READABLE:
        return lineups(models, width, height, measure, False)
    return Lineups(displays, factor, scale * factor, person_display(scale))


def _largest(models: Sequence[BenchModel], width: float, height: float, measure: Measure, numbers: bool) -> float:
    """The largest scale, px per metre, at which each train fits; the least where none is small enough."""
    low, high = SCALE_LEAST, SCALE_MOST
    if _fit(models, high, width, height, measure, numbers):
        return high
    for _ in range(8):
        middle = (low + high) / 2
        low, high = (middle, high) if _fit(models, middle, width, height, measure, numbers) else (low, middle)
    return low


def person_display(scale: float) -> Display:
    """The person of 5 ft 8 in at the same scale, on a floor line of its own."""
    width, floor = PERSON_WIDTH * scale + 2 * SIDE, TOP + PERSON_HEIGHT * scale
    items: list[Shape] = [Line(0.0, floor, width, floor, "ink", FLOOR * 0.8), *person(width / 2, floor, scale)]
    return Display(width, floor + UNDER, items, "page")


def _fit(models: Sequence[BenchModel], scale: float, width: float, height: float, measure: Measure, numbers: bool) -> bool:
    displays = (lineup(model, scale, measure, numbers) for model in models)
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
    made = bench.scene(bare, way, Options(at.end, floor), frame, at, measure, TOP, floor)
    # The bench draws nothing narrower than a finger can hit; here all is to scale.
    made.units = {stage.id: _true(stage, made.units[stage.id], scale) for stage in bare.stages if stage.id in made.units}
    return made


def _true(stage: StageModel, boxes: tuple[Box, ...], scale: float) -> tuple[Box, ...]:
    """Boxes of a stage's units in their true width about the same middles."""
    width = max(stage.figure.width * scale, _THIN)
    return tuple(Box(box.x + (box.w - width) / 2, box.y, width, box.h) for box in boxes)


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
