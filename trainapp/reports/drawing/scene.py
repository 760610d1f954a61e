"""What the parts of the bench share while it is drawn: the geometry, and the places that are already taken."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from trainapp.reports.drawing.display import Box, Measure, Shape, Text
from trainapp.reports.drawing.frame import Frame, Options, Spread
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.pipes import Plumbing, Run
from trainapp.train.routes import Route

#: Width of the strips in which taken places are looked up, px.
_STRIP = 64.0


class Taken:
    """Places that are taken, in strips from left to right: a long train asks for thousands of places."""

    def __init__(self) -> None:
        self.boxes: list[Box] = []
        self._strips: dict[int, list[Box]] = {}

    def append(self, box: Box) -> None:
        """Take a place."""
        self.boxes.append(box)
        for strip in range(int(box.x // _STRIP), int(box.right // _STRIP) + 1):
            self._strips.setdefault(strip, []).append(box)

    def extend(self, boxes: Iterable[Box]) -> None:
        """Take places."""
        for box in boxes:
            self.append(box)

    def meets(self, box: Box, clearance: float = 0.0) -> bool:
        """Whether anything stands there, or nearer than `clearance`."""
        first, last = int((box.x - clearance) // _STRIP), int((box.right + clearance) // _STRIP)
        return any(box.meets(other, clearance) for strip in range(first, last + 1) for other in self._strips.get(strip, ()))


@dataclass(slots=True)
class Scene:
    """The bench while it is laid out.

    Attributes:
        floor: y of the floor; top: y of the upper edge of the band; both px.
        units: rectangle of each unit of each stage, head included; `tanks`: of what stands beside each unit.
        taken: rectangles that a text or a capsule must keep clear of. person: the one of the person, which a capsule covers only where
            no other place is left for it.
    """

    model: BenchModel
    route: Route
    options: Options
    frame: Frame
    at: Spread
    measure: Measure
    floor: float
    top: float
    plumbing: Plumbing
    units: Mapping[str, tuple[Box, ...]]
    tanks: Mapping[str, tuple[Box, ...]] = field(default_factory=dict)
    taken: Taken = field(default_factory=Taken)
    person: Box | None = None

    def y(self, height: float) -> float:
        """y of a height above the floor in metres."""
        return self.floor - height * self.at.scale

    def free(self, box: Box, clearance: float = 2.0) -> bool:
        """Whether nothing stands there and it is inside the band."""
        inside = box.y >= self.top and box.bottom <= self.floor and box.x >= self.frame.left
        return inside and not self.taken.meets(box, clearance)

    def put(self, text: Text, items: list[Shape], clearance: float = 2.0) -> bool:
        """Draw a text where its place is free, and take the place; otherwise nothing."""
        box = text.box(self.measure)
        if not self.free(box, clearance):
            return False
        self.taken.append(box)
        items.append(text)
        return True

    def put_first(self, choices: Iterable[Sequence[Text]], items: list[Shape]) -> bool:
        """Draw the first of several sets of texts of which every one is free."""
        for texts in choices:
            boxes = [text.box(self.measure) for text in texts]
            if all(self.free(box) for box in boxes):
                self.taken.extend(boxes)
                items.extend(texts)
                return True
        return False


def pipe_width(diameter: float, scale: float) -> float:
    """Width of a pipe on the bench: its outside diameter (m) to scale (px/m), 2 to 8 px."""
    return min(max(diameter * scale, 2.0), 8.0)


def run_boxes(run: Run, width: float) -> tuple[Box, ...]:
    """Rectangles that a run's straight pieces cover."""
    half = width / 2
    return tuple(
        Box(min(x1, x2) - half, min(y1, y2) - half, abs(x2 - x1) + width, abs(y2 - y1) + width)
        for (x1, y1), (x2, y2) in zip(run.points, run.points[1:], strict=False)
    )
