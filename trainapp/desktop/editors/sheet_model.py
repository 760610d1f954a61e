"""Lines and columns of a sheet as a table model. It holds no document, only what is shown of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt, Signal

from trainapp.desktop.figures import local
from trainapp.reports.drawing.marks import Mark
from trainapp.reports.in_units import nominal
from trainapp.units import System

Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its key, its heading, its width in px (0: what is left), and whether it is set to the right, as numbers are."""

    key: str
    title: str
    width: int = 0
    right: bool = False


@dataclass(frozen=True, slots=True)
class Cell:
    """What one cell shows.

    Attributes:
        text: shown. data: put into the editor, the text by default.
        editable: whether it can be typed into. choices: (word, text) of a choice; `free` ones can be typed over.
        token, bold: how it is written. hint: shown in grey while the text is empty. note: its tooltip.
        mark: status mark before the text.
    """

    text: str = ""
    data: str | None = None
    editable: bool = False
    choices: tuple[tuple[str, str], ...] = ()
    free: bool = False
    token: str = "ink"
    bold: bool = False
    hint: str = ""
    note: str = ""
    mark: Mark | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """One row of a sheet: what tells it from the others, its name for a screen reader, its cells; a `heading` spans all columns."""

    key: str
    name: str
    cells: tuple[Cell, ...] = field(default=())
    heading: bool = False


def retold(lines: Sequence[Line], system: System) -> list[Line]:
    """Lines that show every quantity in the units shown; what is typed over is what was typed."""
    return [replace(line, cells=tuple(_retold(cell, system) for cell in line.cells)) for line in lines]


def _retold(cell: Cell, system: System) -> Cell:
    data = cell.text if cell.data is None and cell.editable else cell.data
    choices = tuple((nominal(word, system), text) for word, text in cell.choices)
    text, hint, note = (nominal(each, system) for each in (cell.text, cell.hint, cell.note))
    return replace(cell, text=text, data=data, hint=hint, note=note, choices=choices)


#: Letters from which a text may not have room in its cell, and is its own tooltip.
_LONG = 12

CELL_ROLE = Qt.ItemDataRole.UserRole


class SheetModel(QAbstractTableModel):
    """Lines and columns as a table. A cell that is edited is handed on; the document's answer comes back as new lines."""

    #: Signal emitted with line key, column key and text of an edited cell.
    edited = Signal(str, str, str)
    # Of the class, too: a view that is torn down still asks.
    columns: tuple[Column, ...] = ()
    lines: tuple[Line, ...] = ()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)

    def show_lines(self, columns: Sequence[Column], lines: Sequence[Line]) -> bool:
        """Show other lines; whether the whole table is another."""
        columns, lines = tuple(columns), tuple(lines)
        same = len(columns) == len(self.columns) and [line.key for line in lines] == [line.key for line in self.lines]
        if same and columns == self.columns:
            changed = [i for i, (old, new) in enumerate(zip(self.lines, lines, strict=True)) if old != new]
            self.lines = lines
            for i in changed:
                self.dataChanged.emit(self.index(i, 0), self.index(i, len(columns) - 1))
            return False
        self.beginResetModel()
        self.columns, self.lines = columns, lines
        self.endResetModel()
        return True

    def cell(self, index: Index) -> Cell:
        """The cell at an index."""
        line = self.lines[index.row()]
        return line.cells[index.column()] if index.column() < len(line.cells) else Cell()

    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.lines)

    def columnCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.columns)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if not index.isValid() or index.row() >= len(self.lines):
            return None
        cell = self.cell(index)
        if role == Qt.ItemDataRole.DisplayRole:
            return local(cell.text)
        if role == Qt.ItemDataRole.EditRole:
            return cell.text if cell.data is None else cell.data
        if role == Qt.ItemDataRole.ToolTipRole:
            return cell.note or (cell.text if len(cell.text) > _LONG else None)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            title = self.columns[index.column()].title
            return ", ".join(part for part in (self.lines[index.row()].name, title, cell.text or cell.hint or "empty") if part)
        return cell if role == CELL_ROLE else None

    def flags(self, index: Index) -> Qt.ItemFlag:
        if self.lines[index.row()].heading:
            return Qt.ItemFlag.ItemIsEnabled
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        return flags | Qt.ItemFlag.ItemIsEditable if self.cell(index).editable else flags

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        if role != Qt.ItemDataRole.EditRole or not index.isValid():
            return False
        text = str(value).strip()
        if text != self.data(index, Qt.ItemDataRole.EditRole):
            self.edited.emit(self.lines[index.row()].key, self.columns[index.column()].key, text)
        return True

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if orientation == Qt.Orientation.Horizontal:
            if role == Qt.ItemDataRole.DisplayRole:
                return self.columns[section].title
            if role == Qt.ItemDataRole.TextAlignmentRole:
                side = Qt.AlignmentFlag.AlignRight if self.columns[section].right else Qt.AlignmentFlag.AlignLeft
                return side | Qt.AlignmentFlag.AlignVCenter
        elif role == Qt.ItemDataRole.DisplayRole:
            return self.lines[section].name
        return None
