"""What a spike is like, in a small panel that opens over the view: the line above the benches stays as it is."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QWidget

from trainapp.desktop.fonts import measure
from trainapp.desktop.parts import FlatButton
from trainapp.desktop.year import settings as reading
from trainapp.desktop.year.settings import RunSettings
from trainapp.reports.drawing.tokens import BODY, GAP
from trainapp.units import System

_AROUND = 12


class SpikeButton(FlatButton):
    """Says how high the spike is, and opens its panel; its place stays empty while there is none."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("▾", "Height, first day and length of the spike", parent=parent)
        self.setFixedWidth(int(measure("8.00 mg/L ▾", BODY)) + _AROUND)
        policy = self.sizePolicy()
        policy.setRetainSizeWhenHidden(True)
        self.setSizePolicy(policy)

    def show_settings(self, asked: RunSettings, system: System) -> None:
        """Say what stands in the settings."""
        self.setVisible(asked.spike is not None)
        peak = reading.peak_text(asked, system)
        text = f"{peak} ▾"
        self.setText(text if measure(text, BODY) + _AROUND <= self.width() else "▾")
        told = f"{peak} from {reading.date_text(asked.spike_day)}, for {reading.days_text(asked.spike_days)}: change it"
        self.setAccessibleName(told)
        self.setToolTip(told)
        self.update()


class SpikePanel(QFrame):
    """Holds the fields of the spike; closes on Escape, or when something else is clicked."""

    def __init__(self, fields: Sequence[QWidget], parent: QWidget) -> None:
        super().__init__(parent, Qt.WindowType.Popup)
        self.setFrameShape(QFrame.Shape.Box)
        self.setAccessibleName("Spring spike")
        line = QHBoxLayout(self)
        line.setContentsMargins(int(GAP), int(GAP), int(GAP), int(GAP))
        line.setSpacing(_AROUND)
        for field in fields:
            line.addWidget(field)

    def open_under(self, button: QWidget, first: QWidget) -> None:
        """Open under a button, the keyboard in one of the fields."""
        self.adjustSize()
        self.move(button.mapToGlobal(QPoint(0, button.height() + 2)))
        self.show()
        first.setFocus(Qt.FocusReason.TabFocusReason)
