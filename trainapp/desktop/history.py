"""The steps of undo by name: any of them is gone back to by a click or by the arrow keys."""

from __future__ import annotations

from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QDockWidget, QListView, QUndoView, QWidget

from trainapp.desktop.docks import DockTitle, in_rows
from trainapp.desktop.session import Session

_WIDTH = 240
#: A window so wide has room for the list beside the bench, px.
_ROOM = 1600
_INSET = 48


class HistoryDock(QDockWidget):
    """The list beside the bench; the step that the document stands at is the current one."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("Undo history", parent)
        self.setObjectName("history")
        self.view = QUndoView(session.stack)
        self.view.setEmptyLabel("As opened")
        self.view.setAccessibleName("Undo history")
        self.view.setWordWrap(True)
        self.view.setResizeMode(QListView.ResizeMode.Adjust)
        in_rows(self.view)
        self.setWidget(self.view)
        self.setMinimumWidth(_WIDTH)
        self.setTitleBarWidget(DockTitle(self))

    def stand_by(self, window: QWidget) -> None:
        """Stand beside the bench where there is room for both, else over it, at its upper corner."""
        over = window.width() < _ROOM
        self.setFloating(over)
        if over:
            self.resize(_WIDTH, max(window.height() // 2, _WIDTH))
            self.move(window.mapToGlobal(window.rect().topLeft()) + QPoint(_INSET, 2 * _INSET))
