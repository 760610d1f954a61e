"""Cost: hand-worked cases, what a price list refuses, and laws that no bill breaks."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.train.trains import chain, document, stage
from trainapp.data import resources_path
from trainapp.stages import registry
from trainapp.studies.cost import Bill, Priced, PriceError, PriceList, Writer, bill, default_prices, read_prices
from trainapp.studies.cost.money import payments, quantity_of, rounded, worth_of_payments, worth_of_years
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan

D = Decimal


# Money --------------------------------------------------------------------------------------------------------------------------


def test_a_half_cent_is_rounded_up() -> None:
    assert rounded(D("2.345")) == D("2.35")
    assert rounded(D("2.335")) == D("2.34")  # as a float it would be 2.33499..., and half-even would give 2.34 only by luck
    assert rounded(D("1.5"), 0) == D("2")
    assert quantity_of(0.1 + 0.2) == D("0.300")


def test_worth_of_yearly_payments_is_that_of_the_annuity_table() -> None:
    # present worth of 1 a year for 10 years at 4 %: 8.1109; for 20 years at 8 %: 9.8181 (any table of compound interest factors)
    assert round(worth_of_years(10, D("0.04")), 4) == D("8.1109")
    assert round(worth_of_years(20, D("0.08")), 4) == D("9.8181")
    assert worth_of_years(7, D(0)) == 7


def test_worth_of_payments_is_the_sum_of_single_payments() -> None:
    # every half year for 3 years at 10 %: at 0.5, 1, 1.5, 2 and 2.5 years, none on the last day
    each = [(1 + D("0.10")) ** (D(-k) / 2) for k in range(1, 6)]
    assert payments(365.25 / 2, 3) == 5
    assert abs(worth_of_payments(365.25 / 2, 3, D("0.10")) - sum(each)) < D("1e-12")


def test_nothing_is_renewed_on_the_last_day() -> None:
    assert payments(3652.5, 10) == 0
    assert payments(3652.5 / 2, 10) == 1
    assert payments(3652.6, 10) == 0
    # the same whether a year is counted as 365 days or as 365.25
    assert (payments(365.0, 10), payments(365.25, 10), payments(365.0, 1), payments(182.5, 10)) == (9, 9, 0, 19)


@given(st.floats(5, 4000), st.integers(1, 30), st.decimals(D("0.001"), D("0.2"), places=3))
def test_later_money_is_worth_less(every: float, years: int, rate: Decimal) -> None:
    worth = worth_of_payments(every, years, rate)
    assert 0 <= worth <= payments(every, years)
    assert worth_of_payments(every, years, rate / 2) >= worth


# A bill by hand -------------------------------------------------------------------------------------------------------------------

_LIST = """
format = "trainapp/prices"
version = 1
[list]
currency = "USD"
tax = "10 %"
taxed = ["equipment", "part"]
discount = "5 %"
labour = 80
years = 2
rental = "3 %"
[[fittings]]
kind = "uv_chamber"
price = 50.25
[[labour]]
kind = "uv_chamber"
hours = 1.5
[[part]]
item = "UV lamp"
per = "each"
price = 99.95
[[part]]
item = "sleeve seals"
per = "each"
price = 10
[[part]]
item = "bacteria test"
per = "time"
price = 55
[[use]]
item = "power"
per = "kWh"
price = 0.20
[[power]]
kind = "uv_chamber"
watts = 40
[[visit]]
item = "Coming to the site"
per = "once"
price = 100
[[visit]]
item = "Yearly visit"
per = "year"
price = 60
"""


@pytest.fixture
def hand(tmp_path: Path) -> PriceList:
    """A short list for sums that fit on a page."""
    path = tmp_path / "hand.toml"
    path.write_text(_LIST, encoding="utf-8")
    return read_prices(path)


def _uv(count: int = 1, existing: bool = False) -> Document:
    uv = {"id": "uv", "kind": "uv_chamber", "item": "uv-a-8", "count": count, "settings": {"existing": existing}}
    return document([uv])


def _bill(train: Document, prices: PriceList | None = None, years: int | None = None) -> Bill:
    return bill(evaluate(open_plan(train)), prices, years)


def test_a_chamber_by_hand(hand: PriceList) -> None:
    """The whole bill of one chamber over two years, worked on paper.

    Bought: chamber 1150.00 + 10 % = 1265.00; fittings 50.25 untaxed; 1.5 h × 80 = 120.00; visit 100.00: together 1535.25.
    After one year (the second falls on the last day): lamp 99.95 + 10.00 tax (9.995 up) = 109.95, seals 11.00, test 60.50: /1.05 is
    104.71 + 10.48 + 57.62. The lamp comes up at 9000 h = 375 d, but at the latest after a year of 365.25 d.
    Power 40 W × 8766 h = 350.64 kWh × 0.20 = 70.13 a year, visit 60.00 a year: × (1/1.05 + 1/1.1025 = 1.859410) = 130.40 + 111.56.
    """
    got = _bill(_uv(), hand)
    assert got.buy == D("1535.25")
    assert [(line.priced.what, line.present) for line in got.lines if not line.bought] == [
        ("UV lamp", D("104.71")),
        ("Sleeve seals", D("10.48")),
        ("Bacteria test", D("57.62")),
        ("Power of UV chamber 8 gpm, class A", D("130.40")),
        ("Yearly visit", D("111.56")),
    ]
    assert got.own == D("1535.25") + D("104.71") + D("10.48") + D("57.62") + D("130.40") + D("111.56") == D("1950.02")
    # 280 gal a day are 102.27 thousand gallons a year; those of two years, discounted as money is: × 1.859410 = 190.16
    assert got.per_1000_gal == D("10.25")
    # 1000 gal are 3.785412 m3
    assert got.per_m3 == D("2.71")
    # a year: 109.95 + 11.00 + 60.50 + 70.13 + 60.00 = 311.58, a month 25.965 and half a cent up
    assert got.yearly == D("311.58") and got.month == D("25.97")
    # rent: 3 % of 1150 is 34.50 a month
    assert got.rent == D("60.47")
    assert got.unpriced == ()


def test_two_units_cost_twice_but_are_tested_once(hand: PriceList) -> None:
    one, two = _bill(_uv(), hand), _bill(_uv(2), hand)
    by_what = {line.priced.what: line for line in two.lines}
    assert by_what["UV chamber 8 gpm, class A"].total == D("2300.00")
    assert by_what["UV lamp"].priced.quantity == 2
    assert by_what["Bacteria test"].priced.quantity == 1
    assert two.buy - one.buy == D("1265.00") + D("50.25") + D("120.00")


def _chambers(*links: dict[str, str], **more: Any) -> Document:
    return document([{"id": name, "kind": "uv_chamber", "item": "uv-a-8", "settings": {}} for name in ("a", "b")], links, **more)


def test_two_drawn_lanes_cost_what_two_units_do(hand: PriceList) -> None:
    """On paper, two chambers over two years, either way.

    Bought: 2 × (1265.00 + 50.25 + 120.00) + visit 100.00 = 2970.50. After one year lamps 219.89 / 1.05 = 209.42, seals 22.00 / 1.05 =
    20.95, one test at the tap 60.50 / 1.05 = 57.62; power 140.26 × 1.859410 = 260.80, visit 111.56: together 3630.85. Line by line
    the lamps of two lanes are 2 × 104.71 and their seals 2 × 10.48: a cent more.
    """
    units = _bill(_uv(2), hand)
    lanes = _bill(_chambers(*chain("supply", "a", "house"), *chain("supply", "b", "house")), hand)
    assert (units.buy, units.own) == (D("2970.50"), D("3630.85"))
    assert (lanes.buy, lanes.own) == (D("2970.50"), D("3630.86"))
    assert [line.priced.stage for line in lanes.lines if line.priced.what == "Bacteria test"] == ["a"]


def test_what_is_no_twin_is_tested_for_itself(hand: PriceList) -> None:
    """One behind the other, or each to its own tap: two waters, two tests."""
    outlets = {"bar": {"peak": "2 gpm", "daily": "100 gal"}}
    behind = _chambers(*chain("supply", "a", "b", "house"))
    apart = _chambers(*chain("supply", "a", "house"), *chain("supply", "b", "bar"), outlets=outlets)
    for train in (behind, apart):
        assert sum(line.priced.what == "Bacteria test" for line in _bill(train, hand).lines) == 2


@pytest.mark.parametrize(("other", "times"), [("20 in", 1), ("10 in", 2)])
def test_one_call_changes_what_is_due_on_one_day(tmp_path: Path, other: str, times: int) -> None:
    """Cartridges at a price for each call: lanes that come due on one day are one call, lanes that do not are two."""
    path = tmp_path / "calls.toml"
    call = '[[part]]\nitem = "sediment cartridge"\nper = "time"\nprice = 40\n'
    path.write_text(_LIST.partition("[[fittings]]")[0] + call, encoding="utf-8")
    two = [stage(name, "sediment_cartridge", length=length, change_at="10 psi") for name, length in (("a", "20 in"), ("b", other))]
    got = _bill(document(two, [*chain("supply", "a", "house"), *chain("supply", "b", "house")]), read_prices(path))
    assert sum(line.priced.unit == "time" for line in got.lines) == times


def test_what_exists_is_not_bought(hand: PriceList) -> None:
    got = _bill(_uv(existing=True), hand)
    assert got.buy == 0
    assert not [line for line in got.lines if line.bought]
    # salt and lamps are paid either way: without them a kept stage would look cheaper to own than it is
    assert got.own == _bill(_uv(), hand).own - D("1535.25")
    assert got.rent is None


def test_salt_by_hand(tmp_path: Path) -> None:
    """2 ft3 at 8 lb/ft3 is 16 lb each time: a year's salt is that by the regenerations of a year."""
    softener = stage("softener", "softener", resin_volume="2 ft3", tank_diameter="12 in", salt_dose="8 lb/ft3")
    evaluation = evaluate(open_plan(document([softener])))
    cleaning = evaluation.stages["softener"].cleaning
    assert cleaning is not None
    prices = default_prices().with_(tax=D(0), discount=D(0), years=1)
    lines = {line.priced.what: line for line in bill(evaluation, prices).lines}
    pounds = 16 * 365.25 / cleaning.every_days
    assert lines["Salt"].priced.quantity == quantity_of(pounds)
    assert lines["Salt"].total == rounded(quantity_of(pounds) * D("0.24"))
    gallons = cleaning.volume / 3.785411784e-3 * 365.25 / cleaning.every_days
    assert lines["Water to clean softener"].priced.quantity == quantity_of(gallons / 1000)


def test_a_main_pays_for_what_drains_and_a_well_does_not() -> None:
    softener = {"id": "softener", "kind": "softener", "item": "softener-10x54", "settings": {}}
    main = {"kind": "mains", "static": "62 psi", "residual": "50 psi", "at_flow": "20 gpm"}
    town, well = _bill(document([softener], supply=main)), _bill(document([softener]))
    words = {line.priced.what for line in town.lines}
    assert "Sewer for what softener 1.5 ft3, 10 x 54 in drains" in words
    assert not any(line.priced.what.startswith("Sewer") for line in well.lines)
    assert next(line for line in town.lines if line.priced.what.startswith("Water to")).priced.price == D("6.20")


def test_no_price_is_said_and_not_taken_for_nothing(hand: PriceList) -> None:
    chamber = stage("uv", "uv_chamber", rated_flow="9 gpm", device_class="A")
    got = _bill(document([chamber]), hand)
    assert got.unpriced == ("UV chamber",)
    line = got.lines[0]
    assert line.priced.price is None and line.total == 0 and line.working == "no price in the list"
    assert got.rent is None


def test_every_line_opens_and_adds_up() -> None:
    evaluation = evaluate(open_plan(document([
        {"id": "screen", "kind": "sediment_cartridge", "item": "cartridge-20-20x4", "settings": {}},
        {"id": "iron", "kind": "iron_filter", "item": "iron-batch-12x52", "settings": {}},
        {"id": "softener", "kind": "softener", "item": "softener-12x52-two", "settings": {}},
        {"id": "uv", "kind": "uv_chamber", "item": "uv-a-8-valve", "settings": {}},
    ])))  # fmt: skip
    got = bill(evaluation)
    assert got.own == sum(line.present for line in got.lines)
    assert got.buy == sum(line.due for line in got.lines if line.when == "once")
    for line in got.lines:
        price = line.priced.price
        assert price is not None and line.priced.source
        assert line.total == rounded(price * line.priced.quantity)
        assert line.tax == (rounded(line.total * D("0.06")) if line.priced.section in ("equipment", "fittings", "part") else 0)
        assert line.bought or line.present <= line.due * max(line.times, 1)
    assert {line.priced.stage for line in got.lines} == {"screen", "iron", "softener", "uv", ""}


@pytest.mark.parametrize("years", [1, 5, 20])
def test_more_years_never_cost_less(years: int) -> None:
    assert _bill(_uv(), years=years).own <= _bill(_uv(), years=years + 1).own
    assert _bill(_uv(), years=years).buy == _bill(_uv(), years=years + 1).buy


def test_every_part_that_a_stage_asks_for_has_a_price() -> None:
    """The invented list prices what upkeep of every kind uses, so that no sum is short without a word."""
    water = {
        "total_coliform": "3 /100mL", "iron": "2 mg/L", "iron_dissolved": "1.9 mg/L", "hardness": "15 gpg", "ph": "6.3",
        "alkalinity": "40 mg/L", "tannin": "1 mg/L", "turbidity": "2 NTU", "uvt": "80 %/cm",
    }  # fmt: skip
    for kind in registry.kinds():
        settings = {"position": "open"} if kind == "bypass" else {}
        plain = document([stage("one", kind, **settings)], chain("supply", "one", "house"), water=water)
        assert [w for w in _bill(plain).unpriced if w != registry.kinds()[kind].spec.label] == [], kind


# Lists ----------------------------------------------------------------------------------------------------------------------------


def test_a_list_reads_alike_as_csv(tmp_path: Path, hand: PriceList) -> None:
    path = tmp_path / "hand.csv"
    path.write_text(
        "section,item,kind,where,price,per,hours,watts,value\n"
        'list,currency,,,,,,,USD\nlist,tax,,,,,,,10 %\nlist,taxed,,,,,,,"equipment, part"\nlist,discount,,,,,,,0.05\n'
        "list,labour,,,,,,,80\nlist,years,,,,,,,2\nlist,rental,,,,,,,3 %\nlist,name,,,,,,,hand.toml\n"
        "fittings,,uv_chamber,,50.25,,,,\nlabour,,uv_chamber,,,,1.5,,\npart,UV lamp,,,99.95,each,,,\npart,sleeve seals,,,10,each,,,\n"
        "part,bacteria test,,,55,time,,,\nuse,power,,,0.20,kWh,,,\npower,,uv_chamber,,,,,40,\nvisit,Coming to the site,,,100,once,,,\n"
        "visit,Yearly visit,,,60,year,,,\n",
        encoding="utf-8",
    )
    assert _bill(_uv(), read_prices(path)).own == _bill(_uv(), hand).own


def test_where_chooses_by_size(tmp_path: Path) -> None:
    path = tmp_path / "p.csv"
    path.write_text(
        "section,item,kind,where,price,per,value\nlist,currency,,,,,EUR\n"
        "part,sediment cartridge,sediment_cartridge,rating=5 um|1 um; diameter=up to 3 in,7,each,\n"
        "part,sediment cartridge,sediment_cartridge,,9,each,\n",
        encoding="utf-8",
    )
    prices = read_prices(path)
    for rating, diameter, price in (("5 um", "2.5 in", 7), ("1 um", "63 mm", 7), ("20 um", "2.5 in", 9), ("5 um", "4.5 in", 9)):
        cartridge = stage("c", "sediment_cartridge", rating=rating, diameter=diameter)
        line = next(line for line in _bill(document([cartridge]), prices).lines if line.priced.section == "part")
        assert line.priced.price == price, (rating, diameter)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", 'the first line of a price list is format = "trainapp/prices"'),
        ('format = "trainapp/prices"\nversion = 9', "version 9 is not one that this program reads"),
        ("{HEAD}[[part]]\nitem = 'salt'\nprice = -1\nper = 'lb'", 'row 1, column "price": "-1" is not an amount from 0 to 1,000,000,000'),
        ("{HEAD}[[part]]\nitem = 'salt'\nprice = 'much'\nper = 'lb'", 'part row 1, column "price": "much" is not an amount'),
        ("{HEAD}[[part]]\nitem = 'salt'\nprice = nan\nper = 'lb'", 'column "price": "nan" is not an amount'),
        ("{HEAD}[[part]]\nitem = 'salt'\nprice = 0.12345678\nper = 'lb'", '"0.12345678" has more than 6 decimals'),
        ("{HEAD}[[part]]\nitem = 'salt'\nprice = 1\nper = 'furlong'", 'column "per": "furlong" is not one of each, time, lb, kg, ft3, L'),
        ("{HEAD}[[part]]\nitem = 'salt'\nprice = 1", 'column "per": it is missing'),
        ("{HEAD}[[part]]\nitem = 'salt'\nprice = 1\nper = 'lb'\nprise = 2", 'column "prise": part has no such column'),
        ("{HEAD}[[labour]]\nkind = 'kettle'\nhours = 1", 'column "kind": "kettle" is not a kind of stage'),
        ("{HEAD}[[power]]\nkind = 'softener'\nwhere = {{ glow = '1 W' }}\nwatts = 1", 'where": a softener has no setting "glow"'),
        ("{HEAD}[[power]]\nkind = 'softener'\nwhere = {{ tanks = '3' }}\nwatts = 1", 'column "where": tanks: "3" is not one of'),
        ("{HEAD}[[power]]\nkind = 'uv_chamber'\nwhere = {{ rated_flow = 'up to 3 furlongs' }}\nwatts = 1", '"3 furlongs" is not a flow'),
        ("{HEAD}[[use]]\nitem = 'water'\nprice = 1\nper = 'kWh'", '"kWh" does not count water'),
        ("{HEAD}[[equipment]]\nprice = 1", "it needs an item of the catalogue or a kind"),
        ("{HEAD}[[meals]]\nprice = 1", "[[meals]] is not one of equipment"),
        ("{HEAD}[[visit]]\nitem = 'a'\nprice = 1\nper = 'year'\n[[visit]]\nitem = 'a'\nprice = 2\nper = 'year'", "priced in visit row 1"),
        ("format = 'trainapp/prices'\nversion = 1\n[list]\ncurrency = 'dollars'", '"dollars" is not a currency of three letters'),
        ("format = 'trainapp/prices'\nversion = 1\n[list]\ncurrency = 'USD'\ntax = '106 %'", '"tax": "106 %" is more than all of it'),
        ("format = 'trainapp/prices'\nversion = 1\n[list]\ncurrency = 'USD'\nyears = 0", '"0" is not a whole number from 1 to 50'),
        ("format = 'trainapp/prices'\nversion = 1\n[list]\ncurrency = 'USD'\ntaxed = ['food']", "is not a list of equipment"),
    ],
)  # fmt: skip
def test_a_bad_list_is_refused_in_one_sentence(tmp_path: Path, text: str, sentence: str) -> None:
    path = tmp_path / "list.toml"
    head = "format = 'trainapp/prices'\nversion = 1\n[list]\ncurrency = 'USD'\n"
    path.write_text(text.replace("{HEAD}", head).replace("{{", "{").replace("}}", "}"), encoding="utf-8")
    with pytest.raises(PriceError) as error:
        read_prices(path)
    assert str(error.value).startswith("list.toml") and sentence in str(error.value) and "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "list.csv: it is empty"),
        ("item,price\nsalt,1\n", 'row 1: the heading needs one column "section"'),
        ("section,item,price,per\npart,salt,1,lb\nfood,salt,1,lb\n", 'row 3, column "section": "food" is not one of list, equipment'),
        ("section,item,price,per\npart,salt,1,lb,9\n", "row 2: it has 5 cells, the heading has 4"),
        ("section,item,kind,where,price,per\npart,salt,softener,tanks,1,lb\n", '"tanks" is not written as key=value; key=value'),
    ],
)
def test_a_bad_csv_is_refused_in_one_sentence(tmp_path: Path, text: str, sentence: str) -> None:
    path = tmp_path / "list.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(PriceError) as error:
        read_prices(path)
    assert sentence in str(error.value)


def test_no_such_file(tmp_path: Path) -> None:
    with pytest.raises(PriceError, match="there is no such file"):
        read_prices(tmp_path / "none.toml")


def test_one_price_is_changed_without_touching_the_others() -> None:
    prices = default_prices()
    index = next(i for i, row in enumerate(prices.rows) if row.item == "salt")
    changed = prices.with_row(index, price="0.30")
    assert changed.rows[index].price == D("0.30") and prices.rows[index].price == D("0.24")
    assert sum(a != b for a, b in zip(prices.rows, changed.rows, strict=True)) == 1
    with pytest.raises(PriceError, match='column "price"'):
        prices.with_row(index, price="much")


def test_everything_in_the_list_is_called_invented() -> None:
    assert {row.status for row in default_prices().rows} == {"invented"}
    assert {row.source for row in default_prices().rows} == {"invented"}
    assert "invented" in resources_path("prices", "default.toml").read_text(encoding="utf-8").splitlines()[0]


def test_a_currency_without_cents() -> None:
    prices = default_prices().with_(decimals=0, currency="JPY")
    got = _bill(_uv(), prices)
    assert all(line.present == line.present.to_integral_value() for line in got.lines)


def test_a_writer_says_where_a_price_is_from() -> None:
    line = Writer(default_prices()).once(Priced("visit", "A drive", "", D(1), "each", D("12.50"), "by hand"))
    assert (line.due, line.when, line.bought, line.priced.source) == (D("12.50"), "once", True, "by hand")
