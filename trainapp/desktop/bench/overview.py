"""The overview: the whole train small, with a frame around what is seen of it."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from trainapp.desktop.bench.pane import BenchPane
from trainapp.desktop.bench.sight import visible
from trainapp.desktop.painter import saved
from trainapp.desktop.parts import focus_ring
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Box
from trainapp.reports.drawing.layers import Pan

_WIDTH, _HEIGHT, _PAD = 184, 60, 6

#: From the corner of the bench, px.
_OFF = 10

#: Which way a key moves what is seen (right, bench down), and by which part of it.
_STEPS = {
    Qt.Key.Key_Left: (-1, 0, 0.1),
    Qt.Key.Key_Right: (1, 0, 0.1),
    Qt.Key.Key_Up: (0, 1, 0.2),
    Qt.Key.Key_Down: (0, -1, 0.2),
    Qt.Key.Key_PageUp: (-1, 0, 0.8),
    Qt.Key.Key_PageDown: (1, 0, 0.8),
}


class Overview(QWidget):
    """Lies over the bench's upper right corner. A press or a drag in it moves what is seen, and so do the arrows; Esc goes to the bench."""

    def __init__(self, pane: BenchPane) -> None:
        super().__init__(pane)
        self.pane = pane
        self.setFixedSize(_WIDTH, _HEIGHT)
        self.setAccessibleName("Overview")
        self.setAccessibleDescription("The whole train in small; arrows, Page Up and Down, Home and End move what is seen")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setToolTip("The whole train: drag the frame to see another part of it")
        self.setCursor(Qt.CursorShape.SizeAllCursor)
        pane.extent_changed.connect(self._follow)
        pane.installEventFilter(self)
        QWidget.setTabOrder(pane, self)
        self._place()

    def eventFilter(self, watched: object, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize:
            self._place()
        return False

    def _place(self) -> None:
        self.move(max(self.pane.width() - _WIDTH - _OFF, 0), _OFF)

    def _follow(self) -> None:
        if self.isVisible():
            self.update()

    # Where it is --------------------------------------------------------------------------------------------------------------

    def _whole(self) -> Box | None:
        """What of the bench is shown: all of it, in its own px."""
        view = self.pane.view
        if view is None:
            return None
        tall = view.bands.bench + view.most.y
        return Box(0.0, view.floor - tall, view.width + view.most.x, tall)

    def _scale(self, whole: Box) -> tuple[float, float, float]:
        """Px of the overview per px of the bench, and where it begins."""
        scale = min((_WIDTH - 2 * _PAD) / whole.w, (_HEIGHT - 2 * _PAD) / whole.h)
        return scale, (_WIDTH - whole.w * scale) / 2, (_HEIGHT - whole.h * scale) / 2

    def frame(self) -> QRectF:
        """Where the frame is drawn."""
        whole, view = self._whole(), self.pane.view
        if whole is None or view is None:
            return QRectF()
        return self._there(visible(view), whole)

    def _there(self, box: Box, whole: Box) -> QRectF:
        scale, left, top = self._scale(whole)
        return QRectF(left + (box.x - whole.x) * scale, top + (box.y - whole.y) * scale, box.w * scale, box.h * scale)

    # Painting -----------------------------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, whole, view = QPainter(self), self._whole(), self.pane.view
        painter.setPen(QPen(look().colour("edge"), 1.0))
        painter.setBrush(look().colour("page"))
        painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        if whole is None or view is None:
            return
        with saved(painter):
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(look().colour("edge"))
            for tag, group in view.layer("bench").groups.items():
                for area in group.areas if tag[0] in ("stage", "supply") else ():
                    painter.drawRect(self._there(area, whole))
        floor = self._there(Box(whole.x, view.floor, whole.w, 0.0), whole)
        painter.setPen(QPen(look().colour("ink"), 1.0))
        painter.drawLine(floor.topLeft(), floor.topRight())
        painter.setPen(QPen(look().colour("accent"), 2.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(self.frame().intersected(QRectF(self.rect()).adjusted(1, 1, -1, -1)))
        focus_ring(painter, self)

    # Moving -------------------------------------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._go(event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._go(event.position())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows move by a part of what is seen, pages by nearly all of it; Home and End go to the ends."""
        view, key = self.pane.view, Qt.Key(event.key())
        if view is not None and key in _STEPS:
            across, up, part = _STEPS[key]
            pan = view.pan
            moved = Pan(pan.x + across * part * view.width, pan.y + up * part * view.bands.bench, pan.scroll)
            self.pane.sight.pan_to(moved.within(view.most))
        elif view is not None and key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self.pane.sight.pan_to(replace(view.pan, x=0.0 if key == Qt.Key.Key_Home else view.most.x))
        elif key == Qt.Key.Key_Escape:
            self.pane.setFocus(Qt.FocusReason.ShortcutFocusReason)
        else:
            super().keyPressEvent(event)

    def _go(self, at: QPointF) -> None:
        """Bring the place under the pointer into the middle."""
        whole, view = self._whole(), self.pane.view
        if whole is None or view is None:
            return
        scale, left, top = self._scale(whole)
        x, y = whole.x + (at.x() - left) / scale, whole.y + (at.y() - top) / scale
        middle = view.floor - view.bands.bench / 2
        self.pane.sight.pan_to(Pan(x - view.width / 2, middle - y, view.pan.scroll))
