"""How things stand in the room: the room that one stage takes of the picture of the wall, in metres."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from trainapp.dimensions import INCH as INCH
from trainapp.stages.base import Figure
from trainapp.train.document import Document

#: Between identical units of one stage, and between a tank and the brine or solution tank beside it; common practice, no source.
UNIT_GAP = 3 * INCH
BESIDE_GAP = 1.5 * INCH
#: What pipes at the sides of a chamber take on each side; common practice, no source.
SIDE_PORT = 4 * INCH

#: Height of overhead pipes, what they keep clear of a vessel's head, and from one header up to the next, where there is room for it;
#: then the least of each, and what a pipe and its hanger take under the ceiling, metres; common practice, no source.
RUN_HEIGHT, RUN_CLEAR, HEADER = 72 * INCH, 6 * INCH, 8 * INCH
RUN_LEAST, HEADER_LEAST, HANGER = 3 * INCH, 4 * INCH, 2 * INCH


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


def piped_top(figure: Figure) -> float:
    """Height of a vessel that pipes go over, metres: a chamber and a device in the pipe have theirs at the sides."""
    return 0.0 if figure.shape in ("inline", "chamber") else figure.base + figure.height


def run_height(figures: Iterable[Figure], ceiling: float | None, headers: int) -> float:
    """Height of the overhead run, metres: 6 ft, or clear above the tallest vessel; lower where the ceiling is, as far as vessels let it.

    Args:
        ceiling: height of the room, None where it is not known. headers: how many levels of pipe stand over the run.
    """
    standing = [figure for figure in figures if figure.shape != "inline"]
    wished = max([RUN_HEIGHT, *(figure.base + figure.height + RUN_CLEAR for figure in standing)])
    if ceiling is None:
        return wished
    least = max([piped_top(figure) + RUN_LEAST for figure in standing], default=0.0)
    return max(min(wished, ceiling - HANGER - headers * HEADER_LEAST), least)


def header_step(run: float, ceiling: float | None, headers: int) -> float:
    """From one level of pipe over the run up to the next, metres; less where the ceiling is low."""
    if not headers or ceiling is None:
        return HEADER
    return min(max((ceiling - run - HEADER) / headers, HEADER_LEAST), HEADER)


def headers_of(document: Document, counts: Iterable[int]) -> int:
    """The fewest levels of pipe over the run: one over what stands in parallel, one for ways out to other ends.

    Args:
        counts: units of each stage.
    """
    ways = [link.from_ for link in document.links if link.to not in document.outlets and link.to != "house"]
    parallel = len(ways) > len(set(ways)) or any(count > 1 for count in counts)
    return int(parallel) + int(any(link.to in document.outlets for link in document.links))


def places(document: Document) -> Mapping[str, float]:
    """Places of their own, metres from the left wall to the middle, of the stages (and the supply) that have one."""
    own = {stage.id: stage.place.value("x") for stage in document.stages if stage.place is not None}
    if document.supply.place is not None:
        own["supply"] = document.supply.place.value("x")
    return own
