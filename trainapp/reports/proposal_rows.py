"""The rows by which what can be done is compared, those of the board of options: for the page, the short form and the spreadsheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from trainapp import units
from trainapp.reports.drawing.marks import Mark
from trainapp.reports.export_table import Number
from trainapp.reports.options_board import head_of
from trainapp.reports.options_cells import ILLUSTRATIVE
from trainapp.reports.options_cells import Cell as BoardCell
from trainapp.reports.options_cells import Row as BoardRow
from trainapp.reports.options_extra import extra_rows
from trainapp.reports.options_rows import BANDS, asked_rows, cost_rows, money_text, pressure_row, sure_row, treated_rows
from trainapp.reports.proposal_offer import Answer, Column, Offer
from trainapp.spelling import inside, spelt
from trainapp.studies.cost.lines import NOT_ALL
from trainapp.studies.options.contender import Contender
from trainapp.studies.options.criteria import index_of

NOT_SOLVED, TREATS, COSTS, ASKS, GETS = (
    "Not solved by any option here", "What it is meant to treat: prove by test", "What it costs", "What it asks of you", "What you get",
)  # fmt: skip
#: The row that says what the sums leave out.
UNPRICED = "Without a price, and in no sum"


@dataclass(frozen=True, slots=True)
class Cell:
    """One column's share of a row: its words, a status mark before them, a number for the spreadsheet, whether no other is better."""

    text: str
    mark: Mark | None = None
    number: Number | None = None
    best: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One row: under which heading it stands, what it is, its unit, and a cell a column.

    Attributes:
        grave: it must be seen first. note: what is said of it, "" for nothing.
    """

    section: str
    label: str
    unit: str
    cells: tuple[Cell, ...]
    grave: bool = False
    note: str = ""


def comparison(offer: Offer) -> tuple[Row, ...]:
    """Every row, in order. What no option solves comes first."""
    return (*_unsolved(offer), _fails(offer), *_treats(offer), *_costs(offer), *_asks(offer), *_gets(offer))


def notes(rows: Sequence[Row]) -> Iterator[str]:
    """What is said of rows, each once; a page has no bars to speak of."""
    told: dict[str, list[str]] = {}
    for row in rows:
        note = row.note.replace(" Tall tick: wanted.", "")
        if note:
            told.setdefault(note, []).append(row.label)
    yield from (f"{', '.join(labels)}: {inside(note)}" for note, labels in told.items())
    if any(ILLUSTRATIVE in cell.text for row in rows for cell in row.cells):
        yield BANDS


def _unsolved(offer: Offer) -> Iterator[Row]:
    for finding in offer.unsolved:
        mark: Mark = "fail" if finding.severity == "fail" else "caution"
        yield Row(NOT_SOLVED, units.typeset(finding.title), "", tuple(Cell("stays", mark) for _ in offer.columns), True)


def _fails(offer: Offer) -> Row:
    """Fails of each column's own; `no fail` in a cell is no promise."""
    return Row(TREATS, "Checks", "", tuple(_checked(column) for column in offer.columns))


def _checked(column: Column) -> Cell:
    head = head_of(column.contender)
    return Cell(head.words, head.mark)


# From the board -------------------------------------------------------------------------------------------------------------------


def _treats(offer: Offer) -> Iterator[Row]:
    """What the board says, with the figures that it keeps in its notes."""
    for place, row in enumerate(treated_rows(offer.site, _contenders(offer))):
        answers = [column.answers[place] for column in offer.columns]
        cells = tuple(
            Cell(_with_figures(answer, cell.text), _mark(cell)) for answer, cell in zip(answers, row.cells, strict=True)
        )  # fmt: skip
        yield Row(TREATS, row.label, "", cells)


def _with_figures(answer: Answer, words: str) -> str:
    if not answer.before:
        return words
    if answer.verdict == "stays":
        return f"{answer.before}, {words}"
    spaced = answer.before.replace("\u202f", " ")
    before = spaced if spaced.startswith("just ") else spaced.split(" ")[0]
    return f"{before} \u2192 {answer.after}, {words}"


def _costs(offer: Offer) -> Iterator[Row]:
    """Sums in the currency of the row's head, and beside them what a volume costs."""
    prices = offer.prices
    for row in cost_rows(_contenders(offer), prices, offer.years):
        words = "in today's money" if row.key == "own" else row.unit.removesuffix(prices.currency).removesuffix(", ")
        cells = tuple(_cell(cell, prices.decimals) for cell in row.cells)
        yield Row(COSTS, f"{row.label}, {words}" if words else row.label, prices.currency, cells, note=row.note)
    metric = offer.system == "metric"
    bills = [column.measured.bill for column in offer.columns]
    paid = [bill.per_m3 if metric else bill.per_1000_gal for bill in bills]
    used = [None if each is None or not bill.lines else float(each) for each, bill in zip(paid, bills, strict=True)]
    label = f"Cost to own, for {spelt('a cubic metre') if metric else '1,000 gallons'} used"
    money = money_text("")
    missing = [bill.missing() for bill in bills]
    shown = [
        Cell("none") if each is None else partly(money(Decimal(f"{each:.4f}")), Number(each, prices.decimals), bool(lacks))
        for each, lacks in zip(used, missing, strict=True)
    ]
    yield Row(COSTS, label, prices.currency, tuple(shown), note="Levelised: later water counts less, as later money does.")
    if any(missing):
        yield Row(COSTS, UNPRICED, "", tuple(Cell(units.typeset("; ".join(lacks)) or "nothing") for lacks in missing))


def partly(text: str, number: Number, lacks: bool) -> Cell:
    """A sum; where something in it has no price it stands beside the words for that, and is nothing to reckon with."""
    return Cell(f"{text}, {NOT_ALL}", "unknown") if lacks else Cell(text, None, number)


def _asks(offer: Offer) -> Iterator[Row]:
    for row in asked_rows(_contenders(offer), offer.system):
        yield _printed(ASKS, row)


def _gets(offer: Offer) -> Iterator[Row]:
    contenders = _contenders(offer)
    yield _printed(GETS, pressure_row(contenders, offer.system))
    for row in extra_rows(contenders, offer.system):
        yield _printed(GETS, row)
    if all(contender.sure is not None for contender in contenders if contender.kind != "left"):
        yield _printed(GETS, sure_row(contenders))
    where = index_of("cautions")
    counts = [round(column.measured.values[where]) for column in offer.columns]
    cells = tuple(
        Cell("nothing stands there") if column.kind == "left" else Cell(str(count) if count else "none", None, Number(count))
        for column, count in zip(offer.columns, counts, strict=True)
    )  # fmt: skip
    yield Row(GETS, "Cautions that other equipment could mend", "", cells)


def _contenders(offer: Offer) -> list[Contender]:
    return [column.contender for column in offer.columns]


def _printed(section: str, row: BoardRow) -> Row:
    return Row(section, row.label, units.typeset(row.unit), tuple(_cell(cell, row.decimals) for cell in row.cells), note=row.note)


def _cell(cell: BoardCell, decimals: int) -> Cell:
    """A cell of the board as it is printed: what stands in its picture comes after its words."""
    text = cell.text.removeprefix("$") + (f", {cell.word}" if cell.word else "")
    number = (
        None
        if cell.value is None or cell.to is not None or cell.blocks is not None or cell.word
        else Number(round(cell.value, decimals), decimals)
    )
    return Cell(units.typeset(text), _mark(cell), number, cell.best)


def _mark(cell: BoardCell) -> Mark | None:
    """Its mark; a dash says no more on paper than the words do."""
    return None if cell.mark == "" or cell.mark == "none" else cell.mark


__all__ = ["ASKS", "COSTS", "GETS", "NOT_SOLVED", "TREATS", "UNPRICED", "Cell", "Row", "comparison", "notes", "partly"]
