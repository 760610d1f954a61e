"""The rows by which what can be done is compared: one table for the page, the short form and the spreadsheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from trainapp import units
from trainapp.dimensions import GALLON
from trainapp.reports.drawing.marks import Mark
from trainapp.reports.export_table import Number, number_of
from trainapp.reports.proposal_offer import Answer, Column, Offer, complaint_of
from trainapp.studies.options import Criterion, criteria, criterion

NOT_SOLVED, TREATS, COSTS, ASKS, GETS = (
    "Not solved by any option here", "What it is meant to treat: prove by test", "What it costs", "What it asks of you", "What you get",
)  # fmt: skip
_MARKS: dict[str, Mark] = {"treated": "ok", "short": "caution", "void": "fail"}


@dataclass(frozen=True, slots=True)
class Cell:
    """One column's share of a row: its words, a status mark before them, a number for the spreadsheet, whether no other is better."""

    text: str
    mark: Mark | None = None
    number: Number | None = None
    best: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One row: under which heading it stands, what it is, its unit, and a cell a column. `grave`: it must be seen first."""

    section: str
    label: str
    unit: str
    cells: tuple[Cell, ...]
    grave: bool = False


def comparison(offer: Offer) -> tuple[Row, ...]:
    """Every row, in order. What no option solves comes first."""
    return (*_unsolved(offer), _fails(offer), *_treats(offer), *_costs(offer), *_asks(offer), *_gets(offer))


def _unsolved(offer: Offer) -> Iterator[Row]:
    for finding in offer.unsolved:
        mark: Mark = "fail" if finding.severity == "fail" else "caution"
        yield Row(NOT_SOLVED, units.typeset(finding.title), "", tuple(Cell("stays", mark) for _ in offer.columns), True)


def _fails(offer: Offer) -> Row:
    """Fails of each column's own; `no fail` in a cell is no promise."""
    return Row(TREATS, "Checks", "", tuple(_checked(column) for column in offer.columns))


def _checked(column: Column) -> Cell:
    counts = Counter(finding.severity for finding in column.findings)
    if column.kind == "left":
        return Cell(f"{_counted(counts['fail'], 'fail')}" if counts["fail"] else "nothing treated", "fail" if counts["fail"] else None)
    text = ", ".join(_counted(counts[word], word) for word in ("fail", "caution") if counts[word])
    if counts["fail"]:
        return Cell(text, "fail")
    return Cell(f"no fail, {text}" if text else "no fail", "ok")


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'s' * (count != 1)}"


def _treats(offer: Offer) -> Iterator[Row]:
    for place, need in enumerate(offer.site.needs):
        answers = [column.answers[place] for column in offer.columns]
        cells = []
        for answer in answers:
            cells.append(Cell(units.typeset(_told(answer)), _MARKS.get(answer.verdict)))
        yield Row(TREATS, _start(complaint_of(need.rule)), "", tuple(cells))


def _told(answer: Answer) -> str:
    """An answer in a cell under a heading that says that it has to be proven."""
    if not answer.before:
        return answer.words
    if answer.verdict == "stays":
        return f"{answer.before}, stays"
    before = answer.before.replace("\u202f", " ").split(" ")[0]
    return f"{before} \u2192 {answer.after}" + (", not enough" if answer.verdict == "short" else "")


def _costs(offer: Offer) -> Iterator[Row]:
    money = offer.prices.currency
    bills = [column.measured.bill for column in offer.columns]
    yield _money_row(offer, "To buy, fitted", money, [float(bill.buy) for bill in bills])
    yield _money_row(offer, "Each month: upkeep, water, power", money, [float(bill.month) for bill in bills])
    yield _money_row(offer, f"Over {offer.years} years, in today's money", money, [float(bill.own) for bill in bills])
    if any(bill.rent is not None for bill in bills):
        rents = [None if bill.rent is None else float(bill.rent) for bill in bills]
        yield _money_row(offer, "Rented instead, a month with upkeep", money, rents)
    metric = offer.system == "metric"
    share = 1.0 / (1000.0 * GALLON) if metric else 1.0
    used = [None if bill.per_1000_gal is None or not bill.lines else share * float(bill.per_1000_gal) for bill in bills]
    yield _money_row(offer, f"Cost to own, for {units.spelt('a cubic metre') if metric else '1,000 gallons'} used", money, used)


def _money_row(offer: Offer, label: str, unit: str, amounts: Sequence[float | None]) -> Row:
    own = {amount for column, amount in zip(offer.columns, amounts, strict=True) if column.kind == "option" and amount is not None}
    cells = []
    for column, amount in zip(offer.columns, amounts, strict=True):
        if amount is None:
            cells.append(Cell("not rented out" if column.kind != "left" else "none"))
        elif amount == 0.0:
            cells.append(Cell("none", number=Number(0.0, 2)))
        else:
            best = column.kind == "option" and len(own) > 1 and amount == min(own)
            cells.append(Cell(_amount(amount), None, Number(amount, offer.prices.decimals), best))
    return Row(COSTS, label, unit, tuple(cells))


def _amount(amount: float) -> str:
    """Money without its currency, whole above 100."""
    return f"{amount:,.{0 if abs(amount) >= 100 else 2}f}"


def _asks(offer: Offer) -> Iterator[Row]:
    yield _figure_row(offer, ASKS, "Chores a year", criterion("chores"))
    yield _figure_row(offer, ASKS, "Salt a year", criterion("salt"))
    yield _figure_row(offer, ASKS, "Water to drain a year", criterion("drain"))


def _gets(offer: Offer) -> Iterator[Row]:
    yield _figure_row(offer, GETS, "Pressure at the house main, filters dirty, supply at its lowest", criterion("pressure"))
    yield _figure_row(offer, GETS, "Cautions that other equipment could mend", criterion("cautions"))


def _figure_row(offer: Offer, section: str, label: str, by: Criterion) -> Row:
    where = criteria().index(by)
    values = [column.measured.values[where] for column in offer.columns]
    own = {value for column, value in zip(offer.columns, values, strict=True) if column.kind == "option"}
    leading = (max(own) if by.more else min(own)) if len(own) > 1 else None
    cells = tuple(
        Cell("nothing stands there") if by.key == "cautions" and column.kind == "left"
        else _figure(offer, by, value, column.kind == "option" and value == leading)
        for column, value in zip(offer.columns, values, strict=True)
    )  # fmt: skip
    return Row(section, label, "" if by.dimension == "none" else units.typeset(units.unit(by.dimension, offer.system)), cells)


def _figure(offer: Offer, by: Criterion, value: float, best: bool) -> Cell:
    if value == 0.0 and by.key != "pressure":
        return Cell("none", number=Number(0.0), best=best)
    if by.dimension == "none":
        return Cell(f"{value:.0f}", None, Number(round(value), 0), best)
    shown = units.show(value, by.dimension, offer.system)
    number = number_of(float(units.convert(value, by.dimension, offer.system)), shown)
    return Cell(f"{number.value:,.{number.decimals}f}".replace("-", "\u2212"), None, number, best)


def _start(text: str) -> str:
    return text[:1].upper() + text[1:]


__all__ = ["ASKS", "COSTS", "GETS", "NOT_SOLVED", "TREATS", "Cell", "Row", "comparison"]
