"""The room around the vessels: floor, ceiling, walls, a ruler in round feet or half metres, and a person for scale."""

from __future__ import annotations

from trainapp.reports.drawing.display import Box, Group, Line, Shape, Text
from trainapp.reports.drawing.frame import FOOT, MARGIN
from trainapp.reports.drawing.scene import Scene
from trainapp.reports.drawing.standing import own_floor
from trainapp.reports.drawing.tokens import CAPTION, CEILING_DASH, FLOOR
from trainapp.reports.drawing.vessels import PERSON_HEIGHT, PERSON_WIDTH, person

_WALL = 1.2

#: Headroom of the ruler where the room's height is not known, metres.
_UNKNOWN_HEIGHT = 8 * FOOT

#: What a label at the top of the ruler takes above its tick, px.
_LABEL = 10.0


def right_wall(scene: Scene) -> float | None:
    """x of the right wall; None where the train is spread out wider than the room, or the room ends out of view."""
    width = scene.model.room_width
    if width is None:
        return scene.at.end
    x = scene.frame.wall + width * scene.at.scale
    if own_floor(scene.model):
        return x
    return x if scene.at.end - 0.5 <= x <= scene.frame.right - 8.0 else None


def _height(scene: Scene) -> float:
    """Height of the walls, metres: where the room has none, no more than is in view, a ruler's label above it included."""
    if scene.model.room_height is not None:
        return scene.model.room_height
    return min(_UNKNOWN_HEIGHT, (scene.floor - scene.top - _LABEL) / scene.at.scale)


def _width_words(scene: Scene) -> str:
    """The room's width in words."""
    width = scene.model.room_width
    if width is None:
        return ""
    return f", room {width:.1f} m wide" if scene.model.system == "metric" else f", room {round(width / FOOT, 1):g} ft wide"


def room(scene: Scene) -> list[Shape]:
    """Floor, ceiling and walls."""
    wall, right = scene.frame.wall, right_wall(scene)
    end = right if right is not None else scene.at.end
    height = scene.model.room_height
    top = scene.y(_height(scene))
    items: list[Shape] = [Line(wall - 8, scene.floor, end + 8, scene.floor, "ink", FLOOR)]
    if height is not None:
        items.append(Line(wall, top, end, top, "edge", _WALL, CEILING_DASH))
    items.append(Line(wall, top, wall, scene.floor, "edge", _WALL))
    if right is not None:
        items.append(Line(right, top, right, scene.floor, "edge", _WALL))
    return items


def ruler(scene: Scene) -> list[Shape]:
    """Ticks on the left wall with labels outside it; a label that is not free hides."""
    metric = scene.model.system == "metric"
    step, unit = (0.5, "m") if metric else (FOOT, "ft")
    height = _height(scene)
    items: list[Shape] = []
    count = int(height / step + 1e-6)
    every = 2 if step * scene.at.scale < 60 else 1
    for i in range(count + 1):
        y, labelled = scene.y(i * step), i % every == 0
        tick = 8 if labelled else 5
        if not scene.taken.meets(Box(scene.frame.wall - tick, y - 1, tick, 2)):
            items.append(Line(scene.frame.wall - tick, y, scene.frame.wall, y, "edge"))
        if labelled:
            number = f"{i * step:g}" if metric else f"{i}"
            last = i + every > count
            text = Text(scene.frame.wall - 12, y + 4, f"{number} {unit}" if last else number, "ink3", CAPTION, "end")
            box = text.box(scene.measure)
            if not scene.taken.meets(box, 2.0):
                items.append(text)
                scene.taken.append(box)
    return items


def standing_person(scene: Scene) -> list[Shape]:
    """The person in the widest gap on the floor that has no pipe below head height, else beyond the right wall; nobody without a place."""
    width, head = PERSON_WIDTH * scene.at.scale, scene.y(PERSON_HEIGHT)
    blocks = list(scene.taken.boxes)
    right = right_wall(scene)
    if right is not None:
        blocks.append(Box(right - 1, head, 2, 1))
    low = sorted((box.x, box.right) for box in blocks if box.bottom > head)
    best, at = width + 16.0, None
    edge, limit = scene.frame.wall, right if right is not None else scene.at.end
    for left, beyond in [*low, (limit, limit)]:
        left = min(left, limit)
        if left - edge > best:
            best, at = left - edge, (edge + left) / 2
        edge = max(edge, beyond)
    ground: list[Shape] = []
    if at is None:
        at = limit + 20.0 + width / 2
        outside = Box(at - width / 2, head, width, scene.floor - head)
        if outside.right > max(scene.frame.right, scene.at.end + MARGIN) - 6.0 or scene.taken.meets(outside, 4.0):
            return []
        ground.append(Line(outside.x - 4.0, scene.floor, outside.right + 4.0, scene.floor, "edge", _WALL))
    scene.person = Box(at - width / 2, head, width, scene.floor - head)
    tooltip = "a person of 1.73 m, for scale" if scene.model.system == "metric" else "a person of 5 ft 8 in, for scale"
    return [*ground, Group(person(at, scene.floor, scene.at.scale), ("person",), tooltip)]


def ceiling_words(scene: Scene, width: bool) -> list[Shape]:
    """The word under the ceiling line, with the room's width where there is no dimension of it."""
    items: list[Shape] = []
    if scene.model.room_height is None:
        return items
    y = scene.y(scene.model.room_height) + 14.0
    end = right_wall(scene) or scene.at.end
    places = ((end - 8, "end"), (scene.frame.wall + 8, "start"), ((scene.frame.wall + end) / 2, "middle"))
    words = _width_words(scene) if width else ""
    choices = [f"ceiling{words}", "ceiling"] if words else ["ceiling"]
    scene.put_first(([Text(x, y, text, "ink3", CAPTION, anchor)] for text in choices for x, anchor in places), items)
    return items
