"""Rows of a board of options, each cell from a contender: what it does, costs and asks for, what it gives, what is left to settle."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from decimal import Decimal

from trainapp import units
from trainapp.checks.taste import taste
from trainapp.reports.confidence_text import headline, is_counted
from trainapp.reports.options_cells import ILLUSTRATIVE, Bar, Cell, CellMark, Row
from trainapp.reports.options_treated import treated_cell
from trainapp.spelling import spelt
from trainapp.studies.confidence import Confidence
from trainapp.studies.cost import PriceList
from trainapp.studies.cost.lines import NOT_ALL
from trainapp.studies.cost.money import worth_of_years
from trainapp.studies.options.contender import Contender, Served
from trainapp.studies.options.criteria import criterion, index_of
from trainapp.studies.options.site import Site
from trainapp.train.zones import HOUSE
from trainapp.units import System

#: Out of so many draws the count is told.
DRAWN_OF = 20
#: A column without anything to count.
_NONE = Cell("none", quiet=True)
#: Its figures are on the way.
WAITING = "…"
#: Share of the hours of drawing from which on water that is beyond what a house notices is counted.
_NOTICED = 0.01
#: Stands wherever such a band does.
NO_HEALTH = "No health is counted in money."
BANDS = (
    f"Bands marked {ILLUSTRATIVE} are what water that stays hard, rusty, black, acid or cloudy may cost a household: invented figures "
    f"for teaching. {NO_HEALTH}"
)
Money = Callable[[Decimal], str]


def money_text(currency: str) -> Money:
    """Money in a cell: whole above 100 and for round sums, with the sign of dollars; other currencies stand in the row's head."""
    sign = "$" if currency == "USD" else ""

    def shown(amount: Decimal) -> str:
        return f"{sign}{amount:,.{0 if abs(amount) >= 100 or amount == int(amount) else 2}f}"

    return shown


def money_unit(currency: str, words: str) -> str:
    """What stands small beside a row of money."""
    return words if currency == "USD" else ", ".join(filter(None, (words, currency)))


# What it does ---------------------------------------------------------------------------------------------------------------------


def treated_rows(site: Site, contenders: Sequence[Contender]) -> Iterator[Row]:
    """A row for each thing that the site needs."""
    for need in site.needs:
        rule = need.rule
        before = next((row.before for c in contenders for row in c.treats if row.need == rule.key), "")
        cells = tuple(treated_cell(site, need, contender) for contender in contenders)
        complaint = spelt(rule.complaint)
        label = complaint[:1].upper() + complaint[1:]
        yield Row(f"treats-{rule.key}", label, units.typeset(before), cells, "treats", f"Raw water: {before}." if before else "")


# What it costs --------------------------------------------------------------------------------------------------------------------


def cost_rows(contenders: Sequence[Contender], prices: PriceList, years: int) -> Iterator[Row]:
    """To buy, each month, over the years, and rented where everything new is rented out."""
    money, currency = money_text(prices.currency), prices.currency
    buy = [_plain_money(c.measured.bill.missing(later=False), c.measured.bill.buy, money) for c in contenders]
    yield Row("buy", "To buy", money_unit(currency, "fitted"), _ranked(buy, contenders), "bill", "With fittings, labour and tax.")
    month = [_with_nuisance(c, c.measured.bill.missing(once=False), c.measured.bill.month, Decimal(1), money) for c in contenders]
    note = "Upkeep, water, power and visits; and what water beyond what a house notices may cost."
    yield Row("month", "Each month", money_unit(currency, ""), _ranked(month, contenders), "bill", note)
    months = 12 * worth_of_years(years, prices.discount)
    own = [_with_nuisance(c, c.measured.bill.missing(), c.measured.bill.own, months, money) for c in contenders]
    label, unit = f"Over {years} year{'s' * (years != 1)}", f"today’s {'$' if currency == 'USD' else currency}"
    yield Row("own", label, unit, _ranked(own, contenders), "bill", "What all payments are worth today.")
    if any(c.measured.bill.rent is not None for c in contenders):
        rent = [_plain_money(c.measured.bill.missing(once=False), c.measured.bill.rent, money) for c in contenders]
        told = "Instead of buying it, upkeep included."
        yield Row("rent", "Rented", money_unit(currency, "a month"), _ranked(rent, contenders), "bill", told)


def _plain_money(missing: Sequence[str], amount: Decimal | None, money: Money) -> Cell:
    """A sum, and where something in it has no price the words for that."""
    if amount is None:
        return Cell("not rented out", quiet=True)
    note = f"Without a price, and not counted: {'; '.join(missing)}." if missing else ""
    if not amount:
        return Cell("no price", mark="unknown", note=note) if missing else replace(_NONE, value=0.0)
    mark: CellMark = "unknown" if missing else ""
    return Cell(money(amount), mark=mark, word=NOT_ALL if missing else "", note=note, value=float(amount))


def _with_nuisance(contender: Contender, missing: Sequence[str], amount: Decimal, times: Decimal, money: Money) -> Cell:
    """Money, and beside it what water beyond what a house notices may cost, whatever train stands there: a band with its word."""
    plain = _plain_money(missing, amount, money)
    if contender.served is None:
        return Cell(WAITING, quiet=True) if contender.kind == "left" else plain
    low, high = (amount + part * times for part in contender.served.nuisance)
    if not is_noticed(contender.served) or high <= amount:
        return _uncounted(contender) if contender.kind == "left" and contender.treats else plain
    note = f"{money(amount)} by the price list; the rest, {ILLUSTRATIVE}, is what water beyond what a house notices may cost."
    low, high = rough(low), rough(high)
    word, told = ", ".join(filter(None, (ILLUSTRATIVE, plain.word))), " ".join(filter(None, (note, plain.note)))
    return Cell(f"{money(low)}\u2013{money(high).lstrip('$')}", plain.mark, word=word, note=told, value=float(low), to=float(high))


def _uncounted(contender: Contender) -> Cell:
    """Water that asks for treatment and gets none is not for nothing: what it does has no figure here."""
    return Cell("not counted", quiet=True, note=f"Nothing is bought; no money is set on what this water does. {NO_HEALTH}")


def is_noticed(served: Served) -> bool:
    """Whether a house notices its water often enough for what that may cost to be told."""
    return any(hours > _NOTICED * served.drawn for hours in served.wrong.values())


def rough(amount: Decimal) -> Decimal:
    """To two figures: what is illustrative does not look exact."""
    return amount if not amount else Decimal(f"{amount:.1e}").quantize(Decimal(1) if amount >= 10 else Decimal("0.1"))


# What it asks for, what it gives --------------------------------------------------------------------------------------------------


def asked_rows(contenders: Sequence[Contender], system: System) -> Iterator[Row]:
    """Chores, salt, water to drain."""
    for key, label in (("chores", "Chores"), ("salt", "Salt"), ("drain", "Water to drain")):
        dimension = criterion(key).dimension
        unit = "a year" if dimension == "none" else f"{units.unit(dimension, system)} a year"
        cells = [_counted(contender, key, system) for contender in contenders]
        yield Row(key, label, unit, _ranked(cells, contenders), "bill", "By the design, a day like another.")


def _counted(contender: Contender, key: str, system: System) -> Cell:
    dimension = criterion(key).dimension
    value = contender.measured.values[index_of(key)]
    shown = value if dimension == "none" else float(units.convert(value, dimension, system))
    return replace(_NONE, value=0.0) if round(shown) == 0 else Cell(f"{shown:,.0f}", value=shown)


def pressure_row(contenders: Sequence[Contender], system: System) -> Row:
    """Pressure at the house main with filters dirty and the supply at its lowest, beside what is wanted."""
    cells, wanted = [], 0.0
    for contender in contenders:
        evaluation = contender.measured.evaluation
        least, goal = evaluation.points[HOUSE].pressure.lowest, evaluation.plan.goal_pressure
        wanted = float(units.convert(goal, "pressure", system))
        value = float(units.convert(least, "pressure", system))
        told = [f.severity for f in contender.measured.findings if f.stage == HOUSE and f.code in ("low-pressure", "flow-short")]
        mark = ("fail" if "fail" in told else "caution") if told else ""
        text = units.show_against_limit(least, goal, "pressure", system).removesuffix(f" {units.unit('pressure', system)}")
        clean = units.typeset(units.show(evaluation.points[HOUSE].pressure.clean, "pressure", system))
        note = f"{clean} with filters clean; wanted {units.typeset(units.show(goal, 'pressure', system))}."
        cells.append(Cell(units.typeset(text), mark=mark, bar=Bar(0.0, wanted=wanted), note=note, value=value))  # type: ignore[arg-type]
    unit = units.unit("pressure", system)
    note = "At the peak, filters dirty, the supply at its lowest. Tall tick: wanted."
    return Row("pressure", "At the house main", unit, _ranked(cells, contenders, more=True, least_scale=wanted), "treats", note, 1)


def sure_row(contenders: Sequence[Contender]) -> Row:
    """In how many draws of 20 nothing fails."""
    cells = [sure_cell(contender.sure, bool(contender.measured.evaluation.stages)) for contender in contenders]
    # what reads alike is alike good
    counts = {cell.blocks[0] for cell in cells if cell.blocks is not None}
    best = max(counts) if len(counts) > 1 else None
    marked = tuple(replace(cell, best=cell.blocks is not None and cell.blocks[0] == best) for cell in cells)
    note = "In how many drawn cases nothing fails. Says nothing about what was not sampled."
    return Row("sure", "How sure", f"of {DRAWN_OF} draws", marked, "sure", note)


def sure_cell(sure: Confidence | None, stands: bool) -> Cell:
    """How sure one train is, counted down to whole twentieths: 20 of 20 only where nothing failed at all."""
    if not stands:
        return Cell("nothing to meet", quiet=True)
    if sure is None:
        return Cell(WAITING, quiet=True)
    fixed = sum(finding.severity == "fail" for finding in sure.fixed)
    if fixed:
        titles = ", ".join(f.title for f in sure.fixed if f.severity == "fail")
        return Cell(f"{fixed} fail{'s' * (fixed != 1)} in every draw", mark="fail", note=f"{titles}.")
    if not is_counted(sure) or not sure.sampled:
        sentence = headline(sure)
        return Cell("not in numbers", quiet=True, note=f"{sentence[:1].upper()}{sentence[1:]}.")
    count = sure.no_fail * DRAWN_OF // sure.draws
    note = f"No failure in {sure.no_fail:,} of {sure.draws:,} drawn cases of these spreads; says nothing about what was not sampled."
    text = f"{count} of {DRAWN_OF}" if count or not sure.no_fail else f"under 1 of {DRAWN_OF}"
    return Cell(text, blocks=(count, DRAWN_OF), note=note, value=sure.no_fail / sure.draws)


# What is left to settle -----------------------------------------------------------------------------------------------------------


def settle_row(contenders: Sequence[Contender], system: System) -> Row:
    """Failures and cautions of each train: these are on every board, whoever looks at it."""
    return Row("settle", "Fails and cautions", "", tuple(_settle(contender, system) for contender in contenders), "findings")


def _settle(contender: Contender, system: System) -> Cell:
    grave = [finding for finding in contender.measured.findings if finding.severity != "note"]
    tasted = taste(contender.measured.evaluation, system)
    if not grave and not tasted:
        return Cell("nothing found among what was measured and modelled", quiet=True)
    seen: dict[tuple[CellMark, str], None] = dict.fromkeys((finding.severity, finding.title) for finding in grave)
    seen |= {("note", tasted): None} if tasted else {}
    return Cell(lines=tuple(seen), note=" ".join(dict.fromkeys(caution for finding in grave for caution in finding.cautions)))


# Bars and the best ----------------------------------------------------------------------------------------------------------------


def _ranked(cells: Sequence[Cell], contenders: Sequence[Contender], *, more: bool = False, least_scale: float = 0.0) -> tuple[Cell, ...]:
    """Cells with their bars to one scale, and the best marked: of trains without a failure of their own, where they differ."""
    most = max([least_scale, *(cell.to or cell.value or 0.0 for cell in cells)])
    able = {
        i for i, (cell, c) in enumerate(zip(cells, contenders, strict=True))
        if c.kind != "left" and not c.measured.fails and cell.value is not None and not cell.word and cell.mark not in ("unknown", "fail")
    }  # fmt: skip
    # what reads alike is alike good
    sign = -1.0 if more else 1.0
    first = min(able, key=lambda i: sign * (cells[i].value or 0.0), default=None)
    best = cells[first].text if first is not None and len({cells[i].text for i in able}) > 1 else None
    return tuple(replace(cell, bar=_bar(cell, most), best=i in able and cell.text == best) for i, cell in enumerate(cells))


def _bar(cell: Cell, most: float) -> Bar | None:
    if cell.value is None or most <= 0 or (cell.quiet and not cell.value):
        return None
    wanted = cell.bar.wanted / most if cell.bar is not None and cell.bar.wanted is not None else None
    return Bar(cell.value / most, None if cell.to is None else cell.to / most, wanted)
