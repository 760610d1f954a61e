"""A piece of a spreadsheet or of a letter as results: which column holds names, which results, which units."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass

from trainapp.water.analytes import BY_KEY
from trainapp.water.names import Printed, analyte_named, is_unit, split_unit, words

#: More than any sheet of results has; the rest is left.
MOST_LINES, MOST_LETTERS = 2000, 4000

Table = list[list[str]]


@dataclass(frozen=True, slots=True)
class PastedResult:
    """One line.

    Attributes:
        line: its number in what was pasted.
        name, analyte: as printed, and the analyte's key ("" for a name that is none).
        text: the result.
        least, flag: what the laboratory can still find, with its unit, and the flag that it set; "" where no column says it.
    """

    line: int
    name: str
    analyte: str
    text: str
    least: str = ""
    flag: str = ""


@dataclass(frozen=True, slots=True)
class Pasted:
    """What was pasted.

    Attributes:
        results: lines with a name and a result.
        values: where there were no names: the lines of the one column, empty ones included.
        more: further columns of results, which were left.
    """

    results: tuple[PastedResult, ...] = ()
    values: tuple[str, ...] = ()
    more: int = 0


def read_pasted(text: str) -> Pasted:
    """Read a column, or columns of names, results and units in any order, or a header of names above rows of results."""
    table = _table(text)
    if not table:
        return Pasted()
    if max(len(row) for row in table) == 1:
        return _one_column([row[0] for row in table])
    table = _even(table)
    turned = [list(column) for column in zip(*table, strict=True)]
    down, across = (max(_names_in(line) for line in lines) for lines in (turned, table))
    return _columns(turned if len(table) > 1 and across > down else table)


# Cells ------------------------------------------------------------------------------------------------------------------------


def _table(text: str) -> Table:
    lines = text.replace("\r\n", "\n").replace("\r", "\n").strip("\n").split("\n")[:MOST_LINES]
    lines = [line[:MOST_LETTERS] for line in lines]
    if not any(line.strip() for line in lines):
        return []
    sign = next((s for s in ("\t", ";") if any(s in line for line in lines)), "")
    if not sign and sum(line.count(",") >= 1 for line in lines) == len(lines) and any(_names_in(line.split(",")) for line in lines):
        sign = ","
    rows = list(csv.reader(lines, delimiter=sign)) if sign else [_pair(line) for line in lines]
    return [[cell.strip() for cell in row] or [""] for row in rows]


def _pair(line: str) -> list[str]:
    """A line of a letter: a name, a colon or several spaces, a result."""
    for pattern in (r"\s*:\s*", r"\s{2,}"):
        name, *rest = re.split(pattern, line.strip(), maxsplit=1)
        if rest and rest[0] and analyte_named(name):
            return [name, rest[0]]
    return [line]


def _even(table: Table) -> Table:
    width = max(len(row) for row in table)
    return [row + [""] * (width - len(row)) for row in table]


def _names_in(cells: Sequence[str]) -> int:
    return sum(analyte_named(cell) is not None for cell in cells if cell)


def _is_result(cell: str) -> bool:
    return bool(re.match(r"\s*[<>≤≥]?\s*[=]?\s*[+-]?[\d.,]*\d", cell)) or cell.casefold() in _STATES


_STATES = frozenset(
    {"absent", "present", "tntc", "nd", "n.d.", "not detected", "detected", "yes", "no", "positive", "negative", "too numerous to count"}
)


def _is_nothing(cell: str) -> bool:
    return not cell or cell.casefold() in words("nothing")


# Layouts ----------------------------------------------------------------------------------------------------------------------


def _one_column(cells: list[str]) -> Pasted:
    """One column: results in the order of the sheet, from where they are put."""
    first = next((i for i, cell in enumerate(cells) if cell), 0)
    if cells and not _is_result(cells[first]) and not _is_nothing(cells[first]) and any(_is_result(cell) for cell in cells):
        # a heading above the results
        cells = cells[first + 1 :]
    return Pasted(values=tuple("" if _is_nothing(cell) else cell for cell in cells))


def _columns(table: Table) -> Pasted:
    columns = list(zip(*table, strict=True))
    names = max(range(len(columns)), key=lambda i: _names_in(columns[i]))
    named = bool(_names_in(columns[names]))
    headed = not any(_is_result(cell) for cell in table[0]) and (not named or analyte_named(table[0][names]) is None)
    heads = [cell.casefold() for cell in table[0]] if headed else [""] * len(columns)
    unit = _unit_column(columns, heads, names if named else -1)
    found = _result_columns(columns, heads, names if named else -1, unit)
    if not found:
        return Pasted()
    rows = [(i, row) for i, row in enumerate(table, 1) if not (i == 1 and headed)]
    beside = [_headed(heads, kind) for kind in ("least", "flag")]
    at = (names if named else None, found[0], unit, *beside)
    read = [_result(i, *("" if column is None else row[column] for column in at)) for i, row in rows]
    if not named:
        return Pasted(values=tuple("" if _is_nothing(result.text) else result.text for result in read), more=len(found) - 1)
    kept = (r for r, (_, row) in zip(read, rows, strict=True) if r.name and not _is_nothing(row[found[0]]))
    results = tuple(r for r in kept if r.analyte or (_is_result(r.text) and r.name.casefold() not in words("other")))
    return Pasted(results, more=len(found) - 1)


def _headed(heads: Sequence[str], kind: str) -> int | None:
    """The first column under a heading of that kind."""
    return next((i for i, head in enumerate(heads) if head in words(kind)), None)


def _unit_column(columns: Sequence[Sequence[str]], heads: Sequence[str], names: int) -> int | None:
    if (headed := _headed(heads, "unit")) is not None:
        return headed
    shares = {i: sum(is_unit(cell) for cell in column) for i, column in enumerate(columns) if i != names}
    best = max(shares, key=lambda i: shares[i], default=None)
    return best if best is not None and shares[best] * 2 > sum(bool(cell) for cell in columns[best]) else None


def _result_columns(columns: Sequence[Sequence[str]], heads: Sequence[str], names: int, unit: int | None) -> list[int]:
    """Columns that hold results, the one to take first."""
    held = []
    for i, column in enumerate(columns):
        filled = [cell for cell in column[1 if heads[i] else 0 :] if cell]
        numbers = sum(_is_result(cell) or _is_nothing(cell) for cell in filled)
        if i not in (names, unit) and filled and 2 * numbers >= len(filled) and heads[i] not in words("other") | words("least"):
            held.append(i)
    return sorted(held, key=lambda i: (heads[i] not in words("result"), i < names, i))


def _result(line: int, name: str, value: str, unit: str, least: str, flag: str) -> PastedResult:
    printed = analyte_named(name) or Printed("")
    plain, inside = split_unit(unit)
    text, floor = (with_unit(amount, printed, plain, printed.basis or inside) for amount in (value, least))
    return PastedResult(line, name, printed.analyte, text, floor, flag)


def with_unit(value: str, printed: Printed, unit: str, basis: str) -> str:
    """A printed amount with the unit and basis that stand elsewhere."""
    text, given = value, unit or printed.unit
    if re.search(r"\d\s*$", value) and given and given.casefold() not in ("-", "ph", "units", "s.u.", "su"):
        text = f"{value} {given}".strip()
    if basis and printed.analyte and BY_KEY[printed.analyte].dimension in ("concentration", "hardness") and re.search(r"\d", value):
        text = text if re.search(r"\bas\b", text) else f"{text} as {basis}"
    return text
