"""The ledger in a file: CSV for one table, XLSX for all of them, by the name's ending."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from trainapp.checks.finding import Finding
from trainapp.reports.export_csv import csv_bytes
from trainapp.reports.export_file import check_target, write_export
from trainapp.reports.export_xlsx import write_workbook
from trainapp.reports.ledger import Ledger
from trainapp.train.evaluation import Evaluation
from trainapp.units import System

ENDINGS = (".csv", ".xlsx")

#: Rows of a CSV: a point of the pipe with all that is there, or one value each.
Shape = Literal["points", "values"]


def write_ledger(
    evaluation: Evaluation,
    findings: Sequence[Finding],
    path: str | Path,
    system: System = "us",
    *,
    shape: Shape = "points",
    bom: bool = True,
    paper: str = "letter",
) -> None:
    """Write the ledger; the file is whole or is not touched.

    Args:
        evaluation, findings: of the design sample, findings worst first.
        path: a name that ends in .csv or .xlsx.
        system: "us" or "metric".
        shape, bom: of a CSV: what a row is, and whether it begins with a byte order mark.
        paper: what a workbook prints on, "letter" or "a4".

    Raises:
        ExportError: another ending, or a place that cannot be written to; one sentence.
    """
    target = Path(path)
    check_target(target, ENDINGS, "a ledger")
    ledger = Ledger(evaluation, findings, system)
    if target.suffix.lower() == ".csv":
        raw = csv_bytes(ledger.points_table() if shape == "points" else ledger.records_table(), bom=bom)
        write_export(target, lambda file: file.write(raw))
    else:
        title = f"{ledger.model.site or 'This train'}: ledger"
        write_export(target, lambda file: write_workbook(ledger.tables(), file, title, paper))
