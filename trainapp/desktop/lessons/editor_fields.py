"""Fields of the lesson editor: each shows one place of the lesson that is written, and says when it was changed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import QStringListModel, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QCompleter, QFrame, QPlainTextEdit, QSizePolicy, QWidget

from trainapp.desktop.focus_seen import FocusSeen
from trainapp.desktop.labelled import LabelledField
from trainapp.desktop.lessons.tree import At, dotted
from trainapp.desktop.parts import ChoiceBox, LineField
from trainapp.desktop.theme import look

LABEL = 190


class Prose(FocusSeen, QPlainTextEdit):
    """Several lines to type in. Tab goes on to the next field."""

    def __init__(self, lines: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setTabChangesFocus(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFixedHeight(self.fontMetrics().lineSpacing() * lines + 12)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        token, width = ("accent", 2.0) if self.hasFocus() else ("edge", 1.0)
        painter.setPen(QPen(look().colour(token), width))
        painter.drawRoundedRect(self.viewport().rect().adjusted(1, 1, -1, -1), 3, 3)


class Known(LineField):
    """A line that lists what is known while it is typed in; Down lists all of it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._words = QStringListModel(self)
        self._completer = QCompleter(self._words, self)
        self._completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        self._completer.setFilterMode(Qt.MatchFlag.MatchContains)
        self.setCompleter(self._completer)

    def know(self, words: Sequence[str]) -> None:
        """Know other words."""
        self._words.setStringList(list(words))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Down and not self._completer.popup().isVisible():
            self._completer.setCompletionPrefix("")
            self._completer.complete()
            return
        super().keyPressEvent(event)


Editor = LineField | Prose | ChoiceBox


class Row(LabelledField):
    """A field with its name, and a line below it that says what is wrong with it.

    Args:
        at: place in the lesson. editor: what is typed or chosen in.
        kind: "text", "number", "whole" for a whole number, or "quantity" for a number or a text.
    """

    #: Signal emitted with the row when what stands in it is another.
    changed = Signal(object)

    def __init__(self, at: At, label: str, editor: Editor, kind: str = "text", hint: str = "", parent: QWidget | None = None) -> None:
        super().__init__(label, editor, LABEL, "ink2", many_lines=True, parent=parent)
        self.at, self.editor, self.kind = at, editor, kind
        self._quiet = False
        self._hint = hint
        editor.setObjectName(dotted(at))
        editor.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        if isinstance(editor, ChoiceBox):
            editor.setMinimumWidth(200)
            editor.activated.connect(self._changed)
        else:
            editor.textChanged.connect(self._changed)
        self.tell("")

    def _changed(self) -> None:
        if not self._quiet:
            self.changed.emit(self)

    def tell(self, sentence: str) -> None:
        """Say what is wrong, "" for nothing."""
        text = sentence or self._hint
        self.line.setText(text)
        self.line.setVisible(bool(text))
        self.mark.setVisible(bool(sentence))
        self.editor.setAccessibleDescription(text)

    def show_value(self, value: Any) -> None:
        """Show what stands there; typing that is going on is left alone."""
        self._quiet = True
        if isinstance(self.editor, ChoiceBox):
            self.editor.setCurrentIndex(self.editor.findData(value))
        else:
            text = f"{value:g}" if isinstance(value, int | float) and not isinstance(value, bool) else "" if value is None else str(value)
            if self._text() != text and not (self.editor.hasFocus() and self.value() == value):
                self.editor.setPlainText(text) if isinstance(self.editor, Prose) else self.editor.setText(text)
                if isinstance(self.editor, LineField):
                    self.editor.setCursorPosition(0)
        self._quiet = False

    def _text(self) -> str:
        assert not isinstance(self.editor, ChoiceBox)
        return self.editor.toPlainText() if isinstance(self.editor, Prose) else self.editor.text()

    def value(self) -> Any:
        """What stands there now, as a lesson has it: a number where it is one, else the text."""
        if isinstance(self.editor, ChoiceBox):
            return self.editor.currentData()
        text = self._text()
        if self.kind == "text":
            return text
        try:
            number = float(text.strip().replace(",", "."))
        except ValueError:
            return text
        return int(number) if self.kind == "whole" and number.is_integer() else number

    def focus(self) -> None:
        """Put the keyboard there."""
        self.editor.setFocus(Qt.FocusReason.OtherFocusReason)


def choice(name: str, choices: Sequence[tuple[Any, str]]) -> ChoiceBox:
    """A choice of (id, words)."""
    box = ChoiceBox()
    box.setAccessibleName(name)
    fill(box, choices)
    return box


def fill(box: ChoiceBox, choices: Sequence[tuple[Any, str]]) -> None:
    """Offer other choices, and stand on none of them."""
    box.blockSignals(True)
    box.clear()
    for key, text in choices:
        box.addItem(text, key)
    box.setCurrentIndex(-1)
    box.blockSignals(False)
