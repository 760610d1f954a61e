"""A slider over a few named stops."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from trainapp.desktop.fonts import font, measure
from trainapp.desktop.theme import look
from trainapp.reports.drawing.tokens import BODY, CAPTION

_SIDE, _TRACK = 10.0, 11.0


class StopSlider(QWidget):
    """A track with a word under each of its stops. It moves at once, and only to a stop."""

    #: Signal emitted with the index of another stop, as soon as the knob is there.
    moved = Signal(int)

    def __init__(self, name: str, stops: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.stops = tuple(stops)
        self.index = 0
        self._name = name
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self._describe()

    def sizeHint(self) -> QSize:
        widest = max(measure(stop, CAPTION) for stop in self.stops)
        return QSize(int(len(self.stops) * (widest + 12) + 2 * _SIDE), 38)

    def _describe(self) -> None:
        self.setAccessibleName(f"{self._name}: {self.stops[self.index]}")

    def show_stop(self, index: int) -> None:
        """Stand at a stop without saying so."""
        self.index = min(max(index, 0), len(self.stops) - 1)
        self._describe()
        self.update()

    def move_to(self, index: int) -> None:
        """Stand at a stop, and say so where it is another."""
        before = self.index
        self.show_stop(index)
        if self.index != before:
            self.moved.emit(self.index)

    def x(self, index: int) -> float:
        """Where a stop is, px."""
        width = (self.width() - 2 * _SIDE) / len(self.stops)
        return _SIDE + (index + 0.5) * width

    def _at(self, x: float) -> int:
        return min(range(len(self.stops)), key=lambda i: abs(self.x(i) - x))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.move_to(self._at(event.position().x()))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() & Qt.MouseButton.LeftButton:
            self.move_to(self._at(event.position().x()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Down: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Up: 1}.get(Qt.Key(event.key()))
        if step is not None:
            self.move_to(self.index + step)
        elif event.key() in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self.move_to(0 if event.key() == Qt.Key.Key_Home else len(self.stops) - 1)
        else:
            super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(look().colour("edge"), 3.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        painter.drawLine(QPointF(self.x(0), _TRACK), QPointF(self.x(len(self.stops) - 1), _TRACK))
        for i, stop in enumerate(self.stops):
            chosen = i == self.index
            painter.setPen(QPen(look().colour("edge"), 1.0))
            painter.setBrush(look().colour("edge"))
            painter.drawEllipse(QPointF(self.x(i), _TRACK), 3.0, 3.0)
            painter.setFont(font(CAPTION, chosen))
            painter.setPen(look().colour("ink" if chosen else "ink2"))
            width = (self.width() - 2 * _SIDE) / len(self.stops)
            painter.drawText(QRectF(self.x(i) - width / 2, 20.0, width, 16.0), Qt.AlignmentFlag.AlignCenter, stop)
        knob(painter, self.x(self.index), _TRACK, self.hasFocus())


def knob(painter: QPainter, x: float, y: float, focused: bool = False) -> None:
    """The knob of a slider, with a ring round it while the keyboard speaks to it."""
    if focused:
        painter.setPen(QPen(look().colour("accent"), 2.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(QPointF(x, y), BODY / 2 + 4.0, BODY / 2 + 4.0)
    painter.setPen(QPen(look().colour("accent"), 2.0))
    painter.setBrush(look().colour("page"))
    painter.drawEllipse(QPointF(x, y), BODY / 2, BODY / 2)
