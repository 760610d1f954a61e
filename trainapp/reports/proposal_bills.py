"""The full bill of a proposal, every line of it: what, how much of it, at what price, paid when, and how the sum over the years follows."""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import Decimal

from trainapp import units
from trainapp.dimensions import FOOT, GALLON, POUND
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_sources import Citations
from trainapp.reports.print_table import PrintTable, Row, set_table
from trainapp.reports.proposal_costs import how
from trainapp.reports.proposal_offer import Column, Offer
from trainapp.reports.proposal_words import ILLUSTRATIVE
from trainapp.spelling import inside
from trainapp.studies.cost import Bill, Line
from trainapp.studies.cost.lines import Priced
from trainapp.studies.options import money
from trainapp.units import System

#: Units of quantities that have another on a metric page: what they measure, what they hold in internal units, and the unit shown.
_METRIC = {"lb": (POUND, "kg"), "ft3": (FOOT**3, "m3"), "1000 gal": (1000 * GALLON, "m3")}
_DIGITS = 3
_ROUNDED = "Quantities are shown with three digits and counted with all; a price is for the unit that the list has it for."
_HEADS = ("what", "quantity", "price", "total", "tax", "paid", "how the next figure follows")


def set_bills(flow: Flow, offer: Offer, citations: Citations) -> None:
    """The bill of every column that has one, on pages that lie."""
    flow.heading("Every line of cost")
    if offer.invented:
        flow.text(ILLUSTRATIVE, bold=True)
    flow.text(f"{how(offer)} {_ROUNDED}", token="ink2", size=CAPTION)
    for column in offer.columns:
        if column.measured.bill.lines:
            _set_bill(flow, offer, column, citations)


def _set_bill(flow: Flow, offer: Offer, column: Column, citations: Citations) -> None:
    bill = column.measured.bill
    flow.heading(f"Cost: {column.name}", 1, keep=90.0)
    flow.text(" ".join(_sums(bill)))
    heads = (*_HEADS, f"{bill.years} years", "src.")
    rows = list(_lines(bill, column, citations, offer.system))
    set_table(flow, PrintTable(heads, (19, 10, 10, 8, 6, 9, 26, 8, 4), rows, right=frozenset({1, 2, 3, 4, 7, 8}), size=CAPTION))


def _sums(bill: Bill) -> Iterator[str]:
    tax = sum((line.tax for line in bill.lines if line.bought), Decimal(0))
    yield f"To buy {money(float(bill.buy), bill.currency)}, tax of {money(float(tax), bill.currency)} in it."
    yield f"Each month {money(float(bill.month), bill.currency)}. Over {bill.years} years {money(float(bill.own), bill.currency)}."
    if bill.rent is not None:
        yield f"Rented instead: {money(float(bill.rent), bill.currency)} a month with upkeep."
    if bill.unpriced:
        yield f"No price in the list, and in no sum: {', '.join(bill.unpriced)}."


def _lines(bill: Bill, column: Column, citations: Citations, system: System) -> Iterator[Row]:
    """Lines by stage, those of the whole train last."""
    labels = dict(column.parts)
    for stage in dict.fromkeys(line.priced.stage for line in bill.lines):
        yield (units.typeset(labels.get(stage, "The whole train")),)
        lines = bill.of(stage)
        label = next((line.priced.what for line in lines if line.priced.section == "equipment"), "")
        for line in lines:
            yield _line(line, _short(line, label), citations, system)


def _short(line: Line, label: str) -> str:
    """What a line is for, without the name of the stage that it stands under."""
    what = line.priced.what
    if not label or line.priced.section == "part":
        return what
    if what == label:
        return "Equipment"
    name = inside(label)
    return what.removesuffix(name).rstrip().removesuffix(" for").removesuffix(" of") if what.endswith(name) else what


def _quantity(priced: Priced, system: System) -> str:
    """An amount as it is read: three digits of what is measured, in the units of the page; what is counted as it is."""
    amount, unit = float(priced.quantity), priced.unit
    if unit == "each":
        return f"{priced.quantity.normalize():,f}"
    if system == "metric" and unit in _METRIC:
        factor, unit = _METRIC[unit]
        amount *= factor
    times = " \u00d7 1,000 gal" if unit == "1000 gal" else f" {unit}"
    return units.typeset(f"{_three(amount)}{times}")


def _three(amount: float) -> str:
    """A number with three digits that count."""
    places = _DIGITS - 1 - math.floor(math.log10(abs(amount))) if amount else 0
    text = f"{round(amount, places):,.{max(places, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _price(priced: Priced) -> str:
    """A price, and of how much: that of the list, whatever units the page is in."""
    if priced.price is None:
        return "none"
    unit = "1,000 gal" if priced.unit == "1000 gal" else priced.unit
    return units.typeset(f"{priced.price:,.2f}{'' if unit == 'each' else f' per {unit}'}")


def _line(line: Line, name: str, citations: Citations, system: System) -> Row:
    priced = line.priced
    working = "" if line.bought and priced.price is not None else line.working
    quantity, price = _quantity(priced, system), _price(priced)
    # the list as a whole is the source: its rows are named in the spreadsheet
    source = priced.source.partition(",")[0].replace("catalogue", "Prices of the catalogue of equipment")
    cited = citations.number(source, "invented" if "invented" in priced.source else "as it is written there") if source else ""
    total, tax, present = (f"{amount:,.2f}" for amount in (line.total, line.tax, line.present))
    return units.typeset(name), quantity, price, total, tax, line.when, units.typeset(working), present, cited


__all__ = ["set_bills"]
