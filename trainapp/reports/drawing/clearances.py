"""The free places that service needs: over a vessel for drawing its lamp out or filling it, under one for changing its cartridge."""

from __future__ import annotations

from typing import NamedTuple

from trainapp.reports.drawing.display import Box, Rect, Shape, Text
from trainapp.reports.drawing.model import StageModel
from trainapp.reports.drawing.scene import Scene
from trainapp.reports.drawing.tokens import CAPTION, CASING, FINE_DASH


class Clearance(NamedTuple):
    """A free place on the drawing; `over` px of it are over the ceiling."""

    area: Box
    over: float = 0.0


def clearances(made: Scene) -> list[Clearance]:
    """Places that are drawn: where there is not enough room, where the stage is selected, or all of them where they are asked for."""
    found: list[Clearance] = []
    for stage in made.model.stages:
        over = over_ceiling(made, stage)
        if stage.id not in made.units or not (over > 0 or _asked(made, stage)):
            continue
        above, below = stage.figure.clear_above, stage.figure.clear_below
        for unit in made.units[stage.id]:
            if above:
                height = above * made.at.scale
                found.append(Clearance(Box(unit.x - 3, unit.y - height, unit.w + 6, height), min(max(over, 0.0), above) * made.at.scale))
            if below and _asked(made, stage):
                found.append(Clearance(Box(unit.x - 3, unit.bottom, unit.w + 6, below * made.at.scale)))
    return found


def _asked(made: Scene, stage: StageModel) -> bool:
    return made.options.clearances or made.options.holds(("stage", stage.id))


def over_ceiling(made: Scene, stage: StageModel) -> float:
    """How far the stage or its clearance reaches through the ceiling, metres."""
    if made.model.room_height is None:
        return 0.0
    return stage.figure.base + stage.figure.height + stage.figure.clear_above - made.model.room_height


def clearance_shapes(made: Scene) -> list[Shape]:
    """Dashed outlines of free places; what the ceiling takes of one is tinted."""
    items: list[Shape] = []
    for area, over in clearances(made):
        items.append(Rect(area.x, area.y, area.w, area.h, "", "edge", 1.0, 0.0, FINE_DASH))
        if over > 0:
            items.append(Rect(area.x, area.y, area.w, over, "fail_t", "fail", CASING))
    return items


def clearance_labels(made: Scene, labels: list[Shape]) -> None:
    """What the free place is for, and what there is of it, beside it."""
    for stage in made.model.stages:
        if stage.id not in made.units or not stage.clearance:
            continue
        if over_ceiling(made, stage) <= 0 and not made.options.holds(("stage", stage.id)):
            continue
        unit, figure = made.units[stage.id][0], stage.figure
        if figure.clear_above:
            low = unit.y - figure.clear_above * made.at.scale + 14.0
            base = max(low, made.y(made.model.room_height) + 14.0) if made.model.room_height else low
        else:
            base = unit.bottom + 14.0
        made.put_first(
            (
                [Text(x, y + 14 * i, line, "ink2", CAPTION, anchor) for i, line in enumerate(stage.clearance)]
                for y in (base, base + 8.0, base + 20.0, base + 32.0)
                for x, anchor in ((unit.right + 11, "start"), (unit.x - 11, "end"))
            ),
            labels,
        )
