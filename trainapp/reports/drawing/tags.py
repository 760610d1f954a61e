"""Capsules of findings on the bench: mark and number at the place; several at one place show the worst and how many more."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from trainapp.reports.drawing.display import Box, Group, Line, Rect, Shape, texts
from trainapp.reports.drawing.marks import CAPSULE_HEIGHT, Mark, capsule, capsule_width, mark
from trainapp.reports.drawing.model import FindingModel
from trainapp.reports.drawing.scene import Scene
from trainapp.reports.drawing.tokens import CAPTION, MARK_LEAST, SELECTION

#: Part of what can be read below which capsules would stand far from what they speak of.
_CAPSULES = 0.75

#: From here on a capsule stands apart from its place and is joined to it; beyond the other no line is clear, px.
_APART, _FAR = 12.0, 120.0

_ORDER = {"fail": 0, "caution": 1, "note": 2}


def mark_of(finding: FindingModel) -> Mark:
    """The mark that a finding is shown with; an accepted one keeps its severity in the list and shows as accepted on the bench."""
    return "accepted" if finding.accepted else finding.severity


def shown(findings: Sequence[FindingModel], opened: int) -> list[FindingModel]:
    """Findings that have a capsule: fails and cautions; a note only while it is the one that is opened."""
    return [finding for finding in findings if finding.severity != "note" or finding.number == opened]


def by_spot(findings: Sequence[FindingModel]) -> dict[tuple[str, ...], list[FindingModel]]:
    """Findings by the place of their capsule, worst first."""
    spots: dict[tuple[str, ...], list[FindingModel]] = {}
    for finding in findings:
        for spot in finding.spots:
            spots.setdefault(spot, []).append(finding)
    for group in spots.values():
        group.sort(key=_rank)
    return spots


def capsules(scene: Scene, labels: Sequence[Shape] = ()) -> list[Shape]:
    """Every capsule, the worst placed first; one that finds no place of its own stands on its vessel or its pipe.

    Args:
        labels: texts that are placed already; no capsule covers one.
    """
    spots = by_spot(shown(scene.model.findings, scene.options.finding))
    if scene.at.shrink < _CAPSULES:
        return _marks(scene, spots)
    items: list[Shape] = []
    told = [text.box(scene.measure) for text, _ in texts([*labels])] + _words_in_tanks(scene)
    for spot, findings in sorted(spots.items(), key=lambda item: (_ORDER[item[1][0].severity], item[1][0].number)):
        opened = next((f for f in findings if f.number == scene.options.finding), None)
        head = opened or findings[0]
        text = f"{head.number}" + (f" +{len(findings) - 1}" if len(findings) > 1 else "")
        width = capsule_width(text, scene.measure(text, CAPTION, True))
        box = _free(scene, _choices(scene, spot, width)) or _last_resort(scene, spot, width, told)
        if box is None:
            continue
        items += _leader(scene, spot, box, told)
        scene.taken.append(box)
        told.append(box)
        items.append(_group([head, *(f for f in findings if f is not head)], text, box, head is opened))
    return items


def _leader(scene: Scene, spot: tuple[str, ...], box: Box, told: Sequence[Box]) -> list[Shape]:
    """A hairline from a capsule that stands apart to what it speaks of; none where it would lie on a text."""
    anchors = list(_anchors(scene, spot))
    if not anchors:
        return []
    from_x, from_y, x, y = min((_between(box, anchor) for anchor in anchors), key=lambda ends: _length(*ends))
    if not _APART <= _length(from_x, from_y, x, y) <= _FAR:
        return []
    line = Box(min(x, from_x) - 1.0, min(y, from_y) - 1.0, abs(x - from_x) + 2.0, abs(y - from_y) + 2.0)
    if any(line.meets(other, 1.0) for other in told):
        return []
    scene.taken.append(line)
    return [Line(from_x, from_y, x, y, "ink3")]


def _anchors(scene: Scene, spot: tuple[str, ...]) -> Iterator[Box]:
    """What a capsule speaks of: the pipe that leads in, or the vessel with what stands beside it."""
    node = spot[1] if len(spot) > 1 else ""
    if spot[0] == "inlet":
        for run in scene.plumbing.runs:
            if run.key[1] == node and len(run.points) > 1:
                (x1, y1), (x2, y2) = run.points[-2:]
                yield Box(min(x1, x2), min(y1, y2), abs(x2 - x1), abs(y2 - y1))
    if spot[0] in ("stage", "inlet"):
        yield from scene.units.get(node, ())
        yield from (Box(x - 6, y - 6, 12, 12) for x, y in scene.plumbing.devices.get(node, ()))


def _between(a: Box, b: Box) -> tuple[float, float, float, float]:
    """The shortest line from one rectangle to another: both its ends."""
    xs = _gap(a.x, a.right, b.x, b.right)
    ys = _gap(a.y, a.bottom, b.y, b.bottom)
    return xs[0], ys[0], xs[1], ys[1]


def _gap(low: float, high: float, other_low: float, other_high: float) -> tuple[float, float]:
    """Nearest points of two spans; the middle of what they share."""
    if high < other_low:
        return high, other_low
    if other_high < low:
        return low, other_high
    middle = (max(low, other_low) + min(high, other_high)) / 2
    return middle, middle


def _length(x1: float, y1: float, x2: float, y2: float) -> float:
    return math.hypot(x2 - x1, y2 - y1)


def _free(scene: Scene, choices: Iterator[Box]) -> Box | None:
    """The first free place that does not cover the person, else the first that is free at all."""
    over: Box | None = None
    for box in choices:
        if scene.free(box):
            if scene.person is None or not box.meets(scene.person):
                return box
            over = over or box
    return over


def _marks(scene: Scene, spots: dict[tuple[str, ...], list[FindingModel]]) -> list[Shape]:
    """Where all of a long train is shown there is room for marks alone: the worst of each stage, over the pipes above it."""
    worst: dict[str, FindingModel] = {}
    for spot, findings in spots.items():
        node = spot[1] if len(spot) == 2 else ""
        if node in scene.at.centres and (node not in worst or _rank(findings[0]) < _rank(worst[node])):
            worst[node] = findings[0]
    items: list[Shape] = []
    for node, finding in worst.items():
        x, first = scene.at.centres[node], scene.plumbing.top - 10.0
        y = next((at for at in (first, first - 12.0) if scene.free(Box(x - 4, at - 5, 8, 10), 0.0)), first - 24.0)
        told = f"{finding.number} {finding.severity}: {finding.title}"
        drawn = Group([*mark(mark_of(finding), x, y, MARK_LEAST)], ("finding", finding.number), told, told)
        drawn.areas, drawn.whole = (Box(x - 6, y - 8, 12, 16),), Box(x - 5, y - 5, 10, 10)
        items.append(drawn)
    return items


def _rank(finding: FindingModel) -> tuple[bool, int, int]:
    return finding.accepted, _ORDER[finding.severity], finding.number


def _group(findings: list[FindingModel], text: str, box: Box, opened: bool) -> Group:
    """A capsule; the one that is opened in the list has the outline of what is selected."""
    drawn = capsule(mark_of(findings[0]), text, box)
    if opened:
        around = box.grown(2.0)
        drawn.items.append(Rect(*around, "", "accent", SELECTION, around.h / 2))
    drawn.tag = ("finding", findings[0].number)
    drawn.tooltip = "\n".join(f"{f.number} {f.severity}: {f.title}" for f in findings)
    drawn.name = drawn.tooltip.replace("\n", "; ")
    drawn.areas, drawn.whole = (box.grown(3.0),), box
    return drawn


def _choices(scene: Scene, spot: tuple[str, ...], width: float) -> Iterator[Box]:
    """Places for a capsule, best first."""
    kind = spot[0]
    if kind in ("stage", "inlet", "above") and spot[1] in scene.units:
        unit = scene.units[spot[1]][0]
        yield from {"stage": _beside, "inlet": _inlet, "above": _above}[kind](scene, spot[1], unit, width)
        yield from _beside(scene, spot[1], unit, width)
    elif kind in ("stage", "inlet", "above") and spot[1] in scene.plumbing.devices:
        x, y = scene.plumbing.devices[spot[1]][0]
        yield from (Box(x - width / 2, y - 30, width, CAPSULE_HEIGHT), Box(x + 12, y - 27, width, CAPSULE_HEIGHT))
        yield from (Box(x - width / 2, y + 12 + 13 * i, width, CAPSULE_HEIGHT) for i in range(4))
    elif kind == "end":
        yield from _at_exit(scene, spot[1], width)
    elif kind == "link":
        yield from _on_link(scene, (spot[1], spot[2]), width)
    elif kind == "supply":
        yield from _beside(scene, "supply", _supply_box(scene), width)
    elif kind == "room":
        y = scene.y(scene.model.room_height) if scene.model.room_height else scene.top + 20
        yield from (Box(scene.at.end - width - 6 - 24 * i, y + 4, width, CAPSULE_HEIGHT) for i in range(8))


def _supply_box(scene: Scene) -> Box:
    x, (half, _) = scene.at.centres["supply"], scene.at.extents["supply"]
    high = scene.y(scene.model.supply.height if scene.model.supply.kind == "well" else 0.9)
    return Box(x - half, high, 2 * half, scene.floor - high)


def _beside(scene: Scene, node: str, unit: Box, width: float) -> Iterator[Box]:
    """Right and left of the head, then down the sides; of what hangs on the wall also under it, where no neighbour stands."""
    stage = scene.model.stage(node)
    under = [Box(unit.x + (unit.w - width) / 2, unit.bottom + dy, width, CAPSULE_HEIGHT) for dy in (8, 30)]
    if stage is not None and stage.figure.shape == "chamber":
        yield from (Box(unit.right + dx, unit.y + 2, width, CAPSULE_HEIGHT) for dx in (6, 20))
        yield from under
    for y in (unit.y + 2, *(unit.y + unit.h * part for part in (0.25, 0.45, 0.65))):
        for x in (unit.right + 6, unit.x - width - 6, unit.right + 20, unit.x - width - 20):
            yield Box(x, y, width, CAPSULE_HEIGHT)
    yield from under


def _inlet(scene: Scene, node: str, unit: Box, width: float) -> Iterator[Box]:
    """At the pipe that leads in."""
    for run in scene.plumbing.runs:
        if run.key[1] == node and len(run.points) > 1:
            (x, y), (x2, y2) = run.points[-2], run.points[-1]
            riser = x if abs(y - y2) < 0.01 else x2
            low = y2 if abs(y - y2) < 0.01 else y2 - 14
            for at in (low - CAPSULE_HEIGHT / 2, low - CAPSULE_HEIGHT - 8, low - 2 * CAPSULE_HEIGHT - 12):
                for x in (riser - width - 14, riser - width - 6, unit.right + 8):
                    yield Box(x, at, width, CAPSULE_HEIGHT)


def _above(scene: Scene, node: str, unit: Box, width: float) -> Iterator[Box]:
    """Over the vessel and its clearance."""
    stage = scene.model.stage(node)
    clear = stage.figure.clear_above * scene.at.scale if stage else 0.0
    middle = unit.x + unit.w / 2
    for lift in (clear, 0.0):
        yield Box(middle - width / 2, unit.y - lift - CAPSULE_HEIGHT - 3, width, CAPSULE_HEIGHT)
        yield Box(middle + unit.w / 2 + 6, unit.y - lift + 2, width, CAPSULE_HEIGHT)


def _at_exit(scene: Scene, end: str, width: float) -> Iterator[Box]:
    """On the pipe that leaves, clear of its label."""
    for leaving in scene.plumbing.exits:
        if leaving.end != end:
            continue
        y = leaving.y - CAPSULE_HEIGHT - 6
        if leaving.direction == "right":
            yield from (Box(leaving.x - width - 90 - 12 * i, y, width, CAPSULE_HEIGHT) for i in range(-6, 6))
            yield from (Box(leaving.x - width - 8 - 12 * i, leaving.y + dy, width, CAPSULE_HEIGHT) for dy in (6, 28) for i in range(14))
        else:
            yield from (Box(leaving.x + 8 + 8 * i, leaving.y + dy, width, CAPSULE_HEIGHT) for dy in (6, -22) for i in range(10))


def _on_link(scene: Scene, key: tuple[str, str], width: float) -> Iterator[Box]:
    """Over, then under, the longest level piece of the pipe."""
    for run in scene.plumbing.runs:
        if run.key == key:
            pieces = sorted(zip(run.points, run.points[1:], strict=False), key=lambda p: -abs(p[1][0] - p[0][0]))
            (x1, y), (x2, _) = pieces[0]
            middle = (x1 + x2) / 2 - width / 2
            yield from (Box(middle + dx, y + dy, width, CAPSULE_HEIGHT) for dy in (-24, 8) for dx in (0, -20, 20, -40, 40))


def _last_resort(scene: Scene, spot: tuple[str, ...], width: float, told: Sequence[Box]) -> Box | None:
    """On the vessel itself, where it covers nothing else; else over whatever is drawn there, as long as that is no text or capsule."""
    for unit in scene.units.get(spot[1], ())[:1] if len(spot) > 1 else ():
        for part in (0.5, 0.65, 0.35, 0.8):
            box = Box(unit.x + unit.w / 2 - width / 2, unit.y + part * unit.h, width, CAPSULE_HEIGHT)
            if not any(box.meets(other) for other in scene.taken.boxes if other not in scene.units[spot[1]]):
                return box
    return next((box for box in _anywhere(scene, spot, width) if not any(box.meets(other, 1.0) for other in told)), None)


def _anywhere(scene: Scene, spot: tuple[str, ...], width: float) -> Iterator[Box]:
    """Places on a vessel, or along a pipe that leaves, whatever else is drawn there."""
    node = spot[1] if len(spot) > 1 else ""
    for unit in scene.units.get(node, ()):
        for dx in (0.0, -0.5 * width, 0.5 * width):
            middle = unit.x + (unit.w - width) / 2 + dx
            yield from (Box(middle, unit.y + part * unit.h, width, CAPSULE_HEIGHT) for part in (0.5, 0.3, 0.7, 0.1, 0.85))
    for leaving in scene.plumbing.exits:
        if leaving.end == node:
            places = ((leaving.x + dx, leaving.y + dy) for dy in (10, 34, 58, 82) for dx in (4, -width - 4, -width - 60, 40))
            yield from (Box(x, y, width, CAPSULE_HEIGHT) for x, y in places if x > scene.frame.left and y + CAPSULE_HEIGHT < scene.floor)


def _words_in_tanks(scene: Scene) -> list[Box]:
    """Where "brine" and "feed" may be written."""
    boxes = (box for tanks in scene.tanks.values() for box in tanks)
    return [Box(box.x + box.w / 2 - 18, box.y + box.h / 2 - 8, 36.0, 16.0) for box in boxes]
