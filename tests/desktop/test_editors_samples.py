"""The sample sheet: results as typed, words by choice, several samples, pasting, and whether a sheet fits together."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QLocale, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox
from pytestqt.qtbot import QtBot

from tests.desktop.editing import CTRL, cell_editor, choose_in_cell, click, opened, paste, pick, type_cell, type_row
from trainapp.desktop.editors.balance import balance_words
from trainapp.desktop.editors.samples import SamplesEditor
from trainapp.desktop.session import Session
from trainapp.train.document import Document, blank
from trainapp.water.sample import read_sheet


@pytest.fixture
def editor(qtbot: QtBot, session: Session) -> SamplesEditor:
    return opened(qtbot, session, "samples", SamplesEditor)


def results(session: Session, name: str = "spring") -> dict[str, object]:
    return session.document.sample(name).results


def test_a_result_is_kept_as_typed_and_its_reading_said(editor: SamplesEditor, session: Session) -> None:
    before = session.assessment
    type_cell(editor.sheet, "hardness", "result", "20 gpg")
    assert results(session)["hardness"] == "20 gpg"
    assert editor.sheet.cell("hardness", "read").text == "20\u202fgpg = 342\u202fmg/L"
    assert editor.said.text() == "Hardness: read as 20\u202fgpg = 342\u202fmg/L."
    assert session.stack.count() == 1 and session.assessment is not before
    assert editor.sheet.key == "calcium"


@pytest.mark.parametrize(
    ("key", "typed", "kept", "read"),
    [
        ("iron", "<0.02", "<0.02 mg/L", "0 to 0.02\u202fmg/L"),
        ("iron", "3.1 ppm", "3.1 ppm", "3.10\u202fmg/L"),
        ("nitrate", "20 mg/L as NO3", "20 mg/L as NO3", "4.52\u202fmg/L"),
        ("total_coliform", ">200 /100mL", ">200 /100mL", "200\u202f/100\u202fmL or more"),
        ("calcium", "2.1 mmol/L", "2.1 mmol/L", "84.2\u202fmg/L"),
        ("alkalinity", "2*105 mg/l", "210 mg/l", "12\u202fgpg = 210\u202fmg/L"),
        ("ph", "6.8", "6.8", "6.8"),
        ("temperature", "54", "54 degF", "54\u202f°F"),
    ],
)
def test_non_detects_units_bases_and_sums(editor: SamplesEditor, session: Session, key: str, typed: str, kept: str, read: str) -> None:
    type_cell(editor.sheet, key, "result", typed)
    raw = results(session)[key]
    assert (raw["value"] if isinstance(raw, dict) else raw) == kept
    assert editor.sheet.cell(key, "read").text == read


def test_the_comma_of_a_locale_is_a_decimal_sign(editor: SamplesEditor, session: Session) -> None:
    before = QLocale()
    QLocale.setDefault(QLocale(QLocale.Language.German, QLocale.Country.Germany))
    try:
        type_cell(editor.sheet, "iron", "result", "<1,5 mg/L")
    finally:
        QLocale.setDefault(before)
    assert results(session)["iron"] == "<1.5 mg/L"


def test_what_is_no_result_is_refused_where_it_was_typed(editor: SamplesEditor, session: Session) -> None:
    type_cell(editor.sheet, "iron", "result", "3 furlongs")
    assert editor.said.text() == 'Iron: "3 furlongs" is not a concentration; it stays 2.4\u202fmg/L.'
    assert editor.said_mark.isVisible()
    assert editor.sheet.key == "iron"
    assert session.stack.count() == 0 and results(session)["iron"] == "2.4 mg/L"


def test_a_word_is_chosen(editor: SamplesEditor, session: Session) -> None:
    choose_in_cell(editor.sheet, "settles_overnight", "result", "yes")
    assert results(session)["settles_overnight"] == "yes"
    type_cell(editor.sheet, "e_coli", "result", "present")
    assert results(session)["e_coli"] == "present"
    assert session.model is not None and "do not drink" in session.model.verdict.warning.lower()


def test_arrows_walk_the_list_of_a_cell_and_only_return_takes(editor: SamplesEditor, session: Session) -> None:
    editor.sheet.setFocus()
    editor.sheet.go_to("iron", "method")
    QTest.keyClick(editor.sheet, Qt.Key.Key_Return)
    box = cell_editor(editor.sheet)
    QApplication.processEvents()
    assert isinstance(box, QComboBox) and box.view().isVisible()
    for _ in range(2):
        QTest.keyClick(box.view(), Qt.Key.Key_Down)
    assert session.stack.count() == 0
    QTest.keyClick(box.view(), Qt.Key.Key_Return)
    QApplication.processEvents()
    assert results(session)["iron"] == {"value": "2.4 mg/L", "method": "lab"}
    assert editor.sheet.key == "iron" and editor.sheet.state() == editor.sheet.State.NoState


def test_method_and_note_stand_with_their_result(editor: SamplesEditor, session: Session) -> None:
    type_cell(editor.sheet, "iron", "note", "after ten minutes of running")
    choose_in_cell(editor.sheet, "iron", "method", "e")
    assert results(session)["iron"] == {"value": "2.4 mg/L", "method": "estimate", "note": "after ten minutes of running"}
    type_cell(editor.sheet, "iron", "result", "2.6 mg/L")
    assert results(session)["iron"] == {"value": "2.6 mg/L", "method": "estimate", "note": "after ten minutes of running"}
    for column in ("note", "method"):
        editor.sheet.go_to("iron", column)
        QTest.keyClick(editor.sheet, Qt.Key.Key_Delete)
    assert results(session)["iron"] == "2.6 mg/L"


def test_delete_takes_a_result_away_and_undo_brings_it_back(editor: SamplesEditor, session: Session, farm: Document) -> None:
    editor.sheet.setFocus()
    editor.sheet.go_to("iron", "result")
    QTest.keyClick(editor.sheet, Qt.Key.Key_Delete)
    assert "iron" not in results(session)
    QTest.keyClick(editor.sheet, Qt.Key.Key_Z, CTRL)
    assert session.document == farm
    QTest.keyClick(editor.sheet, Qt.Key.Key_Z, CTRL | Qt.KeyboardModifier.ShiftModifier)
    assert "iron" not in results(session)


def test_typing_over_a_cell_is_one_step(editor: SamplesEditor, session: Session) -> None:
    editor.sheet.setFocus()
    editor.sheet.go_to("chloride", "result")
    QTest.keyClicks(editor.sheet, "1")
    QTest.keyClicks(cell_editor(editor.sheet), "2345")
    QTest.keyClick(cell_editor(editor.sheet), Qt.Key.Key_Tab)
    assert results(session)["chloride"] == "12345 mg/L"
    assert session.stack.count() == 1


# Pasting ----------------------------------------------------------------------------------------------------------------------


def test_names_find_their_lines_and_one_undo_takes_all_back(editor: SamplesEditor, session: Session, farm: Document) -> None:
    editor.sheet.setFocus()
    paste(editor.sheet, "Test\tResult\tUnit\nFe\t2.9\tmg/L\nStrontium\t0.3\tmg/L\nTurbidity\t3 furlongs\t\nSulfate\t<5\tmg/L\n")
    assert results(session)["iron"] == "2.9 mg/L" and results(session)["sulfate"] == "<5 mg/L"
    assert results(session)["Strontium"] == "0.3 mg/L"
    said = editor.said.text()
    assert said.startswith("3 results pasted.") and "not judged: Strontium" in said
    assert 'Not read: Turbidity: "3 furlongs" is not a turbidity.' in said
    assert editor.sheet.cell("Strontium", "read").text == "not judged"
    assert session.stack.count() == 1
    click(editor.undo_button)
    assert session.document == farm


def test_one_column_goes_down_from_the_current_line(editor: SamplesEditor, session: Session) -> None:
    editor.sheet.setFocus()
    editor.sheet.go_to("calcium", "result")
    paste(editor.sheet, "80\n20\n\n7.1\n")
    assert [results(session)[key] for key in ("calcium", "magnesium", "alkalinity", "ph")] == ["80 mg/L", "20 mg/L", "270 mg/L", "7.1"]


def test_a_single_value_is_like_typing_it(editor: SamplesEditor, session: Session) -> None:
    editor.sheet.setFocus()
    editor.sheet.go_to("iron", "result")
    paste(editor.sheet, "1.9")
    assert results(session)["iron"] == "1.9 mg/L"
    paste(editor.sheet, "much")
    assert editor.said.text().startswith('Iron: "much" is not a concentration; it stays')


def test_nothing_to_paste_says_so(editor: SamplesEditor, session: Session) -> None:
    QApplication.clipboard().setText("  ")
    button = next(b for b in editor.findChildren(type(editor.close_button)) if b.text() == "Paste results")
    click(button)
    assert "Nothing that can be read" in editor.said.text()
    assert session.stack.count() == 0


# Several samples --------------------------------------------------------------------------------------------------------------


def button(editor: SamplesEditor, text: str) -> object:
    return next(b for b in editor.findChildren(type(editor.close_button)) if b.text() == text)


def test_samples_are_added_copied_renamed_and_removed(editor: SamplesEditor, session: Session, farm: Document) -> None:
    click(button(editor, "Copy"))
    assert editor.name == "sample" and results(session, "sample") == results(session, "spring")
    type_row(editor.facts, "id", "autumn")
    assert editor.name == "autumn" and [s.id for s in session.document.samples] == ["spring", "autumn"]
    row = type_row(editor.facts, "id", "worst")
    assert "stands for the worst of all samples" in row.line.text() and editor.name == "autumn"
    type_row(editor.facts, "date", "2026-10-01")
    row = type_row(editor.facts, "date", "yesterday")
    assert '"yesterday" is not a date' in row.line.text() and session.document.sample("autumn").date == "2026-10-01"
    click(button(editor, "Remove"))
    assert editor.name == "spring"
    while session.stack.canUndo():
        session.stack.undo()
    assert session.document == farm


def test_the_design_water_is_one_sample_or_the_worst(editor: SamplesEditor, session: Session) -> None:
    click(button(editor, "Copy"))
    type_cell(editor.sheet, "iron", "result", "3.5 mg/L")
    assert editor.sheet.cell("iron", "beside").text == "2.40\u202fmg/L"
    pick(editor.design.box, "worst")
    assert session.document.design_sample == "worst"
    assert editor.sheet.cell("iron", "beside").text == "3.50\u202fmg/L"
    assert "worst result of 2 samples" in editor.design_words.text()
    assert session.assessment is not None
    assert session.assessment.evaluation.points["supply"].water.high("iron")[0, 0] == pytest.approx(3.5)


def test_removing_the_design_sample_leaves_the_worst_of_the_others(editor: SamplesEditor, session: Session) -> None:
    click(button(editor, "Remove"))
    assert session.document.design_sample == "worst" and session.document.samples == []
    assert session.stack.count() == 1


def test_a_sample_after_a_stage_stands_beside_the_prediction(editor: SamplesEditor, session: Session) -> None:
    click(button(editor, "New"))
    pick(editor.place.box, "softener")
    type_cell(editor.sheet, "hardness", "result", "12 gpg")
    assert session.document.sample("sample").at == "softener"
    cell = editor.sheet.cell("hardness", "beside")
    assert session.assessment is not None
    water = session.assessment.evaluation.points["softener"].predicted
    assert water is not None
    predicted = float(water.high("hardness")[:, 0].max())
    assert predicted < 50.0 and cell.mark == "caution" and "More was found than is predicted" in cell.note
    type_cell(editor.sheet, "hardness", "result", f"{predicted:.3f} mg/L")
    assert editor.sheet.cell("hardness", "beside").mark is None
    assert editor.sheet.cell("total_coliform", "beside").text == "only a test says"


def test_a_sample_at_the_house_stands_beside_what_is_predicted_there(editor: SamplesEditor, session: Session) -> None:
    click(button(editor, "New"))
    pick(editor.place.box, "house")
    assert session.document.sample("sample").at == "house"
    assert editor.pick.box.currentText() == "sample, at house"
    assert session.assessment is not None
    left = float(session.assessment.evaluation.points["house"].water.high("hardness")[:, 0].max())
    assert editor.sheet.cell("hardness", "beside").text.endswith(f"{left:.0f}\u202fmg/L")


def test_the_design_sample_cannot_move_behind_a_stage(editor: SamplesEditor, session: Session) -> None:
    pick(editor.place.box, "softener")
    assert "was not taken at the supply" in editor.said.text()
    assert editor.place.current == "supply" and session.document.sample("spring").at == "supply"


def test_the_first_result_starts_a_sample(qtbot: QtBot) -> None:
    session = Session(blank())
    editor = opened(qtbot, session, "samples", SamplesEditor)
    type_cell(editor.sheet, "iron", "result", "0.4")
    assert [(s.id, s.results) for s in session.document.samples] == [("sample", {"iron": "0.4 mg/L"})]
    assert editor.name == "sample"


# Fitting together -------------------------------------------------------------------------------------------------------------


def test_the_balance_follows_each_edit(editor: SamplesEditor) -> None:
    assert editor.balance.words.text().startswith("Cations and anions are 0.9\u202f% apart, within 5.0")
    type_cell(editor.sheet, "calcium", "result", "160 mg/L")
    assert "more than 5.0\u202f%: a result is wrong or an ion is missing." in editor.balance.words.text()
    assert editor.balance.mark.isVisible()
    type_cell(editor.sheet, "sodium", "result", "")
    assert editor.balance.words.text() == "Charge balance cannot be told: sodium was not measured."
    assert not editor.balance.bars.isVisible()


def test_a_published_analysis_balances_as_its_charges_say() -> None:
    # Three salts in water: 1 mmol/L each of CaSO4 and NaHCO3, and 1 of MgCl2: cations 2 + 1 + 2, anions 2 + 1 + 2 meq/L, by definition.
    sheet = read_sheet({
        "calcium": "40.078 mg/L", "magnesium": "24.305 mg/L", "sodium": "22.990 mg/L", "alkalinity": "50.0435 mg/L",
        "chloride": "70.906 mg/L", "sulfate": "96.06 mg/L",
    })  # fmt: skip
    assert balance_words(sheet) == (None, "Cations and anions are 0.0\u202f% apart, within 5.0\u202f%.")


def test_a_doubt_marks_its_result_and_says_why(editor: SamplesEditor) -> None:
    assert editor.sheet.cell("uvt", "result").mark == "caution"
    assert "of iron would alone absorb" in editor.doubts.text
    type_cell(editor.sheet, "iron_dissolved", "result", "9 mg/L")
    assert "is more than all of it" in editor.doubts.text


def test_the_list_is_narrowed(editor: SamplesEditor) -> None:
    QTest.keyClicks(editor.find, "coli")
    assert [line.key for line in editor.sheet.sheet.lines] == ["total_coliform", "e_coli"]
    editor.find.clear()
    QTest.keyClick(editor.tested, Qt.Key.Key_Space)
    assert {line.key for line in editor.sheet.sheet.lines} == set(editor.sample.results if editor.sample else ())
