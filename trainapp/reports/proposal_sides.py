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
_LABEL, _GUTTER, _MARK = 146.0, 8.0, 14.0
#: Room above and below the words of a row, and the least of it where the whole then stands on one page.
_PAD, _TIGHT = 3.0, 1.5
#: Rows that go over together at the end of a grid, and at the beginning of a section.
_TAIL, _HEAD = 3, 2
_PITCH = CAPTION * 1.3


def set_sides(flow: Flow, offer: Offer, rows: Sequence[Row]) -> None:
    """The whole comparison, in as many parts as its columns ask for."""
    flow.heading("Side by side")
    flow.text("Bold: the best in that row of the trains without a failure of their own.", token="ink2", size=CAPTION)
    told = units.typeset(" ".join(notes(rows)))
    below = 8.0 + len(fold(told, flow.width, CAPTION, False, flow.measure)) * _PITCH * 1.05
    set_grid(flow, offer, rows, range(len(offer.columns)), below=below)
    flow.skip(4.0)
    flow.keep(below)
    flow.text(told, token="ink2", size=CAPTION)


def set_grid(
    flow: Flow, offer: Offer, rows: Sequence[Row], places: Sequence[int], label: float = _LABEL, *,
    figures: bool = False, below: float = 0.0,
) -> None:  # fmt: skip
    """Rows with a cell for each of some columns (their places among those of the offer), in as many parts as they ask for.

    Args:
        label: width of what a row is, px. figures: whether the cells are figures alone, which end on one line.
        below: height of what is to stand under it on the same page.
    """
    step = -(-len(places) // -(-len(places) // MOST))
    for start in range(0, len(places), step):
        if start:
            flow.new_page()
        _Grid(flow, offer, list(places[start : start + step]), label, figures, below=below).set(rows)


def keep_grid(
    flow: Flow, offer: Offer, rows: Sequence[Row], places: Sequence[int], label: float = _LABEL, *, figures: bool = False, above: float
) -> None:
    """Begin a new page where a grid of one part finds no room on this one but does on that, with `above` px of heading and words; of a
    page that is hardly begun the rest is used."""
    grid = _Grid(flow, offer, list(places), label, figures, _TIGHT)
    if len(places) <= MOST and flow.room < 0.5 * flow.whole and (height := above + grid.whole(rows)) <= flow.whole:
        flow.keep(height)


@dataclass(slots=True)
class _Grid:
    """Sets some columns of the comparison."""

    flow: Flow
    offer: Offer
    places: list[int]
    label_room: float
    figures: bool
    pad: float = _PAD
    below: float = 0.0

    @property
    def room(self) -> float:
        """Width of a cell."""
        return min((self.flow.width - self.label_room) / len(self.places) - _GUTTER, 190.0)

    def left(self, index: int) -> float:
        """Where a cell begins."""
        return self.flow.left + self.label_room + index * (self.room + _GUTTER) + _GUTTER

    def set(self, rows: Sequence[Row]) -> None:
        if self.whole(rows) > self.flow.room:
            self.pad = _TIGHT
            if self.whole(rows) > self.flow.room:
                self.pad = _PAD
        self.heads()
        for index, row in enumerate(rows):
            begins = index == 0 or rows[index - 1].section != row.section
            if self.flow.room < self.together(rows, index):
                self.turn()
                if not begins:
                    self.band(f"{row.section}, continued")
            if begins:
                self.band(row.section)
            self.row(row)

    def whole(self, rows: Sequence[Row]) -> float:
        """Height of everything, heads and what stands below as well."""
        return self.below + self.heads_height() + self.tall(rows, 0, len(rows))

    def together(self, rows: Sequence[Row], index: int) -> float:
        """Height of what has to stand on one page from a row on: itself, at the end the last rows, under a heading the first."""
        section = rows[index].section
        few = _HEAD if index == 0 or rows[index - 1].section != section else 1
        if len(rows) - index < _TAIL + few:
            return self.tall(rows, index, len(rows))
        own = next((n for n in range(index, len(rows)) if rows[n].section != section), len(rows))
        return self.tall(rows, index, min(index + few, own))

    def tall(self, rows: Sequence[Row], start: int, stop: int) -> float:
        """Height of some rows with the headings that begin among them."""
        begins = sum(n == 0 or rows[n - 1].section != rows[n].section for n in range(start, stop))
        return sum(map(self.height, rows[start:stop])) + begins * (_PITCH + 2 * self.pad)

    def fold(self, text: str, width: float, bold: bool) -> list[str]:
        return fold(text, width, CAPTION, bold, self.flow.measure)

    def names(self) -> list[list[str]]:
        return [self.fold(self.offer.columns[place].name, self.room, True) for place in self.places]

    def heads_height(self) -> float:
        return max(map(len, self.names())) * _PITCH + 2 * self.pad

    def heads(self) -> None:
        names, height = self.names(), self.heads_height()
        self.flow.items.append(Rect(self.flow.left - 4.0, self.flow.y, self.flow.width + 8.0, height, "well"))
        for index, lines in enumerate(names):
            self.lines(lines, self.left(index), bold=True, right=self.figures)
        self.flow.y += height

    def band(self, text: str) -> None:
        """A heading across."""
        self.flow.y += _PITCH + 2 * self.pad
        self.flow.items.append(Text(self.flow.left, self.flow.y - self.pad, text, "ink", CAPTION, "start", True))

    def height(self, row: Row) -> float:
        cells = [len(self.label(row))] + [len(self.cell(row, place)) for place in self.places]
        return max(cells) * _PITCH + 2 * self.pad

    def label(self, row: Row) -> list[str]:
        return self.fold(row.label + (f", {row.unit}" if row.unit else ""), self.label_room, row.grave)

    def cell(self, row: Row, place: int) -> list[str]:
        cell = row.cells[place]
        return self.fold(cell.text, self.room - (_MARK if cell.mark else 0.0), cell.best)

    def row(self, row: Row) -> None:
        height = self.height(row)
        self.lines(self.label(row), self.flow.left, bold=row.grave)
        for index, place in enumerate(self.places):
            cell, x, lines = row.cells[place], self.left(index), self.cell(row, place)
            if cell.mark:
                # before the words, wherever they begin
                wide = max(self.flow.measure(line, CAPTION, cell.best) for line in lines)
                start = x + self.room - wide - _MARK if self.figures else x
                self.flow.items.extend(mark(cell.mark, start + 5.0, self.flow.y + self.pad + _PITCH - 7.0, MARK_LEAST))
                x += 0.0 if self.figures else _MARK
            self.lines(lines, x, bold=cell.best, right=self.figures)
        self.flow.y += height
        self.flow.items.append(Line(self.flow.left - 4.0, self.flow.y, self.flow.left + self.flow.width + 4.0, self.flow.y, "hair", 0.7))

    def lines(self, lines: Sequence[str], x: float, bold: bool, right: bool = False) -> None:
        for number, line in enumerate(lines, 1):
            y = self.flow.y + self.pad + number * _PITCH - 3.0
            self.flow.items.append(Text(x + (self.room if right else 0.0), y, line, "ink", CAPTION, "end" if right else "start", bold))

    def turn(self) -> None:
        self.flow.new_page()
        self.heads()


__all__ = ["MOST", "keep_grid", "set_grid", "set_sides"]
