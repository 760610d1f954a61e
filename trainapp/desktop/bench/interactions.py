"""What a press of the pointer may become: each gesture is an object of its own, from its press to its release or its cancel."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt
from PySide6.QtWidgets import QApplication

from trainapp.desktop.bench import placing
from trainapp.reports.drawing.display import Tag
from trainapp.train.edits import Link, MoveStage

if TYPE_CHECKING:
    from trainapp.desktop.bench.canvas import BenchCanvas


class Gesture:
    """One gesture on the canvas. Positions are in the drawing's px."""

    #: What the pointer looks like meanwhile.
    cursor = Qt.CursorShape.ArrowCursor

    def __init__(self, canvas: BenchCanvas, start: QPointF) -> None:
        self.canvas = canvas
        self.start = start

    def move(self, at: QPointF) -> None:
        """The pointer moved."""

    def release(self, at: QPointF) -> None:
        """The button was let go: do it."""

    def cancel(self) -> None:
        """Take back what was shown; nothing is done."""
        self.canvas.marks.clear()


class Press(Gesture):
    """A press that is a click until it moves far enough to be a drag."""

    def __init__(self, canvas: BenchCanvas, start: QPointF, tag: Tag) -> None:
        super().__init__(canvas, start)
        self.tag = tag

    def move(self, at: QPointF) -> None:
        if (at - self.start).manhattanLength() < QApplication.startDragDistance():
            return
        if len(self.tag) == 2 and self.tag[0] == "stage" and self.start.y() < self.canvas.bench_bottom:
            self.canvas.begin(MoveAlong(self.canvas, self.start, str(self.tag[1])))
            self.canvas.moved(at)

    def release(self, at: QPointF) -> None:
        self.canvas.clicked(self.tag, at)


class MoveAlong(Gesture):
    """A stage is dragged along the train: a gap shows the pipe that would take it in."""

    cursor = Qt.CursorShape.ClosedHandCursor

    def __init__(self, canvas: BenchCanvas, start: QPointF, stage: str) -> None:
        super().__init__(canvas, start)
        self.stage = stage
        self.link: placing.Ends | None = None
        canvas.marks.lift(("stage", stage))

    def move(self, at: QPointF) -> None:
        view = self.canvas.view
        self.canvas.marks.carry(at - self.start)
        self.link = placing.link_at(view, at.x(), at.y()) if view is not None else None
        if self.link is not None and self.stage in self.link:
            self.link = None
        self.canvas.marks.gap(self.link)
        self.canvas.say_where(self.link)

    def release(self, at: QPointF) -> None:
        self.cancel()
        if self.link is not None:
            self.canvas.session.edit(MoveStage(id=self.stage, into=self.link), select=("stage", self.stage))


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
        self.canvas.marks.pipe(self.start, at, self.other)

    def release(self, at: QPointF) -> None:
        self.move(at)
        self.cancel()
        if self.other is not None:
            ends = (self.node, self.other) if self.outward else (self.other, self.node)
            self.canvas.session.edit(Link(ends=ends), select=("link", *ends))


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
        self.canvas.scroll_by(self.start.x() - at.x(), self.start.y() - at.y())
        self.start = at
