"""A box to tick, drawn by the tokens: the style draws its edge too faintly."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QCheckBox

from trainapp.desktop.figures import local
from trainapp.desktop.fonts import font, measure
from trainapp.desktop.parts import focus_ring
from trainapp.desktop.theme import look
from trainapp.reports.drawing.tokens import BODY, TARGET

_SIDE, _LEFT, _GAP = 13.0, 4.0, 7.0


class TickBox(QCheckBox):
    """Words with a box before them."""

    def sizeHint(self) -> QSize:
        return QSize(int(_LEFT + _SIDE + _GAP + measure(self.text(), BODY) + 8), int(TARGET))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def hitButton(self, pos: object) -> bool:
        return True

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(_LEFT + 0.5, (self.height() - _SIDE) / 2 + 0.5, _SIDE - 1.0, _SIDE - 1.0)
        painter.setPen(QPen(look().colour("edge" if self.isEnabled() else "hair"), 1.0))
        painter.setBrush(look().colour("well" if self.isDown() else "page"))
        painter.drawRoundedRect(box, 2.0, 2.0)
        ink = look().colour("ink" if self.isEnabled() else "ink3")
        if self.isChecked():
            painter.setPen(QPen(ink, 1.8))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            middle = box.center()
            painter.drawPolyline(QPolygonF([middle + QPointF(-3.4, 0.2), middle + QPointF(-1.0, 2.8), middle + QPointF(3.6, -2.8)]))
        painter.setFont(font(BODY, False))
        painter.setPen(ink)
        left = int(_LEFT + _SIDE + _GAP)
        painter.drawText(QRect(left, 0, self.width() - left, self.height()), Qt.AlignmentFlag.AlignVCenter, local(self.text()))
        focus_ring(painter, self)


__all__ = ["TickBox"]
