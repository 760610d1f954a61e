"""A train as a lesson shows it: vessels, pipes and floor as on the bench, but only letters that the back of a room can read.

What a vessel looks like in use is the bench's own texture. Beside a UV chamber with a film on its sleeve stands the sleeve, cut through.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import cos, pi, sin, sqrt

from trainapp.desktop.lessons.places import LEAST, LEAST_LEADING
from trainapp.reports.drawing import bench
from trainapp.reports.drawing.display import Circle, Display, Group, Line, Measure, Shape, Strokes, Text
from trainapp.reports.drawing.floor import SCALE_MOST, lay_out
from trainapp.reports.drawing.frame import FOOT, INCH, Frame, Options, Spread
from trainapp.reports.drawing.model import HOUSE, BenchModel, StageModel
from trainapp.reports.drawing.pipes import levels, run_height, step_height
from trainapp.reports.drawing.room import standing_person
from trainapp.reports.drawing.scene import Scene
from trainapp.reports.drawing.tokens import FLOOR, LESSON_TEXT
from trainapp.reports.print_pages import Placed
from trainapp.train.routes import Route, route

#: Room for the sleeve cut through, half its width at the most, and what its words take below it, px at 100 %.
_SLEEVE, _RING, _WORDS = 134.0, 44.0, 66.0
_LEAST_SCALE = 3.0 / FOOT
#: Px per metre of a train for which a window is too low: it is drawn all the same, and smaller than anybody can see.
_TINIEST = 1.0
#: Px of the lesson a px of the layout: a smaller one leaves more of the width to the vessels and less to what stands between them.
_FACTORS = (1.0, 0.85, 0.7, 0.55, 0.45)
_STROKES = 72


class _Frame(Frame):
    """The bench without row heads and row words: the train takes the whole width."""

    __slots__ = ()

    @property
    def wall(self) -> float:
        return self.left

    @property
    def supply(self) -> float:
        return self.left + 8.0

    @property
    def first(self) -> float:
        return self.left

    @property
    def end(self) -> float:
        return self.right - 12.0


@dataclass(frozen=True, slots=True)
class Film:
    """What a film on a sleeve takes from the light, least and most, 0 to 1."""

    low: float
    high: float

    def words(self) -> tuple[str, ...]:
        """How much light still passes."""
        ends = [f"{100.0 * (1.0 - part):.0f}" for part in (self.high, self.low)]
        return (f"{ends[0]} to {ends[1]}\u202f%" if ends[0] != ends[1] else f"{ends[0]}\u202f%", "of light passes", "illustrative")


_Names = dict[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class _Laid:
    """A train laid out on a floor: `factor` px of the lesson a px of its layout; names under it, by stage, and a key to numbers
    below; `room`: its width, px."""

    model: BenchModel
    way: Route
    at: Spread
    factor: float
    names: _Names
    key: tuple[str, ...] = ()
    room: float = 0.0

    @property
    def scale(self) -> float:
        """Px of the lesson a metre."""
        return self.at.scale * self.factor


def scale_that_fits(model: BenchModel, width: float, height: float, measure: Measure, *, sleeve: bool = False) -> float:
    """The largest scale, px per metre at 100 %, at which a train fits a box; `sleeve`: beside a sleeve that is cut through."""
    return _lay(_plain(model), width - (_SLEEVE if sleeve else 0.0), height, measure, SCALE_MOST).scale


def picture(
    model: BenchModel, width: float, height: float, measure: Measure, *, scale: float = SCALE_MOST, film: Film | None = None, uv: str = ""
) -> tuple[Placed, ...]:
    """The train in a box of that size, px at 100 %: drawings with their places in it.

    Args:
        scale: px per metre at the most, to draw two trains alike.
        film: of the sleeve that is shown cut through, in the chamber `uv`; None for none.
    """
    room = width - (_SLEEVE if film is not None else 0.0)
    laid = _lay(_plain(model), room, height, measure, scale)
    factor, floor = laid.factor, _floor(laid.names, height, laid.key)
    wide, deep = room / factor, floor / factor
    frame = _Frame(0.0, wide)
    scene = bench.scene(laid.model, laid.way, Options(width=wide, height=deep), frame, laid.at, measure, 0.0, deep)
    shapes = [Line(0.0, deep, wide, deep, "ink", FLOOR / factor), *standing_person(scene), *bench.figures(scene)]
    over: list[Shape] = []
    for node, lines in laid.names.items():
        for i, line in enumerate(lines):
            over.append(Text(laid.at.centres[node] * factor, floor + 18.0 + i * LEAST_LEADING, line, "ink2", LEAST, "middle"))
    foot = height - LEAST_LEADING * len(laid.key) + 12.0
    over += [Text(room / 2, foot + i * LEAST_LEADING, line, "ink2", LEAST, "middle") for i, line in enumerate(laid.key)]
    train = Placed(Display(wide, deep + 4.0, _readable(shapes), "page"), 0.0, 0.0, factor)
    if film is None:
        return train, Placed(Display(width, height, over, "page"), 0.0, 0.0)
    leader, sleeve = _sleeve(film, scene, uv, (width, height), factor)
    return Placed(Display(width, height, leader, "page"), 0.0, 0.0), train, Placed(Display(width, height, over + sleeve, "page"), 0.0, 0.0)


def _plain(model: BenchModel) -> BenchModel:
    """The train in flow order, without bands, marks and places of its own."""
    stages = tuple(replace(stage, x=None) for stage in model.stages)
    return replace(
        model, stages=stages, supply=replace(model.supply, x=None), columns=(), rows=(), findings=(), room_width=None, room_height=None
    )


def _lay(model: BenchModel, width: float, height: float, measure: Measure, most: float) -> _Laid:
    """The layout that shows the vessels largest; among those that do, the one with the most names."""
    way = route([stage.id for stage in model.stages], model.links, [end.id for end in model.ends])
    best: _Laid | None = None
    for names, is_key in _namings(model):
        key = tuple(_key(model, width, measure)) if is_key else ()
        tried = [_laid(model, way, (width, height), names, measure, factor, most, key) for factor in _FACTORS]
        largest = max(laid.scale for laid in tried)
        found = next(laid for laid in tried if laid.scale >= 0.96 * largest)
        if not _apart(found, measure):
            continue
        if best is None or found.scale > 1.3 * best.scale:
            best = found
    assert best is not None  # no names at all stand apart
    return best


def _laid(
    model: BenchModel,
    way: Route,
    size: tuple[float, float],
    names: _Names,
    measure: Measure,
    factor: float,
    most: float,
    key: tuple[str, ...],
) -> _Laid:
    """The train at the largest scale at which it fits."""
    width, height = size
    count = levels(way, model)
    tall = run_height(model) + count * step_height(model, count) + 3 * INCH
    frame = _Frame(0.0, width / factor)
    high = max(min((_floor(names, height, key) - 6.0) / factor / tall, most / factor), _TINIEST)
    widest = max((measure(line, LEAST, False) for lines in names.values() for line in lines), default=0.0)
    # Stages without a column stand at this share of the pitch.
    pitch = max((widest + 8.0) / factor / 0.4, 24.0)
    low = min(_LEAST_SCALE / factor, high)
    if _reach(lay_out(model, way, (), frame, high, pitch)) <= frame.end:
        low = high
    for _ in range(9 if low < high else 0):
        middle = (low + high) / 2
        low, high = (middle, high) if _reach(lay_out(model, way, (), frame, middle, pitch)) <= frame.end else (low, middle)
    at = lay_out(model, way, (), frame, low, pitch)
    end = max(frame.end, _reach(at))
    return _Laid(model, way, replace(at, centres={**at.centres, HOUSE: end}, end=end), factor, names, key, width)


def _reach(at: Spread) -> float:
    """How far to the right the stages reach, with the pipe that leaves them."""
    return max(x + at.extents[node][1] for node, x in at.centres.items() if node in at.extents) + 40.0


def _floor(names: _Names, height: float, key: tuple[str, ...] = ()) -> float:
    """The y of the floor over the names and the key."""
    lines = max((len(lines) for lines in names.values()), default=0) + len(key)
    return height - 6.0 - (LEAST_LEADING * lines if lines else 0.0)


def _namings(model: BenchModel) -> Iterator[tuple[_Names, bool]]:
    """Ways to name what stands in the line, the fullest first, and whether a key below says what its numbers are."""
    yield {stage.id: (stage.name, *_state(stage)) for stage in model.stages}, False
    yield {stage.id: (*stage.name.split(" ", 1), *_state(stage)) for stage in model.stages}, False
    yield {stage.id: (stage.number, *_state(stage)) for stage in model.stages if stage.number}, True
    yield {stage.id: (stage.number,) for stage in model.stages if stage.number}, True
    yield {}, True


def _key(model: BenchModel, width: float, measure: Measure) -> Iterator[str]:
    """What each number is, in as many lines as it takes; a part is never broken."""
    line = ""
    for part in (f"{stage.number} {stage.name}".strip() for stage in model.stages):
        longer = f"{line}   {part}" if line else part
        if line and measure(longer, LEAST, False) > width:
            yield line
            longer = part
        line = longer
    if line:
        yield line


def _state(stage: StageModel) -> tuple[str, ...]:
    """How a stage looks, in a number and a word."""
    return (" ".join(stage.state.inside),) if stage.state is not None and stage.state.inside else ()


def _apart(laid: _Laid, measure: Measure) -> bool:
    """Whether everything fits its frame and no name meets another."""
    ends = []
    for node, lines in laid.names.items():
        half = max(measure(line, LEAST, False) for line in lines) / 2
        ends.append((laid.at.centres[node] * laid.factor - half, laid.at.centres[node] * laid.factor + half))
    ends.sort()
    return not laid.names or (
        ends[0][0] >= 0.0 and ends[-1][1] <= laid.room and all(a[1] + 4.0 <= b[0] for a, b in zip(ends, ends[1:], strict=False))
    )


def _readable(shapes: list[Shape]) -> list[Shape]:
    """The shapes without letters that are too small."""
    kept: list[Shape] = []
    for shape in shapes:
        if isinstance(shape, Group):
            kept.append(replace(shape, items=_readable(shape.items)))
        elif not isinstance(shape, Text) or shape.size >= LEAST:
            kept.append(shape)
    return kept


def _sleeve(film: Film, scene: Scene, uv: str, size: tuple[float, float], factor: float) -> tuple[list[Shape], list[Shape]]:
    """The sleeve cut through: the lamp, the quartz, and the film as strokes that grow denser; before it the line to the chamber."""
    width, height = size
    ring = min(_RING, max((height - _WORDS) / 2 - 2.0, 20.0))
    x, y = width - _SLEEVE / 2 + 2.0, ring + 2.0
    count = round(_STROKES * (film.low + film.high) / 2)
    inner, outer = 0.55 * ring, 0.82 * ring
    angles = [2 * pi * i / count for i in range(count)]
    strokes = tuple((inner * cos(a), inner * sin(a), outer * cos(a), outer * sin(a)) for a in angles)
    leader: list[Shape] = []
    if uv in scene.units:
        leader += _leader(scene, uv, (x, y, ring), factor)
    items: list[Shape] = [Circle(x, y, ring, "page", "edge", 1.5), Strokes(x, y, strokes, "ink2", 2.0)]
    items += [Circle(x, y, inner, "page", "edge", 1.4), Circle(x, y, 0.22 * ring, "page", "ink2", 2.0)]
    share, *rest = film.words()
    items.append(Text(x, y + ring + 24.0, share, "ink", LESSON_TEXT, "middle", True))
    for i, line in enumerate(rest):
        items.append(Text(x, y + ring + 45.0 + 20.0 * i, line, "ink2", LEAST, "middle"))
    return leader, items


def _leader(scene: Scene, uv: str, circle: tuple[float, float, float], factor: float) -> Iterator[Shape]:
    """From the chamber to its sleeve at `circle` (x, y, radius): straight, or over the head of a person who would stand in the way."""
    box, person, (x, y, ring) = scene.units[uv][0], scene.person, circle
    begin, end = ((box.x + box.w / 2) * factor, (box.y + box.h / 2) * factor), (x - ring, y)
    if person is None or not begin[0] < factor * person.right or not factor * person.x < end[0]:
        yield Line(*begin, *end, "edge", 1.2)
        return
    over = max(factor * person.y - 5.0, y - 0.9 * ring)
    touch = x - sqrt(max(ring**2 - (over - y) ** 2, 0.0)) if abs(over - y) < ring else x - ring
    yield Line(*begin, begin[0], over, "edge", 1.2)
    yield Line(begin[0], over, touch, over if abs(over - y) < ring else y, "edge", 1.2)
