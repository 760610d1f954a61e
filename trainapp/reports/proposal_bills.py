"""The full bill of a proposal, every line of it: what, how much of it, at what price, paid when, and how the sum over the years follows."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from trainapp import units
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_sources import Citations
from trainapp.reports.print_table import PrintTable, Row, set_table
from trainapp.reports.proposal_costs import how
from trainapp.reports.proposal_offer import Column, Offer
from trainapp.reports.proposal_words import ILLUSTRATIVE
from trainapp.spelling import inside
from trainapp.studies.cost import Bill, Line
from trainapp.studies.options import money

_HEADS = ("what", "quantity", "each", "total", "tax", "paid", "how the next figure follows")


def set_bills(flow: Flow, offer: Offer, citations: Citations) -> None:
    """The bill of every column that has one, on pages that lie."""
    flow.heading("Every line of cost")
    if offer.invented:
        flow.text(ILLUSTRATIVE, bold=True)
    flow.text(how(offer), token="ink2", size=CAPTION)
    for column in offer.columns:
        if column.measured.bill.lines:
            _set_bill(flow, offer, column, citations)


def _set_bill(flow: Flow, offer: Offer, column: Column, citations: Citations) -> None:
    bill = column.measured.bill
    flow.heading(f"Cost: {column.name}", 1, keep=90.0)
    flow.text(" ".join(_sums(bill)))
    heads = (*_HEADS, f"{bill.years} years", "src.")
    rows = list(_lines(bill, column, citations))
    set_table(flow, PrintTable(heads, (20, 11, 7, 8, 6, 9, 27, 8, 4), rows, right=frozenset({1, 2, 3, 4, 7, 8}), size=CAPTION))


def _sums(bill: Bill) -> Iterator[str]:
    tax = sum((line.tax for line in bill.lines if line.bought), Decimal(0))
    yield f"To buy {money(float(bill.buy), bill.currency)}, tax of {money(float(tax), bill.currency)} in it."
    yield f"Each month {money(float(bill.month), bill.currency)}. Over {bill.years} years {money(float(bill.own), bill.currency)}."
    if bill.rent is not None:
        yield f"Rented instead: {money(float(bill.rent), bill.currency)} a month with upkeep."
    if bill.unpriced:
        yield f"No price in the list, and in no sum: {', '.join(bill.unpriced)}."


def _lines(bill: Bill, column: Column, citations: Citations) -> Iterator[Row]:
    """Lines by stage, those of the whole train last."""
    labels = dict(column.parts)
    for stage in dict.fromkeys(line.priced.stage for line in bill.lines):
        yield (units.typeset(labels.get(stage, "The whole train")),)
        lines = bill.of(stage)
        label = next((line.priced.what for line in lines if line.priced.section == "equipment"), "")
        for line in lines:
            yield _line(line, _short(line, label), citations)


def _short(line: Line, label: str) -> str:
    """What a line is for, without the name of the stage that it stands under."""
    what = line.priced.what
    if not label or line.priced.section == "part":
        return what
    if what == label:
        return "Equipment"
    name = inside(label)
    return what.removesuffix(name).rstrip().removesuffix(" for").removesuffix(" of") if what.endswith(name) else what


def _line(line: Line, name: str, citations: Citations) -> Row:
    priced = line.priced
    working = "" if line.bought and priced.price is not None else line.working
    price = "none" if priced.price is None else f"{priced.price:,.2f}"
    unit = "" if priced.unit == "each" else f" \u00d7 {priced.unit}" if priced.unit[:1].isdigit() else f" {priced.unit}"
    quantity = f"{priced.quantity.normalize():,f}{unit}"
    # the list as a whole is the source: its rows are named in the spreadsheet
    source = priced.source.partition(",")[0].replace("catalogue", "Prices of the catalogue of equipment")
    cited = citations.number(source, "invented" if "invented" in priced.source else "as it is written there") if source else ""
    total, tax, present = (f"{amount:,.2f}" for amount in (line.total, line.tax, line.present))
    return units.typeset(name), units.typeset(quantity), price, total, tax, line.when, units.typeset(working), present, cited


__all__ = ["set_bills"]
