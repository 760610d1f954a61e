"""Plumbing: what every pipe is made of, and what one is of its own, segment by segment, with the speed of the water in each."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainapp import units
from trainapp.desktop.editors import plumbing_edits as edits
from trainapp.desktop.editors.counts import CountSheet
from trainapp.desktop.editors.dialog import Editor, heading
from trainapp.desktop.editors.plumbing_lines import FITTINGS, SEGMENTS, fitting_lines, pipe_columns, pipe_lines, segment_lines
from trainapp.desktop.editors.said import findings_where
from trainapp.desktop.editors.scroll import Sentences, column_area
from trainapp.desktop.editors.sheet import Sheet
from trainapp.desktop.editors.sheet_model import retold
from trainapp.desktop.parts import BoxButton, wrapped
from trainapp.desktop.typed import document_text, unit_of
from trainapp.reports.drawing.display import Tag
from trainapp.reports.in_units import in_units, trade_size
from trainapp.stages.working import PEAK
from trainapp.train.edits import Edit

_EVERY = "What holds for every pipe that does not say otherwise."
_OWN = "What it does not say itself, in grey, is that of every pipe."
_LIKE = "It has nothing of its own: it is like every pipe."
_DIMENSIONS = {"size": "length", "length": "distance"}


class PlumbingEditor(Editor):
    """The pipes of a document."""

    opens = QSize(1180, 640)

    def build(self) -> None:
        self.name = edits.EVERY
        self.index = 0
        self.pipes = Sheet("Pipes")
        self.pipes.current.connect(self._turn)
        self.title = heading("")
        self.told = wrapped("", "ink3")
        self.segments = Sheet("Segments")
        self.segments.setFixedHeight(132)
        self.segments.sheet.edited.connect(self._edited)
        self.segments.cleared.connect(self._cleared)
        self.segments.current.connect(self._turn_segment)
        self.fittings = CountSheet("Fittings")
        self.fittings.counted.connect(self._count)
        self.fittings.refused.connect(self._not_counted)
        self._gesture = ""
        self.words = Sentences()
        left = self._left()
        self.put_beside(left, self._right(), grows=left)

    def _left(self) -> QWidget:
        left = QWidget()
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.pipes, 3)
        column.addWidget(column_area(self.words, "What follows"), 1)
        return left

    def _right(self) -> QWidget:
        right = QWidget()
        right.setFixedWidth(452)
        column = QVBoxLayout(right)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.title)
        column.addWidget(self.told)
        column.addWidget(self.segments)
        self.add = self._button("Add a segment", "Put a segment behind the current one", self._add)
        self.remove = self._button("Remove segment", "Remove the current segment", self._remove)
        self.like = self._button("As every pipe", "Give up what this pipe has of its own", self._like)
        buttons = QHBoxLayout()
        for button in (self.add, self.remove, self.like):
            buttons.addWidget(button)
        buttons.addStretch(1)
        column.addLayout(buttons)
        column.addSpacing(4)
        column.addWidget(self.fittings.head("Fittings"))
        column.addWidget(self.fittings, 1)
        return right

    def _button(self, text: str, name: str, slot: Any) -> BoxButton:
        button = BoxButton(text, name)
        button.clicked.connect(slot)
        return button

    # Showing ------------------------------------------------------------------------------------------------------------------

    def first(self) -> QWidget:
        return self.pipes

    def turn_to(self, selection: Tag) -> None:
        if selection[:1] == ("link",):
            self.pipes.go_to(f"{selection[1]}>{selection[2]}", "pipe")

    def refresh(self) -> None:
        document = self.session.document
        if self.name != edits.EVERY and edits.link_named(document, self.name) is None:
            self.name, self.index = edits.EVERY, 0
        self.pipes.show_lines(pipe_columns(self.session.system), retold(pipe_lines(self.session), self.session.system))
        if self.pipes.currentIndex().row() < 0:
            self.pipes.go_to(self.name, "pipe")
        self._show_pipe()
        codes = ("velocity", "uv-plastic")
        self.words.show_sentences(findings_where(self.session, lambda finding: finding.code in codes))

    def _show_pipe(self) -> None:
        session, name = self.session, self.name
        link = edits.link_named(session.document, name)
        count = len(edits.segments_of(session.document, name))
        self.index = min(self.index, count - 1)
        self.title.setText(next((line.name for line in self.pipes.sheet.lines if line.key == name), ""))
        own = link is not None and link.pipe is not None
        self.told.setText(_EVERY if link is None else _OWN if own else _LIKE)
        self.segments.show_lines(SEGMENTS, retold(segment_lines(session, name, self._flow()), session.system))
        if self.segments.key != str(self.index):
            self.segments.go_to(str(self.index), self.segments.column or "material")
        self._show_fittings()
        self.add.setEnabled(link is not None)
        self.remove.setEnabled(count > 1)
        self.like.setEnabled(own)

    def _show_fittings(self) -> None:
        self.fittings.show_lines(FITTINGS, fitting_lines(self.session, self.name, self.index))

    def _flow(self) -> float:
        """m3/s in this pipe at the peak; of every pipe none."""
        link, assessment = edits.link_named(self.session.document, self.name), self.session.assessment
        result = assessment.evaluation.links.get(link.ends) if link is not None and assessment is not None else None
        return float(result.flow[PEAK]) if result is not None else 0.0

    def _turn(self, name: str) -> None:
        if name != self.name and self.pipes.currentIndex().isValid():
            self.name, self.index = name, 0
            self.fittings.ended()
            self.say("")
            self._show_pipe()

    def _turn_segment(self, index: str) -> None:
        if index and int(index) != self.index:
            self.index = int(index)
            self.fittings.ended()
            self._show_fittings()

    # Doing --------------------------------------------------------------------------------------------------------------------

    def _edited(self, index: str, key: str, text: str) -> None:
        if key not in edits.KEYS:
            return
        own = edits.segments_of(self.session.document, self.name)[int(index)]
        value: str | None = text or None
        if text and key in _DIMENSIONS:
            dimension, system = _DIMENSIONS[key], self.session.system
            try:
                unit = unit_of(in_units(str(own.raw(key)), system)) or units.unit(dimension, system)
                value = document_text(trade_size(text, system) if key == "size" else text, dimension, unit)
            except units.UnitError as error:
                self._refused(f"{key.capitalize()}: {error}")
                return
        self._try(edits.set_part(self.session.document, self.name, int(index), key, value), key.capitalize())

    def _cleared(self, index: str, key: str) -> None:
        self._edited(index, key, "")

    def _count(self, fitting: str, count: int, on: bool) -> None:
        """Presses in a row on one fitting are one step of undo."""
        self._gesture = self._gesture if on else self.session.begin_gesture("count")
        had = edits.segments_of(self.session.document, self.name)[self.index].fitting_counts
        counts = {key: value for key, value in {**had, fitting: count}.items() if value}
        reason = self.attempt(edits.set_part(self.session.document, self.name, self.index, "fittings", counts), self._gesture)
        self.say(f"Fittings: {reason}." if reason else "", refused=bool(reason))

    def _not_counted(self, reason: str) -> None:
        self.say(reason, refused=True)

    def _add(self) -> None:
        if self.do(edits.add_segment(self.session.document, self.name, self.index)):
            self.index += 1
            self._show_pipe()

    def _remove(self) -> None:
        self.do(edits.remove_segment(self.session.document, self.name, self.index))

    def _like(self) -> None:
        self.index = 0
        self.do(edits.like_every(self.name))

    def _try(self, edit: Edit, what: str) -> None:
        reason = self.attempt(edit)
        if reason:
            self._refused(f"{what}: {reason}")
        else:
            self.say("")

    def _refused(self, reason: str) -> None:
        self.segments.hold()
        self.say(f"{reason}; it stays as it was.", refused=True)


EDITOR = PlumbingEditor
