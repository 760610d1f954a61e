"""Lab sheets of many layouts as samples of a document, and the command that reads them in."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from trainapp.cli import app
from trainapp.train.document import Document, load
from trainapp.train.lab import MOST_BYTES, LabError, LabSheet, free_id, read_lab, read_lab_file, with_sample
from trainapp.water.sample import read_sheet
from trainapp.water.sheet_text import SheetError, decoded

#: Invented; the layout of a sheet with letterhead, reporting limits and flags.
SHEET = """Fictional Water Laboratory,,,,
Client:,A. Nobody,,,
Sample ID:,12345,,,
Date Collected:,2026-03-02,,,
Analyte,Result,Units,RL,Qualifier
Hardness (as CaCO3),308,mg/L,1,
"Iron, Total",3.1,mg/L,0.05,
"Manganese, Total",120,ug/L,5,
Arsenic,ND,mg/L,0.005,U
Lead,0.001,mg/L,0.001,U
Copper,0.02,mg/L,0.01,J
pH,7.3,S.U.,,
Specific Conductance,610,umhos/cm,,
Nitrate as N,<0.5,mg/L,0.5,
Total Coliform,>2419.6,MPN/100 mL,1,
E. coli,Absent,per 100 mL,1,
Strontium,0.3,mg/L,,
Fluoride,trace,mg/L,,
Sodium,N.D.,mg/L,,
"""


def texts(sheet: LabSheet) -> dict[str, str]:
    return {line.analyte: line.text for line in sheet.understood}


def test_a_sheet_with_letterhead_limits_and_flags() -> None:
    sheet = read_lab(SHEET)
    assert texts(sheet) == {
        "hardness": "308 mg/L as CaCO3", "iron": "3.1 mg/L", "manganese": "120 ug/L", "arsenic": "<0.005 mg/L", "lead": "<0.001 mg/L",
        "copper": "0.02 mg/L", "ph": "7.3", "conductivity": "610 uS/cm", "nitrate": "<0.5 mg/L as N", "total_coliform": ">2419.6 /100mL",
        "e_coli": "absent",
    }  # fmt: skip
    assert [(line.name, line.text) for line in sheet.kept] == [("Strontium", "0.3 mg/L")]
    assert [name for name, _ in sheet.refused] == ["Fluoride", "Sodium"] and "below what" in sheet.refused[1][1]
    assert sheet.date == "2026-03-02" and sheet.more == 0
    assert sheet.results["copper"] == {"value": "0.02 mg/L", "note": "flagged as an estimate by the laboratory"}
    assert sheet.results["Strontium"] == "0.3 mg/L"


def test_every_result_of_a_sheet_can_be_read_by_a_document() -> None:
    results = read_sheet({key: value for key, value in read_lab(SHEET).results.items()})
    assert results["manganese"].low == pytest.approx(0.12) and results["arsenic"].kind == "below"


@pytest.mark.parametrize(
    "text",
    [
        "name,value,unit\nIron,3.1,mg/L\nE. coli,absent,\n",
        "unit,name,value\nmg/L,Iron,3.1\n,E. coli,absent\n",
        "value;unit;name\n3,1;mg/L;Iron\nabsent;;E. coli\n",
        "Iron,E. coli\nmg/L,\n3.1,absent\n",
        "Iron (mg/L)\tE. coli\n3.1\tabsent\n",
        "Iron\t3.1 mg/L\nE. coli\tabsent\n",
        "Fe|3.1|mg/L\nEscherichia coli|absent|\n",
        "Iron: 3.1 mg/L\nE. coli: absent\n",
        "\ufeffname,value,unit\r\nIron,3.1,mg/L\r\nE. coli,absent,\r\n",
        '"Name","Value","Unit"\n"Iron","3.1","mg/L"\n"E. coli","absent",""\n',
    ],
)
def test_columns_stand_in_any_order_and_rows_may_stand_for_columns(text: str) -> None:
    assert texts(read_lab(text)) == {"iron": "3.1 mg/L", "e_coli": "absent"}


def test_an_analyte_that_stands_twice_is_taken_once_and_said() -> None:
    sheet = read_lab("Nitrate as N\t<0.5 mg/L\nNitrate\t2.2 mg/L\n")
    assert texts(sheet) == {"nitrate": "<0.5 mg/L as N"}
    assert sheet.refused == (("Nitrate", "Nitrate stands twice on the sheet; the first was taken"),)


def test_a_basis_that_is_not_given_is_asked_for() -> None:
    # 10 mg/L of nitrate as nitrogen is 44 mg/L as nitrate: the same number means very different water (40 CFR 141.62 counts it as N)
    (bare,) = read_lab("Nitrate\t9 mg/L\n").understood
    assert "ask the laboratory" in bare.remark
    (given_,) = read_lab("Nitrate as NO3\t9 mg/L\n").understood
    assert given_.remark == "" and given_.text == "9 mg/L as NO3"


@pytest.mark.parametrize(
    ("raw", "letter"),
    [
        ("Manganese,120,µg/L\n".encode(), "µ"),
        ("Manganese,120,µg/L\n".encode("cp1252"), "µ"),
        ("Manganese,120,µg/L\n".encode("utf-16"), "µ"),
        (b"\xef\xbb\xbf" + "Manganese,120,µg/L\n".encode(), "µ"),
    ],
)
def test_sheets_of_several_encodings(raw: bytes, letter: str) -> None:
    text = decoded(raw, MOST_BYTES)
    assert letter in text and read_lab(text).understood[0].analyte == "manganese"


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [
        (b"PK\x03\x04...", "this is a workbook, which is not read: save it as CSV"),
        (b"%PDF-1.7", "this is a PDF"),
        (b"\xd0\xcf\x11\xe0", "this is an old workbook"),
        (b"Iron,3.1\0\0", "this is not text"),
        (b"a" * 2_000_001, "it is larger than 2 MB"),
    ],
)
def test_what_is_no_sheet_is_refused(raw: bytes, sentence: str) -> None:
    with pytest.raises(SheetError, match=sentence):
        decoded(raw, MOST_BYTES)


@pytest.mark.parametrize("text", ["", "\n\n", "hello", "a,b\n1,2\n", "Strontium,0.3 mg/L\n", "Iron,abc\nLead,xyz\n", "=1+1,@x\n"])
def test_a_sheet_without_any_known_result_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(LabError, match="no line holds the name of a known analyte") as error:
        read_lab(text)
    assert "\n" not in str(error.value)


@given(st.text(max_size=400))
def test_any_text_is_a_sheet_or_a_sentence(text: str) -> None:
    try:
        sheet = read_lab(text)
    except LabError as error:
        assert "\n" not in str(error)
        return
    read_sheet(sheet.results)


@given(st.binary(max_size=400))
def test_any_bytes_are_text_or_a_sentence(raw: bytes) -> None:
    try:
        decoded(raw, MOST_BYTES)
    except SheetError as error:
        assert "\n" not in str(error)


# Into a document --------------------------------------------------------------------------------------------------------------


@pytest.fixture
def farm(farm_well: Path) -> Document:
    return load(farm_well)


def test_a_sheet_becomes_one_more_sample(farm: Document) -> None:
    document, name = with_sample(farm, read_lab(SHEET), "March 2026 (final).csv")
    assert name == "march-2026-final-csv" and [sample.id for sample in document.samples] == ["spring", name]
    sample = document.sample(name)
    assert (sample.date, sample.at, sample.results["iron"]) == ("2026-03-02", "supply", "3.1 mg/L")
    assert document.design_sample == farm.design_sample and len(farm.samples) == 1


def test_ids_are_never_taken_twice(farm: Document) -> None:
    document = farm
    names = []
    for _ in range(3):
        document, name = with_sample(document, read_lab("Iron\t3.1 mg/L"), "Spring")
        names.append(name)
    assert names == ["spring-2", "spring-3", "spring-4"]
    assert free_id(farm, "worst") == "worst-2" and free_id(farm, "???") == "lab"


def test_a_sample_may_be_taken_behind_a_stage_of_the_train(farm: Document) -> None:
    document, name = with_sample(farm, read_lab("Iron\t0.1 mg/L"), "after", at="iron")
    assert document.sample(name).at == "iron"
    with pytest.raises(LabError, match='"attic" is neither the supply nor a stage'):
        with_sample(farm, read_lab("Iron\t0.1 mg/L"), "after", at="attic")


# The command ------------------------------------------------------------------------------------------------------------------


@pytest.fixture
def site(farm_well: Path, tmp_path: Path) -> Path:
    """A copy of the farm's document beside a sheet."""
    (tmp_path / "spring 2026.csv").write_text(SHEET, encoding="utf-8")
    return Path(shutil.copy(farm_well, tmp_path / "farm.train.json"))


def run(*words: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, ["sample", "import", *words])
    return result.exit_code, result.stdout, result.stderr


def test_the_command_adds_a_sample_and_says_what_it_read(site: Path) -> None:
    before = json.loads(site.read_text(encoding="utf-8"))
    code, said, error = run(str(site.with_name("spring 2026.csv")), "--into", str(site))
    assert code == 0 and error == ""
    assert said.startswith('Added sample "spring-2026" of 2026-03-02, taken at supply: 11 results.\n')
    assert 'printed as "Iron, Total"' in said and "not judged: Strontium 0.3 mg/L." in said
    assert "Not read: Sodium:" in said and said.endswith('The train is still designed for sample "spring".\n')
    after = json.loads(site.read_text(encoding="utf-8"))
    added = after["samples"].pop()
    assert after == before and added["id"] == "spring-2026"
    assert not list(site.parent.glob("*.tmp")) and not list(site.parent.glob(".*"))


def test_name_and_place_can_be_given(site: Path) -> None:
    code, said, _ = run(str(site.with_name("spring 2026.csv")), "--into", str(site), "--name", "after iron", "--at", "iron")
    assert code == 0 and said.startswith('Added sample "after-iron"') and said.endswith("It is shown beside what is predicted there.\n")


@pytest.mark.parametrize(
    ("lab", "into", "more", "sentence"),
    [
        ("none.csv", "farm.train.json", (), "none.csv: there is no such file"),
        ("spring 2026.csv", "none.train.json", (), "none.train.json: there is no such file"),
        ("farm.train.json", "farm.train.json", (), "farm.train.json: no line holds the name of a known analyte"),
        ("spring 2026.csv", "spring 2026.csv", (), "this is not JSON"),
        (".", "farm.train.json", (), "is a directory"),
        ("spring 2026.csv", "farm.train.json", ("--at", "attic"), '"attic" is neither the supply nor a stage'),
    ],
)
def test_what_cannot_be_done_is_one_sentence_and_changes_nothing(
    site: Path, lab: str, into: str, more: tuple[str, ...], sentence: str
) -> None:
    before = site.read_bytes()
    code, said, error = run(str(site.parent / lab), "--into", str(site.parent / into), *more)
    assert code == 2 and said == "" and sentence in error and error.count("\n") == 1
    assert site.read_bytes() == before


def test_a_full_disk_leaves_the_document(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = site.read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    code, _, error = run(str(site.with_name("spring 2026.csv")), "--into", str(site))
    assert code == 2 and "no space left on device" in error and site.read_bytes() == before


def test_a_file_name_stands_in_the_sentence(tmp_path: Path) -> None:
    (tmp_path / "sheet.xlsx").write_bytes(b"PK\x03\x04")
    with pytest.raises(LabError, match=r"^sheet\.xlsx: this is a workbook"):
        read_lab_file(tmp_path / "sheet.xlsx")
