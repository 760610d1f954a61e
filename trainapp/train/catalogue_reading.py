"""Reading a catalogue of one's own, TOML or CSV: all that is wrong with it is collected, each with what would be right."""

from __future__ import annotations

import csv
import io
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trainapp.spelling import inside, with_article
from trainapp.stages import registry
from trainapp.stages.base import SettingSpec, Spec
from trainapp.train.errors import Bad, DocumentError, quoted
from trainapp.train.model import ItemRow, validated
from trainapp.train.reading import read_file
from trainapp.train.settings import read_setting
from trainapp.units import unit

FIXED = ("item", "kind", "label", "price", "note")
#: Faults that a sentence tells; a window tells all.
_TOLD = 3


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong.

    Attributes:
        file, row, column: where; `row` reads "row 3", both "" where it is about more than one.
        problem: what is wrong there, with the value. wanted: what would be right there, "" where that is plain.
    """

    file: str
    row: str
    column: str
    problem: str
    wanted: str = ""

    @property
    def where(self) -> str:
        """Row and column, as a sentence begins."""
        return ", ".join(part for part in (self.row, self.column and f'column "{self.column}"') if part)

    def __str__(self) -> str:
        """One sentence without its stop."""
        return ": ".join(part for part in (", ".join(part for part in (self.file, self.where) if part), self.told) if part)

    @property
    def told(self) -> str:
        """What is wrong and what would be right."""
        return f"{self.problem}; {self.wanted}" if self.wanted else self.problem


class CatalogueError(ValueError):
    """A catalogue cannot be used. Its text is one sentence that names file, row and column of the first few faults.

    Attributes:
        faults: everything that is wrong, in the order of the file.
    """

    def __init__(self, *faults: Fault | str) -> None:
        self.faults = tuple(Fault("", "", "", one) if isinstance(one, str) else one for one in faults)
        first = [str(fault) if not place else f"{fault.where}: {fault.told}" for place, fault in enumerate(self.faults[:_TOLD])]
        left = len(self.faults) - len(first)
        super().__init__("; ".join(first) + (f"; and {left} more" if left > 0 else ""))


def read_catalogue(path: Path) -> dict[str, ItemRow]:
    """Items of one file, TOML ([[item]] tables) or CSV (a column for each setting).

    Raises:
        CatalogueError: with everything that is wrong, by row (an item counted from 1, in CSV a line) and column.
    """
    try:
        text = read_file(path)
    except DocumentError as error:
        raise CatalogueError(str(error) if path.name in str(error) else f"{path.name}, {error}") from None
    rows = _csv_rows(text, path.name) if path.suffix.lower() == ".csv" else _toml_rows(text, path.name)
    items, faults = dict[str, ItemRow](), list[Fault]()
    for row in rows:
        faults += [row] if isinstance(row, Fault) else _taken(row[0], row[1], path.name, items)
    if faults:
        raise CatalogueError(*faults)
    return items


def _taken(where: str, raw: Mapping[str, Any], file: str, items: dict[str, ItemRow]) -> list[Fault]:
    """Put an item among the others, unless it has faults."""
    faults = list[Fault]()
    name = raw.get("item")
    if not isinstance(name, str) or not name.strip():
        faults.append(Fault(file, where, "item", "the item has no name", "a name of its own is wanted"))
    elif name in items:
        faults.append(Fault(file, where, "item", f"{quoted(name)} names two items", "each needs a name of its own"))
    row = {key: value for key, value in raw.items() if key != "item"}
    faults += _faults_of(row, file, where)
    if not faults:
        items[str(name)] = validated(ItemRow, row)
    return faults


def _faults_of(raw: Mapping[str, Any], file: str, where: str) -> Iterator[Fault]:
    settings = raw.get("settings", {})
    for key in (*FIXED[1:], "settings"):
        # one column at a time: what is wrong with one hides nothing of another
        try:
            validated(ItemRow, {"kind": "softener", **({key: raw[key]} if key in raw else {})})
        except Bad as bad:
            yield Fault(file, where, _column(bad.at), bad.sentence, _wanted_of_column(key))
    for key in (key for key in raw if key not in (*FIXED, "settings")):
        yield Fault(file, where, str(key), "an item has no such column", f"its own are {', '.join(FIXED)} and settings")
    if "kind" not in raw:
        yield Fault(file, where, "", '"kind" is missing', _kinds())
        return
    kind = registry.kind(raw["kind"]) if isinstance(raw["kind"], str) else None
    if kind is None:
        if isinstance(raw["kind"], str):
            yield Fault(file, where, "kind", f"{quoted(raw['kind'])} is not a kind of stage", _kinds())
        return
    for key, value in settings.items() if isinstance(settings, dict) else ():
        yield from _setting_fault(kind.spec, key, value, file, where)


def _setting_fault(spec: Spec, key: str, value: object, file: str, where: str) -> Iterator[Fault]:
    row = spec.settings.get(key)
    if row is None:
        right = f"its settings are {', '.join(spec.settings)}"
        yield Fault(file, where, str(key), f"{with_article(spec.label)} has no such setting", right)
        return
    try:
        read_setting(row, value)
    except Bad as bad:
        yield Fault(file, where, _column((key, *bad.at)), bad.sentence, wanted(row))


def wanted(spec: SettingSpec) -> str:
    """What a setting asks for: "wanted is one of 1, 2", "wanted is a number with its unit, such as 1 ft3"."""
    if spec.choices:
        return f"wanted is one of {', '.join(spec.choices)}"
    plain = {
        "text": "a text", "flag": "true or false", "integer": "a whole number", "curve": "pairs of flow and pressure",
        "table": "a table", "none": "a number", "fraction": "a share, such as 20 %",
    }  # fmt: skip
    if spec.dimension in plain:
        return f"wanted is {plain[spec.dimension]}"
    given, example = isinstance(spec.default, str) and spec.default, f"1 {unit(spec.dimension, 'us')}"
    return f"wanted is a number with its unit, such as {given or example}"


def _wanted_of_column(key: str) -> str:
    return {"price": "wanted is a number, such as 700", "label": "wanted is a text", "note": "wanted is a text"}.get(key, "")


def _kinds() -> str:
    return f"kinds are {', '.join(registry.kinds())}"


def _column(at: Sequence[str]) -> str:
    return ".".join(step for step in at if step != "settings")


def _toml_rows(text: str, file: str) -> Iterator[tuple[str, Mapping[str, Any]] | Fault]:
    try:
        tree = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise CatalogueError(f"{file}: this is not TOML: {inside(str(error))}") from None
    rows = tree.get("item")
    if not isinstance(rows, list):
        raise CatalogueError(f"{file}: it holds no [[item]] table")
    for index, row in enumerate(rows):
        if not isinstance(row, dict):
            yield Fault(file, f"row {index + 1}", "", "an item is a table")
        else:
            yield f"row {index + 1}", row


def _csv_rows(text: str, file: str) -> Iterator[tuple[str, Mapping[str, Any]] | Fault]:
    reader = csv.reader(io.StringIO(text), delimiter=_delimiter(text))
    try:
        lines = [(reader.line_num, cells) for cells in reader if any(cell.strip() for cell in cells)]
    except csv.Error as error:
        raise CatalogueError(f"{file}, row {reader.line_num}: this is not CSV: {error}") from None
    if not lines:
        raise CatalogueError(f"{file}: it is empty")
    head = [cell.strip() for cell in lines[0][1]]
    for column in ("item", "kind"):
        if head.count(column) != 1:
            raise CatalogueError(f'{file}, row {lines[0][0]}: the heading needs one column "{column}"')
    for line, cells in lines[1:]:
        if len(cells) > len(head):
            yield Fault(file, f"row {line}", "", f"it has {len(cells)} cells, the heading has {len(head)}")
            continue
        yield f"row {line}", _nested({name: cell.strip() for name, cell in zip(head, cells, strict=False) if name and cell.strip()})


def _delimiter(text: str) -> str:
    head = text.partition("\n")[0]
    return max(",;\t", key=head.count)


def _nested(cells: Mapping[str, str]) -> dict[str, Any]:
    own = {key: value for key, value in cells.items() if key in FIXED}
    return own | {"settings": {key: value for key, value in cells.items() if key not in FIXED}}
