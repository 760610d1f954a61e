"""How things stand in the room: the room that one stage takes of the picture of the wall, in metres."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from trainapp.stages.base import Figure
from trainapp.train.document import Document

INCH = 0.0254

#: Between identical units of one stage, and between a tank and the brine or solution tank beside it; common practice, no source.
UNIT_GAP = 3 * INCH
BESIDE_GAP = 1.5 * INCH
#: What pipes at the sides of a chamber take on each side; common practice, no source.
SIDE_PORT = 4 * INCH


class Body(NamedTuple):
    """A rectangle of the picture of the wall, metres: from the left wall, and above the floor."""

    left: float
    right: float
    low: float
    high: float

    def meets(self, other: Body, slack: float = 1e-6) -> bool:
        """Whether the two take a place together that is wider and higher than `slack`."""
        return (
            self.left < other.right - slack
            and other.left < self.right - slack
            and self.low < other.high - slack
            and other.low < self.high - slack
        )


def unit_step(figure: Figure) -> float:
    """Distance of the middles of identical units of one stage, metres."""
    ports = 2 * SIDE_PORT if figure.shape == "chamber" else 0.0
    return figure.width + _beside(figure) + ports + UNIT_GAP


def reach(figure: Figure, count: int) -> tuple[float, float]:
    """How far a stage of `count` units reaches left and right of its middle, metres."""
    half = (count - 1) / 2 * unit_step(figure)
    return half + figure.width / 2, half + figure.width / 2 + _beside(figure)


def _beside(figure: Figure) -> float:
    return BESIDE_GAP + figure.beside[0] if figure.beside[0] > 0 else 0.0


def middles(figure: Figure, count: int) -> tuple[float, ...]:
    """Middles of the units relative to the middle of the stage, metres."""
    step = unit_step(figure)
    return tuple((i - (count - 1) / 2) * step for i in range(count))


def bodies(figure: Figure, count: int, x: float) -> tuple[Body, ...]:
    """What stands there: every unit, and what stands beside it."""
    found: list[Body] = []
    for middle in middles(figure, count):
        left, right = x + middle - figure.width / 2, x + middle + figure.width / 2
        found.append(Body(left, right, figure.base, figure.base + figure.height))
        if figure.beside[0] > 0:
            found.append(Body(right + BESIDE_GAP, right + BESIDE_GAP + figure.beside[0], 0.0, figure.beside[1]))
    return tuple(found)


def clearances(figure: Figure, count: int, x: float) -> tuple[Body, ...]:
    """The free places above and below each unit that service needs."""
    found: list[Body] = []
    for middle in middles(figure, count):
        left, right = x + middle - figure.width / 2, x + middle + figure.width / 2
        top = figure.base + figure.height
        if figure.clear_above > 0:
            found.append(Body(left, right, top, top + figure.clear_above))
        if figure.clear_below > 0:
            found.append(Body(left, right, figure.base - figure.clear_below, figure.base))
    return tuple(found)


def places(document: Document) -> Mapping[str, float]:
    """Places of their own, metres from the left wall to the middle, of the stages (and the supply) that have one."""
    own = {stage.id: stage.place.value("x") for stage in document.stages if stage.place is not None}
    if document.supply.place is not None:
        own["supply"] = document.supply.place.value("x")
    return own
