"""Rows of fields under headings, kept while only their values change, so that the keyboard stays where it is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QVBoxLayout, QWidget

from trainapp import units
from trainapp.desktop.card_content import Field, Group
from trainapp.desktop.editors.dialog import Editor
from trainapp.desktop.fields import FieldRow, TypedField
from trainapp.desktop.parts import caption
from trainapp.desktop.typed import document_text, unit_of

LABEL = 148


class Row(FieldRow):
    """A row in which a number alone takes the unit that stands there, else that of the units shown."""

    def _value(self, text: str) -> Any:
        if text and self.field.form == "quantity":
            unit = unit_of(self.field.written or "") or units.unit(self.field.dimension, self.system)
            return document_text(text, self.field.dimension, unit)
        return super()._value(text)


class Form(QWidget):
    """Groups of fields of one editor."""

    def __init__(self, editor: Editor, label: int = LABEL, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.editor = editor
        self.rows: dict[str, Row] = {}
        self._shape: tuple[object, ...] = ()
        self._label = label
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(6)

    def show_groups(self, groups: Sequence[Group]) -> None:
        """Show these fields."""
        shape = tuple((g.heading, tuple((f.key, f.form, f.choices) for f in g.fields)) for g in groups)
        if shape != self._shape:
            self._shape = shape
            self._build(groups)
            return
        for field in (field for group in groups for field in group.fields):
            self.rows[field.key].update_field(field, self.editor.session.system)

    def first(self) -> QWidget | None:
        """The first field."""
        return next((row.editor for row in self.rows.values()), None)

    def _build(self, groups: Sequence[Group]) -> None:
        focused = next((key for key, row in self.rows.items() if row.editor.hasFocus()), None)
        while item := self._column.takeAt(0):
            if widget := item.widget():
                widget.hide()
                widget.deleteLater()
        self.rows = {}
        for group in groups:
            if group.heading:
                self._column.addWidget(caption(group.heading))
            for field in group.fields:
                self._column.addWidget(self._row(field))
        if focused in self.rows:
            self.rows[focused].editor.setFocus(Qt.FocusReason.OtherFocusReason)

    def _row(self, field: Field) -> Row:
        row = self.rows[field.key] = Row(field, self._attempt, self.editor.session.system)
        row.label.setFixedWidth(self._label)
        if isinstance(row.editor, TypedField):
            self.editor.watch(row.editor)
        return row

    def _attempt(self, field: Field, value: Any) -> str:
        return self.editor.attempt(field.change(value))
