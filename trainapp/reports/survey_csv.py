"""A survey as a table: one line a water, its verdict first, what leads to it, and what arrives at the house."""

from __future__ import annotations

from pathlib import Path

from trainapp import units
from trainapp.checks.context import analyte_inside
from trainapp.reports.export_csv import csv_bytes
from trainapp.reports.export_file import ExportError, check_target, write_export
from trainapp.reports.export_table import Entry, ExportTable, Number
from trainapp.studies.survey import Outcome, Survey
from trainapp.units import System
from trainapp.water.analytes import BY_KEY

VERDICTS = {"fail": "fail", "caution": "caution", "nothing-found": "nothing found", "": "not read"}
_DIGITS = 6


def write_survey(answer: Survey, target: Path, system: System) -> None:
    """Write the table; on failure an old file stays as it was.

    Raises:
        ExportError: it cannot be written.
    """
    raw = csv_bytes(survey_table(answer, system))
    write_export(target, lambda file: file.write(raw))


def check_survey_target(target: Path, *read: Path) -> None:
    """Refuse, before anything is run, a name that no table can have, or that of a file that is read.

    Raises:
        ExportError: with the reason.
    """
    check_target(target, (".csv",), "a survey's table")
    if any(path.exists() and target.exists() and path.samefile(target) for path in read):
        raise ExportError(f"{target} is read by this survey: write its table elsewhere")


def survey_table(answer: Survey, system: System) -> ExportTable:
    """One row a water."""
    dated = any(outcome.water.date for outcome in answer.outcomes)
    heads = [
        "line",
        "sample",
        *(["date"] if dated else []),
        "verdict",
        "fails",
        "cautions",
        "notes",
        "found",
        "worst",
        "assumed",
        "trouble",
    ]
    at_house = [_head(key, system) for key in answer.analytes]
    rows = tuple((*_lead(outcome, dated), *_values(outcome, answer.analytes, system)) for outcome in answer.outcomes)
    return ExportTable("Survey", (*heads, *at_house), (), rows, fixed=2, wide=frozenset({"found", "worst", "trouble"}))


def _head(key: str, system: System) -> str:
    unit, basis = units.unit(BY_KEY[key].dimension, system), BY_KEY[key].basis
    told = f"{unit} as {basis}" if basis else unit
    return f"{analyte_inside(key)} at the house" + (f" ({told})" if told else "")


def _lead(outcome: Outcome, dated: bool) -> list[Entry]:
    water, is_read = outcome.water, bool(outcome.verdict)
    counts: list[Entry] = [Number(outcome.count(s)) if is_read else "" for s in ("fail", "caution", "note")]
    found = "; ".join(f"{said.severity}: {said.title}" for said in outcome.said)
    assumed = ", ".join(analyte_inside(key) for key in outcome.assumed)
    return [
        Number(water.line), water.name, *([water.date] if dated else []), VERDICTS[outcome.verdict], *counts, found,
        outcome.said[0].message if outcome.said else "", assumed, water.trouble,
    ]  # fmt: skip


def _values(outcome: Outcome, analytes: tuple[str, ...], system: System) -> list[Entry]:
    values = outcome.values or {}
    return [_number(values[key], key, system) if key in values else "" for key in analytes]


def _number(value: float, key: str, system: System) -> Number:
    return Number(float(f"{units.convert(value, BY_KEY[key].dimension, system):.{_DIGITS}g}"))
