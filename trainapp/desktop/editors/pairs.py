"""A list of pairs of quantities, such as the points of a pump's curve, typed into a small sheet or pasted from a spreadsheet."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from trainapp import units
from trainapp.desktop.editors.sheet import Cell, Column, Line, Sheet
from trainapp.desktop.editors.sheet_model import retold
from trainapp.desktop.typed import document_text, unit_of
from trainapp.reports.in_units import in_units

Pair = tuple[str, str]
NEW = "new"


class PairSheet(Sheet):
    """Pairs in the order of their first quantity, with an empty line for one more.

    Args:
        titles, dimensions: of both columns.
    """

    #: Signal emitted with all pairs, as a document writes them, once they are others.
    changed = Signal(list)
    #: Signal emitted with why something typed or pasted was not taken.
    refused = Signal(str)

    def __init__(self, name: str, titles: Pair, dimensions: Pair, parent: QWidget | None = None) -> None:
        super().__init__(name, parent)
        self.titles, self.dimensions = titles, dimensions
        self.pairs: list[Pair] = []
        self.system: units.System = "us"
        self._half = ["", ""]
        self.sheet.edited.connect(self._edited)
        self.cleared.connect(self._cleared)
        self.pasted.connect(self._pasted)

    def show_pairs(self, pairs: Sequence[Sequence[str]], system: units.System) -> None:
        """Show these pairs."""
        made = [(str(a), str(b)) for a, b in pairs]
        if made != self.pairs:
            self._half = ["", ""]
        self.pairs, self.system = made, system
        columns = [Column("first", self.titles[0], 128, right=True), Column("second", self.titles[1], 0, right=True)]
        lines = [self._line(str(i), f"point {i + 1}", pair) for i, pair in enumerate(made)]
        further = self._line(NEW, "a further point", (self._half[0], self._half[1]), hint=True)
        self.show_lines(columns, retold([*lines, further], system))

    def _line(self, key: str, name: str, pair: Pair, hint: bool = False) -> Line:
        hints = ("add a point", units.typeset(self._unit(1))) if hint else ("", "")
        cells = tuple(
            Cell(units.typeset(text), text, True, hint=hints[i], note=self._told(i, text)) for i, text in enumerate(pair)
        )  # fmt: skip
        return Line(key, name, cells)

    def _told(self, column: int, text: str) -> str:
        """What it is in the units shown, where it was typed in others."""
        if not text or not units.fits(text, self.dimensions[column]):
            return ""
        return units.typeset(units.show(units.parse(text, self.dimensions[column]), self.dimensions[column], self.system))

    def _unit(self, column: int) -> str:
        """Unit of a number alone: that in which the pairs there are are shown, else of the units shown."""
        stands = unit_of(in_units(self.pairs[0][column], self.system)) if self.pairs else ""
        return stands or units.unit(self.dimensions[column], self.system)

    # Typing -------------------------------------------------------------------------------------------------------------------

    def _edited(self, key: str, column: str, text: str) -> None:
        at = 0 if column == "first" else 1
        if not text:
            self._cleared(key, column)
            return
        try:
            value = document_text(text, self.dimensions[at], self._unit(at))
        except units.UnitError as error:
            self._refuse(str(error))
            return
        if key == NEW:
            self._half[at] = value
            if not all(self._half):
                self.show_pairs(self.pairs, self.system)
                self.hold()
                self.go_to(NEW, "second" if at == 0 else "first")
                return
            pairs = [*self.pairs, (self._half[0], self._half[1])]
        else:
            pairs = [*self.pairs]
            pair = pairs[int(key)]
            pairs[int(key)] = (value, pair[1]) if at == 0 else (pair[0], value)
        self.changed.emit(self._sorted(pairs))

    def _cleared(self, key: str, column: str) -> None:
        """A cleared cell takes its point away."""
        if key == NEW:
            self._half = ["", ""]
            self.show_pairs(self.pairs, self.system)
        elif key:
            self.changed.emit([list(pair) for i, pair in enumerate(self.pairs) if i != int(key)])

    def _sorted(self, pairs: list[Pair]) -> list[list[str]]:
        return [list(pair) for pair in sorted(pairs, key=lambda pair: units.parse(pair[0], self.dimensions[0]))]

    def _refuse(self, reason: str) -> None:
        self.hold()
        self.refused.emit(reason)

    def give_up(self) -> None:
        """Forget the point that is half typed: it was refused."""
        self._half = ["", ""]
        self.show_pairs(self.pairs, self.system)

    # Pasting ------------------------------------------------------------------------------------------------------------------

    def _pasted(self, text: str, key: str, column: str) -> None:
        """Two columns replace all pairs; a heading may give their units."""
        rows = [[cell.strip() for cell in line.replace(";", "\t").split("\t")] for line in text.splitlines() if line.strip()]
        if not rows:
            self._refuse("there is nothing on the clipboard")
        elif len(rows) == 1 and len(rows[0]) == 1 and key:
            self._edited(key, column, rows[0][0])
        else:
            self._take(rows)

    def _take(self, rows: list[list[str]]) -> None:
        units_ = [self._unit(0), self._unit(1)]
        if len(rows[0]) == 2 and not any(any(c.isdigit() for c in cell) for cell in rows[0]):
            heads = rows.pop(0)
            units_ = [_unit_in(head, dimension) or unit for head, dimension, unit in zip(heads, self.dimensions, units_, strict=True)]
        pairs: list[Pair] = []
        for number, row in enumerate(rows, 1):
            if len(row) != 2:
                self._refuse(f"line {number} has {len(row)} column{'s' * (len(row) != 1)}, not two")
                return
            try:
                first, second = (document_text(row[i], self.dimensions[i], units_[i]) for i in range(2))
            except units.UnitError as error:
                self._refuse(f"line {number}: {error}")
                return
            pairs.append((first, second))
        self.changed.emit(self._sorted(pairs))


def _unit_in(head: str, dimension: str) -> str:
    """The unit that a heading gives: "gpm", "Flow (gpm)", "Head, ft" give it, others nothing."""
    for part in head.replace("(", " ").replace(")", " ").replace(",", " ").split():
        if units.fits(f"1 {part}", dimension):
            return part
    return ""
