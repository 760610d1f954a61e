"""The list of the first day on which each thing goes wrong, and why. A click goes to that moment."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from trainapp.desktop.findings import counted
from trainapp.desktop.fonts import font
from trainapp.desktop.headed_list import HeadedList
from trainapp.desktop.parts import MarkLabel, TokenLabel, caption, wrapped
from trainapp.desktop.theme import look
from trainapp.desktop.year.content import NOTHING, WrongLine, WrongList
from trainapp.reports.drawing.tokens import BODY, CAPTION, CARD_CORNER, GAP, PAD


class WrongRow(QFrame):
    """One thing that goes wrong."""

    #: Signal emitted with its hour when it is clicked or Return is pressed on it.
    chosen = Signal(float)

    def __init__(self, line: WrongLine, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.line = line
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setToolTip("Go to that moment")
        head = QHBoxLayout()
        head.setSpacing(4)
        head.addWidget(MarkLabel(line.severity), 0, Qt.AlignmentFlag.AlignTop)
        head.addWidget(_headed(f"{line.number} {line.severity}, {line.when}"), 1)
        where = caption(line.place)
        column = QVBoxLayout(self)
        column.setContentsMargins(int(PAD) - 4, 6, int(PAD) - 4, 6)
        column.setSpacing(1)
        column.addLayout(head)
        column.addWidget(where)
        column.addWidget(wrapped(line.sentence, "ink", BODY))
        self.setAccessibleName(f"{line.number} {line.severity}, {line.when}, {line.place}")
        self.setAccessibleDescription(line.sentence)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton and self.rect().contains(event.position().toPoint()):
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self.chosen.emit(self.line.hour)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.chosen.emit(self.line.hour)
        elif event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.focusNextPrevChild(event.key() == Qt.Key.Key_Down)
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        if self.hasFocus():
            painter = QPainter(self)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(look().colour("accent"), 2.0))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), CARD_CORNER, CARD_CORNER)


def _headed(text: str) -> QWidget:
    label = wrapped(text, "ink", BODY)
    label.setFont(font(BODY, True))
    return label


class WrongPanel(HeadedList):
    """The list, for one run or for two."""

    #: Signal emitted with the hour that was chosen.
    chosen = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("What goes wrong", "What goes wrong, the first day of each", parent)
        self.rows: list[WrongRow] = []
        self._others: list[QWidget] = []

    def show_lists(self, lists: Sequence[WrongList]) -> None:
        """Show what goes wrong in one run, or in each of two."""
        for old in (*self.rows, *self._others):
            self.column.removeWidget(old)
            old.hide()
            old.deleteLater()
        self.rows, self._others = [], []
        for each in lists:
            if each.head:
                self._put(TokenLabel(each.head, "ink", BODY, bold=True))
            if not each.lines:
                self._put(wrapped(NOTHING, "ink2", CAPTION))
            for line in each.lines:
                row = WrongRow(line)
                row.chosen.connect(self.chosen)
                self.rows.append(row)
                self.column.insertWidget(self.column.count() - 1, row)
        self.in_turn()
        own = [line.severity for each in lists[:1] for line in each.lines]
        self.counts.setText(counted(own) if len(lists) == 1 and own else "")
        self.area.verticalScrollBar().setValue(0)

    def in_turn(self) -> None:
        """Let Tab walk from the list into its rows, which are younger than what stands below."""
        for before, row in pairwise((self.area, *self.rows)):
            QWidget.setTabOrder(before, row)

    def _put(self, label: QWidget) -> None:
        label.setContentsMargins(int(GAP), 6, int(GAP), 2)
        self._others.append(label)
        self.column.insertWidget(self.column.count() - 1, label)

    def focus_list(self) -> None:
        """Put the keyboard on the first of them."""
        if self.rows:
            self.rows[0].setFocus(Qt.FocusReason.ShortcutFocusReason)
