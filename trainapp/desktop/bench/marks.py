"""What lies over the drawing while something is done to it: the gap, the lifted stage, the pipe that is being laid, ports."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF
from PySide6.QtWidgets import QGraphicsScene

from trainapp.desktop.bench import placing
from trainapp.desktop.bench.items import DrawnItem
from trainapp.reports.drawing.display import Box, Circle, Group, Line, Polyline, Rect, Shape, Tag
from trainapp.reports.drawing.tokens import SELECTION

if TYPE_CHECKING:
    from trainapp.desktop.bench.canvas import BenchCanvas

_OVER = 1e6
PORT = 7.0


class Marks:
    """The layers over the drawing. The scene owns the items; they live as long as it does."""

    def __init__(self, scene: QGraphicsScene, canvas: BenchCanvas) -> None:
        self.canvas = canvas
        self._ports, self._gap, self._ghost = DrawnItem(), DrawnItem(), DrawnItem()
        for z, item in enumerate((self._ports, self._gap, self._ghost)):
            item.setZValue(_OVER + z)
            scene.addItem(item)
        self._ghost.setOpacity(0.7)
        self.port_boxes: dict[str, Box] = {}

    def clear(self) -> None:
        """Nothing is being done."""
        self._gap.show_shapes([])
        self._ghost.show_shapes([])
        self._ghost.setPos(0.0, 0.0)

    # Dragging a stage ---------------------------------------------------------------------------------------------------------

    def lift(self, tag: Tag) -> None:
        """Take a picture of a thing to carry."""
        view = self.canvas.view
        group = view.display.find(tag) if view is not None else None
        self._ghost.show_shapes([group] if group is not None else [])

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
        top, floor = view.bands.headline + 6.0, view.floor
        shapes: list[Shape] = [Line(x, top, x, floor, "accent", SELECTION, (6.0, 4.0))]
        shapes.append(Polyline(((x - 7, floor + 10), (x, floor + 1), (x + 7, floor + 10)), "", fill="accent", closed=True))
        shapes += _lit(view.display.find(("link", *link)))
        self._gap.show_shapes(shapes)

    def pipe(self, start: QPointF, at: QPointF, other: str | None) -> None:
        """Show the pipe that is being laid, and the node that it would reach."""
        self._gap.show_shapes([Line(start.x(), start.y(), at.x(), at.y(), "accent", 3.0, (8.0, 4.0)), *self._outline(other)])

    def around(self, node: str | None) -> None:
        """Show the stage that something would be put beside or round."""
        self._gap.show_shapes(self._outline(node))

    def _outline(self, node: str | None) -> list[Shape]:
        view = self.canvas.view
        tag = self.canvas.session_tag(node) if node is not None else ()
        group = view.display.find(tag) if view is not None and tag else None
        boxes = [area.grown(6.0) for area in group.areas] if group is not None else []
        return [Rect(box.x, box.y, box.w, box.h, "", "accent", SELECTION, 5.0) for box in boxes]

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
        group = view.display.find(tag) if view is not None and tag and tag[0] in ("stage", "supply") else None
        if group is None or not group.areas:
            return
        area = group.areas[0].grown(6.0)
        y = area.y + 0.3 * area.h - PORT
        if tag[0] == "stage":
            yield "in", Box(area.x - PORT, y, 2 * PORT, 2 * PORT)
        yield "out", Box(area.right - PORT, y, 2 * PORT, 2 * PORT)

    def port_at(self, x: float, y: float) -> str:
        """The port under a point, "" for none."""
        return next((name for name, box in self.port_boxes.items() if box.grown(5.0).holds(x, y)), "")


def _lit(group: Group | None) -> list[Shape]:
    """A pipe drawn over in the accent."""
    lines = [shape for shape in group.items if isinstance(shape, Polyline)] if group is not None else []
    return [Polyline(line.points, "accent", 3.0, round=True) for line in lines]
