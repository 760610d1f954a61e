"""What a proposal says of cost and chores: sums by what is paid for, and how often what has to be done, a column for each choice."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from functools import partial

from trainapp import units
from trainapp.data import load_toml
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.reports.export_table import Number
from trainapp.reports.options_rows import is_noticed, money_text
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_sources import Citations
from trainapp.reports.proposal_offer import Column, Offer
from trainapp.reports.proposal_rows import UNPRICED, Cell, Row
from trainapp.reports.proposal_sides import keep_grid, set_grid
from trainapp.reports.proposal_words import ILLUSTRATIVE
from trainapp.reports.upkeep import Task, upkeep
from trainapp.spelling import name_inside, spelt
from trainapp.studies.cost import Bill, Line
from trainapp.studies.cost.lines import NOT_ALL

OTHER = "other"
_ONCE = (("equipment", "Equipment"), ("fittings", "Fittings"), ("labour", "Labour"), ("visit", "Visit at the start"))
#: Width of what is to be done, px.
_WHAT = 296.0
#: Height of a heading, and of that of costs with the words under it, px.
_HEADED, _ABOVE = 40.0, 110.0
_ZERO = Decimal(0)
_ALONE = "These sums are by the price list alone: what water beyond what a house notices may cost, illustrative, stands side by side. "

_Amount = Callable[[Bill], Decimal | None]
#: What has no price in a sum.
_Lacks = Callable[[Bill], Sequence[str]]


def set_costs(flow: Flow, offer: Offer, citations: Citations) -> None:
    """Both tables, on pages that lie."""
    places = [place for place, column in enumerate(offer.columns) if column.kind != "left"]
    if not places:
        return
    costs, chores = tuple(cost_rows(offer)), tuple(chore_rows(offer, citations))
    keep_grid(flow, offer, costs, places, figures=True, above=_ABOVE)
    flow.heading("What it costs")
    if offer.invented:
        flow.text(ILLUSTRATIVE, bold=True)
    flow.text(how(offer), token="ink2", size=CAPTION)
    set_grid(flow, offer, costs, places, figures=True)
    keep_grid(flow, offer, chores, places, _WHAT, above=_HEADED)
    flow.heading("Chores", keep=160.0)
    set_grid(flow, offer, chores, places, _WHAT)


def how(offer: Offer) -> str:
    """By which list, with which tax, and what later money is worth."""
    prices = offer.prices
    rate, tax = (f"{(share * 100).normalize():f} %" for share in (prices.discount, prices.tax))
    alone = _ALONE if any(map(_costs_beside, offer.columns)) else ""
    return (
        f"In {prices.currency}, by {name_inside(prices.name)}. Tax of {tax} stands on {', '.join(sorted(prices.taxed))}. "
        f"What is paid later is worth less today, by {rate} a year. What is there already is not bought again. "
        f"{alone}Every line stands in the workbook of the comparison, and in the full bill where that is printed."
    )


def _costs_beside(column: Column) -> bool:
    """Whether the water behind a train may cost a house more than its bill says."""
    served = column.contender.served
    return column.kind != "left" and served is not None and is_noticed(served) and served.nuisance[1] > 0


# Cost -----------------------------------------------------------------------------------------------------------------------------


def cost_rows(offer: Offer) -> Iterator[Row]:
    """Sums by what is paid for; what no choice pays for is left out."""
    bills = [None if column.kind == "left" else column.measured.bill for column in offer.columns]
    decimals, metric = offer.prices.decimals, offer.system == "metric"

    def row(section: str, label: str, amount: _Amount, lacks: _Lacks, total: bool = False) -> Iterator[Row]:
        amounts = [None if bill is None else (amount(bill), bool(lacks(bill))) for bill in bills]
        if any(each is not None and any(each) for each in amounts):
            yield Row(section, label, "", tuple(_cell(each, decimals, total) for each in amounts), grave=total)

    once, yearly, whole = "Paid once", "Paid in a year, on the average of many, tax included", f"Over {offer.years} years"
    for section, label in _ONCE:
        yield from row(once, label, partial(_bought, section=section), partial(_not_bought, section=section))
    yield from row(once, "Tax", lambda bill: sum((line.tax for line in bill.lines if line.bought), _ZERO), _once)
    yield from row(once, "To buy", lambda bill: bill.buy, _once, True)
    for label in upkeep_labels():
        yield from row(yearly, label, partial(_upkeep, label=label), partial(_not_kept, label=label))
    yield from row(yearly, "Visits", _visits, partial(_not_kept, label=""))
    yield from row(yearly, "Each year", lambda bill: bill.yearly, _later, True)
    yield from row(yearly, "Each month", lambda bill: bill.month, _later, True)
    volume = spelt("a cubic metre") if metric else "1,000 gallons"
    yield from row(whole, "Net present cost, in today's money", lambda bill: bill.own, Bill.missing, True)
    yield from row(whole, f"For {volume} used", lambda bill: bill.per_m3 if metric else bill.per_1000_gal, Bill.missing)
    yield from row(
        whole, "Rented instead, a month with upkeep", lambda bill: bill.rent, lambda bill: _later(bill) if bill.rent is not None else ()
    )
    if any(bill is not None and bill.unpriced for bill in bills):
        lacking = ("" if bill is None else units.typeset("; ".join(bill.unpriced)) or "nothing" for bill in bills)
        yield Row(whole, UNPRICED, "", tuple(map(Cell, lacking)))


def upkeep_labels() -> list[str]:
    """What upkeep is paid for, visits left out."""
    return [str(row["label"]) for row in load_toml("reports/proposal.toml")["upkeep"]]


def upkeep_sums(bill: Bill) -> dict[str, Decimal]:
    """What is paid in a year, by :func:`upkeep_labels`."""
    sums = dict.fromkeys(upkeep_labels(), _ZERO)
    for line in bill.lines:
        if not line.bought and line.priced.section != "visit":
            sums[_label(line)] += line.yearly
    return sums


def _label(line: Line) -> str:
    rows = load_toml("reports/proposal.toml")["upkeep"]
    found = (row for row in rows if line.priced.what.startswith(tuple(row["begins"])))
    return str(next(found, next(row for row in rows if row["begins"] == [OTHER]))["label"])


def _bought(bill: Bill, section: str) -> Decimal:
    return sum((line.total for line in bill.lines if line.bought and line.priced.section == section), _ZERO)


def _upkeep(bill: Bill, label: str) -> Decimal:
    return upkeep_sums(bill)[label]


def _visits(bill: Bill) -> Decimal:
    return sum((line.yearly for line in bill.lines if not line.bought and line.priced.section == "visit"), _ZERO)


def _once(bill: Bill) -> Sequence[str]:
    return bill.missing(later=False)


def _later(bill: Bill) -> Sequence[str]:
    return bill.missing(once=False)


def _not_bought(bill: Bill, section: str) -> Sequence[str]:
    return _names(line for line in bill.lines if line.bought and line.priced.section == section)


def _not_kept(bill: Bill, label: str) -> Sequence[str]:
    """Of upkeep by :func:`upkeep_labels`, of visits for no label."""
    later = (line for line in bill.lines if not line.bought)
    return _names(line for line in later if (_label(line) == label if line.priced.section != "visit" else not label))


def _names(lines: Iterable[Line]) -> Sequence[str]:
    return [line.priced.what for line in lines if line.priced.price is None]


def _cell(found: tuple[Decimal | None, bool] | None, decimals: int, total: bool) -> Cell:
    """A sum, and whether something in it has no price."""
    amount, lacks = found or (None, False)
    if amount is None:
        return Cell("none")
    if lacks:
        return Cell(f"{money_text('')(Decimal(f'{amount:.4f}'))}, {NOT_ALL}" if amount else "no price", "unknown", None, total)
    return Cell(money_text("")(Decimal(f"{amount:.4f}")), None, Number(float(amount), decimals), total)


# Chores ---------------------------------------------------------------------------------------------------------------------------


def chore_rows(offer: Offer, citations: Citations) -> Iterator[Row]:
    """Everything that upkeep asks, by kind of stage in the order of flow, the site's last; a cell says how often and what it uses."""
    found: dict[tuple[str, str], dict[int, list[Task]]] = {}
    for place, column in enumerate(offer.columns):
        names = {stage.id: stage.name for stage in bench_model(column.measured.evaluation, (), offer.system).stages}
        for task in upkeep(column.measured.evaluation):
            key = names.get(task.stage, "The whole train"), task.what
            found.setdefault(key, {}).setdefault(place, []).append(task)
    order = list(dict.fromkeys(name for name, _ in found if name != "The whole train"))
    for name in [*order, "The whole train"]:
        for (at, what), columns in found.items():
            if at == name:
                first = next(iter(columns.values()))[0]
                cells = tuple(Cell(_often(columns.get(place, ()), offer)) for place in range(len(offer.columns)))
                yield Row(name, f"{units.typeset(what)} [{citations.number(first.source, first.status)}]", "", cells)


def _often(tasks: list[Task] | tuple[()], offer: Offer) -> str:
    """How often, and what it uses where that is an amount; stages that ask the same are told once."""
    told = []
    for task in tasks:
        uses = task.uses(offer.system) if task.dimension != "none" else ""
        told.append(f"{task.when}, {uses}" if uses else task.when)
    return units.typeset("; ".join(dict.fromkeys(told))) if told else "\u2013"


__all__ = ["chore_rows", "cost_rows", "how", "set_costs", "upkeep_labels", "upkeep_sums"]
