"""The canvas with its scroll bars, which are there only where something is out of sight."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QWidget

from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.parts import SlimBar


class BenchBand(QWidget):
    """Canvas and scroll bars."""

    def __init__(self, canvas: BenchCanvas, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.canvas = canvas
        self.sideways = SlimBar(Qt.Orientation.Horizontal)
        self.down = SlimBar(Qt.Orientation.Vertical)
        self.sideways.setAccessibleName("Scroll the bench sideways")
        self.down.setAccessibleName("Scroll the bands")
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(0)
        grid.addWidget(canvas, 0, 0)
        grid.addWidget(self.down, 0, 1)
        grid.addWidget(self.sideways, 1, 0)
        canvas.extent_changed.connect(self._fit)
        self.sideways.valueChanged.connect(self._scrolled)
        self.down.valueChanged.connect(self._scrolled)
        self._fit()

    def _fit(self) -> None:
        x, y = self.canvas.scroll_range
        options = self.canvas.options
        for bar, most, at, page in (
            (self.sideways, x, options.pan_x, options.width),
            (self.down, y, options.scroll, options.height),
        ):
            bar.blockSignals(True)
            bar.setRange(0, round(most))
            bar.setPageStep(round(page))
            bar.setSingleStep(24)
            bar.setValue(round(at))
            bar.setVisible(most >= 1.0)
            bar.blockSignals(False)

    def _scrolled(self, _value: int) -> None:
        self.canvas.scroll_to(self.sideways.value(), self.down.value())
