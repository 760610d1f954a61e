"""Rows under a heading with a count beside it; they scroll up and down, never sideways."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from trainapp.desktop.parts import TokenLabel, caption, quiet
from trainapp.reports.drawing.tokens import GAP, HEADING, PAD


class HeadedList(QWidget):
    """A subclass puts its rows into `column`, above the stretch at its end.

    Args:
        title: the heading.
        name: what a screen reader calls the list.
    """

    def __init__(self, title: str, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title = TokenLabel(title, "ink", HEADING, bold=True)
        self.counts = caption()
        self.body = QWidget()
        # As wide as the panel, whatever stands in it: a list that is wider scrolls aside, and then looks empty.
        self.body.setMinimumWidth(1)
        self.column = QVBoxLayout(self.body)
        self.column.setContentsMargins(4, 0, 4, 4)
        self.column.setSpacing(0)
        self.column.addStretch(1)
        self.area = QScrollArea()
        quiet(self.area)
        self.area.setWidgetResizable(True)
        self.area.setWidget(self.body)
        self.area.setAccessibleName(name)
        head = QHBoxLayout()
        head.setContentsMargins(int(PAD), int(GAP), int(PAD), 4)
        head.addWidget(self.title)
        head.addStretch(1)
        head.addWidget(self.counts)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(0)
        outer.addLayout(head)
        outer.addWidget(self.area, 1)
