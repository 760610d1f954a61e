"""The line that is added to the upkeep log: when, where, what, by whom."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFormLayout, QHBoxLayout, QWidget

from trainapp.desktop.fields import TypedField
from trainapp.desktop.parts import BoxButton, ChoiceBox, LineField, TokenLabel
from trainapp.reports.drawing.tokens import BODY
from trainapp.reports.upkeep_log import START_UP, day_done

OTHER = "Something else"


class LogForm(QWidget):
    """Fields and a button; what is typed wrongly is refused in words."""

    #: Signal emitted with date, stage, what was done, by whom, and a note.
    added = Signal(object, str, str, str, str)
    #: Signal emitted with why something is not added.
    refused = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._chores: Mapping[str, Sequence[str]] = {}
        self._today = datetime.date.today()
        self.date = TypedField()
        self.date.setAccessibleName("Date")
        self.date.setToolTip("Day, such as 2026-05-04")
        self.stage, self.what = ChoiceBox(), ChoiceBox()
        self.stage.setAccessibleName("Where")
        self.what.setAccessibleName("What was done")
        self.by, self.note = LineField(), LineField()
        self.by.setAccessibleName("By whom")
        self.note.setAccessibleName("Note, or what else was done")
        self.note.setPlaceholderText("anything worth knowing")
        self.button = BoxButton("Add to the log", "Add this to the upkeep log")
        self.button.clicked.connect(self.add)
        form = QFormLayout(self)
        form.setContentsMargins(0, 4, 0, 0)
        form.setHorizontalSpacing(12)
        form.setVerticalSpacing(6)
        rows = (("Date", self.date), ("Where", self.stage), ("What", self.what), ("By", self.by), ("Note", self.note))
        for text, widget in rows:
            form.addRow(TokenLabel(text, "ink2", BODY), widget)
        last = QHBoxLayout()
        last.addStretch(1)
        last.addWidget(self.button)
        form.addRow(last)
        self.stage.activated.connect(self._stage_picked)
        self.date.entered.connect(self._dated)
        for field in (self.by, self.note):
            field.returnPressed.connect(self.add)

    def show_choices(self, names: Mapping[str, str], chores: Mapping[str, Sequence[str]], today: datetime.date) -> None:
        """Offer these places and their chores; what is chosen stays as far as it is there."""
        place, what = self.stage.currentData(), self.what.currentText()
        if not self.date.text() or self.date.text() == self._today.isoformat():
            self.date.show_text(today.isoformat())
        self._chores, self._today = chores, today
        self.stage.clear()
        for node, name in names.items():
            self.stage.addItem(name, node)
        self.stage.setCurrentIndex(max(self.stage.findData(place), 0))
        self._stage_picked()
        self.what.setCurrentIndex(max(self.what.findText(what), 0))

    def choose(self, stage: str, what: str) -> None:
        """Stand ready to log a chore."""
        self.stage.setCurrentIndex(max(self.stage.findData(stage), 0))
        self._stage_picked()
        self.what.setCurrentIndex(max(self.what.findText(what), 0))

    def taken(self) -> None:
        """What stood here is in the log: the note is empty again, who did it stays."""
        self.note.clear()

    def add(self) -> None:
        """Hand the line over, or say why not."""
        day = self._dated(self.date.text())
        what, note = self.what.currentText(), self.note.text().strip()
        if day is None:
            return
        if what == OTHER:
            if not note:
                self.refused.emit("Not added: say in the note what was done.")
                return
            what, note = note, ""
        self.added.emit(day, str(self.stage.currentData() or ""), what, self.by.text().strip(), note)

    def _stage_picked(self, _index: int = 0) -> None:
        self.what.clear()
        stage = str(self.stage.currentData() or "")
        begin = () if stage else (START_UP,)
        for text in dict.fromkeys((*begin, *self._chores.get(stage, ()), OTHER)):
            self.what.addItem(text)

    def _dated(self, text: str) -> datetime.date | None:
        """The day that is typed; what is none stays as it was typed, and why it is none is said."""
        try:
            day = day_done(text, self._today)
        except ValueError as error:
            self.refused.emit(f"Not added: {error}.")
            return None
        self.date.show_text(day.isoformat())
        return day


__all__ = ["OTHER", "LogForm"]
