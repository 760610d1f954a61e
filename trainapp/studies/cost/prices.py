"""A price list: what equipment, fittings, labour, parts, water, power and visits cost, and how money is counted over the years."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from trainapp.data import resources_path
from trainapp.stages.base import Settings
from trainapp.studies.cost.reading import PriceError, amount, read_text, row_of, share
from trainapp.studies.cost.rows import COLUMNS, Row, Section
from trainapp.train.errors import quoted

_KEYS = ("name", "currency", "decimals", "tax", "taxed", "discount", "labour", "years", "rental")
_MOST_YEARS = 50


@dataclass(frozen=True)
class PriceList:
    """Prices. Immutable: a change makes a new list.

    Attributes:
        name: of the list. currency: three letters. decimals: of money in it.
        tax: fraction on the sections in `taxed`. discount: fraction a year by which later money is worth less.
        labour: money an hour. years: over which the cost to own is counted. rental: fraction of the price of equipment a month,
            None where nothing is rented out.
        rows: in the order of the file; of several that fit, the first counts.
    """

    name: str
    currency: str
    decimals: int
    tax: Decimal
    taxed: frozenset[str]
    discount: Decimal
    labour: Decimal
    years: int
    rental: Decimal | None
    rows: tuple[Row, ...]
    _by: dict[str, tuple[Row, ...]] = field(default_factory=dict, repr=False, compare=False)

    def section(self, name: Section) -> tuple[Row, ...]:
        """Rows of one section."""
        if name not in self._by:
            self._by[name] = tuple(row for row in self.rows if row.section == name)
        return self._by[name]

    def find(self, section: Section, kind: str, settings: Settings, item: str = "") -> Row | None:
        """The first row that speaks of a stage, None where none does.

        Args:
            item: of the catalogue (equipment) or of upkeep (part). A row of equipment without an item speaks of every item of its kind.
        """
        for row in self.section(section):
            named = row.item == item or (section == "equipment" and not row.item) if section in ("equipment", "part") else True
            if named and row.fits(kind, settings):
                return row
        return None

    @property
    def invented(self) -> int:
        """How many of its rows are invented."""
        return sum(row.status == "invented" for row in self.rows)

    def use(self, item: str) -> Row | None:
        """The row of water, well_water, sewer or power."""
        return next((row for row in self.section("use") if row.item == item), None)

    def with_(self, **changes: Any) -> PriceList:
        """The same list with other general figures."""
        return replace(self, **changes, _by={})

    @property
    def general(self) -> dict[str, Any]:
        """Its general figures as a file writes them, those that are not given left out."""
        shares = {"tax": self.tax, "discount": self.discount, "rental": self.rental}
        told = {key: f"{(value * 100).normalize():f} %" for key, value in shares.items() if value is not None}
        taxed = [name for name in COLUMNS if name in self.taxed]
        head = {"name": self.name, "currency": self.currency, "decimals": self.decimals}
        return {**head, **told, "taxed": taxed, "labour": self.labour, "years": self.years}

    def with_general(self, column: str, text: str) -> PriceList:
        """The same list with another general figure, read as a file's is; an empty text leaves it out.

        Raises:
            PriceError: what a file could not say either.
        """
        general = {key: value for key, value in self.general.items() if key != column} | ({column: text} if text else {})
        return _list(general, self.rows, "list")

    def with_rows(self, rows: Iterable[Row]) -> PriceList:
        """The same list with these rows.

        Raises:
            PriceError: two of them price the same thing.
        """
        read = tuple(rows)
        _refuse_doubles(read)
        return self.with_(rows=read)

    def with_row(self, index: int, **columns: Any) -> PriceList:
        """The same list with other columns in one row.

        Raises:
            PriceError: what a file could not say either.
        """
        old = self.rows[index]
        left = {key: value for key, value in {**old.raw, **columns}.items() if value not in (None, "", {})}
        new = row_of(old.section, old.place, left)
        return self.with_rows((*self.rows[:index], new, *self.rows[index + 1 :]))


def read_prices(path: str | Path) -> PriceList:
    """A price list from its file, TOML or CSV.

    Raises:
        PriceError: the first thing wrong, naming file, row and column.
    """
    path = Path(path)
    general, rows = read_text(path)
    read = tuple(row_of(section, place, columns) for section, place, columns in rows)
    _refuse_doubles(read)
    return _list(general, read, path.name)


@cache
def default_prices() -> PriceList:
    """The program's own list: every figure in it is invented."""
    return read_prices(resources_path("prices", "default.toml"))


def _list(general: Mapping[str, Any], rows: tuple[Row, ...], file: str) -> PriceList:
    def at(key: str) -> str:
        return f'{file}, list, column "{key}"'

    for key in general:
        if key not in _KEYS:
            raise PriceError(f"{at(key)}: a list has no such column")
    currency = str(general.get("currency", "")).strip()
    if not (len(currency) == 3 and currency.isascii() and currency.isalpha()):
        raise PriceError(f"{at('currency')}: {quoted(currency)} is not a currency of three letters")
    return PriceList(
        name=str(general.get("name") or file),
        currency=currency.upper(),
        decimals=_whole(general.get("decimals", 2), at("decimals"), 0, 4),
        tax=share(general.get("tax", 0), at("tax")),
        taxed=frozenset(_sections(general.get("taxed", ()), at("taxed"))),
        discount=share(general.get("discount", 0), at("discount")),
        labour=amount(general.get("labour", 0), at("labour")),
        years=_whole(general.get("years", 10), at("years"), 1, _MOST_YEARS),
        rental=None if general.get("rental") in (None, "") else share(general["rental"], at("rental")),
        rows=rows,
    )


def _sections(value: object, at: str) -> Iterable[str]:
    names = [part.strip() for part in value.split(",")] if isinstance(value, str) else value
    if not isinstance(names, list | tuple) or any(name not in COLUMNS for name in names):
        raise PriceError(f"{at}: {quoted(value)} is not a list of {', '.join(COLUMNS)}")
    return [str(name) for name in names]


def _whole(value: object, at: str, least: int, most: int) -> int:
    number = amount(value, at)
    if number != int(number) or not least <= number <= most:
        raise PriceError(f"{at}: {quoted(str(value))} is not a whole number from {least} to {most}")
    return int(number)


def _refuse_doubles(rows: Iterable[Row]) -> None:
    """The second of two rows for one thing would never count."""
    seen: dict[tuple[Any, ...], str] = {}
    for row in rows:
        key = (row.section, row.item, row.kind, row.where, row.per if row.section == "visit" else "")
        if key in seen:
            raise PriceError(f"{row.place}: the same thing is priced in {seen[key].rpartition(', ')[2]}")
        seen[key] = row.place


__all__ = ["PriceError", "PriceList", "default_prices", "read_prices"]
