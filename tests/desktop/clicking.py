"""Something that answers questions while a test waits."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMessageBox, QPushButton

from tests.desktop.hands import LEFT


class Clicker(QObject):
    """Waits for a question and presses one of its buttons."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.text = text
        self.asked: list[str] = []
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._look)
        self._timer.start(10)

    def _look(self) -> None:
        box = QApplication.activeModalWidget()
        if isinstance(box, QMessageBox):
            self._timer.stop()
            self.asked.append(box.text())
            button = next(b for b in box.findChildren(QPushButton) if b.text().replace("&", "") == self.text)
            QTest.mouseClick(button, LEFT)
