"""Samples: every result as the laboratory wrote it, several samples, the design water, and whether a sheet fits together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QSize
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from trainapp import units
from trainapp.desktop.card_content import Field, Group
from trainapp.desktop.editors import sample_edits as edits
from trainapp.desktop.editors.balance import BalanceBar
from trainapp.desktop.editors.dialog import Editor, heading
from trainapp.desktop.editors.form import Form
from trainapp.desktop.editors.pick import Pick, SearchField, Tick
from trainapp.desktop.editors.result_text import read_as, result_text, usual_unit
from trainapp.desktop.editors.sample_lines import Beside, columns_of, label_of, lines_of
from trainapp.desktop.editors.scroll import Sentences, column_area
from trainapp.desktop.editors.sheet import Sheet
from trainapp.desktop.editors.values import texts
from trainapp.desktop.parts import BoxButton, caption, wrapped
from trainapp.desktop.typed import unit_of
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.train.document import Sample
from trainapp.train.edits import Rename, SetValue
from trainapp.train.zones import HOUSE
from trainapp.water.analytes import BY_KEY
from trainapp.water.doubts import doubts_of
from trainapp.water.pasted import Pasted, read_pasted
from trainapp.water.sample import Result, SampleError, read_result, read_sheet, worst

_SIDE = 300
_FACTS = (
    ("date", "Date", "day it was taken, such as 2026-05-04"),
    ("lab", "Laboratory", "who measured it"),
)
_MOST_TOLD = 4


class SamplesEditor(Editor):
    """The sheet of one sample at a time, with the others to choose from."""

    opens = QSize(1080, 720)

    def build(self) -> None:
        self.sheet = Sheet("Results")
        self.name = self._renamed = ""
        self.results: Mapping[str, Result] = {}
        self.pick = Pick("Sample")
        self.pick.picked.connect(self.show_sample)
        self.find = SearchField("Find an analyte")
        self.find.textChanged.connect(self._show_lines)
        self.tested = Tick("Only what was tested")
        self.tested.toggled.connect(self._show_lines)
        self.sheet.sheet.edited.connect(self._edited)
        self.sheet.cleared.connect(self._cleared)
        self.sheet.pasted.connect(self._pasted)
        self.column.addLayout(self._head())
        middle = QHBoxLayout()
        middle.setSpacing(16)
        middle.addWidget(self.sheet, 1)
        middle.addWidget(self._side())
        self.column.addLayout(middle, 1)

    def _head(self) -> QHBoxLayout:
        line = QHBoxLayout()
        line.setSpacing(8)
        line.addWidget(self.pick)
        for text, name, slot in (
            ("New", "Start an empty sample", self._add),
            ("Copy", "Start a sample with the same results", self._copy),
            ("Remove", "Remove this sample", self._remove),
            ("Paste results", "Paste a column, or names and results, from a spreadsheet", self._paste_all),
        ):
            button = BoxButton(text, name)
            button.clicked.connect(slot)
            line.addWidget(button)
        line.addStretch(1)
        line.addWidget(self.tested)
        line.addWidget(self.find)
        return line

    def _side(self) -> QScrollArea:
        self.facts = Form(self, label=84)
        self.place = Pick("Taken at", 84, 0)
        self.place.picked.connect(self._set_place)
        self.design = Pick("Design water", 84, 0)
        self.design.picked.connect(self._set_design)
        self.design_words = wrapped("", "ink3", CAPTION)
        self.balance = BalanceBar()
        self.doubts = Sentences()
        side = QWidget()
        column = QVBoxLayout(side)
        column.setContentsMargins(0, 0, 8, 0)
        column.setSpacing(8)
        column.addWidget(heading("This sample"))
        column.addWidget(self.facts)
        column.addWidget(self.place)
        column.addSpacing(8)
        column.addWidget(heading("All samples"))
        column.addWidget(self.design)
        column.addWidget(self.design_words)
        column.addSpacing(8)
        column.addWidget(heading("Does it fit together"))
        column.addWidget(self.balance)
        column.addWidget(self.doubts)
        column.addWidget(caption("Paste with Ctrl+V: one column goes down from\nthe current line; names find their own lines."))
        column.addStretch(1)
        area = column_area(side, "About the sample")
        area.setFixedWidth(_SIDE)
        return area

    def first(self) -> QWidget:
        return self.sheet

    # Showing ------------------------------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        document = self.session.document
        ids = [sample.id for sample in document.samples]
        if self.name not in ids:
            wanted = (self._renamed, document.design_sample, *ids)
            self.name = next((name for name in wanted if name in ids), "")
        sample = self.sample
        self.results = _sheet(sample)
        self.pick.show_choices([(name, self._told(name)) for name in ids] or [("", "none yet")], self.name)
        self._show_facts(sample)
        self._show_design(ids)
        self.balance.show_results(self.results)
        sentences = [units.typeset(doubt.sentence) for doubt in doubts_of(self.results) if len(doubt.analytes) < 6]
        self.doubts.show_sentences([("caution", sentence) for sentence in sentences])
        self._show_lines()

    @property
    def sample(self) -> Sample | None:
        """The sample that is shown."""
        return edits.sample_of(self.session.document, self.name)

    def show_sample(self, name: str) -> None:
        """Show another sample."""
        self.name = name
        self.say("")
        self.refresh()

    def _told(self, name: str) -> str:
        document = self.session.document
        at = document.sample(name).word("at")
        if at == "supply":
            return name
        return f"{name}, {'at' if at == HOUSE or at in document.outlets else 'after'} {self.session.title_of(at)}"

    def _show_facts(self, sample: Sample | None) -> None:
        self.facts.setVisible(sample is not None)
        self.place.setVisible(sample is not None)
        if sample is None:
            return
        fields = texts(sample, ("samples", sample.id), _FACTS)
        self.facts.show_groups([Group("", (self._name_field(sample.id), *fields))])
        places = [("supply", "the supply: raw water")]
        places += [(stage.id, f"after {self.session.title_of(stage.id)}") for stage in self.session.document.stages]
        places += [(end, f"at {self.session.title_of(end)}") for end in (HOUSE, *self.session.document.outlets)]
        at = sample.word("at")
        if at not in dict(places):
            places.append((at, f"{at}, which stands no longer"))
        self.place.show_choices(places, at)

    def _name_field(self, name: str) -> Field:
        def change(value: object) -> Rename:
            self._renamed = str(value or "")
            return Rename(what="sample", old=name, new=self._renamed)

        return Field("id", "Name", "how the sample is called here and in files", "text", name, "", change)

    def _show_design(self, ids: Sequence[str]) -> None:
        document = self.session.document
        raw = [name for name in ids if document.sample(name).word("at") == "supply"]
        self.design.show_choices([("worst", "worst of all raw water"), *((name, name) for name in raw)], document.design_sample)
        worst_words = f"The train is judged by the worst result of {len(raw)} samples, analyte by analyte; of pH both ends."
        self.design_words.setText(worst_words if document.design_sample == "worst" and len(raw) > 1 else "")
        self.design_words.setVisible(bool(self.design_words.text()))

    def _beside(self) -> Beside:
        document, sample = self.session.document, self.sample
        if sample is None:
            return Beside()
        if sample.word("at") != "supply":
            assessment = self.session.assessment
            point = assessment.evaluation.points.get(sample.word("at")) if assessment else None
            return Beside("predicted", point=point)
        raw = [other for other in document.samples if other.word("at") == "supply"]
        if len(raw) < 2:
            return Beside()
        chosen = [other for other in raw if document.design_sample in ("worst", other.id)]
        return Beside("design", design=worst(_sheet(other) for other in chosen))

    def _show_lines(self, _what: object = None) -> None:
        beside = self._beside()
        lines = lines_of(self.sample, self.results, doubts_of(self.results), beside, self.session.system, self.tested.isChecked())
        wanted = self.find.text().strip().casefold()
        self.sheet.show_lines(columns_of(beside), [line for line in lines if wanted in line.name.casefold() or wanted in line.key])

    # Results ------------------------------------------------------------------------------------------------------------------

    def _edited(self, key: str, column: str, text: str) -> None:
        if column == "result":
            self._set_result(key, text)
        elif column in ("method", "note"):
            self.do(edits.set_result(self.session.document, self.name, key, **{column: text}))

    def _cleared(self, key: str, column: str) -> None:
        had = self.sample.results if self.sample is not None else {}
        if key in had:
            self._edited(key, column, "")

    def _set_result(self, key: str, text: str) -> None:
        had = edits.parts_of(self.sample.results.get(key) if self.sample is not None else None)[0]
        label = label_of(BY_KEY[key]) if key in BY_KEY else key
        if not text and not had:
            return
        written = self._as_written(key, text, had)
        reason = self.attempt(edits.set_result(self.session.document, self.name, key, text=written)) if not _refusal(key, written) else ""
        reason = reason or _refusal(key, written)
        stays = f"it stays {units.typeset(had)}" if had else "it stays not tested"
        self.refresh()
        if reason:
            self.sheet.hold()
        self.say(f"{label}: {reason}; {stays}." if reason else self._understood(key, label), refused=bool(reason))

    def _as_written(self, key: str, text: str, had: str) -> str:
        if key not in BY_KEY or not text:
            return text
        analyte = BY_KEY[key]
        return result_text(analyte, text, unit_of(had.lstrip("<>≤≥= ").partition(" as ")[0]) or usual_unit(analyte, self.session.system))

    def _understood(self, key: str, label: str) -> str:
        result = self.results.get(key)
        return f"{label}: read as {read_as(result, BY_KEY[key], self.session.system)}." if result is not None else ""

    # Pasting ------------------------------------------------------------------------------------------------------------------

    def _paste_all(self) -> None:
        self._pasted(QGuiApplication.clipboard().text(), self.sheet.key, "result")

    def _pasted(self, text: str, key: str, column: str) -> None:
        if column in ("method", "note"):
            self._edited(key, column, text.strip().partition("\n")[0])
            return
        found = read_pasted(text)
        named = [(r.analyte or r.name, r.name, r.text) for r in found.results] or self._down_from(key, found)
        if len(named) == 1 and not found.results:
            self._set_result(named[0][0], named[0][2])
            return
        self._take(named, found.more)

    def _down_from(self, key: str, found: Pasted) -> list[tuple[str, str, str]]:
        """The values of one column with the lines they come to stand in."""
        lines = self.sheet.sheet.lines
        start = next((i for i, line in enumerate(lines) if line.key == key), 0)
        return [(line.key, line.name, value) for line, value in zip(lines[start:], found.values, strict=False) if value]

    def _take(self, named: Sequence[tuple[str, str, str]], more: int) -> None:
        """Write what can be read as one step, and say what could not."""
        texts_, refused = {}, []
        for key, name, text in named:
            had = edits.parts_of(self.sample.results.get(key) if self.sample is not None else None)[0]
            written = self._as_written(key, text, had)
            if reason := _refusal(key, written):
                refused.append(f"{name}: {reason}")
            else:
                texts_[key] = written
        reason = self.attempt(edits.set_results(self.session.document, self.name, texts_)) if texts_ else ""
        if reason:
            refused, texts_ = [reason], {}
        self.say(_pasted_words(texts_, refused, more), refused=bool(refused) or not texts_)
        self.refresh()

    # Samples ------------------------------------------------------------------------------------------------------------------

    def _add(self) -> None:
        self._start({})

    def _copy(self) -> None:
        self._start(dict(self.sample.results) if self.sample is not None else {})

    def _start(self, results: Mapping[str, object]) -> None:
        name = edits.free_name([sample.id for sample in self.session.document.samples])
        if self.do(edits.add_sample(name, results, self.sample if results else None)):
            self.show_sample(name)

    def _remove(self) -> None:
        if self.sample is not None:
            self.do(edits.remove_sample(self.session.document, self.name))

    def _set_place(self, place: str) -> None:
        if not self.do(SetValue(path=("samples", self.name, "at"), value=place)):
            self.refresh()

    def _set_design(self, name: str) -> None:
        self.do(SetValue(path=("design_sample",), value=name))


def _sheet(sample: Sample | None) -> Mapping[str, Result]:
    return read_sheet(sample.results) if sample is not None else {}


def _refusal(key: str, text: str) -> str:
    """Why a text is no result of that analyte, "" where it is one."""
    try:
        if key in BY_KEY and text:
            read_result(key, text)
    except SampleError as error:
        return str(error)
    return ""


def _pasted_words(taken: Mapping[str, str], refused: Sequence[str], more: int) -> str:
    """What became of what was pasted."""
    others = [key for key in taken if key not in BY_KEY]
    words = [f"{len(taken)} result{'s' * (len(taken) != 1)} pasted." if taken else "Nothing that can be read as results was pasted."]
    if others:
        words.append(f"Kept under a name of its own, not judged: {', '.join(others[:_MOST_TOLD])}.")
    if refused:
        rest = f"; and {len(refused) - _MOST_TOLD} more" if len(refused) > _MOST_TOLD else ""
        words.append(f"Not read: {'; '.join(refused[:_MOST_TOLD])}{rest}.")
    if more:
        words.append(f"Further columns of results, {more} of them, were left: paste them into another sample.")
    return " ".join(words)


EDITOR = SamplesEditor
