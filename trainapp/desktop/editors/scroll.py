"""Columns that scroll, and sentences with their marks."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from trainapp.desktop.parts import MarkLabel, quiet, wrapped
from trainapp.reports.drawing.marks import Mark


def column_area(inside: QWidget, name: str) -> QScrollArea:
    """A frameless area that scrolls up and down alone."""
    area = QScrollArea()
    quiet(area)
    area.setWidgetResizable(True)
    area.setAccessibleName(name)
    area.setWidget(inside)
    return area


def stacked(*widgets: QWidget, spacing: int = 8, beside: int = 8) -> QWidget:
    """Widgets below one another from the top; `beside` px are kept free for a scroll bar."""
    whole = QWidget()
    column = QVBoxLayout(whole)
    column.setContentsMargins(0, 0, beside, 0)
    column.setSpacing(spacing)
    for widget in widgets:
        column.addWidget(widget)
    column.addStretch(1)
    return whole


def side_area(name: str, width: int, *widgets: QWidget, spacing: int = 8) -> QScrollArea:
    """The side of an editor: widgets below one another in a column of a width, which scrolls where it is low."""
    area = column_area(stacked(*widgets, spacing=spacing), name)
    area.setFixedWidth(width)
    return area


class Sentences(QWidget):
    """A list of sentences, each behind its mark."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: tuple[tuple[Mark | None, str], ...] = ()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(8)
        self._column.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.setVisible(False)

    @property
    def text(self) -> str:
        """All that is said."""
        return " ".join(sentence for _, sentence in self._shown)

    def show_sentences(self, sentences: Sequence[tuple[Mark | None, str]]) -> None:
        """Show other sentences."""
        if tuple(sentences) == self._shown:
            return
        self._shown = tuple(sentences)
        while item := self._column.takeAt(0):
            if widget := item.widget():
                widget.hide()
                widget.deleteLater()
        for mark, sentence in self._shown:
            self._column.addWidget(_line(mark, sentence))
        self.setVisible(bool(self._shown))


def _line(mark: Mark | None, sentence: str) -> QWidget:
    line = QWidget()
    row = QHBoxLayout(line)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(6)
    if mark is not None:
        row.addWidget(MarkLabel(mark), 0, Qt.AlignmentFlag.AlignTop)
    row.addWidget(wrapped(sentence), 1)
    return line
