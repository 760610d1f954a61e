"""The comparison as workbook and CSV: the figures of the page, every line of cost, and never a formula."""

from __future__ import annotations

import csv
import io
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from typer.testing import CliRunner

from tests.reports.printing import HOSTILE, SAMPLES
from tests.reports.proposal.offers import offer, renamed
from trainapp.cli import app
from trainapp.reports.proposal_table import names, sides_table, write_comparison
from trainapp.reports.proposal_words import ILLUSTRATIVE, NO_PROOF

SITE = "pebble-court-3"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Any:
    path = tmp_path_factory.mktemp("table") / "options.xlsx"
    write_comparison(offer(SITE), path)
    return openpyxl.load_workbook(path)


def rows(sheet: Any) -> list[list[Any]]:
    return [[cell.value for cell in row] for row in sheet.iter_rows()]


def test_its_sheets(book: Any) -> None:
    assert book.sheetnames == ["Side by side", "Stages", "Lines of cost, USD", "Chores", "Findings", "Beside it"]
    assert book["Side by side"].freeze_panes == "D2"


def test_each_choice_is_a_column_with_the_figures_of_its_bill(book: Any) -> None:
    table = rows(book["Side by side"])
    assert table[0][3:] == [column.name for column in offer(SITE).columns]
    buy = next(row for row in table if row[1] == "To buy, fitted")
    assert buy[2] == "USD"
    assert [Decimal(str(value)).quantize(Decimal("0.01")) for value in buy[3:]] == [
        column.measured.bill.buy for column in offer(SITE).columns
    ]


def test_every_line_of_cost_adds_up_to_the_bill(book: Any) -> None:
    head, *lines = rows(book["Lines of cost, USD"])
    worth, choice = head.index("today's worth"), head.index("choice")
    for name, column in zip(names(offer(SITE)), offer(SITE).columns, strict=True):
        found = sum(Decimal(str(line[worth])).quantize(Decimal("0.01")) for line in lines if line[choice] == name)
        assert found == column.measured.bill.own


def test_what_has_to_stand_beside_the_figures_goes_with_them(book: Any) -> None:
    for table in (rows(book["Side by side"]), list(csv.reader(io.StringIO(_csv())))):
        told = " ".join(str(cell) for row in table for cell in row)
        assert NO_PROOF in told and ILLUSTRATIVE in told and "Not judged:" in told


def _csv() -> str:
    from trainapp.reports.export_csv import csv_bytes

    return csv_bytes(sides_table(offer(SITE))).decode("utf-8-sig")


@pytest.mark.parametrize("text", HOSTILE)
def test_no_name_becomes_a_formula(tmp_path: Path, text: str) -> None:
    """Options get their names from people."""
    made = renamed(SITE, text)
    write_comparison(made, tmp_path / "a.xlsx")
    for sheet in openpyxl.load_workbook(tmp_path / "a.xlsx"):
        assert all(cell.data_type != "f" for row in sheet.iter_rows() for cell in row)
    write_comparison(made, tmp_path / "a.csv")
    raw = (tmp_path / "a.csv").read_text(encoding="utf-8-sig")
    for cell in (cell for row in csv.reader(io.StringIO(raw)) for cell in row):
        assert not cell.startswith(("=", "+", "-", "@")) or cell.replace(".", "").lstrip("-").isdigit(), cell


def test_names_that_are_alike_are_told_apart() -> None:
    heads = sides_table(renamed(SITE, "The one")).heads
    assert len(set(heads)) == len(heads) and heads[5:] == ("3 The one", "4 The one", "5 The one", "6 The one")


@pytest.mark.parametrize("ending", [".xlsx", ".csv"])
def test_the_same_offer_gives_the_same_bytes(tmp_path: Path, ending: str) -> None:
    for name in ("a", "b"):
        write_comparison(offer(SITE), tmp_path / f"{name}{ending}")
    assert (tmp_path / f"a{ending}").read_bytes() == (tmp_path / f"b{ending}").read_bytes()


def test_the_command_writes_it_beside_its_answer(tmp_path: Path) -> None:
    out = tmp_path / "t.csv"
    result = CliRunner().invoke(app, ["options", str(SAMPLES / f"{SITE}.train.json"), "--most", "2", "--table", str(out)])
    assert "Least to buy" in result.output
    assert out.read_text(encoding="utf-8-sig").startswith("part,what,unit,Left as it is,On the bench,Least to buy")


def test_another_ending_is_refused_before_the_search(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, ["options", str(SAMPLES / f"{SITE}.train.json"), "--table", str(tmp_path / "t.ods")])
    assert result.exit_code == 2 and "a comparison ends in .xlsx or .csv" in result.output and not list(tmp_path.iterdir())
