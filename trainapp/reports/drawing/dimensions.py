"""Dimensions on the bench: how wide the room is, and how far what is selected stands from the walls and from its neighbours."""

from __future__ import annotations

from trainapp.reports.drawing.display import Box, Line, Shape, Tag, Text
from trainapp.reports.drawing.frame import FOOT, INCH
from trainapp.reports.drawing.room import right_wall
from trainapp.reports.drawing.scene import Scene
from trainapp.reports.drawing.standing import own_floor
from trainapp.reports.drawing.tokens import CAPTION

#: Height of a gap's dimension above the floor, px; half the height of its end strokes.
_LOW, _TICK = 12.0, 4.0

#: Up to so many inches, or centimetres, a length is written in these alone.
_INCHES, _CENTIMETRES = 36, 100


def length_text(metres: float, system: str) -> str:
    """A length as it is read off a rule: "9 in", "4 ft 2 in", "35 cm", "1.25 m"."""
    if system == "metric":
        whole = round(metres * 100)
        return f"{whole}\u202fcm" if whole < _CENTIMETRES else f"{whole / 100:.2f}\u202fm"
    inches = round(metres / INCH)
    if inches < _INCHES:
        return f"{inches}\u202fin"
    feet, rest = divmod(inches, round(FOOT / INCH))
    return f"{feet}\u202fft {rest}\u202fin" if rest else f"{feet}\u202fft"


def room_width(scene: Scene) -> list[Shape]:
    """The width of the room over its ceiling, where both walls are drawn and the place is free."""
    items: list[Shape] = []
    wall = right_wall(scene)
    if wall is not None and scene.model.room_width is not None and scene.model.room_height is not None:
        y = scene.y(scene.model.room_height) - 9.0
        _between(scene, items, scene.frame.wall, wall, y, scene.model.room_width)
    return items


def floor_gaps(scene: Scene) -> list[Shape]:
    """Free floor beside everything that is selected, on a floor where distances mean metres."""
    items: list[Shape] = []
    if own_floor(scene.model):
        for tag in (*scene.options.also, scene.options.selected):
            _gaps(scene, items, tag)
    return items


def _gaps(scene: Scene, items: list[Shape], tag: Tag) -> None:
    """Free floor to the left and to the right of one stage."""
    if len(tag) != 2 or tag[0] != "stage" or str(tag[1]) not in scene.units:
        return
    spans = floor_spans(scene)
    own = spans[str(tag[1])]
    wall = right_wall(scene)
    rights = [span[1] for node, span in spans.items() if node != tag[1] and span[1] <= own[0] + 0.5]
    lefts = [span[0] for node, span in spans.items() if node != tag[1] and span[0] >= own[1] - 0.5]
    before, behind = max([scene.frame.wall, *rights]), min([*lefts, *([wall] if wall is not None else [])], default=None)
    for left, right in ((before, own[0]), (own[1], behind)):
        if right is not None:
            _between(scene, items, left, right, scene.floor - _LOW, (right - left) / scene.at.scale)


def floor_spans(scene: Scene) -> dict[str, tuple[float, float]]:
    """Left and right side of all that stands or hangs, px: every stage with what stands beside it, and the supply."""
    spans: dict[str, tuple[float, float]] = {}
    for node, units in scene.units.items():
        boxes = [*units, *scene.tanks.get(node, ())]
        spans[node] = (min(box.x for box in boxes), max(box.right for box in boxes))
    x, (half, _) = scene.at.centres["supply"], scene.at.extents["supply"]
    return spans | {"supply": (x - half, x + half)}


def _between(scene: Scene, items: list[Shape], left: float, right: float, y: float, length: float) -> None:
    """A length between two uprights with its text in the middle, where there is room for both."""
    text = length_text(length, scene.model.system)
    width = scene.measure(text, CAPTION, False)
    middle = (left + right) / 2
    if right - left < width + 12.0:
        return
    label = Text(middle, y + 4.0, text, "ink3", CAPTION, "middle")
    if any(scene.taken.meets(box) for box in (label.box(scene.measure), Box(left + 1, y - 1, right - left - 2, 2))):
        return
    scene.taken.append(label.box(scene.measure))
    ends = ((left, middle - width / 2 - 4.0), (middle + width / 2 + 4.0, right))
    items += [Line(a, y, b, y, "edge") for a, b in ends if b - a > 1.0]
    items += [Line(x, y - _TICK, x, y + _TICK, "edge") for x in (left, right)]
    items.append(label)
