"""Figures of the price list as they are typed: with the reader's own signs, and refused where they can be read in two ways."""

from __future__ import annotations

from decimal import Decimal

import pytest
from pytestqt.qtbot import QtBot

from trainapp.data import samples_path
from trainapp.desktop.options.bar import WhatIfBar
from trainapp.desktop.options.prices import PriceWindow
from trainapp.desktop.options.prices_content import SHEET, edited, general_entered, general_text, lines
from trainapp.desktop.prefs import Prefs
from trainapp.stages import registry
from trainapp.studies.cost import PriceError, PriceList, default_prices
from trainapp.train.document import load


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


def test_what_is_shown_has_the_signs_of_the_locale_and_is_read_back(german: None, qtbot: QtBot, prefs: Prefs) -> None:
    prices = default_prices().with_general("tax", "2.6 %")
    assert general_text(prices, "tax") == "2,6 %" and general_entered(prices, "tax", general_text(prices, "tax")) == prices
    window = PriceWindow(prices, prefs)
    qtbot.addWidget(window)
    assert window.fields["tax"].text() == "2,6 %" and window.fields["name"].text() == prices.name
    bar = WhatIfBar()
    qtbot.addWidget(bar)
    bar.show()
    document = load(samples_path("pebble-court-3.train.json"))
    bar.supposed.connect(lambda _: bar.show_figures(document, 4e-4, prices, "us"))
    bar.show_figures(document, 4e-4, prices, "us")
    bar.fields["salt"].setFocus()
    bar.fields["salt"].setText("14,40")
    bar.fields["salt"].editingFinished.emit()
    assert bar.fields["salt"].text() == "14,40" and not bar.said.text()
    bar.fields["peak"].setText("7,5 gpm")
    bar.fields["peak"].editingFinished.emit()
    assert bar.fields["peak"].text() == "7,5"


def test_a_typed_figure_is_the_users_own() -> None:
    prices = default_prices()
    place = next(i for i, row in enumerate(prices.rows) if row.section == "part")
    assert status(prices, place) == "invented"
    assert status(edited(prices, place, "figure", "12"), place) == "own figure"


def status(prices: PriceList, place: int) -> str:
    line = next(line for line in lines(prices) if line.key == str(place))
    return str(line.cells[[column.key for column in SHEET].index("status")].text)


def test_a_refusal_names_rows_and_columns_as_the_window_does() -> None:
    prices = default_prices()
    with pytest.raises(PriceError, match='^tax: "200 %" is more than all of it$'):
        general_entered(prices, "tax", "200 %")
    fittings = [i for i, row in enumerate(prices.rows) if row.section == "fittings"]
    label = registry.kinds()[prices.rows[fittings[2]].kind].spec.label
    with pytest.raises(PriceError, match=rf'^Fittings row 3 \({label}\), Figure: "much" is not an amount'):
        edited(prices, fittings[2], "figure", "much")
    with pytest.raises(PriceError, match=rf'^Fittings row 3 \({label}\), Where its settings are: "size" is not written as'):
        edited(prices, fittings[2], "where", "size")
    first, second = (i for i in fittings if not prices.rows[i].where and prices.rows[i].kind in ("softener", "carbon_bed"))
    with pytest.raises(PriceError, match=r"^Fittings row \d+ \(.*\): the same thing is priced in Fittings row \d+ \("):
        edited(prices, second, "kind", prices.rows[first].kind)
