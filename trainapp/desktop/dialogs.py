"""What the windows beside the bench share: a frame with a foot, and questions with words of their own on the buttons."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QGuiApplication, QKeySequence, QShortcut
from PySide6.QtWidgets import QDialog, QHBoxLayout, QMessageBox, QVBoxLayout, QWidget

from trainapp.desktop.engine import System
from trainapp.desktop.parts import FlatButton, MarkLabel, Rule, wrapped
from trainapp.reports.drawing.tokens import BODY, PAD


class SideWindow(QDialog):
    """A window beside the bench. It never stands in the way, is thrown away when it closes, and closes with its parent.

    A subclass fills `column`, and may put buttons into `foot`.

    Args:
        title: of the window.
        size: that it opens with, px at 100 %; held to the screen.
    """

    def __init__(self, title: str, size: QSize, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.setObjectName(title)
        self.setModal(False)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.column = QVBoxLayout()
        self.column.setContentsMargins(int(PAD), int(PAD), int(PAD), int(PAD))
        self.column.setSpacing(8)
        self.mark = MarkLabel("fail")
        self.said = wrapped("", "ink", BODY)
        self.close_button = FlatButton("Close", f"Close {title}")
        self.close_button.clicked.connect(self.close)
        self.foot = QHBoxLayout()
        self.foot.setContentsMargins(int(PAD), 4, int(PAD), 4)
        self.foot.setSpacing(8)
        self.foot.addWidget(self.mark, 0, Qt.AlignmentFlag.AlignTop)
        self.foot.addWidget(self.said, 1)
        self.foot.addStretch()
        self.foot.addWidget(self.close_button)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addLayout(self.column, 1)
        whole.addWidget(Rule())
        whole.addLayout(self.foot)
        for keys in QKeySequence.keyBindings(QKeySequence.StandardKey.Close):
            QShortcut(keys, self).activated.connect(self.close)
        self.resize(_fitting(size))
        self.say("")

    def add_button(self, button: QWidget) -> None:
        """Put a button before the one that closes."""
        self.foot.insertWidget(self.foot.count() - 1, button)

    def say(self, text: str, refused: bool = False) -> None:
        """Say something at the foot, "" for nothing."""
        self.said.setText(text)
        self.said.setVisible(bool(text))
        self.mark.setVisible(refused and bool(text))

    def use_units(self, system: System) -> None:
        """Show and read quantities in these units; for windows that have any."""

    def open_beside(self) -> None:
        """Show it, or bring it to the front."""
        self.show()
        self.raise_()
        self.activateWindow()


def shown(kind: type[SideWindow], parent: QWidget) -> SideWindow | None:
    """The window of that kind which is open beside a parent, None for none."""
    return next((dialog for dialog in parent.findChildren(kind) if dialog.isVisible()), None)


def ask(parent: QWidget, title: str, sentence: str, answers: Sequence[tuple[str, str]], default: str) -> str:
    """Ask a question and wait for its answer.

    Args:
        answers: key and text of every button; the last is what Escape means.
        default: key of the button that Return presses.
    """
    box = QMessageBox(QMessageBox.Icon.Question, title, sentence, QMessageBox.StandardButton.NoButton, parent)
    buttons = {}
    for key, text in answers:
        button = box.addButton(text, QMessageBox.ButtonRole.ActionRole)
        button.setObjectName(key)
        buttons[key] = button
    box.setDefaultButton(buttons[default])
    box.setEscapeButton(buttons[answers[-1][0]])
    box.exec()
    clicked = box.clickedButton()
    answer = clicked.objectName() if clicked is not None else answers[-1][0]
    box.deleteLater()
    return answer


def _fitting(size: QSize) -> QSize:
    """A size that the screen has room for."""
    screen = QGuiApplication.primaryScreen()
    return size if screen is None else size.boundedTo(screen.availableSize() * 0.95)
