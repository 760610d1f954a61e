"""What is dragged from the shelf over the bench: where it would go, and putting it there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QDropEvent

from trainapp.desktop.adding import BESIDE_A_STAGE, BYPASS, NotHere, adding, entry_of
from trainapp.desktop.bench import placing
from trainapp.train.edits import AddStage, Edit

if TYPE_CHECKING:
    from trainapp.desktop.bench.canvas import BenchCanvas

#: What a drag from the shelf carries: the key of a line of the shelf.
MIME = "application/x-trainapp-shelf"

#: Height of what the pointer carries, px: the slip keeps clear of it.
_CARRIED = 28.0


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
        """It moves: show the pipe that would open, or the stage that it would go beside, and what that would do."""
        canvas = self.canvas
        if canvas.view is None or not self.takes(event):
            return
        event.acceptProposedAction()
        at, key = canvas.drawing_at(event.position().toPoint()), carried(event)
        link = self._link(key, at)
        try:
            edit = self.edit(key, at)
        except NotHere as error:
            canvas.marks.gap(None)
            canvas.hints.foresee(str(error), None, at)
            return
        node = placing.selected_node(canvas.tag_at(at)) if key in BESIDE_A_STAGE else None
        if node is not None:
            canvas.marks.around(node)
            told = f"{'round' if key == BYPASS else 'beside'} {canvas.session.title_of(node)}"
        else:
            canvas.marks.gap(link)
            told = canvas.hints.where(link)
        canvas.hints.foresee(told, edit, at, _CARRIED)

    def _link(self, key: str, at: QPointF) -> placing.Ends | None:
        view = self.canvas.view
        if view is None or key in BESIDE_A_STAGE:
            return None
        return placing.link_at(view, self.canvas.tag_at(at), self.canvas.on_bench(at).x())

    def edit(self, key: str, at: QPointF) -> Edit:
        """The edit that puts it where the pointer is; where the floor is the user's, with its place there.

        Raises:
            NotHere: it cannot go there.
        """
        canvas = self.canvas
        made = adding(canvas.session.document, key, canvas.tag_at(at), self._link(key, at))
        floor, entry = canvas.floor, entry_of(key)
        placed = floor is not None and floor.own and entry is not None and entry.icon not in ("inline", "bypass")
        if placed and isinstance(made, AddStage) and floor is not None and canvas.view is not None and at.y() < canvas.bench_bottom:
            x = canvas.view.metres(canvas.on_bench(at).x())
            return made.model_copy(update={"beside": {"place": {"x": floor.text(x)}}})
        return made

    def leave(self) -> None:
        """It is gone again."""
        self.canvas.marks.clear()
        self.canvas.hints.clear()

    def drop(self, event: QDropEvent) -> None:
        """It is let go: put it there."""
        self.leave()
        canvas = self.canvas
        if canvas.view is None or not self.takes(event):
            return
        event.acceptProposedAction()
        at = canvas.drawing_at(event.position().toPoint())
        try:
            canvas.session.edit(self.edit(carried(event), at))
        except NotHere as error:
            canvas.session.refused.emit(f"Not done: {error}")
        canvas.setFocus(Qt.FocusReason.MouseFocusReason)


def carried(event: QDropEvent) -> str:
    """The key of the line of the shelf that a drag carries."""
    return bytes(event.mimeData().data(MIME).data()).decode("utf-8")
