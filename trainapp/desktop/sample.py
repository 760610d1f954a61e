"""The sample sheet: every analyte of the contract with its result as typed, and what it was read as."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from trainapp import units
from trainapp.desktop.card_content import Field
from trainapp.desktop.editors import open_editor
from trainapp.desktop.fields import FieldRow
from trainapp.desktop.parts import BoxButton, ChoiceBox, TokenLabel, caption, quiet, wrapped
from trainapp.desktop.session import Session
from trainapp.reports.drawing.tokens import CAPTION, GAP, HEADING, PAD
from trainapp.spelling import spelt
from trainapp.train.edits import Batch, Edit, RemoveValue, SetValue
from trainapp.train.model import Sample
from trainapp.water.analytes import ANALYTES, BY_KEY, Analyte
from trainapp.water.sample import Result, SampleError, read_result

_NEW = "sample"


class SampleSheet(QWidget):
    """Shows one sample and edits its results."""

    #: Signal emitted when the sheet is closed for the card.
    left = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.sample_id = ""
        self.rows: dict[str, FieldRow] = {}
        self.title = TokenLabel("Sample", "ink", HEADING, bold=True)
        self.pick = ChoiceBox()
        self.pick.setAccessibleName("Which sample")
        self.pick.activated.connect(self._picked)
        self.about = wrapped("", "ink3", CAPTION)
        self.add = BoxButton("New sample", "Start an empty sample sheet")
        self.add.clicked.connect(self._add)
        self.whole = BoxButton("Whole sheet…", "Open all samples with method, note, pasting and charge balance")
        self.whole.clicked.connect(self._open_whole)
        head = QHBoxLayout()
        head.addWidget(self.title)
        head.addWidget(self.pick, 1)
        head.addWidget(self.add)
        self.area = QScrollArea()
        quiet(self.area)
        self.area.setWidgetResizable(True)
        self.area.setAccessibleName("Sample")
        column = QVBoxLayout(self)
        column.setContentsMargins(int(PAD), int(GAP), 0, 0)
        head.setContentsMargins(0, 0, int(PAD), 0)
        column.addLayout(head)
        below = QHBoxLayout()
        below.setContentsMargins(0, 0, int(PAD), 0)
        below.addWidget(self.about, 1)
        below.addWidget(self.whole)
        column.addLayout(below)
        column.addWidget(self.area, 1)
        session.changed.connect(self.refresh)
        self.refresh()

    # Showing ------------------------------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show the sample as the document has it now; out of sight it is made once it is seen."""
        if not self.isVisible():
            return
        samples = self.session.document.samples
        ids = [sample.id for sample in samples]
        if self.sample_id not in ids:
            chosen = self.session.document.design_sample
            self.sample_id = chosen if chosen in ids else ids[0] if ids else ""
        self._fill_pick(ids)
        sample = next((s for s in samples if s.id == self.sample_id), None)
        self._tell_about(sample)
        keys = tuple(self._keys(sample))
        if keys != tuple(self.rows):
            self._build(keys, sample)
        for key, row in self.rows.items():
            row.update_field(self._field(key, sample), self.session.system)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def _fill_pick(self, ids: list[str]) -> None:
        self.pick.blockSignals(True)
        self.pick.clear()
        for name in ids:
            self.pick.addItem(name, name)
        self.pick.setCurrentIndex(max(self.pick.findData(self.sample_id), 0))
        self.pick.setVisible(len(ids) > 1)
        self.pick.blockSignals(False)
        self.title.setText("Sample" if len(ids) != 1 else f"Sample: {ids[0]}")

    def _tell_about(self, sample: Sample | None) -> None:
        if sample is None:
            self.about.setText("There is no sample yet: everything is taken as not tested. Type a result to start one.")
            return
        parts = [sample.word("date"), sample.word("lab"), "" if sample.word("at") in ("", "supply") else f"taken after {sample.word('at')}"]
        design = self.session.document.design_sample
        parts.append("design sample" if design == sample.id else "worst of all samples is the design water" if design == "worst" else "")
        self.about.setText(", ".join(part for part in parts if part) or "Results as the sheet has them, with their units.")

    def _keys(self, sample: Sample | None) -> list[str]:
        """Every analyte, what was measured first; names that are no analyte last."""
        results = sample.results if sample else {}
        measured = [a.key for a in ANALYTES if a.key in results]
        others = [name for name in results if name not in BY_KEY]
        return [*measured, *(a.key for a in ANALYTES if a.key not in results), *others]

    def _build(self, keys: tuple[str, ...], sample: Sample | None) -> None:
        focused = next((key for key, row in self.rows.items() if row.editor.hasFocus()), None)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 4, int(PAD), int(PAD))
        column.setSpacing(4)
        results = sample.results if sample else {}
        self.rows = {}
        rest = False
        for key in keys:
            if key not in results and not rest:
                rest = True
                column.addWidget(caption("Not tested"))
            row = FieldRow(self._field(key, sample), self._attempt, self.session.system)
            self.rows[key] = row
            column.addWidget(row)
        column.addStretch(1)
        old = self.area.takeWidget()
        if old is not None:
            old.deleteLater()
        self.area.setWidget(body)
        if focused in self.rows:
            # Follow a result that has just moved up to the measured ones.
            self.rows[focused].editor.setFocus(Qt.FocusReason.OtherFocusReason)
            self.area.ensureWidgetVisible(self.rows[focused])

    def _field(self, key: str, sample: Sample | None) -> Field:
        analyte = BY_KEY.get(key)
        raw = sample.results.get(key) if sample else None
        text = None if raw is None else str(raw.get("value", "")) if isinstance(raw, dict) else str(raw)
        label = _label(analyte, key)

        def change(value: Any) -> Edit:
            return self._change(key, raw, value)

        def told(text: str, system: units.System) -> str:
            return read_as(key, text, system) if analyte is not None else ""

        return Field(key, label, _meaning(analyte, raw), "text", text, "", change, told=told)

    # Editing ------------------------------------------------------------------------------------------------------------------

    def _change(self, key: str, raw: Any, value: Any) -> Edit:
        if not self.sample_id:
            first = {"id": _NEW, "at": "supply", "results": {key: value}}
            return Batch(edits=[SetValue(path=("samples", _NEW), value=first)], name=f"Change {key}")
        path = ("samples", self.sample_id, "results", key)
        if value is None:
            return RemoveValue(path=path)
        return SetValue(path=(*path, "value") if isinstance(raw, dict) else path, value=value)

    def _attempt(self, field: Field, value: Any) -> str:
        if value is not None and field.key in BY_KEY:
            value = with_unit(BY_KEY[field.key], str(value))
        reason = self.session.attempt(field.change(value), select=self.session.selection)
        return (reason or "").rpartition(": ")[2]

    def _picked(self, _index: int) -> None:
        self.sample_id = str(self.pick.currentData())
        self.rows = {}
        self.refresh()

    def _open_whole(self) -> None:
        open_editor(self.session, "samples", self.window())

    def _add(self) -> None:
        taken = {sample.id for sample in self.session.document.samples}
        name = next(n for n in (_NEW, *(f"{_NEW}-{i}" for i in range(2, len(taken) + 3))) if n not in taken)
        self.sample_id = name
        if self.session.edit(SetValue(path=("samples", name), value={"id": name, "at": "supply", "results": {}})):
            self.refresh()


def _label(analyte: Analyte | None, key: str) -> str:
    if analyte is None:
        return key.replace("_", " ")
    return spelt(analyte.label)


def _meaning(analyte: Analyte | None, raw: Any) -> str:
    note = f" Note: {raw['note']}." if isinstance(raw, dict) and raw.get("note") else ""
    method = f" Method: {raw['method']}." if isinstance(raw, dict) and raw.get("method") else ""
    if analyte is None:
        return f"Not among the analytes that are judged; it is kept.{method}{note}"
    if analyte.states and analyte.dimension == "state":
        return f"{' or '.join(analyte.states)}.{method}{note}"
    unit = units.typeset(units.unit(analyte.dimension, "json"))
    basis = f" as {analyte.basis}" if analyte.basis else ""
    example = f"a number with its unit, such as {unit}{basis}" if unit else "a number"
    words = f", or {', '.join(analyte.states)}" if analyte.states else ""
    return f"{example}; <0.02 where less was not seen{words}.{method}{note}"


def with_unit(analyte: Analyte, text: str) -> str:
    """A result with the unit of files where only a number was typed."""
    number = text.lstrip("<>≤≥= ")
    if number.replace(".", "", 1).isdigit() and units.unit(analyte.dimension, "json"):
        return f"{text} {units.unit(analyte.dimension, 'json')}"
    return text


def read_as(key: str, text: str, system: units.System) -> str:
    """What a result is read as, "" where it says nothing more than the text."""
    try:
        result: Result = read_result(key, text)
    except SampleError:
        return ""
    analyte = BY_KEY[key]
    if result.state:
        return f"read as {result.state}"
    if result.kind == "below":
        return f"anywhere from 0 to {_shown(result.high, analyte, system)}"
    if result.kind == "above":
        return f"{_shown(result.low, analyte, system)} or more"
    return f"read as {_shown(result.low, analyte, system)}"


def _shown(value: float, analyte: Analyte, system: units.System) -> str:
    return units.typeset(units.show(value, analyte.dimension, system, analyte=analyte.key))
