"""Train in words: the whole train as a tree with its state, for keyboard and screen reader. The canvas itself cannot be read aloud."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QModelIndex, QSize, Signal
from PySide6.QtGui import QShowEvent, QStandardItem, QStandardItemModel
from PySide6.QtWidgets import QAbstractItemView, QTreeView, QWidget

from trainapp import units
from trainapp.checks.context import analyte_inside
from trainapp.desktop.card_content import stage_card, words
from trainapp.desktop.engine import Assessment
from trainapp.desktop.figures import local
from trainapp.desktop.parts import quiet
from trainapp.desktop.session import Session, node_tag
from trainapp.reports.drawing.dimensions import length_text
from trainapp.reports.drawing.display import Tag
from trainapp.reports.drawing.model import Cell
from trainapp.reports.drawing.tokens import ROW
from trainapp.reports.in_units import in_units
from trainapp.spelling import spelt
from trainapp.stages.working import PEAK
from trainapp.train.evaluation import Pressures
from trainapp.units import System

_TAG = 0x0100


class WordsTree(QTreeView):
    """The train as a tree: the supply, every stage in the order of flow, the ends; below each what it gets, does and is told."""

    #: Signal emitted when Return is pressed on a line: show its card.
    activated_line = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.lines = QStandardItemModel(self)
        self._quiet = False
        self.setModel(self.lines)
        quiet(self)
        self.setHeaderHidden(True)
        self.setAccessibleName("Train in words")
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setUniformRowHeights(True)
        self.selectionModel().currentChanged.connect(self._current_changed)
        self.activated.connect(self._activated)
        session.changed.connect(self.refresh)
        session.selection_changed.connect(self._follow)
        self.refresh()

    def refresh(self) -> None:
        """Say the train as it is now; what was unfolded stays so. Out of sight it is said once it is seen."""
        if not self.isVisible():
            return
        opened = {self._tag(index) for index in self._tops() if self.isExpanded(index)}
        self._quiet = True
        self.lines.clear()
        for tag, text, below in told(self.session):
            item = _item(text, tag)
            for line, line_tag in below:
                item.appendRow(_item(line, line_tag))
            self.lines.appendRow(item)
        for index in self._tops():
            self.setExpanded(index, self._tag(index) in opened)
        self._quiet = False
        self._follow()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def _tops(self) -> Iterator[QModelIndex]:
        return (self.lines.index(row, 0) for row in range(self.lines.rowCount()))

    def _tag(self, index: QModelIndex) -> Tag:
        tag: Tag = index.data(_TAG) or ()
        return tuple(tag)

    def _follow(self) -> None:
        """Go where the session's selection is."""
        if self._tag(self.currentIndex()) == self.session.selection:
            return
        self._quiet = True
        for top in self._tops():
            below = [self.lines.index(row, 0, top) for row in range(self.lines.rowCount(top))]
            found = next((index for index in (top, *below) if self._tag(index) == self.session.selection), None)
            if found is not None and self.session.selection:
                self.setCurrentIndex(found)
                break
        self._quiet = False

    def _current_changed(self, current: QModelIndex, _previous: QModelIndex) -> None:
        tag = self._tag(current)
        if not self._quiet and tag:
            self.session.select(tag)

    def _activated(self, index: QModelIndex) -> None:
        if self._tag(index):
            self.activated_line.emit()


def _item(text: str, tag: Tag) -> QStandardItem:
    item = QStandardItem(local(units.typeset(text)))
    item.setData(tag, _TAG)
    item.setSizeHint(QSize(10, int(ROW)))
    item.setToolTip(local(text))
    return item


Told = tuple[Tag, str, list[tuple[str, Tag]]]


def told(session: Session) -> Iterator[Told]:
    """Every line of the tree: its tag, its text, and the lines below with theirs."""
    document, assessment = session.document, session.assessment
    if assessment is None:
        return
    order = ["supply", *(stage.id for stage in assessment.model.stages), *(o for o in document.outlets), "house"]
    for node in order:
        tag = node_tag(document, node)
        if not tag:
            continue
        text = session.title_of(node)
        text = text[:1].upper() + text[1:]
        stage = assessment.model.stage(node)
        if stage is not None and stage.size:
            text = f"{text}, {stage.size}"
        told_of = (_state(assessment, node, session.system), _found(session, node), _settings(session, node), _pipes(session, node))
        below = (*told_of, _rest(assessment, node))
        yield tag, text, [line for lines in below for line in lines]


def _state(assessment: Assessment, node: str, system: System) -> Iterator[tuple[str, Tag]]:
    """What flows, what pressure is left, what it takes."""
    point = assessment.evaluation.points.get(node)
    if point is None:
        yield "no water passes it", ()
        return
    yield f"{_show(float(point.flow[PEAK]), 'flow', system)} at the peak", ()
    yield f"pressure behind it {_pressures(point.pressure, system)}", ()
    result = assessment.evaluation.stages.get(node)
    if result is not None:
        stage = assessment.model.stage(node)
        if stage is not None and stage.x is not None:
            yield f"its middle stands {length_text(stage.x, system)} from the left wall", ()
        clean, dirty = _show(result.headloss_clean, "pressure", system), _show(result.headloss_dirty, "pressure", system)
        yield f"it takes {clean} clean, {dirty} dirty", ()
    for row in assessment.model.rows:
        cell = row.cells.get(node)
        if cell is not None and cell.status in _STATES:
            yield _arriving(row.label, row.unit, cell), ("cell", row.key, node)


def _rest(assessment: Assessment, node: str) -> Iterator[tuple[str, Tag]]:
    """What arrives within its limit or without one, and what was not measured."""
    cells = [(row, cell) for row in assessment.model.rows if (cell := row.cells.get(node)) is not None]
    for row, cell in cells:
        if cell.status not in (*_STATES, "missing"):
            yield _arriving(row.label, row.unit, cell), ("cell", row.key, node)
    missing = [spelt(analyte_inside(row.key)) for row, cell in cells if cell.status == "missing"]
    if missing:
        yield f"not measured: {', '.join(missing)}", ()


_STATES = {"over": "over", "near": "near", "unknown": "cannot tell"}


def _arriving(label: str, unit: str, cell: Cell) -> str:
    """A value of the ledger, its limit where it has one, and how the two stand."""
    value = f"{label} arriving {cell.values[0]} {unit}".rstrip()
    if not cell.limit:
        return value if cell.status not in _STATES else f"{value}: {_STATES[cell.status]}"
    return f"{value}, limit {cell.limit}: {_STATES.get(cell.status, 'within')}"


def _settings(session: Session, node: str) -> Iterator[tuple[str, Tag]]:
    """What the document says of a stage, as its card does."""
    if not any(stage.id == node for stage in session.document.stages):
        return
    for group in stage_card(session.document, node, "").groups:
        for field in group.fields:
            if field.written is not None:
                written = in_units(field.written, session.system)
                yield f"{field.label} set to {words(written) if field.form == 'choice' else written}", ()


def _pipes(session: Session, node: str) -> Iterator[tuple[str, Tag]]:
    for link in session.document.links:
        if link.from_ == node:
            yield f"pipe to {session.title_of(link.to)}", ("link", *link.ends)


def _found(session: Session, node: str) -> Iterator[tuple[str, Tag]]:
    assessment = session.assessment
    for model, finding in zip(assessment.model.findings, assessment.findings, strict=True) if assessment else ():
        if node == finding.stage or node in finding.also_at:
            yield f"{model.severity} {model.number}: {model.title}", ("finding", model.number)


def _pressures(at: Pressures, system: System) -> str:
    return f"{_show(at.clean, 'pressure', system)} clean, {_show(at.dirty, 'pressure', system)} dirty"


def _show(value: float, dimension: str, system: System) -> str:
    return units.typeset(units.show(value, dimension, system))
