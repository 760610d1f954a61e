"""The bench of one hour as the reports draw it, painted in the window: hit by the pointer, told to a screen reader."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from trainapp.desktop.figures import local
from trainapp.desktop.painter import HINTS, Stroke, play, recorded
from trainapp.desktop.parts import focus_ring
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Display, Tag


class Picture(QWidget):
    """Paints a display list at whatever size it has; a subclass makes it."""

    #: Signal emitted with the tag of what was clicked, and where on the screen.
    clicked = Signal(tuple, QPointF)
    #: Signal emitted with the tag of what was clicked twice.
    opened = Signal(tuple)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display: Display | None = None
        self._strokes: list[Stroke] | None = None
        self._old = True
        self.setAccessibleName(name)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        look().changed.connect(self._recolour)

    def sizeHint(self) -> QSize:
        return QSize(600, 320)

    def draw(self, width: float, height: float) -> Display | None:
        """The drawing at a size in px, None for none."""
        raise AssertionError("a subclass draws")

    @property
    def display(self) -> Display | None:
        """What it shows, drawn anew where that is due; None for nothing."""
        if self._old and self.width() > 1 and self.height() > 1:
            self._old = False
            self._display = self.draw(float(self.width()), float(self.height()))
            self._strokes = None
        return self._display

    def refresh(self) -> None:
        """Draw anew with the next painting; several changes before it cost one drawing."""
        self._old = True
        self.update()

    def _recolour(self) -> None:
        self._strokes = None
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.refresh()

    def paintEvent(self, event: QPaintEvent) -> None:
        # All that may fail is done before there is a painter: one that is left open would be in the way of the next.
        display = self.display
        if display is not None and self._strokes is None:
            self._strokes = recorded(display.items, look().colour)
        ground = look().colour(display.ground if display is not None else "sheet")
        painter = QPainter(self)
        painter.fillRect(self.rect(), ground)
        for hint in HINTS:
            painter.setRenderHint(hint)
        play(painter, self._strokes or ())
        focus_ring(painter, self)
        painter.end()

    # Pointer ----------------------------------------------------------------------------------------------------------------------

    def tag_at(self, at: QPointF) -> Tag:
        """Tag of what lies at a point."""
        group = self._display.at(at.x(), at.y()) if self._display is not None else None
        return group.tag if group is not None else ()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            tag = self.tag_at(event.position())
            if tag:
                self.clicked.emit(tag, event.globalPosition())

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        tag = self.tag_at(event.position())
        if event.button() == Qt.MouseButton.LeftButton and tag:
            self.opened.emit(tag)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        at = event.position()
        group = self._display.at(at.x(), at.y()) if self._display is not None else None
        self.setCursor(Qt.CursorShape.PointingHandCursor if group is not None and group.tag else Qt.CursorShape.ArrowCursor)
        # Here and not in event(): an error in painting that passes through one that Python has taken over ends the program.
        self.setToolTip(local(group.tooltip) if group is not None else "")
