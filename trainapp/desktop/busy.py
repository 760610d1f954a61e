"""What the threads are at, how far they are, and Cancel; it appears only where something takes longer than half a second."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget

from trainapp.desktop.background import Progress
from trainapp.desktop.parts import ElidedLabel, FlatButton, TokenLabel
from trainapp.desktop.theme import look
from trainapp.reports.drawing.tokens import BODY

#: ms before anything is shown, and between looks.
_LATE, _LOOK = 500, 100


class Busy(QWidget):
    """A line over or under what is waited for.

    Args:
        narrow: for a column: the words give way to the button at its right end, and nothing is indented.
    """

    #: Signal emitted when it is to be given up.
    given_up = Signal()

    def __init__(self, narrow: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.progress = Progress()
        self.told: TokenLabel = ElidedLabel("ink2", BODY) if narrow else TokenLabel("", "ink2", BODY)
        self.cancel = FlatButton("Cancel")
        self.cancel.clicked.connect(self.given_up)
        row = QHBoxLayout(self)
        aside = 0 if narrow else 12
        row.setContentsMargins(aside, 0 if narrow else 2, aside, 4)
        row.setSpacing(8)
        row.addWidget(self.told, int(narrow))
        row.addWidget(self.cancel)
        if not narrow:
            row.addStretch(1)
        self._what = ""
        self._late, self._look = QTimer(self), QTimer(self)
        self._late.setSingleShot(True)
        self._late.setInterval(_LATE)
        self._late.timeout.connect(self._appear)
        self._look.setInterval(_LOOK)
        self._look.timeout.connect(self._show)
        self.hide()

    @property
    def running(self) -> bool:
        """Whether something is being waited for."""
        return bool(self._what)

    def begin(self, what: str, progress: Progress) -> None:
        """Wait for something."""
        self._what, self.progress = what, progress
        self.cancel.setAccessibleName(f"Cancel: {what}")
        if not self.isHidden():
            self._show()
        elif not self._late.isActive():
            self._late.start()

    def end(self) -> None:
        """Wait for nothing any more."""
        self._what = ""
        self._late.stop()
        self._look.stop()
        self.hide()

    def _appear(self) -> None:
        if self._what:
            self._show()
            self.show()
            self._look.start()

    def _show(self) -> None:
        text = f"{self._what}: {100 * self.progress.share:.0f}\u202f%"
        if isinstance(self.told, ElidedLabel):
            self.told.show_text(text)
        else:
            self.told.setText(text)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        line = QRectF(0, self.height() - 2, self.width(), 2)
        painter.fillRect(line, look().colour("well"))
        line.setWidth(self.width() * min(max(self.progress.share, 0.0), 1.0))
        painter.fillRect(line, look().colour("accent"))
