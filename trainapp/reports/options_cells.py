"""What a board of options is made of: heads, rows, cells. Words and shares only; a window, a page and a table draw it each in its way."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from trainapp.reports.drawing.marks import Mark
from trainapp.reports.drawing.model import BenchModel
from trainapp.studies.options.contender import Kind
from trainapp.units import System

#: What a cell opens: the bill, the treatment figures, how sure it is, all findings; "" for nothing.
Opens = Literal["", "bill", "treats", "sure", "findings"]
ILLUSTRATIVE = "illustrative"
#: A mark before a text: "none" draws a dash, "" nothing.
CellMark: TypeAlias = Mark | Literal["none", ""]


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar to the scale of its row, 0 to 1.

    Attributes:
        share: its length; where `to` is there, the bar is a band from `share` to `to`. wanted: the tall tick, None without one.
    """

    share: float
    to: float | None = None
    wanted: float | None = None


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell.

    Attributes:
        text: what it says, without the unit that stands in the row's head.
        mark: before the text; "none" draws a dash, "" nothing. bar: beside the text. blocks: (of how many, out of how many) draws.
        best: of its row. quiet: there is nothing to it. word: stands inside the picture ("illustrative").
        note: more of it, for a tooltip and a screen reader. lines: marked sentences one below the other, instead of a text.
        value: as a table holds it, in the row's unit; None where the cell is words. to: upper end of a band.
    """

    text: str = ""
    mark: CellMark = ""
    bar: Bar | None = None
    blocks: tuple[int, int] | None = None
    best: bool = False
    quiet: bool = False
    word: str = ""
    note: str = ""
    lines: tuple[tuple[CellMark, str], ...] = ()
    value: float | None = None
    to: float | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its name, its unit in small letters beside it, a cell for each column, what its cells open, and what is said of it."""

    key: str
    label: str
    unit: str
    cells: tuple[Cell, ...]
    opens: Opens = ""
    note: str = ""
    decimals: int = 0


@dataclass(frozen=True, slots=True)
class Section:
    """Rows under one heading."""

    key: str
    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Head:
    """Head of a column: name, reason, and how many failures, with their mark and in words."""

    key: str
    kind: Kind
    name: str
    reason: str
    mark: Mark
    words: str
    kept: bool


@dataclass(frozen=True, slots=True)
class Unsolved:
    """A finding that no option here acts on."""

    mark: Mark
    title: str
    message: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Board:
    """Everything that stands side by side.

    Attributes:
        site, system: whose, and in which units. warning: what to do now, where the water must not be drunk; before everything.
        unsolved: the first row, across all columns; beside it `licensed`, what needs licensed design beside any option, and `health`,
        sentences on what is meant to be treated and what was not tested. heads, pictures, sections: by column.
        looked: how many trains were looked at. left_out: what is not among them and why, most important first. obstacles: what stands in
        the way where there is no option. prices: where the costs are from.
        safety, not_judged: sentences that stand on every board. illustrative: what is said of bands, "" where there is none.
    """

    site: str
    system: System
    warning: str
    unsolved: tuple[Unsolved, ...]
    heads: tuple[Head, ...]
    pictures: tuple[BenchModel, ...]
    sections: tuple[Section, ...]
    looked: str
    left_out: tuple[str, ...]
    obstacles: tuple[str, ...]
    prices: str
    safety: tuple[str, ...]
    not_judged: tuple[str, ...]
    illustrative: str = ""
    currency: str = field(default="", kw_only=True)
    licensed: tuple[Unsolved, ...] = field(default=(), kw_only=True)
    health: tuple[str, ...] = field(default=(), kw_only=True)

    def row(self, key: str) -> Row:
        """A row by its key.

        Raises:
            KeyError: there is none.
        """
        for section in self.sections:
            for row in section.rows:
                if row.key == key:
                    return row
        raise KeyError(key)

    def column(self, key: str) -> int:
        """Place of a column by its key.

        Raises:
            KeyError: there is none.
        """
        for place, head in enumerate(self.heads):
            if head.key == key:
                return place
        raise KeyError(key)
