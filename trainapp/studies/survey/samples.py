"""Waters from a table: names of analytes in its heads, units in the heads or in a row below, one water a line."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from trainapp.units import UnitError
from trainapp.water.analytes import BY_KEY
from trainapp.water.lab_result import printed_result
from trainapp.water.names import Printed, analyte_named, is_unit, split_unit, words
from trainapp.water.pasted import with_unit
from trainapp.water.sample import Result, SampleError, read_sheet
from trainapp.water.sheet_text import SheetError, clean, sheet_text

#: Far more than any survey has.
MOST_BYTES, MOST_LINES, MOST_COLUMNS = 50_000_000, 200_000, 1_000
_MOST_HEADS_AT = 40
#: Heads of the column that says which water it is.
_NAMES = frozenset(
    {"id", "name", "sample", "sample id", "sample name", "sample no", "sample no.", "sample number", "well", "well id", "site", "site id",
     "source", "station", "location", "sample point"}
)  # fmt: skip
_NUMBER = re.compile(r"\s*[<>≤≥]?\s*=?\s*[+-]?[\d.,]*\d")


class SurveyError(ValueError):
    """A table of samples that cannot be used; one sentence that names the file and the place in it."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of results: place in the table, its head, the analyte, and the unit and basis of its numbers ("" for none)."""

    place: int
    head: str
    printed: Printed
    unit: str = ""

    @property
    def analyte(self) -> str:
        """Key of the analyte."""
        return self.printed.analyte


@dataclass(frozen=True)
class Water:
    """One line of a table.

    Attributes:
        line: its number in the file. name, date: as they stand there, "" for none.
        results: by analyte, as a sample of a document holds them; `sheet` as they were read.
        trouble: why it cannot be read, naming the column; "" where it can.
    """

    line: int
    name: str
    date: str
    results: Mapping[str, object]
    trouble: str = ""

    @cached_property
    def sheet(self) -> Mapping[str, Result]:
        """What the results mean."""
        return read_sheet(self.results)


@dataclass(frozen=True, slots=True)
class Samples:
    """A table.

    Attributes:
        waters: in the order of the file. columns: those that hold results. left: heads of columns that are no analyte.
    """

    waters: tuple[Water, ...]
    columns: tuple[Column, ...]
    left: tuple[str, ...] = ()

    @property
    def analytes(self) -> tuple[str, ...]:
        """Those with a column, in its order."""
        return tuple(dict.fromkeys(column.analyte for column in self.columns))


# Files ------------------------------------------------------------------------------------------------------------------------


def read_samples(path: str | Path) -> Samples:
    """A table of samples from its file.

    Raises:
        SurveyError: it cannot be read or used.
    """
    path = Path(path)
    try:
        return samples_of(sheet_text(path, MOST_BYTES))
    except (SheetError, SurveyError) as error:
        raise SurveyError(f"{path.name}: {error}") from None


# Tables -----------------------------------------------------------------------------------------------------------------------

_Line = tuple[int, list[str]]


def samples_of(text: str) -> Samples:
    """A table of samples from its text.

    Raises:
        SurveyError: no column is an analyte, a unit is none, or no water can be read.
    """
    lines = _lines(text)
    at = _heads_at(lines)
    heads, below = lines[at][1], lines[at + 1 :]
    columns = _columns(heads)
    units = below[0][1] if below and _is_unit_row(below[0][1], columns) else None
    if units is not None:
        below = below[1:]
        columns = [_with_unit_of(column, units[column.place] if column.place < len(units) else "") for column in columns]
    for column in columns:
        _check_unit(column, below)
    taken = {column.place for column in columns}
    name, date = _name_at(heads, taken), _headed(heads, words("taken"), taken)
    if not below:
        raise SurveyError("there is no line of results below the heads")
    waters = tuple(_water(line, row, columns, len(heads), (name, date)) for line, row in below)
    if all(water.trouble for water in waters):
        raise SurveyError(f"no line of it can be read; line {waters[0].line}: {waters[0].trouble}")
    left = tuple(clean(head) for i, head in enumerate(heads) if head and i not in taken and i not in (name, date))
    return Samples(waters, tuple(columns), left)


def _lines(text: str) -> list[_Line]:
    """Lines with something in them, each with its number; commas of numbers made points where commas separate nothing."""
    first = text.split("\n", _MOST_HEADS_AT)[:_MOST_HEADS_AT]
    sign = max(("\t", ";", ",", "|"), key=lambda s: sum(s in line for line in first))
    found: list[_Line] = []
    reader = csv.reader(text.splitlines(keepends=True), delimiter=sign)
    try:
        for row in reader:
            if len(found) > MOST_LINES or len(row) > MOST_COLUMNS:
                raise SurveyError(f"it has more than {MOST_LINES:,} lines or {MOST_COLUMNS:,} columns")
            cells = [" ".join(cell.split()) for cell in row]
            if any(cells):
                found.append((reader.line_num, cells))
    except csv.Error as error:
        raise SurveyError(f"line {reader.line_num}: it cannot be read as cells: {error}") from None
    if not found:
        raise SurveyError("there is nothing in it")
    comma = sign != "," and not any(re.search(r"\d\.\d", cell) for _, row in found for cell in row)
    return [(line, [_point(cell) for cell in row]) for line, row in found] if comma else found


def _point(cell: str) -> str:
    return re.sub(r"(?<=\d),(?=\d)", ".", cell) if re.fullmatch(r"[<>≤≥=\s]*\d+,\d+\D*", cell) else cell


def _heads_at(lines: Sequence[_Line]) -> int:
    """Where the heads are: the first line with the most names of analytes among the first lines."""
    counts = [sum(analyte_named(cell) is not None for cell in row if not _NUMBER.match(cell)) for _, row in lines[:_MOST_HEADS_AT]]
    if not max(counts):
        raise SurveyError("no column has the name of an analyte as its head, such as Iron (mg/L)")
    return counts.index(max(counts))


def _columns(heads: Sequence[str]) -> list[Column]:
    found = ((i, head, analyte_named(head)) for i, head in enumerate(heads) if head)
    return [Column(i, clean(head), printed) for i, head, printed in found if printed is not None]


def _is_unit_row(row: Sequence[str], columns: Sequence[Column]) -> bool:
    """Whether a line holds units: one of a unit at least, and nothing that is a result."""
    cells = [row[column.place] for column in columns if column.place < len(row)]
    return any(is_unit(cell) for cell in cells) and not any(_NUMBER.match(cell) or _is_word(cell) for cell in cells)


def _is_word(cell: str) -> bool:
    return cell.casefold() in {"absent", "present", "yes", "no", "tntc"} | words("not_detected")


def _with_unit_of(column: Column, cell: str) -> Column:
    unit, basis = split_unit("" if cell.casefold() in words("nothing") else cell)
    printed = Printed(column.analyte, column.printed.unit, column.printed.basis or basis)
    return Column(column.place, column.head, printed, unit)


def _check_unit(column: Column, lines: Sequence[_Line]) -> None:
    """Refuse a column whose unit is none of its analyte, or that needs one and has none, once for all its lines."""
    analyte = BY_KEY[column.analyte]
    if analyte.dimension in ("state", "count"):
        return
    unit = column.unit or column.printed.unit
    try:
        printed_result(analyte.key, _full(column, "1"))
    except (SampleError, UnitError):
        if unit:
            raise SurveyError(f'column "{column.head}": "{clean(unit)}" is not a unit of {analyte.label}') from None
        for line, row in lines:
            cell = row[column.place] if column.place < len(row) else ""
            if re.fullmatch(r"[<>≤≥=\s]*[\d.,]+", cell):
                raise SurveyError(
                    f'column "{column.head}", line {line}: "{clean(cell)}" has no unit: write it in the head, such as '
                    f'"{analyte.label} (mg/L)", or in a row of units below the heads'
                ) from None


def _headed(heads: Sequence[str], kinds: frozenset[str], taken: set[int]) -> int | None:
    return next((i for i, head in enumerate(heads) if i not in taken and head.rstrip(":#").strip().casefold() in kinds), None)


def _name_at(heads: Sequence[str], taken: set[int]) -> int | None:
    """The column of names: one under a head that says so, else the first that is no analyte and no day."""
    other = (i for i, head in enumerate(heads) if head and i not in taken and head.casefold() not in words("taken"))
    said = _headed(heads, _NAMES, taken)
    return said if said is not None else next(other, None)


# Waters -----------------------------------------------------------------------------------------------------------------------


def _water(line: int, row: Sequence[str], columns: Sequence[Column], width: int, told: tuple[int | None, int | None]) -> Water:
    name, date = ("" if place is None or place >= len(row) else clean(row[place]) for place in told)
    if any(row[width:]):
        return Water(line, name, date, {}, f"it has {len(row)} cells, the heads are {width}")
    results: dict[str, object] = {}
    for column, cell in _filled(row, columns):
        if column.analyte in results:
            continue
        try:
            printed = printed_result(column.analyte, _full(column, cell))
        except (SampleError, UnitError) as error:
            return Water(line, name, date, {}, f"{column.head}: {error}")
        results[column.analyte] = {"value": printed.text, "note": printed.note} if printed.note else printed.text
    return Water(line, name, date, results, "" if results else "it has no result")


def _filled(row: Sequence[str], columns: Sequence[Column]) -> Iterator[tuple[Column, str]]:
    nothing = words("nothing")
    for column in columns:
        cell = row[column.place] if column.place < len(row) else ""
        if cell and cell.casefold() not in nothing:
            yield column, cell


def _full(column: Column, cell: str) -> str:
    """A cell with its column's unit and basis."""
    return with_unit(cell, column.printed, column.unit, column.printed.basis)
