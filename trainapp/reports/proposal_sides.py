"""Side by side: every row of the comparison with a column for each thing that can be done, on a page that lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainapp import units
from trainapp.reports.drawing.display import Line, Rect, Text
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.tokens import CAPTION, MARK_LEAST
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_text import fold
from trainapp.reports.proposal_offer import Offer
from trainapp.reports.proposal_rows import Row, notes

#: Columns beside one another at the most; more go on below.
MOST = 7
_LABEL, _GUTTER, _PAD, _MARK = 146.0, 8.0, 3.0, 14.0
_PITCH = CAPTION * 1.3


def set_sides(flow: Flow, offer: Offer, rows: Sequence[Row]) -> None:
    """The whole comparison, in as many parts as its columns ask for."""
    flow.heading("Side by side")
    flow.text("Bold: the best in that row of the trains without a failure of their own.", token="ink2", size=CAPTION)
    set_grid(flow, offer, rows, range(len(offer.columns)))
    flow.skip(4.0)
    flow.text(units.typeset(" ".join(notes(rows))), token="ink2", size=CAPTION)


def set_grid(flow: Flow, offer: Offer, rows: Sequence[Row], places: Sequence[int], label: float = _LABEL, *, figures: bool = False) -> None:
    """Rows with a cell for each of some columns (their places among those of the offer), in as many parts as they ask for.

    Args:
        label: width of what a row is, px. figures: whether the cells are figures alone, which end on one line.
    """
    step = -(-len(places) // -(-len(places) // MOST))
    for start in range(0, len(places), step):
        if start:
            flow.new_page()
        _Grid(flow, offer, list(places[start : start + step]), label, figures).set(rows)


@dataclass(slots=True)
class _Grid:
    """Sets some columns of the comparison."""

    flow: Flow
    offer: Offer
    places: list[int]
    label_room: float
    figures: bool

    @property
    def room(self) -> float:
        """Width of a cell."""
        return min((self.flow.width - self.label_room) / len(self.places) - _GUTTER, 190.0)

    def left(self, index: int) -> float:
        """Where a cell begins."""
        return self.flow.left + self.label_room + index * (self.room + _GUTTER) + _GUTTER

    def set(self, rows: Sequence[Row]) -> None:
        self.heads()
        section = ""
        for row in rows:
            if row.section != section:
                section = row.section
                self.band(section, self.height(row))
            self.row(row)

    def fold(self, text: str, width: float, bold: bool) -> list[str]:
        return fold(text, width, CAPTION, bold, self.flow.measure)

    def heads(self) -> None:
        names = [self.fold(self.offer.columns[place].name, self.room, True) for place in self.places]
        height = max(map(len, names)) * _PITCH + 2 * _PAD
        self.flow.items.append(Rect(self.flow.left - 4.0, self.flow.y, self.flow.width + 8.0, height, "well"))
        for index, lines in enumerate(names):
            self.lines(lines, self.left(index), bold=True, right=self.figures)
        self.flow.y += height

    def band(self, text: str, below: float) -> None:
        """A heading across, kept with the row that follows."""
        if self.flow.room < 2 * _PITCH + 2 * _PAD + below:
            self.turn()
        self.flow.y += _PITCH + 2 * _PAD
        self.flow.items.append(Text(self.flow.left, self.flow.y - _PAD, text, "ink", CAPTION, "start", True))

    def height(self, row: Row) -> float:
        cells = [len(self.label(row))] + [len(self.cell(row, place)) for place in self.places]
        return max(cells) * _PITCH + 2 * _PAD

    def label(self, row: Row) -> list[str]:
        return self.fold(row.label + (f", {row.unit}" if row.unit else ""), self.label_room, row.grave)

    def cell(self, row: Row, place: int) -> list[str]:
        cell = row.cells[place]
        return self.fold(cell.text, self.room - (_MARK if cell.mark else 0.0), cell.best)

    def row(self, row: Row) -> None:
        height = self.height(row)
        if self.flow.room < height:
            self.turn()
        self.lines(self.label(row), self.flow.left, bold=row.grave)
        for index, place in enumerate(self.places):
            cell, x = row.cells[place], self.left(index)
            if cell.mark:
                self.flow.items.extend(mark(cell.mark, x + 5.0, self.flow.y + _PAD + _PITCH - 7.0, MARK_LEAST))
                x += _MARK
            self.lines(self.cell(row, place), x, bold=cell.best, right=self.figures)
        self.flow.y += height
        self.flow.items.append(Line(self.flow.left - 4.0, self.flow.y, self.flow.left + self.flow.width + 4.0, self.flow.y, "hair", 0.7))

    def lines(self, lines: Sequence[str], x: float, bold: bool, right: bool = False) -> None:
        for number, line in enumerate(lines, 1):
            y = self.flow.y + _PAD + number * _PITCH - 3.0
            self.flow.items.append(Text(x + (self.room if right else 0.0), y, line, "ink", CAPTION, "end" if right else "start", bold))

    def turn(self) -> None:
        self.flow.new_page()
        self.heads()


__all__ = ["MOST", "set_grid", "set_sides"]
