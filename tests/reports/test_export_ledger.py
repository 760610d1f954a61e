"""The ledger in files: CSV by RFC 4180, workbooks as another program reads them, and a disk that refuses."""

from __future__ import annotations

import csv
import io
import os
import stat
import zipfile
from pathlib import Path
from typing import IO, Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.worksheet.worksheet import Worksheet

from tests.reports.printing import HOSTILE, evaluated, site, tree_of
from trainapp.reports import export
from trainapp.reports.export import write_ledger
from trainapp.reports.export_csv import csv_bytes
from trainapp.reports.export_file import ExportError, write_export
from trainapp.reports.export_table import ExportTable, Number
from trainapp.reports.export_xlsx import write_workbook


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Any:
    path = tmp_path_factory.mktemp("book") / "ledger.xlsx"
    write_ledger(*site("inkwell-croft"), path)
    return openpyxl.load_workbook(path)


def heads(sheet: Worksheet) -> list[str]:
    return [str(cell.value) for cell in sheet[1]]


# CSV --------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("shape", ["points", "values"])
def test_csv_follows_rfc_4180(tmp_path: Path, shape: export.Shape) -> None:
    path = tmp_path / "ledger.csv"
    write_ledger(*site("lone-alder-farm"), path, shape=shape)
    raw = path.read_bytes()
    assert raw.startswith(b"\xef\xbb\xbf") and raw.endswith(b"\r\n")
    text = raw.decode("utf-8-sig")
    # RFC 4180, 2.1 and 2.4: every line ends in CRLF, every record has the same number of fields
    assert "\n" not in text.replace("\r\n", "")
    records = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert len({len(record) for record in records}) == 1 and len(records) > 8
    assert records[0][:2] == ["at", "point"]


def test_the_byte_order_mark_can_be_left_out(tmp_path: Path) -> None:
    path = tmp_path / "ledger.csv"
    write_ledger(*site("lone-alder-farm"), path, bom=False)
    assert path.read_bytes().startswith(b"at,point,")


_TEXT = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=12)


@given(st.lists(st.tuples(_TEXT, st.floats(allow_nan=False, allow_infinity=False)), max_size=6))
def test_what_is_written_is_what_is_read(rows: list[tuple[str, float]]) -> None:
    table = ExportTable("T", ("name", "number"), ("", "mg/L"), tuple((text, Number(value)) for text, value in rows))
    read = list(csv.reader(io.StringIO(csv_bytes(table).decode("utf-8-sig"), newline=""), strict=True))
    assert read[:2] == [["name", "number"], ["", "mg/L"]]
    for (text, value), (got, number) in zip(rows, read[2:], strict=True):
        assert got.removeprefix("'") == text.removeprefix("'")
        assert float(number) == pytest.approx(value, rel=1e-11)


@given(st.sampled_from(["=", "+", "-", "@", "\t", "\r"]), _TEXT)
def test_no_text_of_a_csv_begins_like_a_formula(sign: str, rest: str) -> None:
    raw = csv_bytes(ExportTable(sign + rest, (sign + rest,), (), ((sign + rest,),)))
    for record in csv.reader(io.StringIO(raw.decode("utf-8-sig"), newline="")):
        assert record[0][0] == "'"


def test_a_number_below_zero_stays_a_number() -> None:
    assert csv_bytes(ExportTable("T", ("a",), (), ((Number(-2.5),),)), bom=False) == b"a\r\n-2.5\r\n"


# Workbook ---------------------------------------------------------------------------------------------------------------------


def test_a_workbook_has_its_sheets_and_frozen_heads(book: Any) -> None:
    assert book.sheetnames == ["Ledger", "Every value", "Findings", "Sources", "Not judged and safety"]
    assert [sheet.freeze_panes for sheet in book] == ["C3", "D2", "B2", "B2", "B2"]
    assert book["Ledger"].print_title_rows == "$1:$2"


def test_units_stand_in_the_second_row_and_numbers_have_formats(book: Any) -> None:
    sheet = book["Ledger"]
    names = heads(sheet)
    pressure, ph = names.index("Pressure, clean"), names.index("pH, limit")
    assert sheet[2][pressure].value == "psi" and not sheet[2][ph].value
    cell = sheet[3][pressure]
    assert cell.data_type == "n" and cell.number_format == "0.0"
    assert [sheet.cell(row, ph + 1).value for row in range(3, sheet.max_row + 1)].count(6.5) >= 1


def test_a_status_is_a_word_with_a_tint(book: Any) -> None:
    sheet = book["Findings"]
    word = next(cell for cell in sheet["B"] if cell.value == "fail")
    assert word.fill.fgColor.rgb == "FFFFCCCC"


def test_no_text_becomes_a_formula_a_link_or_a_number(tmp_path: Path) -> None:
    tree = tree_of("lone-alder-farm")
    tree["site"]["name"] = HOSTILE[0]
    tree["samples"][0]["results"] |= {name: "3" for name in HOSTILE[1:]}
    path = tmp_path / "hostile.xlsx"
    write_ledger(*evaluated(tree), path)
    cells = [cell for sheet in openpyxl.load_workbook(path) for row in sheet.iter_rows() for cell in row]
    texts = [cell for cell in cells if isinstance(cell.value, str) and any(text in cell.value for text in HOSTILE)]
    assert len(texts) >= len(HOSTILE)
    assert {cell.data_type for cell in cells} <= {"s", "n"} and not any(cell.hyperlink for cell in cells)
    with zipfile.ZipFile(path) as parts:
        assert not any(b"<f>" in parts.read(name) for name in parts.namelist())


@given(st.sampled_from(["=1+1", "+1", "-1", "@A1", "12", "1e5", "http://a.b", "mailto:a@b.c", "TRUE", "x" * 40_000]))
def test_a_text_stays_a_text(text: str) -> None:
    file = io.BytesIO()
    write_workbook([ExportTable("T", ("a",), (), ((text,),))], file)
    cell = openpyxl.load_workbook(file)["T"]["A2"]
    assert cell.data_type == "s" and cell.value[:2] == text[:2] and len(cell.value) <= 32_767


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_the_same_train_gives_the_same_bytes(tmp_path: Path, ending: str) -> None:
    for name in ("a", "b"):
        write_ledger(*site("lone-alder-farm", "metric"), tmp_path / f"{name}.{ending}", "metric")
    assert (tmp_path / f"a.{ending}").read_bytes() == (tmp_path / f"b.{ending}").read_bytes()


def test_paper_is_chosen(tmp_path: Path) -> None:
    write_ledger(*site("lone-alder-farm"), tmp_path / "a.xlsx", paper="a4")
    assert openpyxl.load_workbook(tmp_path / "a.xlsx")["Ledger"].page_setup.paperSize == 9


# Files ------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "words"),
    [("ledger.ods", "a ledger ends in .csv or .xlsx"), ("ledger", "a ledger ends in"), ("missing/ledger.csv", "there is no folder")],
)
def test_a_bad_name_is_one_sentence(tmp_path: Path, name: str, words: str) -> None:
    with pytest.raises(ExportError, match=words) as error:
        write_ledger(*site("lone-alder-farm"), tmp_path / name)
    assert "\n" not in str(error.value)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_of_that_name_is_refused(tmp_path: Path) -> None:
    (tmp_path / "ledger.xlsx").mkdir()
    with pytest.raises(ExportError, match="is a folder"):
        write_ledger(*site("lone-alder-farm"), tmp_path / "ledger.xlsx")


def _full(*_: object) -> None:
    raise OSError(28, "No space left on device")


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_a_full_disk_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ending: str) -> None:
    path = tmp_path / f"ledger.{ending}"
    path.write_bytes(b"old")
    monkeypatch.setattr(os, "fsync", _full)
    with pytest.raises(ExportError, match="cannot be written: No space left on device"):
        write_ledger(*site("lone-alder-farm"), path)
    assert path.read_bytes() == b"old" and [p.name for p in tmp_path.iterdir()] == [path.name]


def test_a_writer_that_fails_half_way_leaves_the_old_file(tmp_path: Path) -> None:
    path = tmp_path / "ledger.csv"
    path.write_bytes(b"old")

    def write(file: IO[bytes]) -> None:
        file.write(b"half of")
        _full()

    with pytest.raises(ExportError, match="No space"):
        write_export(path, write)
    assert path.read_bytes() == b"old" and [p.name for p in tmp_path.iterdir()] == ["ledger.csv"]


def test_a_link_is_followed_and_the_mode_is_kept(tmp_path: Path) -> None:
    real, link = tmp_path / "real.csv", tmp_path / "link.csv"
    real.write_bytes(b"old")
    real.chmod(0o640)
    link.symlink_to(real)

    def write(file: IO[bytes]) -> None:
        file.write(b"new")

    write_export(link, write)
    assert link.is_symlink() and real.read_bytes() == b"new" and stat.S_IMODE(real.stat().st_mode) == 0o640


def test_nobody_touches_the_mask_of_the_process(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is the whole process's: a file that another thread makes meanwhile would be open to everyone."""
    asked: list[int] = []
    monkeypatch.setattr(os, "umask", lambda mask: asked.append(mask) or 0o022)
    path = tmp_path / "new.csv"
    write_export(path, lambda file: file.write(b"new"))
    (tmp_path / "any").touch()
    assert not asked and path.stat().st_mode == (tmp_path / "any").stat().st_mode


def test_a_folder_that_may_not_be_written_is_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("os.open", refuse)
    with pytest.raises(ExportError, match=r"ledger\.csv cannot be written: Permission denied"):
        write_ledger(*site("lone-alder-farm"), tmp_path / "ledger.csv")
