"""The numbers of the run, or of two beside each other."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QScrollArea, QVBoxLayout, QWidget

from trainapp.desktop.fonts import measure
from trainapp.desktop.parts import TokenLabel, caption, quiet, wrapped
from trainapp.desktop.year.content import NumberLine
from trainapp.reports.drawing.tokens import BODY, CAPTION, GAP, HEADING, PAD
from trainapp.reports.year_words import NOT_SAFE

#: Width of a head over a column of values, also where there is much room, and from where on there is, px.
_HEAD, _HEAD_WIDE, _WIDE_FROM = 84, 170, 420


class TotalsPanel(QWidget):
    """A table of labels and values; two columns of values where two trains run."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.lines: tuple[NumberLine, ...] = ()
        self._heads: tuple[str, ...] = ()
        self._stale = False
        self._wide = False
        self.title = TokenLabel("The run in numbers", "ink", HEADING, bold=True)
        self.note = wrapped(NOT_SAFE, "ink2", CAPTION)
        self.area = QScrollArea()
        quiet(self.area)
        self.area.setWidgetResizable(True)
        self.area.setAccessibleName("The run in numbers")
        self.area.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._body: QWidget | None = None
        column = QVBoxLayout(self)
        column.setContentsMargins(0, int(GAP), 0, 0)
        column.setSpacing(4)
        self.title.setContentsMargins(int(PAD), 0, int(PAD), 0)
        self.note.setContentsMargins(int(PAD), 0, int(PAD), 4)
        column.addWidget(self.title)
        column.addWidget(self.area, 1)
        column.addWidget(self.note)

    def show_lines(self, lines: Sequence[NumberLine], heads: Sequence[str] = ()) -> None:
        """Show other numbers, with a head over each column where there are two."""
        self.lines, self._heads = tuple(lines), tuple(heads)
        self.title.setText("Side by side, in numbers" if len(heads) > 1 else "The run in numbers")
        at = self.area.verticalScrollBar().value()
        body = QWidget()
        grid = QGridLayout(body)
        grid.setContentsMargins(int(PAD), 0, int(PAD), 4)
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(0, 1)
        for column, head in enumerate(heads, 1):
            label = caption(head)
            label.setWordWrap(True)
            label.setAlignment(_RIGHT)
            most = _HEAD_WIDE if self._wide else _HEAD
            label.setMaximumWidth(most)
            label.setMinimumWidth(min(most, int(measure(head, CAPTION)) + 4))
            grid.addWidget(label, 0, column)
        for row, line in enumerate(lines, 1):
            label = wrapped(line.label, "ink2", BODY)
            grid.addWidget(label, row, 0)
            for column, value in enumerate(line.values, 1):
                cell = TokenLabel(value, "ink3" if self._stale else "ink", BODY, bold=not line.illustrative)
                cell.setAlignment(_RIGHT)
                cell.setAccessibleName(f"{line.label}: {value}")
                grid.addWidget(cell, row, column, _RIGHT)
        grid.setRowStretch(len(lines) + 1, 1)
        # The area deletes what it held before.
        self.area.setWidget(body)
        self._body = body
        self.area.verticalScrollBar().setValue(at)

    def show_stale(self, stale: bool) -> None:
        """Show the values as those of before, or as they are."""
        if stale != self._stale:
            self._stale = stale
            self.show_lines(self.lines, self._heads)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        wide = self.width() >= _WIDE_FROM
        if wide != self._wide:
            self._wide = wide
            self.show_lines(self.lines, self._heads)

    def words(self) -> list[str]:
        """What it shows, a line each."""
        return [f"{line.label}: {' | '.join(line.values)}" for line in self.lines]


_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop
