"""Reading a price list, TOML or CSV: every refusal names file, row and column."""

from __future__ import annotations

import csv
import io
import re
import tomllib
from collections.abc import Iterator, Mapping
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any, get_args

from trainapp import units
from trainapp.spelling import inside, with_article
from trainapp.stages import registry
from trainapp.studies.cost.rows import COLUMNS, USES, Condition, Row, Section, units_of
from trainapp.train.errors import Bad, DocumentError, quoted
from trainapp.train.reading import read_file

_MOST = Decimal(10) ** 9
#: Decimals of a price: a part of a cent for a kilowatt hour or a pound, no more.
_DECIMALS = 6
_FORMAT, _VERSION = "trainapp/prices", 1
_ALSO = ("note", "source", "status")

Rows = list[tuple[str, str, Mapping[str, Any]]]


class PriceError(ValueError):
    """A price list cannot be used; one sentence that names file, row and column."""


def read_text(path: Path) -> tuple[Mapping[str, Any], Rows]:
    """The general part of a list, and its rows as (section, place, columns).

    Raises:
        PriceError: it cannot be read.
    """
    try:
        text = read_file(path)
    except DocumentError as error:
        raise PriceError(str(error) if path.name in str(error) else f"{path.name}, {error}") from None
    return _csv(text, path.name) if path.suffix.lower() == ".csv" else _toml(text, path.name)


def _toml(text: str, file: str) -> tuple[Mapping[str, Any], Rows]:
    try:
        tree = tomllib.loads(text, parse_float=Typed)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise PriceError(f"{file}: this is not TOML: {inside(str(error))}") from None
    if tree.get("format") != _FORMAT:
        raise PriceError(f'{file}: the first line of a price list is format = "{_FORMAT}"')
    if tree.get("version") != _VERSION:
        raise PriceError(f"{file}: version {quoted(tree.get('version'))} is not one that this program reads")
    general, rows = tree.get("list", {}), Rows()
    if not isinstance(general, dict):
        raise PriceError(f"{file}: [list] is a table")
    both = {key: tree[key] for key in ("source", "status") if key in tree}
    for section, found in tree.items():
        if section in ("format", "version", "list", *both):
            continue
        if section not in COLUMNS:
            raise PriceError(f"{file}: [[{section}]] is not one of {', '.join(COLUMNS)}")
        if not isinstance(found, list) or not all(isinstance(row, dict) for row in found):
            raise PriceError(f"{file}: {section} is written as [[{section}]] tables")
        rows += [(section, f"{file}, {section} row {i}", both | row) for i, row in enumerate(found, 1)]
    return general, rows


def _csv(text: str, file: str) -> tuple[Mapping[str, Any], Rows]:
    reader = csv.reader(io.StringIO(text), delimiter=max(",;\t", key=text.partition("\n")[0].count))
    try:
        lines = [(reader.line_num, [cell.strip() for cell in cells]) for cells in reader if any(cell.strip() for cell in cells)]
    except csv.Error as error:
        raise PriceError(f"{file}, row {reader.line_num}: this is not CSV: {error}") from None
    if not lines:
        raise PriceError(f"{file}: it is empty")
    head = lines[0][1]
    if head.count("section") != 1 or len(set(filter(None, head))) != len([h for h in head if h]):
        raise PriceError(f'{file}, row {lines[0][0]}: the heading needs one column "section", and no column twice')
    general: dict[str, Any] = {}
    rows = Rows()
    for line, cells in lines[1:]:
        place = f"{file}, row {line}"
        if len(cells) > len(head):
            raise PriceError(f"{place}: it has {len(cells)} cells, the heading has {len(head)}")
        columns: dict[str, Any] = {name: cell for name, cell in zip(head, cells, strict=False) if name and cell}
        section = columns.pop("section", "")
        if section == "list":
            general[columns.get("item", "")] = columns.get("value", "")
        elif section in COLUMNS:
            rows.append((section, place, _where_of_cell(columns, place)))
        else:
            raise PriceError(f'{place}, column "section": {quoted(section)} is not one of list, {", ".join(COLUMNS)}')
    return general, rows


def _where_of_cell(columns: dict[str, Any], place: str) -> dict[str, Any]:
    """A cell such as "length=20 in; diameter=4.5 in" as settings."""
    if "where" in columns:
        pairs = [part.partition("=") for part in columns["where"].split(";") if part.strip()]
        if not all(sign for _, sign, _ in pairs):
            raise PriceError(f'{place}, column "where": {quoted(columns["where"])} is not written as key=value; key=value')
        columns["where"] = {key.strip(): value.strip() for key, _, value in pairs}
    return columns


# One row ----------------------------------------------------------------------------------------------------------------------


def row_of(section: str, place: str, columns: Mapping[str, Any]) -> Row:
    """A row from its columns.

    Raises:
        PriceError: the first column that is wrong.
    """
    needed, more = COLUMNS[section]
    for column in needed:
        if columns.get(column) in (None, ""):
            raise PriceError(f'{place}, column "{column}": it is missing')
    for column in columns:
        if column not in (*needed, *more, *_ALSO):
            raise PriceError(f'{place}, column "{column}": {section} has no such column')
    kind = _kind(columns, place)
    if section == "equipment" and not (columns.get("item") or kind):
        raise PriceError(f'{place}, column "item": it needs an item of the catalogue or a kind')
    return Row(
        section=_section(section),
        place=place,
        item=_text(columns, "item", place),
        kind=kind,
        where=tuple(_conditions(kind, columns.get("where"), place)),
        per=_per(section, columns, place),
        price=amount(columns.get("price", 0), f'{place}, column "price"'),
        hours=amount(columns.get("hours", 0), f'{place}, column "hours"'),
        watts=amount(columns.get("watts", 0), f'{place}, column "watts"'),
        rental=None if "rental" not in columns else amount(columns["rental"], f'{place}, column "rental"'),
        note=_text(columns, "note", place),
        source=_text(columns, "source", place) or "document",
        status=_text(columns, "status", place) or "common practice",
        raw=dict(columns),
    )


def _section(name: str) -> Section:
    found: Section = next(section for section in get_args(Section) if section == name)
    return found


def _text(columns: Mapping[str, Any], column: str, place: str) -> str:
    value = columns.get(column, "")
    if not isinstance(value, str):
        raise PriceError(f'{place}, column "{column}": {quoted(value)} is not a text')
    return value.strip()


def _kind(columns: Mapping[str, Any], place: str) -> str:
    kind = _text(columns, "kind", place)
    if kind and registry.kind(kind) is None:
        raise PriceError(f'{place}, column "kind": {quoted(kind)} is not a kind of stage')
    return kind


def _per(section: str, columns: Mapping[str, Any], place: str) -> str:
    allowed = units_of(section)
    per = _text(columns, "per", place) or "each"
    if allowed and per not in allowed:
        raise PriceError(f'{place}, column "per": {quoted(per)} is not one of {", ".join(allowed)}')
    if section == "use":
        item = _text(columns, "item", place)
        if item not in USES:
            raise PriceError(f'{place}, column "item": {quoted(item)} is not one of {", ".join(USES)}')
        if (per == "kWh") != (item == "power"):
            raise PriceError(f'{place}, column "per": {quoted(per)} does not count {item}')
    return per


def _conditions(kind: str, where: object, place: str) -> Iterator[Condition]:
    if where in (None, {}):
        return
    at = f'{place}, column "where"'
    if not isinstance(where, Mapping):
        raise PriceError(f"{at}: {quoted(where)} is not a table of settings")
    found = registry.kind(kind) if kind else None
    if found is None:
        raise PriceError(f"{at}: settings need a kind to belong to")
    for key, text in where.items():
        if key not in found.spec.settings:
            raise PriceError(f"{at}: {with_article(found.spec.label)} has no setting {quoted(key)}")
        try:
            yield Condition.of(found.spec.settings[key], text)
        except (Bad, units.UnitError, KeyError) as error:
            raise PriceError(f"{at}: {key}: {getattr(error, 'sentence', error)}") from None


# Numbers ----------------------------------------------------------------------------------------------------------------------


class Typed(Decimal):
    """A number of a file that is quoted as it was typed: "nan" and "1e5", not "NaN" and "1E+5"."""

    typed: str

    def __new__(cls, text: str) -> Typed:
        """The number that a text of TOML means."""
        made = super().__new__(cls, text)
        made.typed = text
        return made

    def __str__(self) -> str:
        return self.typed


def amount(value: object, at: str) -> Decimal:
    """A number that is not below zero, exact as written.

    Raises:
        PriceError: it is none.
    """
    if isinstance(value, bool) or not isinstance(value, int | str | Decimal):
        raise PriceError(f"{at}: {quoted(value)} is not a number")
    text = str(value).strip()
    plain = Decimal.__str__(value) if isinstance(value, Decimal) else text
    try:
        number = Decimal(plain) if re.fullmatch(r"[0-9]{1,10}(\.[0-9]*)?", plain) else Decimal("NaN")
    except InvalidOperation:
        number = Decimal("NaN")
    if not number.is_finite() or number > _MOST:
        raise PriceError(f"{at}: {quoted(text)} is not an amount from 0 to {_MOST:,}")
    exponent = number.normalize().as_tuple().exponent
    if isinstance(exponent, int) and -exponent > _DECIMALS:
        raise PriceError(f"{at}: {quoted(text)} has more than {_DECIMALS} decimals")
    return number


def share(value: object, at: str) -> Decimal:
    """A fraction from "6 %" or 0.06.

    Raises:
        PriceError: it is none from 0 to 1.
    """
    text = str(value).strip()
    percent = text.endswith("%")
    number = amount(text.removesuffix("%").strip() if percent else text, at)
    number = number / 100 if percent else number
    if number > 1:
        raise PriceError(f"{at}: {quoted(text)} is more than all of it")
    return number
