"""How a stage looks in use: a bed used up or dirty, a film on a sleeve, salt that is left, a lamp without light.

All of it is told by denser texture and a number with its word, never by a darker or lighter colour, so that it holds in the dark theme and
in grey print.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainapp.reports.drawing.display import Box, Line, Rect, Shape, Strokes, Text
from trainapp.reports.drawing.model import StageModel, StageState
from trainapp.reports.drawing.scene import Scene
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.reports.drawing.vessels import (
    SALT_STEP,
    bed_of,
    beside,
    box,
    cartridge,
    chamber,
    denser,
    media,
    sleeve_of,
    specks,
    tank,
    turns,
    turns_of,
    valve_height,
)

#: Distance of lines of a label, and what a label keeps clear of others, px.
_LEAD, _CLEAR = 13.0, 4.0
#: Distance of the ticks of a film that takes all light, and how far they reach, px.
_FILM_STEP, _FILM_REACH = 2.4, 4.0
#: Share of a tank's height that is full of salt, and what of a label's ground shows around it, px.
_FULL, _GROUND = 0.86, 2.0
_ILLUSTRATIVE = "illustrative"


def worn(stage: StageModel, state: StageState, unit: Box, scale: float) -> list[Shape]:
    """One unit of a stage as it looks by now; `unit` with its head, px; px a metre."""
    figure, x = stage.figure, unit.x + unit.w / 2
    if figure.shape == "cartridge":
        return [*cartridge(x, unit.y, unit.w, unit.h, scale), *_soiled(unit, state, scale)]
    if figure.shape == "chamber":
        return [*chamber(x, unit.y, unit.w, unit.h, scale, state.lit is not False), *_filmed(unit, state, scale)]
    # a bed that dissolves grows lower, another one is used up from above
    dissolves = figure.texture == "calcite" and state.fill is not None
    fill = figure.fill * scale * (state.fill if dissolves and state.fill is not None else 1.0)
    if figure.shape != "tank":
        level = 1.0 if state.store is None else state.store
        return [*box(x, unit.y, unit.w, unit.h, figure.texture, fill * level)]
    used = 0.0 if dissolves or state.fill is None else 1.0 - state.fill
    centres, width = turns_of(x, unit.w, scale, stage.bodies) if stage.bodies > 1 else ([x], unit.w)
    beds = [bed_of(centre, unit.y, width, unit.h, scale, fill) for centre in centres]
    fresh = beds[0].h * (1.0 - used)
    if stage.bodies > 1:
        shapes = turns(x, unit.y, unit.w, unit.h, scale, figure.texture, fresh, stage.bodies)
    else:
        shapes = tank(x, unit.y, unit.w, unit.h, scale, figure.texture, fresh)
    return shapes + [shape for bed in beds for shape in _used(bed, used, state.clog or 0.0, figure.texture)]


def _used(bed: Box, used: float, dirt: float, texture: str) -> list[Shape]:
    """What of a bed is used up, and the dirt it holds: both from above, as water goes through it."""
    shapes = specks(Box(bed.x, bed.y, bed.w, bed.h * min(dirt, 1.0)))
    if used > 0.0:
        shapes += denser(Box(bed.x, bed.y, bed.w, bed.h * used), texture)
        shapes.append(Line(bed.x + 1, bed.y, bed.right - 1, bed.y, "edge", 0.8))
    return shapes


def _soiled(unit: Box, state: StageState, scale: float) -> list[Shape]:
    """Dirt on a cartridge, from below."""
    head = valve_height("cartridge", unit.h / scale) * scale
    high = (unit.h - head - 4.0) * min(state.clog or 0.0, 1.0)
    return specks(Box(unit.x, unit.bottom - high - 1.0, unit.w, high))


def _filmed(unit: Box, state: StageState, scale: float) -> list[Shape]:
    """A film on a sleeve: the more ticks along it, the more light it takes."""
    sleeve = sleeve_of(unit.x + unit.w / 2, unit.y, unit.w, unit.h, scale)
    count = round((state.film or 0.0) * (sleeve.h - 8.0) / _FILM_STEP)
    reach = min(_FILM_REACH, max((unit.w - sleeve.w) / 2 - 2.5, 1.5))
    pitch = (sleeve.h - 8.0) / max(count, 1)
    ticks = []
    for i in range(count):
        y = 4.0 + (i + 0.5) * pitch
        ticks += [(-reach, y, 0.0, y), (sleeve.w, y, sleeve.w + reach, y)]
    return [Strokes(sleeve.x, sleeve.y, tuple(ticks), "ink2", 1.0)] if ticks else []


def stored(made: Scene, stage: StageModel, area: Box) -> list[Shape]:
    """The tank beside a unit with what is left in it, from `area`; salt as grains, a solution as water."""
    shapes = beside(area.x, made.floor, area.w, area.h)
    state = stage.state
    if state is None or state.store is None:
        return shapes
    high = state.store * _FULL * area.h
    level = Box(area.x, area.bottom - high, area.w, high)
    if stage.figure.texture == "resin":
        grains = specks(level, SALT_STEP)
        shapes += [*grains, Line(level.x + 1, level.y, level.right - 1, level.y, "edge", 0.8)] if grains else []
    else:
        shapes += media(*level, "water")
    return shapes


# Labels ---------------------------------------------------------------------------------------------------------------------------


def labels(made: Scene) -> list[Shape]:
    """The numbers of every stage that is in use; where that of a film finds no room, the word for it stands in the band all the same."""
    items: list[Shape] = []
    told = True
    for stage in made.model.stages:
        state = stage.state
        if state is None or stage.id not in made.units:
            continue
        units, tanks = made.units[stage.id], made.tanks.get(stage.id, ())
        if state.beside and tanks:
            for area in tanks:
                items += _within(made, state.beside, area) or _within(made, state.beside[:1], area)
        elif state.beside:
            items += _within(made, state.beside, units[0]) or _near(made, [(" ".join(state.beside),)], units[0])
        if state.inside:
            items += _inside(made, stage, state, units)
        if state.lamp:
            shown = _near(made, _lamp_forms(state.lamp), units[0])
            items += shown
            told = told and (not state.illustrative or any(isinstance(t, Text) and _ILLUSTRATIVE in t.text for t in shown))
        if state.doing:
            items += _near(made, [(state.doing,)], units[0])
    return items if told else [*items, *_note(made)]


def _inside(made: Scene, stage: StageModel, state: StageState, units: Sequence[Box]) -> list[Shape]:
    """A label in the free part above a bed, of every unit where there is room; else beside the first."""
    lines = state.inside
    pairs = [f"{a} {b}" for a, b in zip(lines[::2], lines[1::2], strict=True)]
    if stage.figure.shape == "tank":
        free = [area for unit in units for area in _freeboards(made, stage, unit)]
        if all(_fits(made, lines, area) for area in free):
            return [text for area in free for text in _stacked(lines, area.x + area.w / 2, area.y + (area.h - _LEAD * len(lines)) / 2)]
    return _near(made, [tuple(pairs), tuple(lines[:2])], units[0])


def _freeboards(made: Scene, stage: StageModel, unit: Box) -> Iterator[Box]:
    """The free part of each tank of a unit above its bed as built."""
    scale, x = made.at.scale, unit.x + unit.w / 2
    centres, width = turns_of(x, unit.w, scale, stage.bodies) if stage.bodies > 1 else ([x], unit.w)
    top = unit.y + valve_height("tank", unit.h / scale) * scale + 6.0
    for centre in centres:
        bed = bed_of(centre, unit.y, width, unit.h, scale, stage.figure.fill * scale)
        yield Box(bed.x, top, bed.w, bed.y - top)


def _fits(made: Scene, lines: Sequence[str], area: Box) -> bool:
    return area.h >= _LEAD * len(lines) and all(made.measure(line, CAPTION, False) + 4 <= area.w for line in lines)


def _stacked(lines: Sequence[str], x: float, top: float, anchor: str = "middle") -> list[Text]:
    return [Text(x, top + _LEAD * i + 10.0, line, "ink" if i == 0 else "ink2", CAPTION, anchor) for i, line in enumerate(lines)]


def _within(made: Scene, lines: Sequence[str], area: Box) -> list[Shape]:
    """A label on a ground of its own at the top of a tank; nothing where it has no room there or something else stands in it."""
    width = max(made.measure(line, CAPTION, False) for line in lines)
    ground = Box(area.x + (area.w - width) / 2 - _GROUND, area.y + 6.0, width + 2 * _GROUND, _LEAD * len(lines) + _GROUND)
    others = [b for boxes in (*made.units.values(), *made.tanks.values()) for b in boxes if b != area]
    if ground.w + 2 > area.w or ground.bottom + 4 > area.bottom or any(ground.meets(other) for other in others):
        return []
    return [Rect(*ground, "body"), *_stacked(lines, area.x + area.w / 2, ground.y)]


def _lamp_forms(lines: tuple[str, ...]) -> list[tuple[str, ...]]:
    """A label from its fullest form to its barest: wide, narrow, without the word about the lamp, that word alone."""
    if len(lines) < 3:
        return [lines]
    lamp, film, light = lines
    narrow, words = (*film.rsplit(" ", 1), *light.rsplit(" ", 1)), (film.split(" ", 1)[0], film.rsplit(" ", 1)[1])
    return [lines, (lamp, *narrow), (film, light), narrow, (" ".join(words), light.rsplit(" ", 1)[1]), (lamp,)]


def _near(made: Scene, forms: Sequence[tuple[str, ...]], unit: Box) -> list[Shape]:
    """The fullest form of a label that finds a place near a unit."""
    places = [list(_around(form, unit)) for form in forms if form]
    for texts in (*(around[0] for around in places), *(texts for around in places for texts in around[1:])):
        boxes = [text.box(made.measure) for text in texts]
        if all(made.free(box, _CLEAR) and not (made.person is not None and box.meets(made.person)) for box in boxes):
            made.taken.extend(boxes)
            return list(texts)
    return []


def _around(lines: Sequence[str], unit: Box) -> Iterator[list[Text]]:
    """Places for a label, best first: under a unit that hangs, right and left of it, over it."""
    high = _LEAD * len(lines)
    middle = unit.x + unit.w / 2
    yield _stacked(lines, middle, unit.bottom + 3.0)
    for y in (unit.y + 0.3 * unit.h, unit.y + 0.55 * unit.h, unit.bottom - high, unit.y, unit.bottom + 3.0, unit.bottom + 3.0 + high):
        yield _stacked(lines, unit.right + 7.0, y, "start")
        yield _stacked(lines, unit.x - 7.0, y, "end")
    yield _stacked(lines, middle, unit.y - high - 4.0)


def _note(made: Scene) -> list[Shape]:
    """The word for a film on a ground of its own, where it meets nothing if there is such a place."""
    text = f"film on the sleeve: {_ILLUSTRATIVE}"
    width = made.measure(text, CAPTION, False)
    left, right = made.frame.wall + 8.0, max(made.at.end - width - 8.0, made.frame.wall + 9.0)
    places = [
        Text(left + (right - left) * i / 12, y, text, "ink2", CAPTION) for y in (made.top + 12.0, made.floor - 8.0) for i in range(13)
    ]
    places += [Text(left + (right - left) * i / 12, made.top + 26.0 * k, text, "ink2", CAPTION) for k in range(1, 8) for i in range(13)]
    items: list[Shape] = []
    if not made.put_first(([place] for place in places), items):
        area = places[0].box(made.measure).grown(1.0)
        made.taken.append(area)
        items += [Rect(*area, "sheet"), places[0]]
    return items
