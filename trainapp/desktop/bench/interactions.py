"""What a press of the pointer may become: each gesture is an object of its own, from its press to its release or its cancel."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtWidgets import QApplication

from trainapp.desktop.bench import placing
from trainapp.reports.drawing.display import Box, Tag
from trainapp.train.edits import Link

if TYPE_CHECKING:
    from trainapp.desktop.bench.canvas import BenchCanvas

#: What adds to a selection instead of making a new one.
ADDING = Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.ControlModifier


class Gesture:
    """One gesture on the canvas. Points are px of the view; :meth:`BenchCanvas.on_bench` tells where they are on the bench."""

    #: What the pointer looks like meanwhile.
    cursor = Qt.CursorShape.ArrowCursor

    def __init__(self, canvas: BenchCanvas, start: QPointF) -> None:
        self.canvas = canvas
        self.start = start

    def move(self, at: QPointF) -> None:
        """The pointer moved, or a modifier was pressed or let go."""

    def release(self, at: QPointF) -> None:
        """The button was let go: do it."""

    def cancel(self) -> None:
        """Take back what was shown; nothing is done."""
        self.canvas.marks.clear()
        self.canvas.hints.clear()


class Press(Gesture):
    """A press that is a click until it moves far enough to be a drag."""

    def __init__(self, canvas: BenchCanvas, start: QPointF, tag: Tag) -> None:
        super().__init__(canvas, start)
        self.tag = tag
        self.adding = bool(canvas.modifiers & ADDING)

    def move(self, at: QPointF) -> None:
        if (at - self.start).manhattanLength() < QApplication.startDragDistance():
            return
        gesture = self.canvas.drag_from(self.start, self.tag, self.adding)
        if gesture is not None:
            self.canvas.begin(gesture)
            self.canvas.moved(at)

    def release(self, at: QPointF) -> None:
        self.canvas.clicked(self.tag, at, adding=self.adding)


class LayPipe(Gesture):
    """A pipe is drawn from a port to another node."""

    cursor = Qt.CursorShape.CrossCursor

    def __init__(self, canvas: BenchCanvas, start: QPointF, node: str, outward: bool) -> None:
        super().__init__(canvas, start)
        self.node, self.outward = node, outward
        self.other: str | None = None

    def move(self, at: QPointF) -> None:
        node = placing.selected_node(self.canvas.tag_at(at))
        self.other = node if node != self.node else None
        self.canvas.marks.pipe(self.canvas.on_bench(self.start), self.canvas.on_bench(at), self.other)
        self.canvas.hints.foresee("", self._edit(), at)

    def _edit(self) -> Link | None:
        if self.other is None:
            return None
        return Link(ends=(self.node, self.other) if self.outward else (self.other, self.node))

    def release(self, at: QPointF) -> None:
        self.move(at)
        self.cancel()
        edit = self._edit()
        if edit is not None:
            self.canvas.session.edit(edit, select=("link", *edit.ends))


class SlideFlow(Gesture):
    """The flow that is tried follows the pointer."""

    cursor = Qt.CursorShape.SizeHorCursor

    def move(self, at: QPointF) -> None:
        self.canvas.slide_to(at.x())

    def release(self, at: QPointF) -> None:
        self.canvas.slide_to(at.x())


class Pan(Gesture):
    """The drawing is moved under the pointer."""

    cursor = Qt.CursorShape.ClosedHandCursor

    def move(self, at: QPointF) -> None:
        self.canvas.sight.pan_by(self.start.x() - at.x(), self.start.y() - at.y())
        self.start = at

    def cancel(self) -> None:
        """It stays where it was moved to."""


class RubberBand(Gesture):
    """Stages that a rectangle touches are selected, beside those that are or instead of them."""

    cursor = Qt.CursorShape.CrossCursor

    def __init__(self, canvas: BenchCanvas, start: QPointF, adding: bool) -> None:
        super().__init__(canvas, start)
        self.before = canvas.session.chosen if adding else ()
        self.was = canvas.session.chosen

    def move(self, at: QPointF) -> None:
        area = QRectF(self.start, at).normalized()
        self.canvas.marks.band(area)
        view = self.canvas.view
        if view is None:
            return
        corner = self.canvas.on_bench(area.topLeft())
        found = placing.stages_in(view, Box(corner.x(), corner.y(), area.width(), area.height()))
        tags = tuple(dict.fromkeys((*self.before, *(("stage", node) for node in found))))
        self.canvas.session.select(tags[-1] if tags else (), tags[:-1])

    def release(self, at: QPointF) -> None:
        self.move(at)
        self.canvas.marks.clear()

    def cancel(self) -> None:
        super().cancel()
        self.canvas.session.select(self.was[-1] if self.was else (), self.was[:-1])
