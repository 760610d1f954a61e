"""What stands in a window whose file cannot be used: why, in a sentence, and what can be done instead."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainapp.desktop.parts import BoxButton, FlatButton, MarkLabel, TokenLabel, wrapped
from trainapp.reports.drawing.tokens import BODY, MARK_LIST, TITLE

_WIDTH = 560


class Trouble(QWidget):
    """Says why there is no train here."""

    #: Signal emitted with the id of the command that is wanted.
    wanted = Signal(str)

    def __init__(self, sentence: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(sentence)
        self.title = TokenLabel("This file cannot be opened", "ink", TITLE, bold=True)
        self.sentence = wrapped(sentence, "ink", BODY)
        self.sentence.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.sentence.setAccessibleName(sentence)
        self.left = wrapped("Nothing was written to it.", "ink2", BODY)
        self.open = BoxButton("Open another…", "Open another train")
        self.new = BoxButton("New train", "Begin a new train")
        self.recent = FlatButton("Recent files…")
        self.open.clicked.connect(self._open)
        self.new.clicked.connect(self._new)
        self.recent.clicked.connect(self._recent)
        self._arrange()
        self.setFocusProxy(self.open)

    def _arrange(self) -> None:
        head, buttons = QHBoxLayout(), QHBoxLayout()
        for row, widgets in ((head, (MarkLabel("fail", MARK_LIST), self.title)), (buttons, (self.open, self.new, self.recent))):
            row.setSpacing(8)
            for widget in widgets:
                row.addWidget(widget)
            row.addStretch(1)
        block = QWidget()
        block.setFixedWidth(_WIDTH)
        column = QVBoxLayout(block)
        column.setSpacing(8)
        column.addLayout(head)
        column.addWidget(self.sentence)
        column.addWidget(self.left)
        column.addSpacing(8)
        column.addLayout(buttons)
        whole = QVBoxLayout(self)
        whole.addStretch(2)
        whole.addWidget(block, 0, Qt.AlignmentFlag.AlignHCenter)
        whole.addStretch(3)

    def _open(self) -> None:
        self.wanted.emit("open")

    def _new(self) -> None:
        self.wanted.emit("new")

    def _recent(self) -> None:
        self.wanted.emit("recent")
