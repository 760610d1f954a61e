"""A row of small widgets that breaks into lines where it is too wide."""

from __future__ import annotations

from PySide6.QtCore import QSize
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from trainapp.reports.drawing.tokens import PAD

_ACROSS, _DOWN, _EDGE = 12, 4, 6


class WrapRow(QWidget):
    """Lays its widgets out from the left, in as many lines as it takes; the last one reaches to the right side."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._parts: list[QWidget] = []
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def add(self, part: QWidget) -> None:
        """Put a widget behind the others."""
        part.setParent(self)
        self._parts.append(part)

    def arrange(self) -> None:
        """Lay out what is not hidden in the width that there is."""
        x, y, line = int(PAD), _EDGE, 0
        right = self.width() - int(PAD)
        shown = [part for part in self._parts if not part.isHidden()]
        for part in shown:
            size = part.sizeHint()
            if x > PAD and x + size.width() > right:
                x, y, line = int(PAD), y + line + _DOWN, 0
            part.setGeometry(x, y, right - x if part is shown[-1] else size.width(), size.height())
            x += size.width() + _ACROSS
            line = max(line, size.height())
        height = y + line + _EDGE
        if height != self.height():
            self.setFixedHeight(height)

    def minimumSizeHint(self) -> QSize:
        return QSize(200, self.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.arrange()
