"""A sheet of cells: typed into, walked with arrows, copied and pasted as a spreadsheet does."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QModelIndex, Qt, Signal
from PySide6.QtGui import QFocusEvent, QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QStyledItemDelegate, QTableView, QWidget

from trainapp.desktop.editors.sheet_delegate import SheetDelegate, SheetHead
from trainapp.desktop.editors.sheet_model import Cell, Column, Index, Line, SheetModel
from trainapp.desktop.parts import quiet
from trainapp.reports.drawing.tokens import ROW

__all__ = ["Cell", "Column", "Line", "Sheet"]


class Sheet(QTableView):
    """The view of a sheet. Arrows walk, typing or F2 edits, Return edits and goes on below, Delete clears, Tab leaves."""

    #: Signal emitted with the text that is pasted, and the keys of the line and the column where it goes.
    pasted = Signal(str, str, str)
    #: Signal emitted with the keys of line and column of a cell that is cleared.
    cleared = Signal(str, str)
    #: Signal emitted with the key of the line that is current, "" for none.
    current = Signal(str)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sheet = SheetModel(self)
        self.setModel(self.sheet)
        self.setItemDelegate(SheetDelegate(self))
        self.setAccessibleName(name)
        self._held = False
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        triggers = QAbstractItemView.EditTrigger
        self.setEditTriggers(triggers.DoubleClicked | triggers.SelectedClicked | triggers.EditKeyPressed | triggers.AnyKeyPressed)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(int(ROW))
        self.verticalHeader().setMinimumSectionSize(int(ROW))
        self.setHorizontalHeader(SheetHead(self))
        quiet(self)

    # Showing ------------------------------------------------------------------------------------------------------------------

    def show_lines(self, columns: Sequence[Column], lines: Sequence[Line]) -> None:
        """Show lines; the current cell stays where its line stays."""
        key, column = self.key, self.column
        if self.sheet.show_lines(columns, lines):
            self._widths()
            self.clearSpans()
            for row, line in enumerate(self.sheet.lines):
                if line.heading:
                    self.setSpan(row, 0, 1, len(self.sheet.columns))
            self.go_to(key, column)

    def go_to(self, key: str, column: str) -> None:
        """Make a cell the current one, where there is such a line and such a column."""
        row = next((i for i, line in enumerate(self.sheet.lines) if line.key == key), None)
        at = next((i for i, other in enumerate(self.sheet.columns) if other.key == column), None)
        if row is not None and at is not None:
            self.setCurrentIndex(self.sheet.index(row, at))

    @property
    def key(self) -> str:
        """Key of the current line, "" for none."""
        at = self.currentIndex()
        return self.sheet.lines[at.row()].key if at.isValid() else ""

    @property
    def column(self) -> str:
        """Key of the current column, "" for none."""
        at = self.currentIndex()
        return self.sheet.columns[at.column()].key if at.isValid() else ""

    def cell(self, key: str, column: str) -> Cell:
        """A cell by the keys of its line and its column.

        Raises:
            KeyError: there is none.
        """
        for line in self.sheet.lines:
            if line.key == key:
                for part, other in zip(line.cells, self.sheet.columns, strict=False):
                    if other.key == column:
                        return part
        raise KeyError((key, column))

    def _widths(self) -> None:
        head = self.horizontalHeader()
        for i, column in enumerate(self.sheet.columns):
            head.setSectionResizeMode(i, QHeaderView.ResizeMode.Interactive if column.width else QHeaderView.ResizeMode.Stretch)
            if column.width:
                self.setColumnWidth(i, column.width)

    def currentChanged(self, current: Index, previous: Index) -> None:
        super().currentChanged(current, previous)
        self.current.emit(self.key)

    # Keys ---------------------------------------------------------------------------------------------------------------------

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if not self.currentIndex().isValid() and self.sheet.lines:
            self.setCurrentIndex(self._first())

    def _first(self) -> QModelIndex:
        """The first cell that can be edited, else the first."""
        for row in range(self.sheet.rowCount()):
            for column in range(self.sheet.columnCount()):
                index = self.sheet.index(row, column)
                if self.sheet.flags(index) & Qt.ItemFlag.ItemIsEditable:
                    return index
        return self.sheet.index(0, 0)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        at = self.currentIndex()
        if self.state() == QAbstractItemView.State.EditingState:
            # The editor's own key, on its way up.
            event.ignore()
        elif event.matches(QKeySequence.StandardKey.Copy):
            self._copy()
        elif event.matches(QKeySequence.StandardKey.Paste):
            self.pasted.emit(QGuiApplication.clipboard().text(), self.key, self.column)
        elif event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and at.isValid():
            if self.sheet.cell(at).editable:
                self.cleared.emit(self.key, self.column)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and at.isValid() and self.sheet.flags(at) & Qt.ItemFlag.ItemIsEditable:
            self.edit(at)
        else:
            super().keyPressEvent(event)

    def hold(self) -> None:
        """Stay at the cell that is being edited: what was typed was refused."""
        self._held = True

    def _copy(self) -> None:
        """The current line as text that a spreadsheet takes."""
        at = self.currentIndex()
        if at.isValid():
            QGuiApplication.clipboard().setText("\t".join(cell.text for cell in self.sheet.lines[at.row()].cells))

    def closeEditor(self, editor: QWidget, hint: QStyledItemDelegate.EndEditHint) -> None:
        """After Return the cell below is next, as on paper."""
        submitted = hint == QStyledItemDelegate.EndEditHint.SubmitModelCache and not self._held
        self._held = False
        super().closeEditor(editor, hint)
        at = self.currentIndex()
        if submitted and at.isValid() and at.row() + 1 < self.sheet.rowCount():
            self.setCurrentIndex(self.sheet.index(at.row() + 1, at.column()))

    def event(self, event: QEvent) -> bool:
        # Ctrl+V and Delete would otherwise be taken by the window's own shortcuts.
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            own = event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_F2) or any(
                event.matches(key) for key in (QKeySequence.StandardKey.Copy, QKeySequence.StandardKey.Paste)
            )
            if own:
                event.accept()
                return True
        return super().event(event)
