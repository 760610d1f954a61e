"""Editors of a card: a row with a name, a field, and a line that says what was understood or why it was refused."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QWidget

from trainapp import units
from trainapp.desktop import table_text
from trainapp.desktop.card_content import Field, words
from trainapp.desktop.figures import local
from trainapp.desktop.parts import ChoiceBox, LineField, MarkLabel, TokenLabel, beside_mark, outline, wrapped
from trainapp.desktop.typed import document_text, understood, unit_of
from trainapp.reports.drawing.tokens import BODY, CAPTION, MARK_LEAST
from trainapp.reports.in_units import in_units, nominal, trade_size

#: Does an edit; gives why it was refused, "" where it was done.
Attempt = Callable[[Field, Any], str]

LABEL_WIDTH = 116


class TypedField(LineField):
    """A line that is read when Return is pressed or the field is left. What cannot be read is refused, and the old text comes back."""

    #: Signal emitted with the text once it is another than was shown.
    entered = Signal(str)
    #: Signal emitted when the field gets or loses the focus.
    focused = Signal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown = self._seen = ""
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.editingFinished.connect(self._finish)

    def show_text(self, text: str, seen: str = "") -> None:
        """Show what the document has. Typing that is going on is not disturbed unless the value itself is another.

        Args:
            seen: what is shown of it while nobody types, the text itself by default.
        """
        seen = seen or text
        if text != self._shown or seen != self._seen or not self.hasFocus():
            self._shown, self._seen = text, seen
            wanted = text if self.hasFocus() else seen
            if self.text() != wanted:
                self.setText(wanted)
                self.setCursorPosition(0)

    def put_back(self) -> None:
        """Show the old text again."""
        self.setText(self._shown if self.hasFocus() else self._seen)

    @property
    def shown(self) -> str:
        """The text that the document has."""
        return self._shown

    def _finish(self) -> None:
        text = self.text().strip()
        if text not in (self._shown, self._seen):
            self.entered.emit(text)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.text() != self._shown:
            self.put_back()
            return
        super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if self.text() == self._seen != self._shown:
            # Who types goes on from what was typed.
            self.setText(self._shown)
        if event.reason() in (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason):
            self.selectAll()
        self.focused.emit(True)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        if self.text() == self._shown != self._seen:
            self.setText(self._seen)
            self.setCursorPosition(0)
        self.focused.emit(False)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        outline(QPainter(self), self)


class FieldRow(QWidget):
    """A row of a card."""

    def __init__(self, field: Field, attempt: Attempt, system: units.System, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.field = field
        self._attempt = attempt
        self.system: units.System = system
        self.label = TokenLabel(field.label, "ink2", BODY)
        self.label.setWordWrap(True)
        self.label.setFixedWidth(LABEL_WIDTH)
        self.mark = MarkLabel("fail", MARK_LEAST)
        self.line = wrapped("", "ink2", CAPTION)
        self.editor: TypedField | ChoiceBox = self._make_editor()
        self.editor.setAccessibleName(field.label)
        self.label.setBuddy(self.editor)
        self._arrange()
        self.update_field(field, system)

    def _make_editor(self) -> TypedField | ChoiceBox:
        if self.field.form == "choice":
            box = ChoiceBox()
            box.activated.connect(self._picked)
            return box
        line = TypedField()
        line.entered.connect(self._entered)
        line.focused.connect(self._focused)
        return line

    def _arrange(self) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(2)
        grid.addWidget(self.label, 0, 0, Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(self.editor, 0, 1)
        grid.addLayout(beside_mark(self.mark, self.line, 4), 1, 0, 1, 2)
        grid.setColumnStretch(1, 1)
        self.tell("")

    def update_field(self, field: Field, system: units.System) -> None:
        """Show the values of a field that is otherwise the same. What was said of another value is not said any more."""
        is_other = (field.written, field.default, system) != (self.field.written, self.field.default, self.system)
        self.field, self.system = field, system
        meaning = self._seen(field.meaning)
        for widget in (self.label, self.editor):
            widget.setToolTip(meaning)
        self.editor.setAccessibleDescription(meaning)
        if isinstance(self.editor, TypedField):
            self.editor.setPlaceholderText(self._seen(field.default or table_text.EXAMPLES.get(field.table, "")))
            self.editor.show_text(field.written or "", self._seen(field.written or ""))
        else:
            self._fill(self.editor)
        if is_other:
            self.tell(self._understood() if self.editor.hasFocus() else "")

    def _seen(self, text: str) -> str:
        """A text as it is shown while nobody types: in the units shown, but a result of a laboratory as it was typed."""
        if self.field.told is not None or self.field.form == "text":
            return text
        told = nominal if self.field.key.rpartition(".")[2] == "size" else in_units
        return local(units.typeset(told(text, self.system)))

    def _fill(self, box: ChoiceBox) -> None:
        box.blockSignals(True)
        box.clear()
        if self.field.written is None or self.field.default:
            box.addItem(f"{self._choice(self.field.default)} (default)" if self.field.default else "not given", None)
        for choice in self.field.choices:
            box.addItem(self._choice(choice), choice)
        box.setCurrentIndex(max(box.findData(self.field.written), 0))
        box.blockSignals(False)

    def _choice(self, word: str) -> str:
        """A choice as it is shown."""
        return local(units.typeset(nominal(words(_yes_no(word)), self.system)))

    # Said -----------------------------------------------------------------------------------------------------------------------

    def tell(self, text: str, refused: bool = False) -> None:
        """Say something below the field."""
        self.line.setText(text)
        self.line.setVisible(bool(text))
        self.mark.setVisible(refused and bool(text))
        self.editor.setAccessibleDescription(text or self._seen(self.field.meaning))

    def _focused(self, focused: bool) -> None:
        if focused:
            self.tell(self._understood())
        elif self.mark.isHidden():
            self.tell("")

    def _understood(self) -> str:
        text = self.field.written or self.field.default
        if self.field.told is not None:
            return self.field.told(text, self.system) if text else ""
        if self.field.form != "quantity" or not text or not units.fits(text, self.field.dimension):
            return ""
        return understood(text, self.field.dimension, self.system)

    # Done -----------------------------------------------------------------------------------------------------------------------

    def _picked(self, _index: int) -> None:
        if isinstance(self.editor, ChoiceBox):
            self._do(self.editor.currentData())

    def _entered(self, text: str) -> None:
        try:
            value = self._value(text)
        except ValueError as error:
            self._refuse(str(error))
            return
        self._do(value)

    def _value(self, text: str) -> Any:
        """What the document gets for a text, None for an empty one.

        Raises:
            ValueError: it cannot be read; str() is a sentence or its tail.
        """
        if not text:
            return None
        if self.field.form == "table":
            return table_text.as_value(self.field.table, text)
        if self.field.form == "quantity":
            text = trade_size(text, self.system) if self.field.key.rpartition(".")[2] == "size" else text
            return document_text(text, self.field.dimension, unit_of(self.field.written or self._seen(self.field.default)))
        return text

    def _do(self, value: Any) -> None:
        if value is None and self.field.written is None:
            self.update_field(self.field, self.system)
            return
        reason = self._attempt(self.field, value)
        if reason:
            self._refuse(reason)
        else:
            self.tell(self._understood() if self.editor.hasFocus() else "")

    def _refuse(self, reason: str) -> None:
        """The old value stays, and why is said until something else is typed."""
        if isinstance(self.editor, TypedField):
            self.editor.put_back()
        else:
            self._fill(self.editor)
        stays = self.field.written or self.field.default
        self.tell(f"{reason}; it stays {units.typeset(self._seen(stays))}" if stays else reason, refused=True)


def _yes_no(word: str) -> str:
    return {"true": "yes", "false": "no"}.get(word, word)
