"""A table as an export carries it: heads, a row of units, and cells that are texts, or numbers with the decimals they are shown with."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal, TypeAlias

#: What a cell says by its tint; the same stands in words beside it.
Tint = Literal["", "fail", "caution", "note"]


@dataclass(frozen=True, slots=True)
class Number:
    """A finite number, and the decimals with which it is shown."""

    value: float
    decimals: int = 0

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise ValueError(f"{self.value} cannot stand in a table")


@dataclass(frozen=True, slots=True)
class Words:
    """A text with a tint."""

    text: str
    tint: Tint = ""


Entry: TypeAlias = str | Number | Words


@dataclass(frozen=True, slots=True)
class ExportTable:
    """One table.

    Attributes:
        title: name of its sheet, at most 31 letters.
        heads: a name for every column, no two alike.
        units: unit of every column, "" for none; () for a table without a row of units.
        rows: one entry a column; "" is an empty cell.
        fixed: how many columns stay in view.
        wide: columns that hold sentences.
    """

    title: str
    heads: tuple[str, ...]
    units: tuple[str, ...]
    rows: tuple[tuple[Entry, ...], ...]
    fixed: int = 1
    wide: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        lengths = {len(self.heads), *(len(row) for row in self.rows), *([len(self.units)] if self.units else [])}
        if len(lengths) != 1 or len(set(self.heads)) != len(self.heads):
            raise ValueError(f"{self.title}: every row has one entry for each head, and no two heads are alike")


def number_of(value: float, shown: str, edge: float | None = None) -> Number:
    """A number with the decimals of the text that shows it.

    Args:
        value: in the unit of the text.
        shown: as it is printed ("0.0504", "just over 0.05").
        edge: a limit in the same unit: decimals are added until the rounded value lies on its side of it.
    """
    found = re.search(r"\d+(?:\.(\d+))?", shown)
    decimals = len(found[1] or "") if found else 0
    if edge is not None and value != edge:
        while decimals < 9 and (round(value, decimals) - edge) * (value - edge) <= 0:
            decimals += 1
    return Number(value, decimals)
