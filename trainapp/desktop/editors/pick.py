"""Small controls of the editors: a choice of named things behind its label, a search field, a tick."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QSizePolicy, QWidget

from trainapp.desktop.fonts import font, measure
from trainapp.desktop.painter import paint
from trainapp.desktop.parts import ChoiceBox, LineField, TokenLabel, focus_ring
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Polyline
from trainapp.reports.drawing.tokens import BODY, TARGET

_BOX = 14.0


class Pick(QWidget):
    """A label and a choice; says which was picked by hand."""

    #: Signal emitted with the id of what was picked.
    picked = Signal(str)

    def __init__(self, label: str, width: int = 0, wide: int = 200, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.label = TokenLabel(label, "ink2", BODY)
        if width:
            self.label.setFixedWidth(width)
        self.box = ChoiceBox()
        self.box.setAccessibleName(label)
        if wide:
            self.box.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
            self.box.setFixedWidth(wide)
        self.label.setBuddy(self.box)
        self.box.activated.connect(self._picked)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(self.label)
        row.addWidget(self.box, 0 if wide else 1)
        if wide:
            row.addStretch(1)

    def show_choices(self, choices: Sequence[tuple[str, str]], current: str) -> None:
        """Show (id, text) of each and which one holds."""
        self.box.blockSignals(True)
        self.box.clear()
        for name, text in choices:
            self.box.addItem(text, name)
        self.box.setCurrentIndex(self.box.findData(current))
        self.box.blockSignals(False)

    @property
    def current(self) -> str:
        """Id of what is chosen, "" for nothing."""
        return str(self.box.currentData() or "")

    def _picked(self, _index: int) -> None:
        self.picked.emit(self.current)


class SearchField(LineField):
    """A line that narrows a list while it is typed."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setPlaceholderText(name)
        self.setAccessibleName(name)
        self.setFixedWidth(168)


class Tick(QAbstractButton):
    """Something that is on or off, ticked by Space or a click."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setText(text)
        self.setAccessibleName(text)
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(int(_BOX + 6 + measure(self.text(), BODY) + 10), int(TARGET))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        top = (self.height() - _BOX) / 2
        painter.setPen(QPen(look().colour("edge"), 1.0))
        painter.setBrush(look().colour("page"))
        painter.drawRoundedRect(QRectF(4.5, top + 0.5, _BOX - 1, _BOX - 1), 2.0, 2.0)
        if self.isChecked():
            x, y = 4.0 + _BOX / 2, top + _BOX / 2
            paint(painter, [Polyline(((x - 4, y), (x - 1, y + 3), (x + 4, y - 3.5)), "ink", 2.0, round=True)], look().colour)
        painter.setFont(font(BODY))
        painter.setPen(look().colour("ink" if self.isEnabled() else "ink3"))
        painter.drawText(QRectF(_BOX + 10, 0, self.width(), self.height()), Qt.AlignmentFlag.AlignVCenter, self.text())
        focus_ring(painter, self)
