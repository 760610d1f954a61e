"""The right column of the Hand-over view: what is due next, the upkeep log, and a line to add to it."""

from __future__ import annotations

import datetime
from collections.abc import Callable

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QAbstractItemView, QHBoxLayout, QHeaderView, QTreeWidget, QTreeWidgetItem, QVBoxLayout, QWidget

from trainapp.desktop.figures import local
from trainapp.desktop.handover.log_form import LogForm
from trainapp.desktop.parts import BoxButton, TokenLabel, quiet, wrapped
from trainapp.desktop.session import Session
from trainapp.reports.drawing.tokens import CAPTION, HEADING, PAD, ROW_TIGHT
from trainapp.reports.upkeep_log import Due, Entry, doubt_of, due, entries, row_of, start_up
from trainapp.spelling import inside
from trainapp.train.edits import Batch, RemoveValue, SetValue

#: Width of the column, px: in a narrow and in a wide window.
WIDTHS = (320, 400)
_ROLE = Qt.ItemDataRole.UserRole


def today() -> datetime.date:
    """The day that it is."""
    return datetime.date.today()


class UpkeepPanel(QWidget):
    """The column. It follows the document, and changes it by undoable steps."""

    #: Signal emitted with one sentence on what was done, and whether it was refused.
    told = Signal(str, bool)

    def __init__(self, session: Session, clock: Callable[[], datetime.date] = today, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session, self.clock = session, clock
        self.due = _tree("Due next", ("due", "what"))
        self.log = _tree("Upkeep log", ("date", "what was done", "by"))
        self.counted = wrapped("", "ink2", CAPTION)
        self.none = wrapped("Nothing yet. Begin with the start-up: everything is counted from it.", "ink3", CAPTION)
        self.form = LogForm()
        self.remove = BoxButton("Remove", "Remove the selected line of the upkeep log")
        self._arrange()
        self.due.currentItemChanged.connect(self._due_chosen)
        self.due.itemActivated.connect(self._due_activated)
        self.log.currentItemChanged.connect(self._log_chosen)
        self.remove.clicked.connect(self.do_remove)
        self.form.added.connect(self.do_add)
        self.form.refused.connect(self._refused)

    def _arrange(self) -> None:
        head = QHBoxLayout()
        head.addWidget(TokenLabel("Upkeep log", "ink", HEADING, True), 1)
        head.addWidget(self.remove)
        column = QVBoxLayout(self)
        column.setContentsMargins(int(PAD), int(PAD), int(PAD), int(PAD))
        column.setSpacing(6)
        column.addWidget(TokenLabel("Due next", "ink", HEADING, True))
        column.addWidget(self.counted)
        column.addWidget(self.due, 3)
        column.addLayout(head)
        column.addWidget(self.none)
        column.addWidget(self.log, 2)
        column.addWidget(self.form)

    def refresh(self) -> None:
        """Show what holds for the document as it is now."""
        session, assessment = self.session, self.session.assessment
        model = assessment.model if assessment is not None else None
        self.names = {"": "Whole train"} | ({stage.id: stage.title for stage in model.stages} if model is not None else {})
        begun = start_up(session.document)
        if begun is None:
            self.counted.setText("No start-up stands in the log: what was never done is counted from today.")
        else:
            self.counted.setText(f"Counted from start-up on {begun.isoformat()}, or from when a chore was done last.")
        found = due(assessment.evaluation, session.document, self.clock()) if assessment is not None else ()
        _fill(self.due, [self._due_line(item) for item in found])
        lines = [self._log_line(entry) for entry in entries(session.document)]
        _fill(self.log, lines)
        self.none.setVisible(not lines)
        self.log.setVisible(bool(lines))
        self._log_chosen()
        chores = {node: [item.task.short for item in found if item.task.stage == node] for node in self.names}
        self.form.show_choices(self.names, chores, self.clock())

    def _due_line(self, item: Due) -> tuple[tuple[str, ...], str, Due]:
        days = item.days(self.clock())
        word = f"{-days} d overdue" if days < 0 else "today" if days == 0 else item.date.isoformat()
        what = f"{self.names.get(item.task.stage, item.task.stage)}: {inside(item.task.short)}"
        last = f"done last on {item.last.isoformat()}" if item.last else "never done"
        return (word, what), f"{item.date.isoformat()}, {what}, {item.task.when}, {last}", item

    def _log_line(self, entry: Entry) -> tuple[tuple[str, ...], str, Entry]:
        day = entry.date.isoformat() if entry.date else "no date"
        place = f"{self.names.get(entry.stage, entry.stage)}: " if entry.stage else ""
        what = f"{place}{inside(entry.what) if place else entry.what}" + (f" ({entry.note})" if entry.note else "")
        return (day, what, entry.by), ", ".join(part for part in (day, what, entry.by) if part), entry

    # Done -----------------------------------------------------------------------------------------------------------------------

    def do_add(self, date: datetime.date, stage: str, what: str, by: str, note: str) -> None:
        """Put a line into the log."""
        place, doubt = len(self.session.document.log), doubt_of(self.session.document, date, what)
        edit = SetValue(path=("log", place), value=row_of(date, stage, what, by, note))
        if self.session.edit(Batch(edits=[edit], name=f"Add to the upkeep log: {what}")):
            self.form.taken()
            odd = f" But {doubt}; Undo takes this line out again." if doubt else ""
            self.told.emit(f"In the log: {what}, {date.isoformat()}.{odd}", False)

    def do_remove(self) -> None:
        """Take the selected line out of the log."""
        item = self.log.currentItem()
        entry = item.data(0, _ROLE) if item is not None else None
        if entry is not None:
            edit = Batch(edits=[RemoveValue(path=("log", entry.row))], name=f"Remove from the upkeep log: {entry.what}")
            if self.session.edit(edit):
                self.told.emit(f"Out of the log: {entry.what}. Undo brings it back.", False)

    def _refused(self, sentence: str) -> None:
        self.told.emit(sentence, True)

    def _due_chosen(self, item: QTreeWidgetItem | None, _before: QTreeWidgetItem | None = None) -> None:
        """What is selected stands ready to be logged."""
        if item is not None:
            chosen: Due = item.data(0, _ROLE)
            self.form.choose(chosen.task.stage, chosen.task.short)

    def _due_activated(self, _item: QTreeWidgetItem, _column: int) -> None:
        self.form.by.setFocus(Qt.FocusReason.OtherFocusReason)

    def _log_chosen(self, _item: QTreeWidgetItem | None = None, _before: QTreeWidgetItem | None = None) -> None:
        self.remove.setEnabled(self.log.currentItem() is not None)


def _tree(name: str, heads: tuple[str, ...]) -> QTreeWidget:
    tree = QTreeWidget()
    tree.setAccessibleName(name)
    quiet(tree)
    tree.setColumnCount(len(heads))
    tree.setHeaderLabels(list(heads))
    tree.setRootIsDecorated(False)
    tree.setUniformRowHeights(True)
    tree.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
    tree.setTextElideMode(Qt.TextElideMode.ElideRight)
    header = tree.header()
    header.setSectionsMovable(False)
    header.setStretchLastSection(False)
    for column in range(len(heads)):
        header.setSectionResizeMode(column, QHeaderView.ResizeMode.Stretch if column == 1 else QHeaderView.ResizeMode.ResizeToContents)
    return tree


def _fill(tree: QTreeWidget, lines: list[tuple[tuple[str, ...], str, object]]) -> None:
    """Show other lines; the one at the same place stays selected."""
    row = tree.indexOfTopLevelItem(tree.currentItem()) if tree.currentItem() is not None else -1
    tree.blockSignals(True)
    tree.clear()
    for texts, whole, data in lines:
        item = QTreeWidgetItem(tree, list(map(local, texts)))
        item.setData(0, _ROLE, data)
        for column in range(len(texts)):
            item.setToolTip(column, whole)
        item.setSizeHint(1, QSize(0, int(ROW_TIGHT)))
        item.setData(0, Qt.ItemDataRole.AccessibleTextRole, whole)
    if 0 <= row < tree.topLevelItemCount():
        tree.setCurrentItem(tree.topLevelItem(row))
    tree.blockSignals(False)


__all__ = ["WIDTHS", "UpkeepPanel", "today"]
