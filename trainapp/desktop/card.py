"""The stage card: what is selected, with every setting in a field that is read, judged and undone at once."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from trainapp.desktop.card_content import Card, Field, Group, card_of
from trainapp.desktop.editors import open_editor, title_of
from trainapp.desktop.fields import FieldRow, TypedField
from trainapp.desktop.parts import BoxButton, FlatButton, TokenLabel, caption, quiet, wrapped
from trainapp.desktop.session import Session
from trainapp.desktop.typed import tail
from trainapp.reports.drawing.tokens import CAPTION, GAP, HEADING, PAD
from trainapp.reports.in_units import in_units
from trainapp.train.edits import AddParallel, RemoveOutlet, RemoveStage, Rename, Unlink

#: Editors that a card leads to, by what it is of.
_EDITORS = {"supply": ("supply",), "house": ("demand", "goals"), "end": ("outlets",), "link": ("plumbing",)}
_NOTHING = "Nothing is selected. Click a stage, a pipe or a number on the bench, or walk there with the arrow keys."


class StageCard(QScrollArea):
    """Shows the card of what is selected. Widgets are kept while only values change, so that the keyboard stays where it is."""

    #: Signal emitted when the sample sheet is asked for.
    sample_asked = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.card: Card | None = None
        self.rows: dict[str, FieldRow] = {}
        quiet(self)
        self.setWidgetResizable(True)
        self.setAccessibleName("Stage card")
        session.changed.connect(self.refresh)
        session.selection_changed.connect(self.refresh)
        self.refresh()

    # Showing ------------------------------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show the card of what is selected now; out of sight it is made once it is seen."""
        if not self.isVisible():
            return
        session = self.session
        selection = session.selection if session.holds(session.selection) else ()
        card = card_of(session.document, selection, session.title_of)
        if card is not None and self.card is not None and card.shape == self.card.shape:
            self.card = card
            self._title.setText(card.title)
            self._summary.setText(in_units(card.summary, session.system))
            for field in (field for group in card.groups for field in group.fields):
                self.rows[field.key].update_field(field, session.system)
            return
        if card is None and self.card is None and self.widget() is not None:
            return
        self.card = card
        self._build(card)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def _build(self, card: Card | None) -> None:
        self.rows = {}
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(int(PAD), int(GAP), int(PAD), int(PAD))
        column.setSpacing(6)
        if card is None:
            column.addWidget(wrapped(_NOTHING, "ink3"))
        else:
            self._fill(column, card)
        column.addStretch(1)
        old = self.takeWidget()
        if old is not None:
            old.deleteLater()
        self.setWidget(body)

    def _fill(self, column: QVBoxLayout, card: Card) -> None:
        self._title = TokenLabel(card.title, "ink", HEADING, bold=True)
        self._title.setWordWrap(True)
        self._summary = wrapped(in_units(card.summary, self.session.system), "ink3", CAPTION)
        column.addWidget(self._title)
        column.addWidget(self._summary)
        column.addLayout(self._buttons(card))
        for group in card.groups:
            self._add_group(column, group)
        # what the bench calls it stands above; what files call it is for other programs
        if card.tag[0] == "stage":
            column.addWidget(self._name_row(str(card.tag[1]), "stage"))
        elif card.tag[0] == "end" and card.tag[1] != "house":
            column.addWidget(self._name_row(str(card.tag[1]), "outlet"))

    def _add_group(self, column: QVBoxLayout, group: Group) -> None:
        rows = QWidget()
        inner = QVBoxLayout(rows)
        inner.setContentsMargins(0, 0, 0, 0)
        inner.setSpacing(6)
        for field in group.fields:
            row = FieldRow(field, self._attempt, self.session.system)
            self.rows[field.key] = row
            inner.addWidget(row)
        at = column.count()
        # Its place first: a widget without a parent that is made visible is a window of its own.
        column.addWidget(rows)
        if group.folded:
            fold = Fold(group.heading, rows, opened=any(field.written is not None for field in group.fields))
            column.insertWidget(at, fold, 0, Qt.AlignmentFlag.AlignLeft)
        elif group.heading:
            column.insertWidget(at, caption(group.heading))

    def _name_row(self, name: str, what: str) -> FieldRow:
        def change(value: Any) -> Rename:
            return Rename(what=what, old=name, new=str(value or ""))  # type: ignore[arg-type]

        field = Field("id", "Name in files", "how the document and other programs call it", "text", name, "", change)
        row = FieldRow(field, self._attempt_rename, self.session.system)
        self.name_row = row
        return row

    # Buttons ------------------------------------------------------------------------------------------------------------------

    def _buttons(self, card: Card) -> QHBoxLayout:
        line = QHBoxLayout()
        line.setSpacing(6)
        kind = card.tag[0]
        if kind == "stage":
            self._button(line, "Remove", "Remove this stage; the pipe closes behind it", self._remove)
            self._button(line, "Two in parallel", "Put a twin beside it; the flow divides between them", self._twin)
        elif kind == "link":
            self._button(line, "Remove pipe", "Take this pipe away", self._remove)
        elif kind == "end" and card.tag[1] != "house":
            self._button(line, "Remove", "Remove this end with its pipe", self._remove)
        elif kind == "supply":
            self._button(line, "Sample", "Show the sample sheet", self._ask_sample)
        for what in _EDITORS.get("house" if card.tag == ("end", "house") else str(kind), ()):
            self._button(line, f"{title_of(what)}…", f"Open {title_of(what)}", self._open_editor).setObjectName(what)
        line.addStretch(1)
        return line

    def _button(self, line: QHBoxLayout, text: str, name: str, slot: Any) -> BoxButton:
        button = BoxButton(text, name)
        button.clicked.connect(slot)
        line.addWidget(button)
        return button

    def _open_editor(self) -> None:
        open_editor(self.session, self.sender().objectName(), self.window())

    def _remove(self) -> None:
        if self.card is not None:
            remove(self.session, self.card.tag)

    def _twin(self) -> None:
        if self.card is not None:
            self.session.edit(AddParallel(beside=str(self.card.tag[1])))

    def _ask_sample(self) -> None:
        self.sample_asked.emit()

    # Edits --------------------------------------------------------------------------------------------------------------------

    def _attempt(self, field: Field, value: Any) -> str:
        reason = self.session.attempt(field.change(value), select=self.session.selection)
        return tail(reason)

    def _attempt_rename(self, field: Field, value: Any) -> str:
        if self.card is None:
            return ""
        reason = self.session.attempt(field.change(value), select=(self.card.tag[0], str(value)))
        return tail(reason)

    def focus_first(self) -> None:
        """Put the keyboard into the first field."""
        first = next(iter(self.rows.values()), None)
        if first is not None:
            first.editor.setFocus(Qt.FocusReason.TabFocusReason)

    def focus_name(self) -> None:
        """Put the keyboard into the name."""
        if self.card is not None and self.card.tag[0] in ("stage", "end") and self.card.tag[1] != "house":
            self.name_row.editor.setFocus(Qt.FocusReason.TabFocusReason)

    def editors(self) -> list[TypedField]:
        """Every field that is typed into."""
        return [row.editor for row in self.rows.values() if isinstance(row.editor, TypedField)]


class Fold(FlatButton):
    """A heading that shows and hides what stands below it."""

    def __init__(self, heading: str, inside: QWidget, opened: bool = False) -> None:
        super().__init__("", heading, CAPTION, "ink2")
        self._heading, self._inside = heading, inside
        self.setCheckable(True)
        self.toggled.connect(self._show)
        self.setChecked(opened)
        self._show(opened)

    def _show(self, opened: bool) -> None:
        self._inside.setVisible(opened)
        self.setText(f"{'▾' if opened else '▸'} {self._heading}")
        self.updateGeometry()


def remove(session: Session, tag: tuple[str | int, ...]) -> bool:
    """Remove what a tag speaks of: a stage, a pipe, an end; whether there was something to remove."""
    if tag[:1] == ("stage",):
        return session.edit(RemoveStage(id=str(tag[1])))
    if tag[:1] == ("link",):
        return session.edit(Unlink(ends=(str(tag[1]), str(tag[2]))), select=())
    if tag[:1] == ("end",) and tag[1] != "house":
        return session.edit(RemoveOutlet(name=str(tag[1])), select=())
    return False
