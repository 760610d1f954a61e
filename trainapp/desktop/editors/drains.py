"""Drains: where each stage that cleans itself sends its water, how high and how far, beside what a cleaning sends there."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QWidget

from trainapp import units
from trainapp.desktop.card_content import words
from trainapp.desktop.editors.dialog import Editor
from trainapp.desktop.editors.said import findings_where
from trainapp.desktop.editors.scroll import Sentences, column_area
from trainapp.desktop.editors.sheet import Cell, Column, Line, Sheet
from trainapp.desktop.editors.sheet_model import retold
from trainapp.desktop.parts import wrapped
from trainapp.desktop.typed import document_text, unit_of
from trainapp.reports.drawing.display import Tag
from trainapp.reports.in_units import in_units, trade_size
from trainapp.stages.base import Cleaning
from trainapp.stages.registry import kind as kind_of
from trainapp.train.document import Document
from trainapp.train.edits import ChangeSetting
from trainapp.train.settings import DRAINS, written_settings

_LENGTHS = {"height": ("height", "distance"), "length": ("length", "distance"), "size": ("pipe size", "length")}
_COLUMNS = (
    Column("stage", "Stage"),
    Column("wash", "Flow", 84, right=True),
    Column("volume", "Each time", 84, right=True),
    Column("every", "Every", 72, right=True),
    Column("to", "Drains to", 112),
    Column("height", "Up", 76, right=True),
    Column("length", "Along", 76, right=True),
    Column("size", "Pipe size", 92, right=True),
)


class DrainsEditor(Editor):
    """The drains of a document's stages."""

    opens = QSize(860, 480)

    def build(self) -> None:
        self.told = wrapped("", "ink2")
        self.sheet = Sheet("Drains")
        self.sheet.sheet.edited.connect(self._edited)
        self.sheet.cleared.connect(self._cleared)
        self.words = Sentences()
        self.column.addWidget(self.told)
        self.column.addWidget(self.sheet, 1)
        self.column.addWidget(column_area(self.words, "What follows"), 1)

    def first(self) -> QWidget:
        return self.sheet

    def turn_to(self, selection: Tag) -> None:
        if selection[:1] == ("stage",):
            self.sheet.go_to(str(selection[1]), "to")

    def refresh(self) -> None:
        washing = self._washing()
        self.told.setText(
            "What each stage sends to its drain, and the way it takes: up to the highest point, along the pipe, and the pipe's size."
            if washing
            else "No stage of this train cleans itself with water."
        )
        self.sheet.setVisible(bool(washing))
        self.sheet.show_lines(_COLUMNS, retold([self._line(stage, wash) for stage, wash in washing.items()], self.session.system))
        codes = ("drain", "backwash-short")
        self.words.show_sentences(findings_where(self.session, lambda finding: finding.code in codes))

    def _washing(self) -> dict[str, Cleaning | None]:
        """Stages that clean themselves, or have a drain written, with how they do."""
        results = self.session.assessment.evaluation.stages if self.session.assessment else {}
        document = self.session.document
        found = {stage.id: results[stage.id].cleaning if stage.id in results else None for stage in document.stages}
        return {stage: wash for stage, wash in found.items() if wash is not None or drain_of(document, stage)}

    def _line(self, stage: str, wash: Cleaning | None) -> Line:
        own, inherited = drain_of(self.session.document, stage), _inherited(self.session.document, stage)
        title = self.session.title_of(stage)
        to = str(own.get("to", ""))
        choices = (("", "not said"), *((word, words(word)) for word in DRAINS))
        cells = [
            Cell(title, bold=True),
            *(Cell(text, token="ink2") for text in self._sent(wash)),
            Cell(words(to), to, True, choices, hint=words(str(inherited.get("to", "not said")))),
        ]
        for key in _LENGTHS:
            text = str(own.get(key, ""))
            cells.append(Cell(units.typeset(text), text, True, hint=str(inherited.get(key, "not said"))))
        return Line(stage, title, tuple(cells))

    def _sent(self, wash: Cleaning | None) -> tuple[str, str, str]:
        if wash is None:
            return "", "", ""
        shown = [units.show(wash.flow, "flow", self.session.system), units.show(wash.volume, "volume", self.session.system)]
        days = f"{wash.every_days:.0f} days" if wash.every_days < 1000 else "rarely"
        return units.typeset(shown[0]), units.typeset(shown[1]), days

    def _edited(self, stage: str, key: str, text: str) -> None:
        own = drain_of(self.session.document, stage)
        title = self.session.title_of(stage)
        if key in _LENGTHS and text:
            label, dimension = _LENGTHS[key]
            system = self.session.system
            unit = unit_of(in_units(str(own.get(key, "")), system)) or units.unit(dimension, system)
            try:
                text = document_text(trade_size(text, system) if key == "size" else text, dimension, unit)
            except units.UnitError as error:
                self._refused(f"{title}, {label} of its drain: {error}")
                return
        drain = {k: v for k, v in {**own, key: text}.items() if v}
        reason = self.attempt(ChangeSetting(stage=stage, key="drain", value=drain or None))
        if reason:
            self._refused(f"{title}: {reason}")
        else:
            self.say("")

    def _cleared(self, stage: str, key: str) -> None:
        if key in drain_of(self.session.document, stage):
            self._edited(stage, key, "")

    def _refused(self, reason: str) -> None:
        self.sheet.hold()
        self.say(f"{reason}; it stays as it was.", refused=True)


def drain_of(document: Document, stage: str) -> dict[str, Any]:
    """The drain that a stage itself has written, {} for none."""
    entry = document.stage(stage)
    known = kind_of(entry.kind)
    written = written_settings(known.spec, entry, None).get("drain") if known is not None else None
    return dict(written) if isinstance(written, dict) else {}


def _inherited(document: Document, stage: str) -> dict[str, Any]:
    """The drain of the item that a stage names, {} for none."""
    row = document.item_of(document.stage(stage))
    drain = row.settings.get("drain") if row is not None else None
    return dict(drain) if isinstance(drain, dict) else {}


EDITOR = DrainsEditor
