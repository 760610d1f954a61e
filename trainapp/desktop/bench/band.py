"""The canvas with its scroll bars, which are there only where something is out of sight."""

from __future__ import annotations

from dataclasses import replace

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
        #: Lies over the bench's right edge, because a bar beside it would change what it shows.
        self.bench = SlimBar(Qt.Orientation.Vertical, self)
        self.sideways.setAccessibleName("Scroll the bench sideways")
        self.down.setAccessibleName("Scroll the bands")
        self.bench.setAccessibleName("Scroll the bench up and down")
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(0)
        grid.addWidget(canvas, 0, 0)
        grid.addWidget(self.down, 0, 1)
        grid.addWidget(self.sideways, 1, 0)
        canvas.extent_changed.connect(self._fit)
        self.sideways.valueChanged.connect(self._scrolled)
        self.down.valueChanged.connect(self._scrolled)
        self.bench.valueChanged.connect(self._lifted)
        self._fit()

    def _fit(self) -> None:
        x, y = self.canvas.scroll_range
        options, view = self.canvas.options, self.canvas.view
        high, band = (view.most.y, view.bands.bench) if view is not None else (0.0, 0.0)
        for bar, most, at, page in (
            (self.sideways, x, options.pan_x, options.width),
            (self.down, y, options.scroll, options.height),
            (self.bench, high, high - options.pan_y, band),
        ):
            bar.blockSignals(True)
            bar.setRange(0, round(most))
            bar.setPageStep(round(page))
            bar.setSingleStep(24)
            bar.setValue(round(at))
            bar.setVisible(most >= 1.0)
            bar.blockSignals(False)
        if view is not None:
            wide = self.bench.sizeHint().width()
            self.bench.setGeometry(self.canvas.geometry().right() + 1 - wide, round(view.floor - band), wide, round(band))
            self.bench.raise_()

    def _lifted(self, value: int) -> None:
        """Up and down on the bench: the bar stands at its top where the bench is moved down as far as it goes."""
        view = self.canvas.view
        if view is not None:
            self.canvas.sight.pan_to(replace(view.pan, y=view.most.y - value))

    def _scrolled(self, _value: int) -> None:
        self.canvas.scroll_to(self.sideways.value(), self.down.value())
