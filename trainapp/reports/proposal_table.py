"""The comparison in a file: CSV for the rows side by side, XLSX with every line of cost, chores and findings as well."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

from trainapp.reports.export_csv import csv_bytes
from trainapp.reports.export_file import check_target, write_export
from trainapp.reports.export_table import Entry, ExportTable, Number, Tint, Words, number_of
from trainapp.reports.export_xlsx import write_workbook
from trainapp.reports.print_sources import label_of
from trainapp.reports.proposal_basis import basis
from trainapp.reports.proposal_offer import Offer
from trainapp.reports.proposal_rows import Cell, comparison, notes
from trainapp.reports.proposal_words import ILLUSTRATIVE, NO_PROOF, not_included, safety_of, simulated, unjudged
from trainapp.reports.upkeep import upkeep
from trainapp.studies.cost import Line

ENDINGS = (".xlsx", ".csv")
_TINTS: dict[str, Tint] = {"fail": "fail", "caution": "caution"}


def write_comparison(offer: Offer, path: str | Path, *, bom: bool = True, paper: str = "letter") -> None:
    """Write the comparison; the file is whole or is not touched. No cell of it is ever a formula.

    Args:
        path: a name that ends in .xlsx or .csv.
        bom: whether a CSV begins with a byte order mark. paper: what a workbook prints on, "letter" or "a4".

    Raises:
        ExportError: another ending, or a place that cannot be written to; one sentence.
    """
    target = Path(path)
    check_target(target, ENDINGS, "a comparison")
    if target.suffix.lower() == ".csv":
        raw = csv_bytes(sides_table(offer), bom=bom)
        write_export(target, lambda file: file.write(raw))
    else:
        write_export(target, lambda file: write_workbook(tables(offer), file, f"{offer.name}: comparison", paper))


def tables(offer: Offer) -> tuple[ExportTable, ...]:
    """Every sheet of the workbook."""
    return sides_table(offer), _stages_table(offer), _lines_table(offer), _chores_table(offer), _findings_table(offer), _words_table(offer)


def names(offer: Offer) -> tuple[str, ...]:
    """A name for each column, no two alike: with its number where two are."""
    plain = [column.name for column in offer.columns]
    taken: set[str] = set()
    made: list[str] = []
    for number, name in enumerate(plain, 1):
        own = name if plain.count(name) == 1 and name not in _HEADS else f"{number} {name}"
        while own in taken:
            own += "\u2032"
        taken.add(own)
        made.append(own)
    return tuple(made)


_HEADS = ("part", "what", "unit")


def sides_table(offer: Offer) -> ExportTable:
    """One row for each thing that is compared, one column for each thing that can be done; costs in full, to the last decimal."""
    shown = comparison(offer)
    rows = [(row.section, row.label, row.unit, *map(_entry, row.cells)) for row in shown]
    rows += [("Beside it", text, "", *("" for _ in offer.columns)) for text in (*_beside(offer), *notes(shown))]
    return ExportTable("Side by side", (*_HEADS, *names(offer)), (), tuple(rows), fixed=3, wide=frozenset({"what"}))


def _entry(cell: Cell) -> Entry:
    if cell.number is not None:
        return cell.number
    return Words(cell.text, _TINTS.get(cell.mark or "", ""))


def _beside(offer: Offer) -> Iterator[str]:
    """What has to stand beside the figures wherever they go."""
    yield from basis(offer)
    yield NO_PROOF
    if offer.invented:
        yield ILLUSTRATIVE
    yield f"Not judged: {'; '.join(unjudged(offer.columns))}."


def _stages_table(offer: Offer) -> ExportTable:
    rows = tuple(
        (name, Number(number), place, label)
        for name, column in zip(names(offer), offer.columns, strict=True)
        for number, (place, label) in enumerate(column.parts, 1)
    )
    return ExportTable("Stages", ("choice", "in flow order", "place", "stage"), (), rows, wide=frozenset({"stage"}))


def _lines_table(offer: Offer) -> ExportTable:
    """Every line of every bill."""
    heads = (
        "choice", "section", "what", "stage", "quantity", "unit", "each", "total", "tax", "paid", "times", "today's worth", "a year",
        "rent a month", "price from", "how it follows",
    )  # fmt: skip
    rows = tuple(
        (name, *_line(line, column.measured.bill.decimals))
        for name, column in zip(names(offer), offer.columns, strict=True)
        for line in column.measured.bill.lines
    )
    return ExportTable(f"Lines of cost, {offer.prices.currency[:10]}", heads, (), rows, fixed=3, wide=frozenset({"how it follows"}))


def _line(line: Line, decimals: int) -> tuple[Entry, ...]:
    p = line.priced

    def money(amount: Decimal | None, least: int = 0) -> Entry:
        return "" if amount is None else Number(float(amount), max(decimals, least))

    quantity = number_of(float(p.quantity), f"{p.quantity.normalize():f}")
    return (
        p.section, p.what, p.stage, quantity, p.unit, money(p.price, 2), money(line.total), money(line.tax), line.when, Number(line.times),
        money(line.present), money(line.yearly), money(line.rent), p.source, line.working,
    )  # fmt: skip


def _chores_table(offer: Offer) -> ExportTable:
    rows = tuple(
        (name, task.stage, task.told, task.when, task.uses(offer.system), label_of(task.source), task.status)
        for name, column in zip(names(offer), offer.columns, strict=True)
        for task in upkeep(column.measured.evaluation)
        if column.kind != "left"
    )
    return ExportTable("Chores", ("choice", "stage", "what", "how often", "uses", "source", "how sure"), (), rows, wide=frozenset({"what"}))


def _findings_table(offer: Offer) -> ExportTable:
    rows = tuple(
        (name, Words(f.severity, f.severity), f.stage, f.title, " ".join((f.message, *f.cautions)), label_of(f.source), f.status)
        for name, column in zip(names(offer), offer.columns, strict=True)
        for f in column.findings
    )
    heads = ("choice", "severity", "place", "finding", "message", "source", "how sure")
    return ExportTable("Findings", heads, (), rows, fixed=2, wide=frozenset({"finding", "message"}))


def _words_table(offer: Offer) -> ExportTable:
    """What no sum holds, and the usual cautions."""
    rows: list[tuple[Entry, ...]] = [("not included", said.text) for said in not_included(offer.columns)]
    rows += [("left as it is", told)] if (told := simulated(offer)) else []
    rows += [("Safety", text) for text in safety_of(offer.columns)]
    return ExportTable("Beside it", ("what", "sentence"), (), tuple(rows), wide=frozenset({"sentence"}))


__all__ = ["ENDINGS", "names", "sides_table", "tables", "write_comparison"]
