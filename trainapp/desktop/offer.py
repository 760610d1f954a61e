"""A line over the bench that offers something and asks nothing."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainapp.desktop.parts import BoxButton, FlatButton, wrapped
from trainapp.reports.drawing.tokens import BODY, PAD


class Offer(QWidget):
    """One line over the bench of a sample or of a new train: what this is, and what can be done: one's own can be had in a minute.

    Args:
        wanted, leave: words of the two buttons, each with what it does.
    """

    #: Signal emitted when the start is wanted.
    wanted = Signal()

    def __init__(
        self,
        text: str,
        wanted: tuple[str, str] = ("Start in a minute…", "A few answers put a first train on the bench"),
        leave: tuple[str, str] = ("Hide", "Hide this line"),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setAutoFillBackground(True)
        self.text = wrapped(text, "ink", BODY)
        self.button = BoxButton(*wanted)
        self.button.clicked.connect(self.wanted)
        self.leave = FlatButton(*leave)
        self.leave.clicked.connect(self.hide)
        line = QHBoxLayout()
        line.setContentsMargins(int(PAD), 4, int(PAD), 4)
        line.setSpacing(8)
        line.addWidget(self.text, 1)
        line.addWidget(self.button)
        line.addWidget(self.leave)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(line)
