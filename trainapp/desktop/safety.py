"""The Safety block: what can hurt the people who build, service and use the train. It is always in sight."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QGridLayout, QScrollArea, QWidget

from trainapp.desktop.parts import FlatButton, TokenLabel, quiet, wrapped
from trainapp.desktop.session import Session
from trainapp.desktop.theme import look
from trainapp.reports.drawing.tokens import BODY, CAPTION, CARD_CORNER, PAD

_MOST_OPEN = 190


class HazardSign(QWidget):
    """A triangle: the sign of a hazard, which stands nowhere else."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedSize(18, 18)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(look().colour("sign"), 1.5, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))
        painter.setBrush(look().colour("caution"))
        painter.drawPolygon(QPolygonF([QPointF(9, 2), QPointF(16.5, 15.5), QPointF(1.5, 15.5)]))
        painter.drawLine(QPointF(9, 7), QPointF(9, 11))
        painter.drawPoint(QPointF(9, 13.4))


class SafetyBlock(QWidget):
    """The first sentence, and the rest on demand."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self._sentences: Sequence[str] = ()
        self.text = wrapped("", "ink", CAPTION)
        self.more = FlatButton("", "", CAPTION)
        self.more.setCheckable(True)
        self.more.toggled.connect(self._show)
        self.area = QScrollArea()
        quiet(self.area)
        self.area.setWidgetResizable(True)
        self.area.setWidget(self.text)
        self.area.setAccessibleName("Safety")
        self.area.viewport().setAutoFillBackground(False)
        self.text.setAutoFillBackground(False)
        self._grid = grid = QGridLayout(self)
        grid.setContentsMargins(int(PAD), 8, int(PAD), 8)
        grid.setHorizontalSpacing(6)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(2, 1)
        self._heads = (HazardSign(), TokenLabel("Safety", "ink", BODY, bold=True), self.more)
        for place, widget in zip((0, 1, 3), self._heads, strict=True):
            grid.addWidget(widget, 0, place)
        self.lie_down(False)
        session.changed.connect(self.refresh)
        self.refresh()

    def lie_down(self, flat: bool) -> None:
        """Have the sentences beside the heading, where there is more width than height, or under it."""
        self._flat = flat
        row, first, over = (0, 2, 1) if flat else (1, 0, 4)
        self._grid.addWidget(self.area, row, first, 1, over)
        self._fit()

    def refresh(self) -> None:
        """Show the sentences that belong to the train."""
        model = self.session.model
        self._sentences = model.verdict.safety if model else ()
        self._show(self.more.isChecked())

    def _show(self, opened: bool) -> None:
        shown = self._sentences if opened else self._sentences[:1]
        for widget in self._heads:
            self._grid.setAlignment(widget, Qt.AlignmentFlag.AlignTop if opened else Qt.AlignmentFlag.AlignVCenter)
        self.text.setText("\n".join(shown))
        rest = len(self._sentences) - 1
        self.more.setText("Less" if opened else f"{rest} more")
        self.more.setAccessibleName("Show less of the safety notes" if opened else f"Show {rest} more safety notes")
        self.more.setVisible(rest > 0)
        self.more.updateGeometry()
        self._fit()

    def _fit(self) -> None:
        beside = self.width() - self.area.width() if self._flat and self.area.width() > 120 else 2 * int(PAD)
        width = max(self.width() - beside - 14, 120)
        self.area.setFixedHeight(min(self.text.heightForWidth(width) + 2, _MOST_OPEN))

    def resizeEvent(self, event) -> None:  # type: ignore[no-untyped-def]
        super().resizeEvent(event)
        self._fit()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(look().colour("hair"), 1.0))
        painter.setBrush(look().colour("sheet"))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(4.5, 2.5, -4.5, -4.5), CARD_CORNER, CARD_CORNER)
