"""The user's own catalogues: picked or dropped, checked row by row, and searched beside the program's own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QAbstractItemView, QFileDialog, QListWidget, QListWidgetItem, QWidget

from trainapp.desktop.catalogues import catalogues
from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.dropped import CATALOGUES, dropped_files
from trainapp.desktop.parts import BoxButton, quiet, wrapped
from trainapp.desktop.prefs import Prefs
from trainapp.reports.drawing.tokens import BODY
from trainapp.train.catalogue_reading import Fault
from trainapp.train.catalogue_template import template
from trainapp.train.whole_file import replace_file

LEAD = (
    "Items of your own stand beside the program's in Find a stage, and remedies choose among them. A catalogue is TOML with [[item]] "
    "tables, or CSV with a column for each setting; both name an item and its kind. Drop a file here, or pick one."
)
_FILTER = "Catalogues (*.toml *.csv);;All files (*)"
_PATH = Qt.ItemDataRole.UserRole


class CatalogueWindow(SideWindow):
    """Lists the files in use, takes in others and leaves them out again."""

    def __init__(self, prefs: Prefs, parent: QWidget | None = None) -> None:
        super().__init__("Own catalogues", QSize(600, 400), parent)
        self.prefs = prefs
        self.setAcceptDrops(True)
        self.list = QListWidget()
        quiet(self.list)
        self.list.setAccessibleName("Own catalogues")
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.none = wrapped("None yet.", "ink3", BODY)
        self.column.addWidget(wrapped(LEAD, "ink2", BODY))
        self.column.addWidget(self.none)
        self.column.addWidget(self.list, 1)
        self.wrong = QListWidget()
        quiet(self.wrong)
        self.wrong.setAccessibleName("What is wrong, and what would be right")
        self.wrong.setWordWrap(True)
        self.wrong.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.wrong.hide()
        self.column.addWidget(self.wrong, 2)
        self.save = BoxButton("Save a template…", "Save a template: a CSV with a row for each kind")
        self.save.clicked.connect(self.do_template)
        self.pick = BoxButton("Add…", "Pick a catalogue")
        self.pick.clicked.connect(self.do_add)
        self.leave = BoxButton("Leave out", "Leave the selected catalogue out")
        self.leave.clicked.connect(self.do_remove)
        self.add_button(self.save)
        self.add_button(self.pick)
        self.add_button(self.leave)
        catalogues().changed.connect(self.refresh)
        catalogues().told.connect(self._told)
        self.list.currentRowChanged.connect(self._follow)
        self.refresh()
        self.pick.setFocus(Qt.FocusReason.OtherFocusReason)

    def refresh(self) -> None:
        """Show the files in use."""
        row = self.list.currentRow()
        self.list.clear()
        for path in catalogues().files:
            count = catalogues().count(path)
            item = QListWidgetItem(f"{path.name}: {count} item{'s' * (count != 1)}")
            item.setData(_PATH, str(path))
            item.setToolTip(str(path))
            self.list.addItem(item)
        self.list.setCurrentRow(min(max(row, 0), self.list.count() - 1))
        self.none.setVisible(not self.list.count())
        self._follow()

    def _follow(self, _row: int = 0) -> None:
        self.leave.setEnabled(self.list.currentItem() is not None)

    def do_add(self) -> None:
        """Ask for files and take them in."""
        names, _ = QFileDialog.getOpenFileNames(self, "Add a catalogue", self.prefs.folder, _FILTER)
        self.take(Path(name) for name in names)

    def take(self, paths: Iterable[Path]) -> None:
        """Read files; what is wrong with one is said with its row and column."""
        paths = list(paths)
        if paths:
            self._show_faults(())
            self.say(f"Reading {', '.join(path.name for path in paths)}…")
            catalogues().add(paths)

    def do_remove(self) -> None:
        """Leave the selected file out."""
        item = self.list.currentItem()
        if item is not None:
            path = Path(item.data(_PATH))
            catalogues().remove(path)
            self.prefs.catalogues = (other for other in self.prefs.catalogues if other != path)
            self.say(f"{path.name} is left out. Documents keep the items that they use.")

    def do_template(self) -> None:
        """Ask where, and write a catalogue to begin with."""
        start = str(Path(self.prefs.folder) / "catalogue.csv")
        name, _ = QFileDialog.getSaveFileName(self, "Save a template", start, "CSV (*.csv)")
        if not name:
            return
        path = Path(name)
        try:
            replace_file(path, template().encode())
        except OSError as error:
            self.say(f"{path.name} could not be written: {error.strerror or error}.", refused=True)
            return
        self.say(f"Wrote {path.name}: a row for each kind. Put your own items in their place, then add it.")

    def _show_faults(self, faults: Sequence[Fault]) -> None:
        """List what is wrong, a row each."""
        self.wrong.clear()
        for fault in faults:
            text = f"{fault.where}: {fault.told}" if fault.where else fault.told
            # as the file writes it: a column is not spelt as its reader does
            item = QListWidgetItem(text[:1].upper() + text[1:])
            item.setToolTip(text)
            self.wrong.addItem(item)
        self.wrong.setVisible(bool(faults))
        self.list.setVisible(self.list.count() > 0 or not faults)

    def _told(self, path: Path, problem: str) -> None:
        if problem:
            faults = catalogues().faults.get(path, ())
            several = len(faults) > 1
            self._show_faults(faults if several else ())
            self.say(f"Not taken in: {path.name}, {len(faults)} faults." if several else f"Not taken in: {problem}.", refused=True)
            return
        count = catalogues().count(path)
        self.say(f"Took in {count} item{'s' * (count != 1)} of {path.name}.")
        # A file of last time that could not be read today stays remembered: its disk may be back tomorrow.
        self.prefs.catalogues = dict.fromkeys((*self.prefs.catalogues, path))

    # Drops --------------------------------------------------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if dropped_files(event.mimeData(), CATALOGUES):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        self.take(dropped_files(event.mimeData(), CATALOGUES))
        event.acceptProposedAction()
