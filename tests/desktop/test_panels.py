"""Findings, worked steps, the sample sheet, the shelf and the train in words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QRectF, Qt
from PySide6.QtGui import QFontMetrics, QGuiApplication, QImage, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from tests.desktop.hands import enter, key
from trainapp import units
from trainapp.checks import findings as all_findings
from trainapp.desktop.adding import OUTLET, PARALLEL, shelf
from trainapp.desktop.card import remove
from trainapp.desktop.fields import TypedField
from trainapp.desktop.findings import counted, figures_of
from trainapp.desktop.fonts import font
from trainapp.desktop.sample import SampleSheet
from trainapp.desktop.session import Session
from trainapp.desktop.shelf import Shelf, ShelfList
from trainapp.desktop.steps_content import sheet_of
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.stages import registry
from trainapp.train.document import Document
from trainapp.train.edits import SetValue
from trainapp.water.analytes import ANALYTES

# Findings ---------------------------------------------------------------------------------------------------------------------


def panel(window: Any) -> Any:
    return window.workspace.right.findings


def test_the_list_is_that_of_the_command_line(window: Any, session: Session) -> None:
    assert session.assessment is not None
    expected = all_findings(session.assessment.evaluation, system="us")
    names = [row.accessibleName() for row in panel(window).rows]
    assert len(names) == len(expected) > 0
    for i, (name, finding) in enumerate(zip(names, expected, strict=True), 1):
        assert name.startswith(f"{i} {finding.severity}: {units.typeset(finding.title)}")


def test_each_finding_has_mark_and_word(window: Any) -> None:
    for row in panel(window).rows:
        assert row.mark._kind in ("fail", "caution", "note", "accepted")
        assert any(word in row.word.text() for word in ("fail", "caution", "note"))


def test_only_the_chosen_one_is_opened_and_its_place_selected(window: Any, session: Session) -> None:
    rows = panel(window).rows
    assert session.assessment is not None
    number = next(i for i, f in enumerate(session.assessment.findings) if f.stage == "uv")
    QTest.mouseClick(rows[number], Qt.MouseButton.LeftButton)
    assert session.selection == ("stage", "uv")
    assert [row.opened for row in rows] == [i == number for i in range(len(rows))]
    assert rows[number].message.isVisible() and "Source:" in rows[number].source.text()
    QTest.mouseClick(rows[number], Qt.MouseButton.LeftButton)
    assert not any(row.opened for row in rows)


def test_findings_are_walked_with_the_keyboard(window: Any, session: Session) -> None:
    window.run("findings")
    rows = panel(window).rows
    assert rows[0].hasFocus()
    key(rows[0], Qt.Key.Key_Down)
    assert rows[1].hasFocus()
    key(rows[1], Qt.Key.Key_Return)
    assert session.finding == 2
    window.run("next_finding")
    assert session.finding == 3
    window.run("previous_finding")
    window.run("previous_finding")
    assert session.finding == 1


def test_an_edit_changes_the_list_at_once(window: Any, session: Session) -> None:
    before = len(panel(window).rows)
    remove(session, ("stage", "uv"))
    assert len(panel(window).rows) != before or panel(window).rows[0].mark._kind == "fail"
    session.stack.undo()
    assert len(panel(window).rows) == before


def test_what_was_not_judged_stands_beside_the_verdict(window: Any, session: Session) -> None:
    assert session.assessment is not None
    count = len(session.assessment.not_judged)
    assert window.workspace.verdict.unjudged.text() == f"{count} not judged"
    window.workspace.verdict.unjudged.click()
    text = panel(window).unjudged.list.text()
    assert panel(window).unjudged.list.isVisible() and len(text.splitlines()) == count


def test_nothing_reads_as_safe(window: Any, session: Session) -> None:
    verdict = window.workspace.verdict
    said = f"{verdict.headline.text()} {verdict.rest.accessibleName()}".lower()
    assert "safe" not in said and "pass" not in said and "tests after start-up" in said


def test_safety_is_always_in_sight(window: Any, session: Session) -> None:
    block = window.workspace.right.safety
    assert "never certifies" in block.text.text() and block.isVisible()
    block.more.click()
    assert session.model is not None
    assert all(sentence in block.text.text() for sentence in session.model.verdict.safety)


def test_counts_in_words() -> None:
    assert counted(["fail", "note", "fail"]) == "2 fails, 1 note"
    assert counted([]) == "nothing found"


def test_a_value_never_reads_equal_to_the_limit_that_it_breaks(session: Session) -> None:
    assert session.assessment is not None
    finding = next(f for f in session.assessment.findings if f.value is not None and f.limit is not None)
    value = replace(finding.value, low=finding.limit.low * 1.00001, high=finding.limit.low * 1.00001)  # type: ignore[type-var, union-attr]
    first, _, second = figures_of(replace(finding, value=value), "us").partition(", limit ")
    assert first != second


# Worked steps -----------------------------------------------------------------------------------------------------------------


def test_every_stage_shows_its_steps_and_their_sources(session: Session) -> None:
    assert session.assessment is not None
    for node, result in session.assessment.evaluation.stages.items():
        sheet = sheet_of(session.assessment, ("stage", node), "us")
        assert sheet is not None and len(sheet.lines) == len(result.working.steps) > 0
        assert all(line.source <= len(sheet.sources) for line in sheet.lines)
        assert all("\n" not in line.value and line.value for line in sheet.lines)


@pytest.mark.parametrize("tag", [("supply",), ("end", "house"), ("end", "garden"), ("link", "iron", "softener")])
def test_supply_ends_and_pipes_show_theirs(session: Session, tag: Any) -> None:
    assert session.assessment is not None
    sheet = sheet_of(session.assessment, tag, "us")
    assert sheet is not None and sheet.title and sheet.lines


def test_a_number_shows_its_way_from_the_sample(session: Session) -> None:
    assert session.assessment is not None
    sheet = sheet_of(session.assessment, ("cell", "hardness", "uv"), "us")
    assert sheet is not None
    told = [line.meaning for line in sheet.lines]
    assert told[0].startswith("sample spring, as typed") and sheet.lines[0].value == "18\u202fgpg"
    assert any(text == f"after {session.title_of('softener')}" for text in told)
    assert any("Last changed by" in text for text in sheet.intro)


def test_every_cell_of_the_ledger_shows_its_way(session: Session) -> None:
    assert session.assessment is not None
    for row in session.assessment.model.rows:
        for node in row.cells:
            sheet = sheet_of(session.assessment, ("cell", row.key, node), "metric")
            assert sheet is not None and sheet.title
            if row.cells[node].status != "missing":
                assert sheet.lines


def test_the_value_behind_a_stage_is_the_evaluations_own(session: Session) -> None:
    assert session.assessment is not None
    outlet = session.assessment.evaluation.stages["softener"].outlet.high("hardness")
    shown = units.typeset(units.show(float(np.broadcast_to(outlet, (3, outlet.shape[-1]))[2, 0]), "hardness", "us"))
    sheet = sheet_of(session.assessment, ("cell", "hardness", "house"), "us")
    assert sheet is not None
    line = next(line for line in sheet.lines if line.meaning == f"after {session.title_of('softener')}")
    assert line.value.endswith(shown)


def test_steps_are_copied_as_text(window: Any, session: Session) -> None:
    session.select(("stage", "uv"))
    window.run("steps")
    QApplication.processEvents()
    window.workspace.right.steps.copy.click()
    text = QGuiApplication.clipboard().text()
    assert text.startswith(session.title_of("uv")) and "\n[1] " in text


# The sample -------------------------------------------------------------------------------------------------------------------


@pytest.fixture
def sheet(window: Any) -> SampleSheet:
    window.run("sample")
    QApplication.processEvents()
    made: SampleSheet = window.workspace.right.sample
    return made


def result(sheet: SampleSheet, name: str) -> TypedField:
    editor = sheet.rows[name].editor
    assert isinstance(editor, TypedField)
    return editor


def test_the_sheet_shows_every_analyte_as_it_was_typed(sheet: SampleSheet, session: Session) -> None:
    assert {a.key for a in ANALYTES} <= set(sheet.rows)
    assert result(sheet, "hardness").text() == "18 gpg"
    assert result(sheet, "arsenic").text() == "<0.005 mg/L"
    assert result(sheet, "hydrogen_sulfide").text() == "<0.05 mg/L"
    assert result(sheet, "uranium").text() == ""


def test_a_result_is_changed_and_judged_at_once(sheet: SampleSheet, session: Session, farm: Document) -> None:
    enter(result(sheet, "iron"), "3.3 mg/L")
    assert session.document.sample("spring").results["iron"] == "3.3 mg/L"
    assert session.assessment is not None
    assert session.assessment.evaluation.plan.raw.sheet["iron"].high == pytest.approx(3.3)
    session.stack.undo()
    assert session.document == farm
    assert result(sheet, "iron").text() == "2.4 mg/L"


def test_a_method_stays_with_its_result(sheet: SampleSheet, session: Session) -> None:
    enter(result(sheet, "hydrogen_sulfide"), "0.2 mg/L")
    assert session.document.sample("spring").results["hydrogen_sulfide"] == {"value": "0.2 mg/L", "method": "field"}


def test_a_non_detect_is_told_as_an_interval(sheet: SampleSheet) -> None:
    result(sheet, "arsenic").setFocus(Qt.FocusReason.TabFocusReason)
    assert "anywhere from 0 to" in sheet.rows["arsenic"].line.text()


def test_a_bad_result_stays_out(sheet: SampleSheet, session: Session, farm: Document) -> None:
    enter(result(sheet, "iron"), "3 furlongs")
    assert session.document == farm
    assert "it stays 2.4" in sheet.rows["iron"].line.text()
    enter(result(sheet, "ph"), "71")
    assert session.document == farm


def test_a_new_result_moves_up_and_a_cleared_one_is_not_tested(sheet: SampleSheet, session: Session) -> None:
    enter(result(sheet, "uranium"), "0.002 mg/L")
    assert list(sheet.rows).index("uranium") < list(sheet.rows).index("silica")
    assert result(sheet, "uranium").hasFocus()
    enter(result(sheet, "uranium"), "")
    assert "uranium" not in session.document.sample("spring").results


def test_a_number_alone_is_in_the_unit_of_files(sheet: SampleSheet, session: Session) -> None:
    enter(result(sheet, "chloride"), "<30")
    assert session.document.sample("spring").results["chloride"] == "<30 mg/L"


def test_without_a_sample_the_first_result_starts_one(sheet: SampleSheet, session: Session) -> None:
    session.edit(SetValue(path="design_sample", value="worst"))
    session.edit(SetValue(path="samples", value=[]))
    enter(result(sheet, "hardness"), "12 gpg")
    assert session.document.samples[0].results == {"hardness": "12 gpg"}


# The shelf --------------------------------------------------------------------------------------------------------------------


def lines(made: ShelfList) -> list[str]:
    items = [made.item(i) for i in range(made.count())]
    return [item.data(Qt.ItemDataRole.UserRole) for item in items if not item.isHidden() and item.data(Qt.ItemDataRole.UserRole)]


def test_every_kind_is_on_the_shelf() -> None:
    keys = [entry.key for entry in shelf()]
    assert set(keys) == {*registry.kinds(), PARALLEL, OUTLET}
    groups = [entry.group for entry in shelf()]
    assert groups == sorted(groups, key=groups.index)
    assert len({entry.label for entry in shelf()}) == len(keys)


def test_a_heading_that_is_too_long_ends_in_an_ellipsis(window: Any) -> None:
    """Items stand under the name of their kind, which the opened rail has no room for."""
    delegate = window.workspace.shelf.list.itemDelegate()
    text, area = "Sediment cartridge, catalogue", QRectF(0, 0, 90, 20)
    drawn = []
    for shown in (text, QFontMetrics(font(CAPTION)).elidedText(text, Qt.TextElideMode.ElideRight, 88)):
        image = QImage(90, 20, QImage.Format.Format_RGB32)
        image.fill(0)
        painter = QPainter(image)
        delegate._heading(painter, area, shown, rail=False)
        painter.end()
        drawn.append(image)
    assert drawn[0] == drawn[1]


def test_find_a_stage_and_return_adds_it(window: Any, session: Session) -> None:
    window.run("add")
    made: Shelf = window.workspace.shelf
    QTest.keyClicks(made.find, "carbon")
    assert lines(made.list)[0] == "carbon_bed" and all(key.startswith("item:carbon") for key in lines(made.list)[1:])
    key(made.find, Qt.Key.Key_Return)
    assert [stage.id for stage in session.document.stages] == ["screen", "iron", "softener", "fine", "carbon-bed", "uv"]
    assert session.selection == ("stage", "carbon-bed")
    assert window.workspace.canvas.hasFocus()


def test_return_on_a_line_adds_behind_what_is_selected(window: Any, session: Session) -> None:
    session.select(("stage", "screen"))
    made: Shelf = window.workspace.shelf
    made.list.setCurrentRow(next(i for i in range(made.list.count()) if made.list.item(i).text() == "Carbon bed"))
    key(made.list, Qt.Key.Key_Return)
    assert [stage.id for stage in session.document.stages][:2] == ["screen", "carbon-bed"]


def test_every_line_of_the_shelf_can_be_added_by_keyboard(window: Any, session: Session, farm: Document) -> None:
    for entry in shelf():
        session.select(("stage", "softener"))
        window.workspace.add(entry.key)
        assert session.document != farm, entry.key
        session.stack.undo()
        assert session.document == farm


def test_what_a_drag_from_the_shelf_carries(window: Any) -> None:
    made = window.workspace.shelf.list
    item = next(made.item(i) for i in range(made.count()) if made.item(i).text() == "Softener")
    data = made.mimeData([item])
    assert bytes(data.data("application/x-trainapp-shelf").data()) == b"softener"
    assert not made.item(0).flags() & Qt.ItemFlag.ItemIsDragEnabled


def test_in_a_narrow_window_the_shelf_is_a_rail_that_opens_over_the_bench(window: Any) -> None:
    window.resize(1280, 800)
    QApplication.processEvents()
    workspace = window.workspace
    assert workspace.shelf.width() == 44 and workspace.shelf.list.rail
    bench = workspace.canvas.width()
    workspace.shelf.opener.click()
    assert workspace.shelf.width() == 180 and not workspace.shelf.list.rail
    verdict, middle = workspace.verdict, workspace.middle
    for height in (30, 90, 160):
        verdict.setMinimumHeight(height)
        QApplication.processEvents()
        bottom = verdict.mapTo(workspace, QPoint(0, verdict.height())).y()
        assert workspace.shelf.y() == bottom >= height, "what must be done now is never covered"
        assert workspace.shelf.geometry().bottom() + 1 == middle.mapTo(workspace, QPoint(0, middle.height())).y()
    assert workspace.canvas.width() == bench
    middle = workspace.canvas.rect().center()
    QTest.mouseClick(workspace.canvas.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, middle)
    assert workspace.shelf.width() == 44


# Train in words ---------------------------------------------------------------------------------------------------------------


def texts(window: Any) -> list[str]:
    model = window.tree.lines
    tops = [model.item(i) for i in range(model.rowCount())]
    return [item.text() for top in tops for item in (top, *(top.child(i) for i in range(top.rowCount())))]


def test_the_whole_train_is_said_in_words(window: Any, session: Session) -> None:
    window.run("words")
    QApplication.processEvents()
    said = texts(window)
    for stage in session.document.stages:
        assert any(text.startswith(session.title_of(stage.id)) for text in said)
    assert any(text.startswith("pipe to") for text in said)
    assert any("at the peak" in text for text in said)
    assert session.assessment is not None
    for finding in session.assessment.model.findings:
        assert finding.place == "whole train" or any(finding.title in text for text in said) or finding.place == "supply"


def test_walking_the_words_selects_and_return_opens_the_card(window: Any, session: Session) -> None:
    window.run("words")
    QApplication.processEvents()
    tree = window.tree
    tree.setCurrentIndex(tree.lines.index(0, 0))
    key(tree, Qt.Key.Key_Down, Qt.Key.Key_Down)
    assert session.selection == ("stage", "iron")
    key(tree, Qt.Key.Key_Return)
    assert window.workspace.right.stack.currentWidget() is window.workspace.right.card
    session.select(("stage", "uv"))
    assert tree.currentIndex().data().startswith(session.title_of("uv"))


def test_the_words_follow_every_edit(window: Any, session: Session) -> None:
    window.run("words")
    QApplication.processEvents()
    remove(session, ("stage", "softener"))
    assert not any("Softener" in text for text in texts(window))
    session.stack.undo()
    assert any("Softener" in text for text in texts(window))
