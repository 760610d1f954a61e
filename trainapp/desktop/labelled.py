"""A field behind its label, and under it a line that says what was understood, or behind a mark why it was not."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QWidget

from trainapp.desktop.parts import MarkLabel, TokenLabel, beside_mark, wrapped
from trainapp.reports.drawing.tokens import BODY, CAPTION, MARK_LEAST

#: From the upper edge of a field to its text, px.
_INSIDE = 4


class LabelledField(QWidget):
    """A subclass says in `line` and `mark` what it thinks of the field.

    Args:
        width: of the label, px. token: its colour. many_lines: whether label or field may take more than one line.
    """

    def __init__(
        self, label: str, field: QWidget, width: int, token: str = "ink", many_lines: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.label = TokenLabel(label, token, BODY)
        self.label.setBuddy(field)
        self.label.setFixedWidth(width)
        self.label.setWordWrap(many_lines)
        # the first line of the label stands beside that of the field
        self.label.setContentsMargins(0, _INSIDE if many_lines else 0, 0, 0)
        field.setAccessibleName(label)
        self.mark = MarkLabel("fail", MARK_LEAST)
        self.line = wrapped("", "ink2", CAPTION)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(2)
        grid.addWidget(self.label, 0, 0, Qt.AlignmentFlag.AlignTop if many_lines else Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(field, 0, 1)
        grid.addLayout(beside_mark(self.mark, self.line, 4), 1, 1)
        grid.setColumnStretch(1, 1)
