"""Survey: each line of a table against the train's own check with that sample in it; tables good and bad; the file written."""

from __future__ import annotations

import copy
import csv
import io
from pathlib import Path

import numpy as np
import pytest

from tests.studies.test_options_answer import run
from trainapp import units
from trainapp.checks import findings, verdict
from trainapp.data import samples_path
from trainapp.reports.survey_csv import survey_table
from trainapp.reports.survey_text import survey_lines
from trainapp.studies.survey import SurveyError, Water, read_samples, samples_of, survey
from trainapp.train.document import Document, load
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan
from trainapp.water.analytes import BY_KEY

TRAINS = sorted(path.name for path in samples_path("").glob("*.train.json"))
HEADS = (
    "Well,Iron (mg/L),Mn,pH,Hardness (gpg),TDS (mg/L),UVT (%),Turbidity,Total coliform,Nitrate (mg/L as NO3),Free chlorine (mg/L),As (ug/L)"
)
UNITS = ",,mg/L,-,,,,NTU,,,,"


def table(waters: int, seed: int = 3) -> str:
    """A table of drawn waters with gaps in it."""
    rng = np.random.default_rng(seed)

    def cell(text: str, gap: float = 0.2) -> str:
        return "" if rng.random() < gap else text

    def amount(middle: float, spread: float) -> str:
        return f"{middle * np.exp(spread * rng.standard_normal()):.3g}"

    lines = [HEADS, UNITS]
    for i in range(waters):
        germs = ("absent", "present", "<1", "3")[rng.integers(4)]
        lines.append(
            ",".join(
                (
                    f"W-{i}", cell("<0.05" if rng.random() < 0.3 else amount(0.4, 1.5)), cell(amount(0.1, 1.5)),
                    cell(f"{rng.uniform(5, 9):.2f}"), cell(amount(8, 1)), cell(amount(300, 0.7)), cell(f"{rng.uniform(50, 98):.1f}", 0.5),
                    cell(amount(1, 1), 0.4), cell(germs, 0.3), cell(amount(7, 1)), cell("0.4", 0.9), cell("<1", 0.5),
                )
            )
        )  # fmt: skip
    return "\n".join(lines)


def alone(train: Document, water: Water) -> Evaluation:
    """The train with a water as its one sample, opened and evaluated as any document is."""
    name = f"line-{water.line}"
    only = {"samples": [{"id": name, "at": "supply", "results": dict(water.results)}], "design_sample": name}
    tree = copy.deepcopy(dict(train.tree)) | only
    return evaluate(open_plan(Document.of(tree)))


# The same as check ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", TRAINS)
def test_each_line_is_what_check_says_of_that_sample(name: str) -> None:
    """Over all sample trains and 30 drawn waters: verdict, titles, messages, number of notes, and values at the house."""
    train = load(samples_path(name))
    for outcome in survey(train, samples_of(table(30))).outcomes:
        evaluation = alone(train, outcome.water)
        found = findings(evaluation)
        assert outcome.verdict == verdict(found)
        assert [(s.severity, s.title, s.message) for s in outcome.said] == [
            (f.severity, f.title, f.message) for f in found if f.severity != "note"
        ]
        assert outcome.notes == sum(f.severity == "note" for f in found)
        house = evaluation.points["house"].water
        for key, value in (outcome.values or {}).items():
            ends = house.get(key)[..., 0]
            assert value in ends and ends.min() <= value <= ends.max()
            if BY_KEY[key].adverse != "range":
                assert value == (ends.min() if BY_KEY[key].adverse == "low" else ends.max())


def test_waters_do_not_touch_each_other() -> None:
    """A water says the same between others as alone."""
    train, lines = load(samples_path(TRAINS[0])), table(12).split("\n")
    together = survey(train, samples_of("\n".join(lines))).outcomes
    for i, outcome in enumerate(together):
        single = survey(train, samples_of("\n".join([*lines[:2], lines[2 + i]]))).outcomes[0]
        assert (single.verdict, single.said, single.values) == (outcome.verdict, outcome.said, outcome.values)


def test_the_documents_own_samples_are_left_aside() -> None:
    train = load(samples_path("lone-alder-farm.train.json"))
    outcome = survey(train, samples_of("id,Iron (mg/L)\na,0.01")).outcomes[0]
    assert "hardness" in outcome.assumed or "hardness" not in (outcome.values or {})
    assert any("was not measured" in said.title for said in outcome.said)


# Tables --------------------------------------------------------------------------------------------------------------------------


def test_units_from_heads_a_row_and_cells() -> None:
    samples = samples_of(
        "Sample,Date,Fe (ug/L),Mn,NO3,Hardness\n,,,mg/L,mg NO3/L,dH\nA,2024-05-01,300,0.2,44.3,10\nB,,<50,200 ug/L,,2 mmol/L\n"
    )
    first, second = samples.waters
    assert (first.line, first.name, first.date, second.line) == (3, "A", "2024-05-01", 4)
    assert first.sheet["iron"].low == pytest.approx(0.3) and first.sheet["nitrate"].low == pytest.approx(10.0, rel=1e-3)
    assert first.sheet["hardness"].low == pytest.approx(178.5, rel=1e-2)
    assert second.sheet["iron"].kind == "below" and second.sheet["iron"].high == pytest.approx(0.05)
    assert second.sheet["manganese"].low == pytest.approx(0.2) and second.sheet["hardness"].low == pytest.approx(200.2, rel=1e-2)
    assert "nitrate" not in second.results


def test_semicolons_and_decimal_commas() -> None:
    samples = samples_of("Brunnen;Eisen;Iron;pH\n;;mg/L;\nA;x;0,35;6,9\n")
    assert samples.waters[0].sheet["iron"].low == 0.35 and samples.waters[0].sheet["ph"].low == 6.9
    assert samples.waters[0].name == "A" and samples.left == ("Eisen",)


def test_letterhead_two_columns_of_one_analyte_and_empty_lines() -> None:
    text = "County survey\n\nid,pH lab,pH field,Iron (mg/L)\n1,,7.1,0.2\n,,,\n2,6.8,7.0,n/a\n"
    samples = samples_of(text)
    assert [(w.line, w.name, w.results.get("ph"), w.results.get("iron")) for w in samples.waters] == [
        (4, "1", "7.1", "0.2 mg/L"), (6, "2", "6.8", None),
    ]  # fmt: skip
    assert samples.analytes == ("ph", "iron")


def test_bad_lines_are_named_and_the_others_go_on() -> None:
    text = "id,Iron (mg/L),pH\nA,0.2,7\nB,furlongs,7\nC,0.2,7,9\nD,,\nE,-3,7\nF,ND,7\n"
    samples = samples_of(text)
    assert [bool(w.trouble) for w in samples.waters] == [False, True, True, True, True, True]
    troubles = [w.trouble for w in samples.waters[1:]]
    assert troubles[0].startswith("Iron (mg/L): ") and "furlongs" in troubles[0]
    assert troubles[1] == "it has 4 cells, the heads are 3" and troubles[2] == "it has no result"
    assert troubles[3].startswith("Iron (mg/L): ") and "reporting limit" in troubles[4]
    answer = survey(load(samples_path(TRAINS[0])), samples)
    assert [o.verdict == "" for o in answer.outcomes] == [False, True, True, True, True, True] and answer.count("") == 5


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "there is nothing in it"),
        ("a,q\n1,2\n", "no column has the name of an analyte as its head"),
        ("id,Iron (mg/L)\n", "there is no line of results"),
        ("id,Iron (gpm)\nA,3\n", 'column "Iron (gpm)", line 2: "3" has no unit'),
        ("id,Iron (degC)\nA,3\n", 'column "Iron (degC)": "degC" is not a unit of Iron'),
        ("id,Iron\n,psi\nA,3\n", 'column "Iron"'),
        ("id,Iron\nA,3\n", 'column "Iron", line 2: "3" has no unit'),
        ("id,Iron (mg/L)\nA,x\nB,y\n", "no line of it can be read; line 2: Iron (mg/L)"),
        ('id,"Iron (mg/L)\nA,3\n', "no column has the name"),
    ],
)
def test_tables_that_cannot_be_used(text: str, sentence: str) -> None:
    with pytest.raises(SurveyError) as error:
        samples_of(text)
    assert sentence in str(error.value) and "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [(b"PK\x03\x04..", "save it as CSV"), (b"id,Fe\0", "this is not text"), ("id,Fe (mg/L)\nA,3".encode("utf-16"), "")],
)
def test_files(tmp_path: Path, raw: bytes, sentence: str) -> None:
    path = tmp_path / "wells.csv"
    path.write_bytes(raw)
    if not sentence:
        assert read_samples(path).waters[0].results["iron"] == "3 mg/L"
        return
    with pytest.raises(SurveyError) as error:
        read_samples(path)
    assert str(error.value).startswith("wells.csv: ") and sentence in str(error.value)
    with pytest.raises(SurveyError, match="there is no such file"):
        read_samples(tmp_path / "none.csv")


# What is written -----------------------------------------------------------------------------------------------------------------


def test_the_table_says_values_in_the_units_asked_for() -> None:
    answer = survey(load(samples_path("lone-alder-farm.train.json")), samples_of(table(6)), "metric")
    told = survey_table(answer, "metric")
    us = survey_table(answer, "us")
    at, at_us = told.heads.index("hardness at the house (mg/L as CaCO3)"), us.heads.index("hardness at the house (gpg as CaCO3)")
    for outcome, row, row_us in zip(answer.outcomes, told.rows, us.rows, strict=True):
        value = (outcome.values or {}).get("hardness")
        if value is not None:
            assert row[at].value == pytest.approx(value, rel=1e-5)  # type: ignore[union-attr]
            assert row_us[at_us].value == pytest.approx(units.convert(value, "hardness", "us"), rel=1e-5)  # type: ignore[union-attr]


def test_the_text_counts_and_names_and_calls_nothing_safe() -> None:
    answer = survey(load(samples_path("lone-alder-farm.train.json")), samples_of(table(20) + "\nbad one,x\n"))
    text = " ".join(" ".join(survey_lines(answer)).split())
    assert "21 waters" in text and "line 23 (bad one): Iron (mg/L): " in text
    assert f"{answer.count('fail')} with a fail" in text and "1 that could not be read" in text
    assert " safe " not in text and "Only tests after start-up show" in text
    title, count = answer.often("fail")[0]
    assert f"{count} waters {title}" in text


@pytest.fixture
def wells(tmp_path: Path) -> Path:
    """A table with a formula for a name."""
    path = tmp_path / "wells.csv"
    path.write_text(table(5) + '\n"=HYPERLINK(1)",0.2\n', encoding="utf-8")
    return path


def test_the_command_writes_a_table(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path, wells: Path
) -> None:  # fmt: skip
    train, out = str(samples_path("lone-alder-farm.train.json")), tmp_path / "out.csv"
    status, told, _ = run(capsys, monkeypatch, "survey", str(wells), "--train", train, "--out", str(out))
    rows = list(csv.DictReader(io.StringIO(out.read_text(encoding="utf-8-sig"))))
    assert len(rows) == 6 and rows[5]["sample"] == "'=HYPERLINK(1)" and rows[0]["line"] == "3"
    assert status == int(any(row["verdict"] in ("fail", "not read") for row in rows)) and f"Wrote {out}" in told
    for row in rows:
        assert (row["verdict"] == "fail") == (int(row["fails"]) > 0)
        assert row["found"].count("fail: ") == int(row["fails"]) and row["found"].count("caution: ") == int(row["cautions"])
    again = tmp_path / "again.csv"
    run(capsys, monkeypatch, "survey", str(wells), "--train", train, "--out", str(again))
    assert again.read_bytes() == out.read_bytes()


def test_the_command_leaves_an_old_table_where_it_cannot_go_on(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path, wells: Path
) -> None:  # fmt: skip
    train, out, bad = str(samples_path("lone-alder-farm.train.json")), tmp_path / "out.csv", tmp_path / "bad.csv"
    out.write_text("old", encoding="utf-8")
    bad.write_text("id,Iron\nA,3\n", encoding="utf-8")
    for words in (
        [str(bad), "--train", train, "--out", str(out)],
        [str(wells), "--train", str(wells), "--out", str(out)],
        [str(wells), "--train", train, "--out", str(tmp_path / "out.xlsx")],
        [str(wells), "--train", train, "--out", str(wells)],
        [str(wells), "--train", train, "--out", str(tmp_path / "none" / "out.csv")],
    ):
        status, told, error = run(capsys, monkeypatch, "survey", *words)
        assert status == 2 and told == "" and error.count("\n") == 1 and "Traceback" not in error
    assert out.read_text(encoding="utf-8") == "old" and wells.read_text(encoding="utf-8").startswith("Well,")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["bad.csv", "out.csv", "wells.csv"]
