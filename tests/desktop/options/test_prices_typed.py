"""Figures of the price list as they are typed: with the reader's own signs, and refused where they can be read in two ways."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import pytest
from PySide6.QtCore import QLocale

from trainapp.desktop.options.prices_content import edited, general_entered
from trainapp.studies.cost import PriceError, default_prices


@pytest.fixture
def german() -> Iterator[None]:
    before = QLocale()
    QLocale.setDefault(QLocale(QLocale.Language.German, QLocale.Country.Germany))
    yield
    QLocale.setDefault(before)


@pytest.mark.parametrize(
    ("typed", "price"), [("12,5", "12.5"), ("12.50", "12.5"), ("1299,50", "1299.5"), ("1 299", "1299"), ("$ 12", "12")]
)
def test_a_price_is_read_with_the_signs_of_the_locale(german: None, typed: str, price: str) -> None:
    prices = default_prices()
    place = next(i for i, row in enumerate(prices.rows) if row.section == "part")
    assert edited(prices, place, "figure", typed).rows[place].price == Decimal(price)


def test_a_share_is_read_with_the_signs_of_the_locale(german: None) -> None:
    assert general_entered(default_prices(), "tax", "8,25 %").tax == Decimal("0.0825")


def test_what_can_be_read_in_two_ways_is_refused(german: None) -> None:
    with pytest.raises(PriceError, match='^labour an hour: "1.250" is not an amount: a point can mean two things, write 1250 or 1,250$'):
        general_entered(default_prices(), "labour", "1.250")
