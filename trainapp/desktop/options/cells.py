"""One cell of the board as a button: its shapes, its words for a screen reader, and the arrow keys that walk from cell to cell."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QWidget

from trainapp.desktop.figures import local
from trainapp.desktop.fonts import measure
from trainapp.desktop.painter import paint, saved
from trainapp.desktop.parts import focus_ring
from trainapp.desktop.theme import look
from trainapp.reports.drawing import side_by_side
from trainapp.reports.drawing.side_by_side import Look
from trainapp.reports.options_cells import Cell, Row

_STEPS = {
    Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0), Qt.Key.Key_Up: (0, -1), Qt.Key.Key_Down: (0, 1),
}  # fmt: skip
#: Left and right of what a cell shows, px, so that the ring stands clear of it.
INSET = 6


class CellButton(QAbstractButton):
    """A cell. It opens what is behind it, where there is anything."""

    #: Signal emitted with steps right and down, of an arrow key.
    walked = Signal(int, int)
    #: Signal emitted when the keyboard comes to it.
    reached = Signal()

    def __init__(self, column: str, row: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.column, self.row_key = column, row
        self.cell, self.look, self.opens = Cell(), Look(), ""
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)

    def show_cell(self, title: str, row: Row, cell: Cell, look_: Look, customer: bool) -> None:
        """Show a cell of a row under a column of that title."""
        self.cell, self.look = cell, look_
        self.opens = "" if customer else row.opens
        told = " ".join(filter(None, (spoken(cell), "best of the row" if cell.best else "", cell.word)))
        self.setAccessibleName(f"{title}, {row.label} {row.unit}: {told}".replace(" :", ":"))
        self.setAccessibleDescription(" ".join(filter(None, (cell.note, row.note))))
        self.setToolTip("" if customer else local("\n".join(filter(None, (cell.note, row.note)))))
        self.setCursor(Qt.CursorShape.PointingHandCursor if self.opens else Qt.CursorShape.ArrowCursor)
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = _STEPS.get(Qt.Key(event.key()))
        if step is not None and event.modifiers() in (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier):
            self.walked.emit(*step)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QEvent) -> None:
        super().focusInEvent(event)  # type: ignore[arg-type]
        self.reached.emit()

    def enterEvent(self, event: QEvent) -> None:
        self.update()
        super().enterEvent(event)  # type: ignore[arg-type]

    def leaveEvent(self, event: QEvent) -> None:
        self.update()
        super().leaveEvent(event)

    def shapes(self, width: float) -> list[side_by_side.Shape]:
        """What it draws."""
        if self.row_key == "settle":
            return side_by_side.lines(self.cell, width, self.look, measure)
        return side_by_side.cell(self.cell, width, float(self.height() - 1), self.look, measure)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.underMouse() and self.opens:
            painter.fillRect(self.rect().adjusted(0, 1, 0, -1), look().colour("sheet"))
        with saved(painter):
            painter.translate(INSET, 0)
            paint(painter, self.shapes(self.width() - 2.0 * INSET), look().colour)
        painter.setPen(QPen(look().colour("hair"), 1.0))
        painter.drawLine(QPointF(INSET, 0.5), QPointF(self.width() - INSET, 0.5))
        focus_ring(painter, self)


def spoken(cell: Cell) -> str:
    """A cell in words."""
    if cell.lines:
        return "; ".join(f"{kind}: {text}" if kind not in ("", "none") else text for kind, text in cell.lines)
    kind = cell.mark if cell.mark in ("fail", "caution") else ""
    return f"{kind}: {cell.text}" if kind else cell.text
