"""The answer of `trainapp options --json`: options side by side, each with its bill and its document, and what else was looked at."""

from __future__ import annotations

from typing import Any

from trainapp import units
from trainapp.checks import not_judged, verdict
from trainapp.reports.check_json import finding_json
from trainapp.reports.options_treated import germs_told
from trainapp.studies.cost import Bill, Line
from trainapp.studies.options import Option, Proposal, Treated, criteria
from trainapp.studies.options.criteria import Criterion
from trainapp.studies.options.trains import not_all

JSON = dict[str, Any]


def options_json(proposal: Proposal) -> JSON:
    """The whole answer as one JSON object of plain values; money is text, exact to the last decimal."""
    currency = proposal.prices.currency
    return {
        "format": "trainapp/options",
        "version": 1,
        "prices": {"name": proposal.prices.name, "currency": currency, "years": proposal.years},
        "nothing_needed": proposal.nothing_needed,
        "unsolved": [finding_json(f) for f in proposal.unsolved],
        "options": [_option(option, currency, proposal) for option in proposal.options],
        "front": [
            {
                "criteria": _values(train.values, currency, proposal.prices.decimals),
                "stages": [choice.label for choice in (*train.layout.heads, *train.choices)],
            }
            for train in proposal.front
        ],
        "left_out": [{"what": row.what, "why": row.why, "trains": row.trains} for row in proposal.left_out],
        "in_the_way": [obstacle.sentence for obstacle in proposal.obstacles],
        "considered": proposal.tally.considered,
        "judged_to_the_end": proposal.tally.weighed,
        **({"not_all_looked_at": not_all(proposal.tally)} if proposal.tally.followed else {}),
    }


def _option(option: Option, currency: str, proposal: Proposal) -> JSON:
    bill = option.bill
    return {
        "name": option.name,
        "best_by": option.key,
        "also": list(option.also),
        "reason": option.reason,
        "criteria": _values(option.measured.values, currency, bill.decimals),
        "month": _money(bill.month, currency),
        "rent": _money(bill.rent, currency),
        "per_1000_gal": _money(bill.per_1000_gal, currency),
        **({"not_all_priced": _lacking(bill)} if bill.unpriced else {}),
        "treats": [_treated(row, option, proposal) for row in option.treats],
        "stages": [{"place": place, "label": label} for place, label in option.parts],
        "verdict": verdict(option.findings),
        "not_judged": list(not_judged(option.evaluation)),
        "findings": [finding_json(f) for f in option.findings],
        "bill": bill_json(bill),
        "document": dict(option.document.tree),
    }


def _lacking(bill: Bill) -> JSON:
    """Of every sum that something without a price is missing in, what that is."""
    once, later, both = bill.missing(later=False), bill.missing(once=False), bill.missing()
    sums = {"buy": once, "own": both, "month": later, "rent": later if bill.rent is not None else (), "per_1000_gal": both}
    return {name: list(lacks) for name, lacks in sums.items() if lacks}


def _values(values: tuple[float, ...], currency: str, decimals: int) -> JSON:
    return {by.key: _value(by, value, currency, decimals) for by, value in zip(criteria(), values, strict=True)}


def _value(by: Criterion, value: float, currency: str, decimals: int) -> JSON:
    if by.dimension == "money":
        return {"amount": f"{value:.{decimals}f}", "currency": currency}
    if by.dimension == "none":
        return {"magnitude": round(value, 3), "unit": ""}
    return units.to_json(value, by.dimension)


def _money(amount: object, currency: str) -> JSON | None:
    return None if amount is None else {"amount": str(amount), "currency": currency}


def _treated(row: Treated, option: Option, proposal: Proposal) -> JSON:
    keys = ("need", "complaint", "treats", "before", "after", "met", "caution")
    return {key: getattr(row, key) for key in keys} | ({"caution": germs_told(proposal.site, option)} if row.need == "germs" else {})


def bill_json(bill: Bill) -> JSON:
    """A bill with all its lines."""
    return {
        "years": bill.years,
        "buy": str(bill.buy),
        "own": str(bill.own),
        "yearly": str(bill.yearly),
        "currency": bill.currency,
        "without_price": list(bill.unpriced),
        "lines": [_line(line) for line in bill.lines],
    }


def _line(line: Line) -> JSON:
    priced = line.priced
    return {
        "section": priced.section,
        "what": priced.what,
        "stage": priced.stage,
        "quantity": str(priced.quantity),
        "unit": priced.unit,
        "price": None if priced.price is None else str(priced.price),
        "total": str(line.total),
        "tax": str(line.tax),
        "when": line.when,
        "times": line.times,
        "present": str(line.present),
        "yearly": str(line.yearly),
        "rent": None if line.rent is None else str(line.rent),
        "source": priced.source,
        "working": line.working,
    }


__all__ = ["bill_json", "options_json"]
