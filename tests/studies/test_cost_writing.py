"""A price list that is written and read again is the same list; an edit is refused with its place."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from trainapp.studies.cost import PriceError, PriceList, default_prices, read_prices
from trainapp.studies.cost.writing import csv_text, toml_text, where_text


@pytest.mark.parametrize("ending", ["toml", "csv"])
def test_written_and_read_again(tmp_path: Path, ending: str) -> None:
    prices = default_prices().with_general("tax", "7.25 %").with_general("rental", "").with_general("name", 'Ours, "new"')
    path = tmp_path / f"own.{ending}"
    path.write_text(toml_text(prices) if ending == "toml" else csv_text(prices), encoding="utf-8", newline="")
    again = read_prices(path)
    assert again.general == prices.general and again.tax == Decimal("0.0725") and again.rental is None
    assert [_told(again, i) for i in range(len(again.rows))] == [_told(prices, i) for i in range(len(prices.rows))]


def _told(prices: PriceList, place: int) -> tuple[object, ...]:
    row = prices.rows[place]
    return (
        row.section,
        row.item,
        row.kind,
        row.where,
        row.per,
        row.price,
        row.hours,
        row.watts,
        row.rental,
        row.note,
        row.source,
        row.status,
    )


def test_an_edit_says_what_a_file_would() -> None:
    prices = default_prices()
    place = next(i for i, row in enumerate(prices.rows) if row.section == "fittings")
    assert prices.with_row(place, price="12.50").rows[place].price == Decimal("12.50")
    with pytest.raises(PriceError, match='fittings row 1, column "price": it is missing'):
        prices.with_row(place, price="")
    with pytest.raises(PriceError, match='column "currency": "dollars" is not a currency of three letters'):
        prices.with_general("currency", "dollars")
    with pytest.raises(PriceError, match="the same thing is priced in fittings row 1"):
        prices.with_rows((*prices.rows, prices.rows[place]))


def test_conditions_as_one_cell() -> None:
    assert where_text({"length": "20 in", "diameter": "4.5 in"}) == "length=20 in; diameter=4.5 in"
    assert where_text(None) == ""
