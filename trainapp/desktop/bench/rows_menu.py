"""Choose rows: which analytes the ledger shows. Those that are over, near or unknown are always there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu

if TYPE_CHECKING:
    from trainapp.desktop.bench.canvas import BenchCanvas


class RowsMenu(QMenu):
    """A menu with an analyte a line, those that are shown ticked."""

    def __init__(self, canvas: BenchCanvas) -> None:
        super().__init__(canvas)
        self.canvas = canvas
        model = canvas.session.model
        usual = self.addAction("As the program chooses")
        usual.setCheckable(True)
        usual.setChecked(not canvas.options.rows)
        self.addSeparator()
        for row in model.rows if model is not None else ():
            action = self.addAction(f"{row.label} {row.unit}".strip())
            action.setCheckable(True)
            action.setData(row.key)
            action.setChecked(row.key in (canvas.options.rows or canvas.shown_rows()))
        self.triggered.connect(self._chosen)

    def _chosen(self, action: QAction) -> None:
        key = action.data()
        if key is None:
            self.canvas.choose_rows(())
            return
        rows = self.canvas.options.rows or tuple(self.canvas.shown_rows())
        self.canvas.choose_rows(tuple(r for r in rows if r != key) if key in rows else (key, *rows))

    def open_at(self, at: QPoint) -> None:
        """Open over the place where it was asked for, and go when something is chosen."""
        self.aboutToHide.connect(self.deleteLater)
        self.popup(at)
