"""What to watch, and what to try: a heading and a few lines in the column at the right."""

from __future__ import annotations

from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainapp.desktop.fonts import measure
from trainapp.desktop.lessons.controls import Scaled
from trainapp.desktop.lessons.places import LEAST, LEAST_LEADING
from trainapp.desktop.painter import paint
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Shape, Text
from trainapp.reports.drawing.measure import wrap
from trainapp.reports.drawing.tokens import LESSON_TEXT


class ToldPanel(QWidget, Scaled):
    """A heading and its text."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._heading, self._text = "", ""

    def tell(self, heading: str, text: str) -> None:
        """Show a text."""
        self._heading, self._text = heading, text
        self.setAccessibleName(f"{self._heading}: {text}")
        self.update()

    def wanted_height(self, width: float) -> float:
        """Height at 100 % for a width at 100 %."""
        return 32.0 + LEAST_LEADING * len(wrap(self._text, width, LEAST, False, measure)) + 4.0

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.scale(self.scale, self.scale)
        items: list[Shape] = [Text(0.0, 20.0, self._heading, "ink", LESSON_TEXT, "start", True)]
        for i, line in enumerate(wrap(self._text, self.width() / self.scale, LEAST, False, measure)):
            items.append(Text(0.0, 46.0 + i * LEAST_LEADING, line, "ink2", LEAST))
        paint(painter, items, look().colour)
