"""Names of the columns above the cells, while the heads are scrolled out of sight."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from trainapp.desktop.fonts import font
from trainapp.desktop.options.cells import INSET
from trainapp.desktop.options.rows import PAD, Style
from trainapp.desktop.theme import look
from trainapp.reports.drawing.tokens import BODY, SELECTION

#: Height, px at 100 %.
PINNED = 26
#: A name, and its column: px from the left, width, whether the keyboard is in it.
Named = tuple[str, tuple[int, int, bool]]


class PinnedNames(QWidget):
    """One line of names. A screen reader hears each name with its cells, so this line is for the eye alone."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.names: Sequence[Named] = ()
        self._left, self._px = 0, float(BODY)
        self.hide()

    def show_names(self, names: Sequence[Named], left: int, style: Style) -> None:
        """Show names over their columns, which begin `left` px from the left."""
        self.names, self._left, self._px = names, left, style.px
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), look().colour("sheet"))
        painter.setClipRect(QRectF(self._left, 0, self.width() - self._left, self.height()))
        painter.setFont(font(self._px, True))
        for name, (x, width, is_current) in self.names:
            painter.fillRect(QRectF(x + 1, 0, width - 2, self.height()), look().colour("page"))
            room = QRectF(x + PAD + INSET, 0, width - 2 * (PAD + INSET), self.height())
            painter.setPen(look().colour("ink"))
            text = painter.fontMetrics().elidedText(name, Qt.TextElideMode.ElideRight, int(room.width()))
            painter.drawText(room, Qt.AlignmentFlag.AlignVCenter, text)
            painter.setPen(QPen(look().colour("accent" if is_current else "edge"), SELECTION if is_current else 1.0))
            painter.drawLine(QPointF(x + 1, self.height() - 1.0), QPointF(x + width - 1, self.height() - 1.0))
