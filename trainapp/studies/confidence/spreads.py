"""How uncertain a sample and a demand are: resources/options/spreads.toml, or a file of one's own in its place."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from trainapp import units
from trainapp.data import resources_path
from trainapp.train.errors import DocumentError, quoted
from trainapp.train.reading import read_file
from trainapp.water.analytes import BY_KEY

_SECTIONS = ("lab", "method", "season", "flow", "draw")
_MOST_SHARE = 5.0


class SpreadsError(ValueError):
    """A file of spreads cannot be used; one sentence that names file, row and key."""


@dataclass(frozen=True, slots=True)
class Spread:
    """One standard deviation: a share of the value, or an amount in its JSON unit; the other is 0. `falls` turns a season's sign."""

    share: float = 0.0
    amount: float = 0.0
    falls: bool = False


@dataclass(frozen=True, slots=True)
class _Row:
    analytes: tuple[str, ...]
    sources: tuple[str, ...]
    spread: Spread
    text: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Spreads:
    """All of them.

    Attributes:
        lab, season: rows in the order of the file. method: how many times less sure, by method.
        peak, daily: shares, of the peak and of a day's use. within: standard deviations.
    """

    lab_rows: tuple[_Row, ...]
    season_rows: tuple[_Row, ...]
    method: Mapping[str, float]
    peak: float
    daily: float
    within: float

    def lab(self, analyte: str, method: str) -> Spread:
        """Of a laboratory's result of an analyte by some method ("" for a laboratory's)."""
        times = self.method.get(method, 1.0)
        for row in self.lab_rows:
            if analyte in row.analytes or not row.analytes:
                return _scaled(row, analyte, times)
        return Spread()

    def season(self, analyte: str, source: str) -> Spread:
        """Of an analyte over the year in a kind of source."""
        for row in self.season_rows:
            if analyte in row.analytes and (not row.sources or source in row.sources):
                return _scaled(row, analyte, 1.0)
        return Spread()


def _scaled(row: _Row, analyte: str, times: float) -> Spread:
    amount = _amount(row.text["amount"], analyte) if "amount" in row.text else 0.0
    return Spread(row.spread.share * times, amount * times, row.spread.falls)


@cache
def default_spreads() -> Spreads:
    """The program's own."""
    return read_spreads(resources_path("options", "spreads.toml"))


def read_spreads(path: str | Path) -> Spreads:
    """Spreads from a file.

    Raises:
        SpreadsError: the first thing wrong.
    """
    path = Path(path)
    try:
        tree = tomllib.loads(read_file(path))
    except DocumentError as error:
        raise SpreadsError(str(error) if path.name in str(error) else f"{path.name}, {error}") from None
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise SpreadsError(f"{path.name}: this is not TOML: {error}") from None
    for section in tree:
        if section not in _SECTIONS:
            raise SpreadsError(f"{path.name}: {quoted(section)} is not one of {', '.join(_SECTIONS)}")
    flow, method, draw = (_table(tree, name, path.name) for name in ("flow", "method", "draw"))
    return Spreads(
        lab_rows=_rows(tree, "lab", path.name),
        season_rows=_rows(tree, "season", path.name),
        method={key: _number(value, f"{path.name}, method, {key}") for key, value in method.items() if key not in ("source", "status")},
        peak=_share(flow.get("peak", "0 %"), f"{path.name}, flow, peak"),
        daily=_share(flow.get("daily", "0 %"), f"{path.name}, flow, daily"),
        within=_number(draw.get("within", 3.0), f"{path.name}, draw, within"),
    )


def with_spread(spreads: Spreads, section: str, key: str, text: str) -> Spreads:
    """Spreads with another figure.

    Args:
        section, key: "lab" or "season" and the place of a row, else a section and a key of the file. text: as the file writes it.

    Raises:
        SpreadsError: what a file could not say either.
    """
    if section in ("lab", "season"):
        rows = spreads.lab_rows if section == "lab" else spreads.season_rows
        old = rows[int(key)]
        kind = "amount" if "amount" in old.text else "share"
        new = _row({**old.text, kind: text, "status": "own"}, section)
        changed = (*rows[: int(key)], new, *rows[int(key) + 1 :])
        return replace(spreads, lab_rows=changed) if section == "lab" else replace(spreads, season_rows=changed)
    if section == "flow":
        share = _share(text, key)
        return replace(spreads, peak=share) if key == "peak" else replace(spreads, daily=share)
    try:
        number = _number(float(text), key)
    except ValueError:
        raise SpreadsError(f"{key}: {quoted(text)} is not a number from 0 to 100") from None
    return replace(spreads, within=number) if section == "draw" else replace(spreads, method={**spreads.method, key: number})


def _table(tree: Mapping[str, Any], section: str, file: str) -> Mapping[str, Any]:
    found = tree.get(section, {})
    if not isinstance(found, dict):
        raise SpreadsError(f"{file}: {section} is written as [{section}]")
    return found


def _rows(tree: Mapping[str, Any], section: str, file: str) -> tuple[_Row, ...]:
    found = tree.get(section, [])
    if not isinstance(found, list) or not all(isinstance(row, dict) for row in found):
        raise SpreadsError(f"{file}: {section} is written as [[{section}]] tables")
    return tuple(_row(row, f"{file}, {section} row {i}") for i, row in enumerate(found, 1))


def _row(row: Mapping[str, Any], place: str) -> _Row:
    for key in row:
        if key not in ("analytes", "sources", "share", "amount", "falls", "source", "status"):
            raise SpreadsError(f"{place}: {quoted(key)} is not a key of it")
    analytes, sources = row.get("analytes", []), row.get("sources", [])
    if not isinstance(analytes, list) or not isinstance(sources, list):
        raise SpreadsError(f"{place}: analytes and sources are lists")
    for analyte in analytes:
        if not isinstance(analyte, str) or analyte not in BY_KEY:
            raise SpreadsError(f"{place}, analytes: {quoted(analyte)} is not an analyte")
    if ("share" in row) == ("amount" in row):
        raise SpreadsError(f"{place}: it needs a share or an amount")
    if "amount" in row and not analytes:
        raise SpreadsError(f"{place}, amount: an amount needs analytes that it is of")
    for analyte in analytes if "amount" in row else ():
        _check_amount(row["amount"], analyte, place)
    share = _share(row["share"], f"{place}, share") if "share" in row else 0.0
    return _Row(tuple(analytes), tuple(sources), Spread(share, falls=bool(row.get("falls", False))), row)


def _amount(text: str, analyte: str) -> float:
    """A difference: 3.6 degF is 2 degC."""
    dimension = BY_KEY[analyte].dimension
    value = units.parse(text, dimension)
    if dimension == "temperature":
        value -= units.parse("0 " + text.strip().lstrip("+-.0123456789").strip(), dimension)
    return value


def _check_amount(text: object, analyte: str, place: str) -> None:
    if not isinstance(text, str):
        raise SpreadsError(f'{place}, amount: an amount is text with its unit, such as "0.1 mg/L"')
    try:
        value = _amount(text, analyte)
    except units.UnitError as error:
        raise SpreadsError(f"{place}, amount: {error}") from None
    if value < 0:
        raise SpreadsError(f"{place}, amount: {quoted(text)} must not be below zero")


def _share(value: object, place: str) -> float:
    try:
        share = units.parse(value, "fraction") if isinstance(value, str) else _number(value, place)
    except units.UnitError as error:
        raise SpreadsError(f"{place}: {error}") from None
    if not 0.0 <= share <= _MOST_SHARE:
        raise SpreadsError(f"{place}: {quoted(value)} is not a share from 0 to {_MOST_SHARE:g}")
    return share


def _number(value: object, place: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 < value <= 100.0:
        raise SpreadsError(f"{place}: {quoted(value)} is not a number from 0 to 100")
    return float(value)
