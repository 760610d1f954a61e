"""What the controls of a lesson share: they grow with the screen, and leave the keys that move the lesson to the lesson."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from trainapp.desktop.fonts import measure
from trainapp.desktop.painter import paint
from trainapp.desktop.parts import focus_ring
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Shape, Text
from trainapp.reports.drawing.tokens import CORNER


class Scaled:
    """A part that is laid out at 100 % and shown larger."""

    scale = 1.0

    def set_scale(self, scale: float) -> None:
        """Show it that many times as large."""
        self.scale = scale
        if isinstance(self, QWidget):
            self.updateGeometry()
            self.update()


class ScaledPanel(QWidget, Scaled):
    """A part that places what it holds itself, anew at another size and at another scale."""

    def set_scale(self, scale: float) -> None:
        super().set_scale(scale)
        self._arrange()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        raise AssertionError("a subclass places what it holds")


class LessonButton(QAbstractButton, Scaled):
    """A button that Return and the mouse press; Space and arrows go on to the lesson.

    A subclass answers `shapes` for its width and height at 100 %.
    """

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setToolTip(name)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def shapes(self, width: float, height: float) -> list[Shape]:
        """What it looks like."""
        return []

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            event.ignore()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        event.ignore()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.scale(self.scale, self.scale)
        paint(painter, self.shapes(self.width() / self.scale, self.height() / self.scale), look().colour)
        painter.resetTransform()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        focus_ring(painter, self)


class WordButton(LessonButton):
    """An outlined button of one word."""

    def __init__(self, text: str, name: str, px: float, parent: QWidget | None = None) -> None:
        super().__init__(name, parent)
        self.setText(text)
        self._px = px

    def show_text(self, text: str, name: str) -> None:
        """Show another word."""
        self.setText(text)
        self.setAccessibleName(name)
        self.setToolTip(name)
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(int(self.scale * (measure(self.text(), self._px, True) + 40.0)), int(self.scale * 36.0))

    def shapes(self, width: float, height: float) -> list[Shape]:
        token = "ink" if self.isEnabled() else "ink3"
        return [Text(width / 2, height / 2 + 0.36 * self._px, self.text(), token, self._px, "middle", True)]

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(look().colour("edge" if self.isEnabled() else "hair"), 1.2))
        painter.setBrush(look().colour("well" if self.isDown() else "page"))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.6, 0.6, -0.6, -0.6), CORNER * self.scale, CORNER * self.scale)
        painter.end()
        super().paintEvent(event)
