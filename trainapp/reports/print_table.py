"""Tables down the pages: heads again on every page, rows kept whole as far as a page is high."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from trainapp.reports.drawing.display import Line, Rect, Text
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_text import fold

_PAD = 3.0
_GUTTER = 8.0
_LEADING = 1.32
#: Rows at the end of a table that stand on one page.
_TAIL = 3

Row = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PrintTable:
    """A table.

    Attributes:
        heads: names of the columns.
        widths: shares of the page's width.
        rows: texts, one a column. A row of one text alone is a heading inside the table.
        right: columns set to the right, as figures are. bold: columns set bold.
        size: of its letters, px.
        lines: least lines of a row, for what is written in by hand.
    """

    heads: Row
    widths: tuple[float, ...]
    rows: Sequence[Row]
    right: frozenset[int] = frozenset()
    bold: frozenset[int] = frozenset()
    size: float = CAPTION
    lines: int = 1


@dataclass(slots=True)
class _Setter:
    """Sets one table into a flow."""

    flow: Flow
    table: PrintTable
    lefts: list[float] = field(default_factory=list)
    rooms: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        whole = sum(self.table.widths)
        free = self.flow.width - _GUTTER * (len(self.table.widths) - 1)
        x = self.flow.left
        for share in self.table.widths:
            self.lefts.append(x)
            self.rooms.append(free * share / whole)
            x += self.rooms[-1] + _GUTTER

    @property
    def pitch(self) -> float:
        return self.table.size * _LEADING

    def whole(self) -> float:
        """Height of the table on one page, heads as well."""
        size, measure = self.table.size, self.flow.measure
        heads = [fold(text, room, size, True, measure) for text, room in zip(self.table.heads, self.rooms, strict=True)]
        return self.height(heads) + sum(map(self.tall, self.table.rows)) + 2 * _PAD

    def set(self) -> None:
        first = next((self.cells(row) for row in self.table.rows if len(row) > 1), [[""]])
        self.flow.skip(_PAD)
        self.flow.keep(3 * self.pitch + min(self.height(first), 8 * self.pitch))
        self.heads()
        tail = self.tail()
        for index, row in enumerate(self.table.rows):
            if index == len(self.table.rows) - len(tail) and self.flow.room < sum(tail) <= self.flow.paper.height / 3:
                self.turn()
            if len(row) == 1:
                self.band(row[0])
            else:
                self.row(self.cells(row))
        self.flow.y += _PAD

    def tail(self) -> list[float]:
        """Heights of the last rows, which go over together; none of a table of no more rows."""
        last = self.table.rows[-_TAIL:] if len(self.table.rows) > _TAIL else []
        return [self.tall(row) for row in last]

    def tall(self, row: Row) -> float:
        """Height of a row, or of a heading inside the table."""
        return self.height(self.cells(row)) if len(row) > 1 else 2 * self.pitch

    def heads(self) -> None:
        """The heads on a tint."""
        if not any(self.table.heads):
            return
        cells = [
            fold(text, room, self.table.size, True, self.flow.measure) for text, room in zip(self.table.heads, self.rooms, strict=True)
        ]
        height = self.height(cells)
        self.flow.items.append(Rect(self.flow.left - 4.0, self.flow.y, self.flow.width + 8.0, height, "well"))
        self.draw(cells, bold=True)
        self.flow.y += height

    def band(self, text: str) -> None:
        """A heading across the table, kept with the row that follows."""
        lines = fold(text, self.flow.width, self.table.size, True, self.flow.measure)
        if self.flow.room < (len(lines) + 3) * self.pitch:
            self.turn()
        self.flow.y += _PAD
        for line in lines:
            self.flow.y += self.pitch
            self.flow.items.append(Text(self.flow.left, self.flow.y - 0.25 * self.pitch, line, "ink", self.table.size, "start", True))
        self.flow.y += _PAD / 2

    def row(self, cells: list[list[str]]) -> None:
        """A row; one that no page can hold goes on over the next."""
        page = self.flow.paper.height / 2
        while cells:
            if self.flow.room < self.height(cells) and (self.height(cells) < page or self.flow.room < 4 * self.pitch):
                self.turn()
            count = max(int((self.flow.room - 2 * _PAD) / self.pitch), 1)
            now, cells = [lines[:count] for lines in cells], [lines[count:] for lines in cells]
            self.draw(now)
            self.flow.y += self.height(now)
            self.flow.items.append(
                Line(self.flow.left - 4.0, self.flow.y, self.flow.left + self.flow.width + 4.0, self.flow.y, "hair", 0.7)
            )
            cells = cells if any(cells) else []

    def turn(self) -> None:
        """Go on at the head of a new page."""
        self.flow.new_page()
        self.heads()

    def cells(self, row: Row) -> list[list[str]]:
        size, measure = self.table.size, self.flow.measure
        found = [fold(text, room, size, i in self.table.bold, measure) for i, (text, room) in enumerate(zip(row, self.rooms, strict=True))]
        found[0] += [""] * (self.table.lines - len(found[0]))
        return found

    def height(self, cells: list[list[str]]) -> float:
        return max(map(len, cells)) * self.pitch + 2 * _PAD

    def draw(self, cells: list[list[str]], bold: bool = False) -> None:
        for i, lines in enumerate(cells):
            anchor = "end" if i in self.table.right else "start"
            x = self.lefts[i] + (self.rooms[i] if anchor == "end" else 0.0)
            for number, line in enumerate(lines, 1):
                y = self.flow.y + _PAD + number * self.pitch - 0.25 * self.pitch
                if line:
                    self.flow.items.append(Text(x, y, line, "ink", self.table.size, anchor, bold or i in self.table.bold))


def height_of(flow: Flow, table: PrintTable) -> float:
    """Height of a table on one page, px."""
    return _Setter(flow, table).whole()


def set_table(flow: Flow, table: PrintTable) -> None:
    """Set a table where the flow stands."""
    _Setter(flow, table).set()
