"""What a remedy costs: equipment at the price of its item, works of a fitter at the invented prices of resources/prices/works.toml."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from trainapp.data import load_toml
from trainapp.stages.base import Settings
from trainapp.studies.cost import default_prices
from trainapp.train.catalogue import Catalogue, ladder_keys, size_keys
from trainapp.train.document import Document, StageEntry, settings_of
from trainapp.train.model import ItemRow

_ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Cost:
    """What the bill grows by.

    Attributes:
        amount: in the currency of the price list, less than zero where it shrinks; what is known of it unless it is `whole`.
        whole: whether every price is known. invented: whether a price in it is one of the program's own, all of which are invented.
    """

    amount: Decimal
    whole: bool = True
    invented: bool = False


@dataclass(frozen=True, slots=True)
class _Entry:
    """What a stage stands on the bill with: its item and how many of it, their price, whether the program's own list says so."""

    bought: tuple[str | None, int] = (None, 0)
    price: Decimal | None = _ZERO
    invented: bool = False


def cost_between(before: Document, after: Document, catalogue: Catalogue, works: Iterable[str] = ()) -> Cost:
    """What the bill grows by from one document to another, works of a fitter included.

    What exists already is not on the bill. A stage without an item stands there with the price of the catalogue's nearest. Where a
    price is not known, of what is bought or of what it replaces, the known part is given.

    Args:
        works: keys of resources/prices/works.toml, one for each time that it is done.
    """
    old, new = ({entry.id: _entry(document, entry, catalogue) for entry in document.stages} for document in (before, after))
    total, whole, invented = _ZERO, True, False
    for stage in (*new, *(old.keys() - new.keys())):
        had, has = old.get(stage, _Entry()), new.get(stage, _Entry())
        if has.bought == had.bought:
            continue
        # what is taken away and had no price takes nothing off the bill
        whole = whole and has.price is not None and (had.price is not None or stage not in new)
        total += (has.price or _ZERO) - (had.price or _ZERO)
        invented = invented or has.invented or had.invented
    labour = [works_prices()[work] for work in works]
    return Cost(total + sum(labour, _ZERO), whole, invented or bool(labour))


def _entry(document: Document, entry: StageEntry, catalogue: Catalogue) -> _Entry:
    settings = settings_of(entry, catalogue, document.items)
    count = int(settings.get("count") or 1)
    if settings.get("existing"):
        return _Entry((entry.item, 0))
    row = document.item_of(entry, catalogue) if entry.item else nearest(catalogue, entry.kind, settings)
    if row is None or row.amount is None:
        return _Entry((entry.item, count), None)
    return _Entry((entry.item, count), Decimal(f"{row.amount:.2f}") * count, row in _own_prices())


def nearest(catalogue: Catalogue, kind: str, settings: Settings) -> ItemRow | None:
    """The item of a kind that is most like these settings: of the same ladder before others, then the nearest in size."""

    def unlike(name: str) -> tuple[int, float]:
        its = catalogue.settings(name)
        other = sum(1 for key in ladder_keys(kind) if its.get(key) != settings.get(key))
        return other, sum(_apart(its.get(key), settings.get(key)) for key in size_keys(kind))

    priced = [name for name, row in catalogue.of_kind(kind).items() if row.amount is not None]
    return catalogue.rows[min(priced, key=unlike)] if priced else None


def _apart(one: object, other: object) -> float:
    """How many times the larger of two sizes is the smaller, as a logarithm."""
    if isinstance(one, int | float) and isinstance(other, int | float) and one > 0 and other > 0:
        return abs(math.log(one / other))
    return 0.0 if one == other else 1.0


@cache
def works_prices() -> Mapping[str, Decimal]:
    """Money for each work: what is bought for it, and the hours of a fitter."""
    hour = default_prices().labour
    table = load_toml("prices/works.toml")["works"]
    return {key: Decimal(str(row["price"])) + Decimal(str(row["hours"])) * hour for key, row in table.items()}


@cache
def _own_prices() -> tuple[ItemRow, ...]:
    return tuple(Catalogue.load().rows.values())


__all__ = ["Cost", "cost_between", "nearest", "works_prices"]
