"""A window of sentences: what was left out, findings of a column, what was not judged."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QVBoxLayout, QWidget

from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.editors.scroll import Sentences, column_area
from trainapp.desktop.parts import wrapped
from trainapp.reports.drawing.marks import Mark
from trainapp.reports.drawing.tokens import BODY


class ToldWindow(SideWindow):
    """Sentences, each behind its mark."""

    def __init__(self, title: str, lead: str, sentences: Sequence[tuple[Mark | None, str]], parent: QWidget | None = None) -> None:
        super().__init__(title, QSize(620, 460), parent)
        self.list = Sentences()
        self.list.show_sentences(sentences)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 8, 0)
        column.addWidget(self.list)
        column.addStretch(1)
        if lead:
            self.column.addWidget(wrapped(lead, "ink2", BODY))
        self.column.addWidget(column_area(inside, title), 1)

    @property
    def text(self) -> str:
        """All that is said."""
        return self.list.text
