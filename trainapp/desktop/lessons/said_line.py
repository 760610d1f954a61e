"""The line under list and editor: what was done, what could not be, and a way to stop what takes long."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainapp.desktop.parts import BoxButton, FlatButton, MarkLabel, Rule, wrapped
from trainapp.reports.drawing.tokens import BODY
from trainapp.units import typeset


class SaidLine(QWidget):
    """The line; it is not there while there is nothing to say."""

    #: Signal emitted when what goes on is to be given up.
    stop_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAutoFillBackground(True)
        self.mark = MarkLabel("fail")
        self.text = wrapped("", "ink", BODY)
        self.stop = BoxButton("Stop", "Stop what goes on")
        self.stop.clicked.connect(self.stop_asked)
        self.close_button = FlatButton("\u00d7", "Take this line away")
        self.close_button.clicked.connect(self.clear)
        row = QHBoxLayout()
        row.setContentsMargins(12, 5, 12, 5)
        row.setSpacing(6)
        row.addWidget(self.mark, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self.text, 1)
        row.addWidget(self.stop)
        row.addWidget(self.close_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(Rule())
        column.addLayout(row)
        self.hide()

    def say(self, text: str, refused: bool = False, goes_on: bool = False) -> None:
        """Say something, "" for nothing."""
        self.text.setText(typeset(text))
        self.setAccessibleName(text)
        self.mark.setVisible(refused)
        self.stop.setVisible(goes_on)
        self.close_button.setVisible(not goes_on)
        self.setVisible(bool(text))

    def clear(self) -> None:
        """Say nothing any more."""
        self.say("")
