"""What lies over the drawing while something is done to it: the gap, the lifted stage, the pipe that is being laid, ports, the slip."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtWidgets import QGraphicsItem, QGraphicsScene

from trainapp.desktop.bench import placing
from trainapp.desktop.bench.forecast import Outlook
from trainapp.desktop.bench.items import DrawnItem
from trainapp.desktop.bench.slip import slip
from trainapp.reports.drawing.display import Box, Circle, Group, Line, Polyline, Rect, Shape, Tag
from trainapp.reports.drawing.tokens import FINE_DASH, SELECTION

if TYPE_CHECKING:
    from trainapp.desktop.bench.pane import BenchPane

_OVER = 1e6
PORT = 7.0


class Marks:
    """The layers over the drawing. Ports, gap and what is lifted move with the bench; band and slip lie on the view.

    Args:
        over: what holds those that move with the bench. Scene and items live as long as each other.
    """

    def __init__(self, scene: QGraphicsScene, over: QGraphicsItem, canvas: BenchPane) -> None:
        self.canvas = canvas
        self._ports, self._gap, self._ghost, self._band, self._slip = (DrawnItem() for _ in range(5))
        for z, item in enumerate((self._ports, self._gap, self._ghost)):
            item.setZValue(_OVER + z)
            item.setParentItem(over)
        for z, item in enumerate((self._band, self._slip)):
            item.setZValue(_OVER + z)
            scene.addItem(item)
        self._ghost.setOpacity(0.7)
        self.port_boxes: dict[str, Box] = {}

    def clear(self) -> None:
        """Nothing is being done."""
        for item in (self._gap, self._ghost, self._band, self._slip):
            item.show_shapes([])
        self._ghost.setPos(0.0, 0.0)

    @property
    def count(self) -> int:
        """How many items these are."""
        return 5

    # Dragging a stage ---------------------------------------------------------------------------------------------------------

    def lift(self, tags: Sequence[Tag]) -> None:
        """Take a picture of things to carry."""
        view = self.canvas.view
        groups = [view.find(tag) for tag in tags] if view is not None else []
        self._ghost.show_shapes([group for group in groups if group is not None])

    def carry(self, by: QPointF) -> None:
        """Carry it."""
        self._ghost.setPos(by)

    def gap(self, link: placing.Ends | None) -> None:
        """Show where something would land: the pipe that takes it in, and the gap on the floor."""
        view = self.canvas.view
        if view is None or link is None:
            self._gap.show_shapes([])
            return
        x = placing.gap_x(view, link)
        top, floor = view.floor - view.bands.bench + 6.0 - view.pan.y, view.floor
        shapes: list[Shape] = [Line(x, top, x, floor, "accent", SELECTION, (6.0, 4.0))]
        shapes.append(Polyline(((x - 7, floor + 5), (x, floor - 4), (x + 7, floor + 5)), "", fill="accent", closed=True))
        shapes += _lit(view.find(("link", *link)))
        self._gap.show_shapes(shapes)

    def footprint(self, spans: Sequence[tuple[float, float]]) -> None:
        """Show on the floor where things would stand, from x to x of the bench."""
        view = self.canvas.view
        if view is None:
            return
        floor = view.floor
        shapes: list[Shape] = [Line(left, floor, right, floor, "accent", 4.0) for left, right in spans]
        shapes += [Line(x, floor - 10, x, floor + 3, "accent", SELECTION) for span in spans for x in span]
        self._gap.show_shapes(shapes)

    def pipe(self, start: QPointF, at: QPointF, other: str | None) -> None:
        """Show the pipe that is being laid, and the node that it would reach; places of the bench."""
        self._gap.show_shapes([Line(start.x(), start.y(), at.x(), at.y(), "accent", 3.0, (8.0, 4.0)), *self._outline(other)])

    def around(self, node: str | None) -> None:
        """Show the stage that something would be put beside or round."""
        self._gap.show_shapes(self._outline(node))

    def _outline(self, node: str | None) -> list[Shape]:
        view = self.canvas.view
        tag = self.canvas.session_tag(node) if node is not None else ()
        group = view.find(tag) if view is not None and tag else None
        boxes = [area.grown(6.0) for area in group.areas] if group is not None else []
        return [Rect(box.x, box.y, box.w, box.h, "", "accent", SELECTION, 5.0) for box in boxes]

    # On the view --------------------------------------------------------------------------------------------------------------

    def band(self, area: QRectF | None) -> None:
        """Show the rubber band; px of the view."""
        shapes: list[Shape] = []
        if area is not None:
            shapes.append(Rect(area.x(), area.y(), area.width(), area.height(), "", "accent", 1.0, 0.0, FINE_DASH))
        self._band.show_shapes(shapes)

    def say(self, text: str, outlook: Outlook | None, at: QPointF | None, below: float = 0.0) -> None:
        """Say on a slip near a point of the view what would happen; nothing without a point."""
        view = self.canvas.view
        shapes = slip(text, outlook, at.x(), at.y(), view.width, view.height, below) if at is not None and view is not None else []
        self._slip.show_shapes(shapes)

    # Ports --------------------------------------------------------------------------------------------------------------------

    def ports(self, tag: Tag) -> None:
        """Show where a pipe can be drawn from: both sides of the selected stage, the outlet of the supply."""
        self.port_boxes = dict(self._port_places(tag))
        shapes: list[Shape] = []
        for box in self.port_boxes.values():
            x, y = box.x + PORT, box.y + PORT
            shapes += [
                Circle(x, y, PORT, "page", "accent", 1.5),
                Line(x - 3.5, y, x + 3.5, y, "accent", 1.5),
                Line(x, y - 3.5, x, y + 3.5, "accent", 1.5),
            ]
        self._ports.show_shapes(shapes)

    def _port_places(self, tag: Tag) -> Iterator[tuple[str, Box]]:
        view = self.canvas.view
        group = view.find(tag) if view is not None and tag and tag[0] in ("stage", "supply") else None
        if group is None or not group.areas:
            return
        model = self.canvas.session.model
        stage = model.stage(str(tag[1])) if model is not None and tag[0] == "stage" else None
        units = group.areas[: stage.count] if stage is not None else group.areas[:1]
        first, last = units[0].grown(6.0), units[-1].grown(6.0)
        y = first.y + 0.3 * first.h - PORT
        if tag[0] == "stage":
            yield "in", Box(first.x - PORT, y, 2 * PORT, 2 * PORT)
        yield "out", Box(last.right - PORT, y, 2 * PORT, 2 * PORT)

    def port_at(self, x: float, y: float) -> str:
        """The port under a point of the bench, "" for none."""
        return next((name for name, box in self.port_boxes.items() if box.grown(5.0).holds(x, y)), "")


def _lit(group: Group | None) -> list[Shape]:
    """A pipe drawn over in the accent."""
    lines = [shape for shape in group.items if isinstance(shape, Polyline)] if group is not None else []
    return [Polyline(line.points, "accent", 3.0, round=True) for line in lines]
