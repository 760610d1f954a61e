"""What is dragged from the shelf over the bench: where it would go, and putting it there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QDropEvent

from trainapp.desktop.adding import BESIDE_A_STAGE
from trainapp.desktop.bench import placing

if TYPE_CHECKING:
    from trainapp.desktop.bench.canvas import BenchCanvas

#: What a drag from the shelf carries: the key of a line of the shelf.
MIME = "application/x-trainapp-shelf"


class ShelfDrops:
    """Takes the canvas's drag events."""

    def __init__(self, canvas: BenchCanvas) -> None:
        self.canvas = canvas

    def takes(self, event: QDropEvent) -> bool:
        """Whether what is dragged is from the shelf, and there is a bench to put it on."""
        return event.mimeData().hasFormat(MIME) and self.canvas.view is not None

    def enter(self, event: QDropEvent) -> None:
        """It comes over the bench."""
        if self.takes(event):
            event.acceptProposedAction()

    def move(self, event: QDropEvent) -> None:
        """It moves: show the pipe that would open, or the stage that it would go beside."""
        canvas = self.canvas
        if canvas.view is None or not self.takes(event):
            return
        event.acceptProposedAction()
        at = canvas.drawing_at(event.position().toPoint())
        if carried(event) in BESIDE_A_STAGE:
            canvas.marks.around(placing.selected_node(canvas.tag_at(at)))
            return
        link = placing.link_at(canvas.view, at.x(), at.y())
        canvas.marks.gap(link)
        canvas.say_where(link)

    def leave(self) -> None:
        """It is gone again."""
        self.canvas.marks.clear()
        self.canvas.hinted.emit("")

    def drop(self, event: QDropEvent) -> None:
        """It is let go: put it there."""
        self.leave()
        canvas = self.canvas
        if canvas.view is None or not self.takes(event):
            return
        event.acceptProposedAction()
        at = canvas.drawing_at(event.position().toPoint())
        canvas.put(carried(event), canvas.tag_at(at), placing.link_at(canvas.view, at.x(), at.y()))
        canvas.setFocus(Qt.FocusReason.MouseFocusReason)


def carried(event: QDropEvent) -> str:
    """The key of the line of the shelf that a drag carries."""
    return bytes(event.mimeData().data(MIME).data()).decode("utf-8")
