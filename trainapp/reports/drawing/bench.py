"""The bench band: the train as it stands in the room, to scale, with its pipes, its labels and the capsules of its findings."""

from __future__ import annotations

from trainapp.reports.drawing import wear
from trainapp.reports.drawing.clearances import clearance_labels, clearance_shapes, clearances
from trainapp.reports.drawing.crossings import cut, gaps
from trainapp.reports.drawing.dimensions import floor_gaps, room_width
from trainapp.reports.drawing.display import Box, Circle, Group, Measure, Point, Polyline, Rect, Shape, Tag, Text
from trainapp.reports.drawing.frame import INCH, Frame, Options, Spread
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.model import SUPPLY, BenchModel, LinkModel, StageModel
from trainapp.reports.drawing.pipes import Exit, Plumber, levels, run_height, step_height
from trainapp.reports.drawing.room import ceiling_words, right_wall, room, ruler, standing_person
from trainapp.reports.drawing.scene import Scene, pipe_width, run_boxes
from trainapp.reports.drawing.standing import own_floor
from trainapp.reports.drawing.tags import capsules
from trainapp.reports.drawing.tokens import CAPTION, CASING, SELECTION
from trainapp.reports.drawing.vessels import box, cartridge, chamber, inline, meter, pressure_tank, tank, turns
from trainapp.train.floor import BESIDE_GAP
from trainapp.train.routes import Route

#: Free height kept above everything, metres, and above that for capsules, px.
_HEADROOM = 6 * INCH
TOP_PAD = 12.0

#: A crossed pipe is open so far on both sides of the pipe that crosses it, px.
_CLEAR = 5.0


def extent(model: BenchModel, route: Route) -> float:
    """Height that the bench shows, metres: floor to the highest of ceiling, clearances and pipes, and 6 in more."""
    count = levels(route, model)
    pipes = run_height(model, count) + count * step_height(model, count) + (4 * INCH if model.ends else 0.0)
    tops = [s.figure.base + s.figure.height + s.figure.clear_above for s in model.stages if s.figure.shape != "inline"]
    return max([pipes, model.room_height or 0.0, *tops]) + _HEADROOM


def scene(model: BenchModel, route: Route, options: Options, frame: Frame, at: Spread, measure: Measure, top: float, floor: float) -> Scene:
    """The geometry of the bench with its pipes laid, and what they and the vessels take."""
    plumbing = Plumber(model, route, at, floor, frame.wall).lay()
    units = {s.id: _unit_boxes(s, at, floor) for s in model.stages if s.figure.shape != "inline" and s.id in at.units}
    tanks = {s.id: _tank_boxes(s, at, floor) for s in model.stages if s.id in units and s.figure.beside[0] > 0}
    made = Scene(model, route, options, frame, at, measure, floor, top, plumbing, units, tanks)
    made.taken.extend([b for boxes in (*units.values(), *tanks.values()) for b in boxes])
    made.taken.extend([Box(x - 7, y - 8, 14, 16) for places in plumbing.devices.values() for x, y in places])
    made.taken.extend([b for run in plumbing.runs for b in run_boxes(run, 5.0)])
    made.taken.append(_supply_box(made))
    if model.room_height is not None:
        made.taken.append(Box(frame.wall, made.y(model.room_height) - 1, at.end - frame.wall, 2))
    if (right := right_wall(made)) is not None:
        made.taken.append(Box(right - 1, top, 2, floor - top))
    made.taken.extend([clear.area for clear in clearances(made)])
    return made


def _unit_boxes(stage: StageModel, at: Spread, floor: float) -> tuple[Box, ...]:
    figure = stage.figure
    w, h = max(figure.width * at.scale, 14.0 * at.shrink), figure.height * at.scale
    return tuple(Box(x - w / 2, floor - figure.base * at.scale - h, w, h) for x in at.units[stage.id])


def _tank_boxes(stage: StageModel, at: Spread, floor: float) -> tuple[Box, ...]:
    w, h = (side * at.scale for side in stage.figure.beside)
    half = max(stage.figure.width * at.scale, 14.0 * at.shrink) / 2
    return tuple(Box(x + half + BESIDE_GAP * at.scale, floor - h, w, h) for x in at.units[stage.id])


def _supply_box(made: Scene) -> Box:
    x, supply = made.at.centres[SUPPLY], made.model.supply
    if supply.kind == "mains":
        return Box(x - 12, made.y(0.61) - 12, 24, 24)
    w, h = supply.width * made.at.scale, supply.height * made.at.scale
    return Box(x - w / 2, made.floor - h, w, h)


def draw(made: Scene) -> list[Shape]:
    """Everything of the bench above the names, in drawing order."""
    labels: list[Shape] = []
    _exit_labels(made, labels)
    someone = standing_person(made)
    labels += wear.labels(made)
    tags = capsules(made, labels)
    if made.person is not None:
        made.taken.append(made.person)
    _device_labels(made, labels)
    clearance_labels(made, labels)
    shapes: list[Shape] = [*room(made), *someone, *clearance_shapes(made), *figures(made)]
    measured = room_width(made)
    labels += [*measured, *ceiling_words(made, width=not measured), *floor_gaps(made)]
    return [*shapes, *_selection(made), *_uncut(made, labels), *tags, *_uncut(made, ruler(made))]


def _uncut(made: Scene, labels: list[Shape]) -> list[Shape]:
    """Labels that hide where the side of the view would cut them."""
    return [Group([label], whole=label.box(made.measure)) if isinstance(label, Text) else label for label in labels]


def figures(made: Scene, clear: float = _CLEAR) -> list[Shape]:
    """What stands and hangs there, in drawing order: pipes (open `clear` px beside what crosses them), supply, vessels, devices."""
    vessels = [_vessel(made, stage) for stage in made.model.stages if stage.id in made.units]
    return [*_pipes(made, clear), *too_fast_marks(made), *_supply(made), *vessels, *_devices(made)]


# Vessels ----------------------------------------------------------------------------------------------------------------------


def _vessel(made: Scene, stage: StageModel) -> Group:
    """All units of one stage, with what stands beside them."""
    group = Group(tag=("stage", stage.id), tooltip=stage.tooltip or stage.title, name=", ".join(filter(None, (stage.title, stage.size))))
    scale, figure = made.at.scale, stage.figure
    tanks = made.tanks.get(stage.id, ())
    for b in tanks:
        group.items += wear.stored(made, stage, b)
        if stage.state is not None and stage.state.beside:
            continue
        word = "brine" if figure.texture == "resin" else "feed"
        group.items += _word(made, b, word)
    for b in made.units[stage.id]:
        x = b.x + b.w / 2
        if stage.state is not None:
            group.items += wear.worn(stage, stage.state, b, scale)
        elif figure.shape == "tank" and stage.bodies > 1:
            group.items += turns(x, b.y, b.w, b.h, scale, figure.texture, figure.fill * scale, stage.bodies)
        elif figure.shape == "tank":
            group.items += tank(x, b.y, b.w, b.h, scale, figure.texture, figure.fill * scale)
        elif figure.shape == "cartridge":
            group.items += cartridge(x, b.y, b.w, b.h, scale)
        elif figure.shape == "chamber":
            group.items += chamber(x, b.y, b.w, b.h, scale)
        else:
            group.items += box(x, b.y, b.w, b.h, figure.texture, figure.fill * scale)
    group.areas = tuple([*(b.grown(max(0.0, (24 - b.w) / 2)) for b in made.units[stage.id]), *tanks])
    return group


def _word(made: Scene, b: Box, word: str) -> list[Shape]:
    """What a tank beside a vessel holds: in it, or on its head where it is too narrow or low for its word."""
    wide = made.measure(word, CAPTION, False)
    inside = wide + 6 < b.w and b.h > 24
    label = Text(b.x + b.w / 2, b.y + b.h / 2 + 4 if inside else b.y - 5, word, "ink3", CAPTION, "middle")
    if _crowded(made, b) or not (inside or not made.taken.meets(label.box(made.measure))):
        return []
    if not inside:
        made.taken.append(label.box(made.measure))
    return [label]


def _crowded(made: Scene, box: Box) -> bool:
    """Whether the user put something else into the place of a tank."""
    standing = (b for boxes in (*made.units.values(), *made.tanks.values()) for b in boxes)
    return own_floor(made.model) and any(box.meets(other) for other in standing if other is not box)


def _supply(made: Scene) -> list[Shape]:
    supply, area = made.model.supply, _supply_box(made)
    x = made.at.centres[SUPPLY]
    if supply.kind == "mains":
        y = made.y(0.61)
        items: list[Shape] = [Polyline(((made.frame.wall, y), (x - 10, y)), "pipe", 4.0), *meter(x, y)]
    else:
        items = pressure_tank(x, made.floor, area.w, area.h)
    return [Group(items, ("supply",), supply.tooltip or f"{supply.name}, {supply.size}", supply.name, (area,))]


def _devices(made: Scene) -> list[Shape]:
    groups: list[Shape] = []
    for node, places in made.plumbing.devices.items():
        stage = made.model.stage(node)
        if stage is None:
            continue
        shapes = [shape for x, y in places for shape in inline(stage.kind, x, y)]
        areas = tuple(Box(x - 12, y - 12, 24, 24) for x, y in places)
        groups.append(Group(shapes, ("stage", node), stage.tooltip or stage.title, stage.title, areas))
    return groups


# Pipes ------------------------------------------------------------------------------------------------------------------------


def _pipes(made: Scene, clear: float) -> list[Shape]:
    """Runs in flow order, each open where a later one crosses it: `clear` px on both sides of that one."""
    links = {link.key: link for link in made.model.links}
    runs, crossings = made.plumbing.runs, gaps(made.plumbing.runs)
    found = (links.get(run.key) for run in runs)
    widths = [pipe_width(link.diameter if link else 0.028, made.at.scale) for link in found]
    items: list[Shape] = []
    for i, (run, width) in enumerate(zip(runs, widths, strict=True)):
        openings = [(point, widths[later] / 2 + clear) for later, point in crossings if later > i]
        selected = made.options.holds(("link", *run.key))
        pieces = cut(run.points, openings)
        token = "accent" if selected else "pipe"
        items.append(_pipe(pieces, width, links.get(run.key), run_boxes(run, max(width, 10.0)), token))
    items += [Circle(x, y, 3.6, "pipe") for x, y in made.plumbing.dots]
    items += [_arrow(leaving) for leaving in made.plumbing.exits]
    return items


def _pipe(pieces: list[tuple[Point, ...]], width: float, link: LinkModel | None, areas: tuple[Box, ...], token: str) -> Group:
    items: list[Shape] = []
    if link is not None and link.too_fast:
        items += [Polyline(points, link.too_fast, width + 2 * CASING + 1.0, round=True) for points in pieces]
    items += [Polyline(points, token, width, round=True) for points in pieces]
    if link is None:
        return Group(items)
    return Group(items, ("link", link.source, link.target), link.tooltip, link.tooltip, areas)


def _arrow(leaving: Exit) -> Polyline:
    x, y = leaving.x, leaving.y
    heads: dict[str, tuple[Point, ...]] = {
        "right": ((x - 2, y - 5), (x + 7, y), (x - 2, y + 5)),
        "left": ((x + 2, y - 5), (x - 7, y), (x + 2, y + 5)),
        "up": ((x - 5, y + 2), (x, y - 7), (x + 5, y + 2)),
    }
    return Polyline(heads[leaving.direction], "", fill="pipe", closed=True)


# Labels -----------------------------------------------------------------------------------------------------------------------


def _exit_labels(made: Scene, labels: list[Shape]) -> None:
    ends = {end.id: end for end in made.model.ends}
    for leaving in made.plumbing.exits:
        end = ends.get(leaving.end)
        if end is None:
            continue
        x, y = leaving.x, leaving.y
        if leaving.direction == "right":
            choices = [(x - 8, y - 9, "end"), (x - 8, y - 13, "end"), (x - 8, y + 20, "end"), (x + 10, y + 4, "start")]
        elif leaving.direction == "left":
            choices = [(x + 8, y - 8, "start"), (x + 8, y + 17, "start")]
        else:
            choices = [(x + 8, y + 2, "start"), (x - 8, y + 2, "end"), (x + 8, y - 10, "start"), (x + 8, y + 14, "start")]
        group = Group(tag=("end", end.id), tooltip=end.tooltip or end.label)
        if made.put_first(([Text(cx, cy, end.label, "ink2", CAPTION, anchor)] for cx, cy, anchor in choices), group.items):
            group.whole = made.taken.boxes[-1]
            group.areas = (group.whole.grown(2.0),)
            labels.append(group)


def _device_labels(made: Scene, labels: list[Shape]) -> None:
    """In-line devices are labelled under the pipe: wrapped, then the number alone."""
    for node, places in made.plumbing.devices.items():
        stage = made.model.stage(node)
        if stage is None:
            continue
        x, y = places[0]
        words = stage.title.split(" ")
        half = (len(words) + 1) // 2
        lines = [line for line in (" ".join(words[:half]), " ".join(words[half:])) if line]
        # clear of the handles of its selection
        under, over = y + 26.0, y - 18.0
        choices = [
            [Text(x, under + 13 * i, line, "ink2", CAPTION, "middle") for i, line in enumerate(lines)],
            [Text(x, over, stage.title, "ink2", CAPTION, "middle")],
            [Text(x, over - 13 * (len(lines) - 1 - i), line, "ink2", CAPTION, "middle") for i, line in enumerate(lines)],
        ]
        if stage.number:
            choices += [[Text(x, under, stage.number, "ink2", CAPTION, "middle")], [Text(x, over, stage.number, "ink2", CAPTION, "middle")]]
        made.put_first(choices, labels)


# Selection --------------------------------------------------------------------------------------------------------------------


def _selection(made: Scene) -> list[Shape]:
    """A 2 px outline around everything that is selected, with handles where it is one thing alone."""
    tags = (*made.options.also, made.options.selected)
    return [shape for tag in tags for area in _selected(made, tag) for shape in outline(area, len(tags) == 1)]


def _selected(made: Scene, tag: Tag) -> list[Box]:
    if tag == ("supply",):
        return [_supply_box(made).grown(6.0)]
    if len(tag) != 2 or tag[0] != "stage":
        return []
    node = str(tag[1])
    devices = [Box(x - 10, y - 11, 20, 22) for x, y in made.plumbing.devices.get(node, ())]
    # No lower than that its handles keep clear of the names under the floor.
    units = [unit.grown(6.0) for unit in made.units.get(node, ())]
    return [*(unit._replace(h=min(unit.bottom, made.floor + 2.0) - unit.y) for unit in units), *devices]


def outline(area: Box, handles: bool = True) -> list[Shape]:
    """The accent outline of a selection, with a handle at each corner."""
    shapes: list[Shape] = [Rect(area.x, area.y, area.w, area.h, "", "accent", SELECTION, 5.0)]
    for x in (area.x, area.right) if handles else ():
        shapes += [Rect(x - 3, y - 3, 6, 6, "page", "accent", 1.5) for y in (area.y, area.bottom)]
    return shapes


def too_fast_marks(made: Scene) -> list[Shape]:
    """A mark on each run whose water is too fast."""
    links = {link.key: link for link in made.model.links}
    shapes: list[Shape] = []
    for run in made.plumbing.runs:
        link = links.get(run.key)
        if link is None or not link.too_fast:
            continue
        (x1, y1), (x2, _) = max(zip(run.points, run.points[1:], strict=False), key=lambda p: abs(p[1][0] - p[0][0]))
        shapes += mark(link.too_fast, (x1 + x2) / 2, y1)
        made.taken.append(Box((x1 + x2) / 2 - 6, y1 - 6, 12, 12))
    return shapes
