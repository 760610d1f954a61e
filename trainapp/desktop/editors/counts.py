"""A sheet of counts: typed, or changed one by one with + and −."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget

from trainapp.desktop.editors.dialog import heading
from trainapp.desktop.editors.sheet import Sheet
from trainapp.desktop.parts import BoxButton

MOST = 1000


class CountSheet(Sheet):
    """Things in lines, and in a column of the key "count" how many there are of each."""

    #: Signal emitted with what is counted, how many, and whether this goes on from the last change of the same by + or −.
    counted = Signal(str, int, bool)
    #: Signal emitted with why something typed was not taken.
    refused = Signal(str)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(name, parent)
        self._stepped = ""
        self.sheet.edited.connect(self._typed)
        self.cleared.connect(self._cleared)

    def head(self, text: str) -> QWidget:
        """A heading with buttons that count one more or one less."""
        part = QWidget()
        row = QHBoxLayout(part)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(heading(text))
        row.addStretch(1)
        for sign, name, slot in (("−", "One less", self.less), ("+", "One more", self.more)):
            button = BoxButton(sign, f"{name} of the current line")
            button.clicked.connect(slot)
            row.addWidget(button)
        return part

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if self.key and self.state() != Sheet.State.EditingState and event.key() in (Qt.Key.Key_Plus, Qt.Key.Key_Minus):
            self._step(1 if event.key() == Qt.Key.Key_Plus else -1)
        else:
            super().keyPressEvent(event)

    def more(self) -> None:
        """Count one more of the current line."""
        self._step(1)

    def less(self) -> None:
        """Count one less of the current line."""
        self._step(-1)

    def ended(self) -> None:
        """Whatever comes next is another step of undo."""
        self._stepped = ""

    def _step(self, by: int) -> None:
        if not self.key:
            return
        count = min(max(self._count(self.key) + by, 0), MOST)
        if count != self._count(self.key):
            on, self._stepped = self._stepped == self.key, self.key
            self.counted.emit(self.key, count, on)

    def _count(self, key: str) -> int:
        return int(self.cell(key, "count").data or 0)

    def _typed(self, key: str, _column: str, text: str) -> None:
        if text and not (text.isascii() and text.isdigit() and len(text) < 5 and int(text) <= MOST):
            self.hold()
            name = next(line.name for line in self.sheet.lines if line.key == key)
            self.refused.emit(f'{name}: "{text[:40]}" is not a count; it stays {self._count(key)}.')
        elif int(text or 0) != self._count(key):
            self._stepped = ""
            self.counted.emit(key, int(text or 0), False)

    def _cleared(self, key: str, column: str) -> None:
        if column == "count":
            self._typed(key, column, "")
