"""Demand: a typed peak, fixtures counted by typing and by keys, several published answers side by side, of which one is chosen."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from tests.desktop.editing import click, opened, pick, row_of, type_cell, type_row
from trainapp.desktop.editors.demand import DemandEditor
from trainapp.desktop.session import Session
from trainapp.train.document import Document
from trainapp.units import parse

TWO_BATHS = {"toilet": 2, "lavatory": 2, "bath_shower": 1, "shower": 1, "kitchen_sink": 1, "clothes_washer": 1}


@pytest.fixture
def editor(qtbot: QtBot, session: Session) -> DemandEditor:
    return opened(qtbot, session, "demand", DemandEditor)


def count(editor: DemandEditor, fixtures: dict[str, int]) -> None:
    for fixture, number in fixtures.items():
        type_cell(editor.fixtures, fixture, "count", str(number))


def peak(session: Session) -> float:
    assert session.assessment is not None
    return float(session.assessment.evaluation.plan.demands["house"].flows[2])


def test_a_typed_peak_holds_and_a_day_is_what_people_use(editor: DemandEditor, session: Session) -> None:
    type_row(editor.form, "peak", "8")
    assert session.document.demand.peak == "8 gpm" and peak(session) == pytest.approx(parse("8 gpm", "flow"))
    assert "The peak of 8.0\u202fgpm is typed and holds." in editor.told.text()
    type_row(editor.form, "daily", "")
    # US Geological Survey Circular 1441 (2015): 76.7 gal a person and day in self-supplied homes.
    assert row_of(editor.form, "daily").editor.placeholderText() == f"{4 * 76.7:.0f}\u202fgal"
    type_row(editor.form, "people", "3")
    assert session.document.demand.people == 3
    assert row_of(editor.form, "daily").editor.placeholderText() == f"{3 * 76.7:.0f}\u202fgal"
    row = type_row(editor.form, "people", "some")
    assert '"some" is not a whole number' in row.line.text()


def test_a_peak_cannot_be_cleared_while_nothing_is_counted(editor: DemandEditor, session: Session) -> None:
    row = type_row(editor.form, "peak", "")
    assert '"peak" is missing' in row.line.text() and session.stack.count() == 0
    assert editor.cards.cards == {} and editor.cards.empty.isVisible()


def test_three_answers_stand_side_by_side_and_one_is_chosen(editor: DemandEditor, session: Session, farm: Document) -> None:
    count(editor, TWO_BATHS)
    # A house with two baths: 15.6 gpm by the IPC, 8.7 by the NSPC (computed from their tables), 8.5 by the published well allowance.
    assert {table: card.flow.text() for table, card in editor.cards.cards.items()} == {
        "well_allowance": "8.5\u202fgpm",
        "ipc_tank": "15.6\u202fgpm",
        "nspc": "8.7\u202fgpm",
    }
    assert not any(card.holds for card in editor.cards.cards.values())
    steps = session.stack.count()
    click(editor.cards.cards["nspc"].button)
    assert session.stack.count() == steps + 1
    assert session.document.demand.peak is None and session.document.demand.table == "nspc"
    assert peak(session) == pytest.approx(parse("8.7 gpm", "flow"), rel=5e-3)
    assert editor.cards.cards["nspc"].holds and not editor.cards.cards["nspc"].button.isVisible()
    assert "The peak is 8.7\u202fgpm by NSPC Table B.5.4." in editor.told.text()
    assert row_of(editor.form, "peak").editor.placeholderText() == "8.7\u202fgpm"
    session.stack.undo()
    assert session.document.demand.peak == farm.demand.peak


def test_an_answer_is_chosen_by_keyboard(editor: DemandEditor, session: Session) -> None:
    count(editor, TWO_BATHS)
    button = editor.cards.cards["ipc_tank"].button
    button.setFocus(Qt.FocusReason.TabFocusReason)
    assert button.accessibleName() == "Use 15.6\u202fgpm by IPC Table E103.3(3), flush tanks"
    QTest.keyClick(button, Qt.Key.Key_Return)
    assert session.document.demand.table == "ipc_tank"


def test_another_table_is_shown_beside_them(editor: DemandEditor, session: Session) -> None:
    count(editor, TWO_BATHS)
    pick(editor.also.box, "din1988")
    assert set(editor.cards.cards) == {"well_allowance", "ipc_tank", "nspc", "din1988"}
    click(editor.cards.cards["din1988"].button)
    pick(editor.also.box, "")
    assert editor.cards.cards["din1988"].holds
    assert session.document.demand.table == "din1988"


def test_counts_go_up_and_down_by_keys_as_one_step(editor: DemandEditor, session: Session, farm: Document) -> None:
    editor.fixtures.setFocus()
    editor.fixtures.go_to("shower", "count")
    for _ in range(3):
        QTest.keyClick(editor.fixtures, Qt.Key.Key_Plus)
    QTest.keyClick(editor.fixtures, Qt.Key.Key_Minus)
    assert session.document.demand.fixture_counts == {"shower": 2} and session.stack.count() == 1
    editor.fixtures.go_to("lavatory", "count")
    QTest.keyClick(editor.fixtures, Qt.Key.Key_Plus)
    assert session.stack.count() == 2
    assert editor.fixtures.cell("shower", "adds").text == "2 × 1 = 2\u202fgpm"
    click(next(b for b in editor.findChildren(type(editor.close_button)) if b.text() == "−"))
    assert session.document.demand.fixture_counts == {"shower": 2}
    session.stack.undo()
    assert session.document == farm


def test_what_is_no_count_is_refused(editor: DemandEditor, session: Session) -> None:
    type_cell(editor.fixtures, "shower", "count", "-2")
    assert editor.said.text() == 'Shower: "-2" is not a count; it stays 0.'
    type_cell(editor.fixtures, "shower", "count", "9999")
    assert editor.said.text() == 'Shower: "9999" is not a count; it stays 0.'
    assert session.stack.count() == 0 and editor.fixtures.key == "shower"


def test_what_a_table_does_not_know_is_said(editor: DemandEditor, session: Session) -> None:
    count(editor, {"shower": 1, "garden_tap": 1})
    assert editor.fixtures.cell("garden_tap", "adds").text == "not in this table"
    assert "does not know: Garden tap" in editor.cards.cards["well_allowance"].notes.text()
    type_cell(editor.fixtures, "shower", "count", "")
    assert editor.cards.cards == {}
    editor.fixtures.go_to("garden_tap", "count")
    QTest.keyClick(editor.fixtures, Qt.Key.Key_Delete)
    assert session.document.demand.fixtures is None


def test_the_last_fixture_stays_where_no_peak_is_typed(editor: DemandEditor, session: Session) -> None:
    count(editor, {"shower": 1})
    click(editor.cards.cards["well_allowance"].button)
    editor.fixtures.setFocus()
    editor.fixtures.go_to("shower", "count")
    QTest.keyClick(editor.fixtures, Qt.Key.Key_Delete)
    assert '"peak" is missing' in editor.said.text()
    assert session.document.demand.fixture_counts == {"shower": 1}
