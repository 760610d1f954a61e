"""The upkeep log of the Hand-over view: what is due, lines added and removed, one step of undo each."""

from __future__ import annotations

import datetime

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from tests.desktop.handover.steps import LEFT, NONE, OFFERS, choose, click, settle
from trainapp.desktop.handover import work
from trainapp.desktop.handover.log_form import OTHER
from trainapp.desktop.handover.view import HandoverView
from trainapp.desktop.window import Window
from trainapp.reports.proposal_offer import Offer
from trainapp.reports.upkeep_log import START_UP
from trainapp.train.document import Document
from trainapp.train.edits import SetValue


def test_a_line_is_added_by_keys_and_taken_back(home: Window, view: HandoverView) -> None:
    form, stack = view.upkeep.form, view.session.stack
    QTest.keyClick(home, Qt.Key.Key_U, Qt.KeyboardModifier.AltModifier)
    assert form.date.hasFocus()
    form.date.selectAll()
    QTest.keyClicks(form.date, "2026-03-01")
    QTest.keyClick(form.date, Qt.Key.Key_Return)
    form.by.setFocus()
    QTest.keyClicks(form.by, "A. Fitter")
    QTest.keyClick(form.by, Qt.Key.Key_Return)
    assert view.session.document.log[-1] == {"event": "upkeep", "date": "2026-03-01", "what": START_UP, "by": "A. Fitter"}
    assert view.upkeep.log.topLevelItemCount() == 1 and "2026-03-01" in view.upkeep.counted.text()
    assert stack.undoText() == f"Add to the upkeep log: {START_UP}"
    stack.undo()
    assert not view.session.document.log and view.upkeep.log.isHidden()
    stack.redo()
    assert view.upkeep.log.topLevelItemCount() == 1


def test_what_is_due_stands_ready_to_be_logged(view: HandoverView) -> None:
    view.upkeep.do_add(datetime.date(2026, 3, 1), "", START_UP, "", "")
    due = view.upkeep.due
    assert "overdue" in due.topLevelItem(0).text(0)
    texts = [due.topLevelItem(i).text(1) for i in range(due.topLevelItemCount())]
    row = next(i for i, text in enumerate(texts) if "fill up salt" in text)
    QTest.mouseClick(due.viewport(), LEFT, NONE, due.visualItemRect(due.topLevelItem(row)).center())
    form = view.upkeep.form
    assert form.stage.currentData() == "softener" and form.what.currentText().startswith("Fill up salt")
    click(form.button)
    logged = view.session.document.log[-1]
    assert (logged["stage"], logged["what"]) == ("softener", "Fill up salt, keep it above the water")
    told = [due.topLevelItem(i).text(0) for i in range(due.topLevelItemCount()) if "fill up salt" in due.topLevelItem(i).text(1)]
    assert told and "overdue" not in told[0]


def test_something_else_needs_a_note(view: HandoverView) -> None:
    form = view.upkeep.form
    form.what.setCurrentIndex(form.what.findText(OTHER))
    click(form.button)
    assert "say in the note" in view.panel.said.text() and not view.session.document.log
    form.note.setFocus()
    QTest.keyClicks(form.note, "Tightened a union")
    QTest.keyClick(form.note, Qt.Key.Key_Return)
    assert view.session.document.log[-1]["what"] == "Tightened a union" and form.note.text() == ""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("next week", '"next week" is not a day'), ("2026-02-30", '"2026-02-30" is not a day'), ("1899-01-01", "is not a day"),
        ("9999-01-01", "9999-01-01 is still to come"), ("", "the date is missing"),
    ],
)  # fmt: skip
def test_a_day_that_is_none_is_refused_and_nothing_is_lost(view: HandoverView, text: str, said: str) -> None:
    form = view.upkeep.form
    form.by.setText("A. Fitter")
    form.note.setText("dry")
    form.date.setFocus()
    form.date.selectAll()
    QTest.keyClick(form.date, Qt.Key.Key_Delete)
    QTest.keyClicks(form.date, text)
    for _ in range(2):
        click(form.button)
        assert not view.session.document.log and view.session.stack.count() == 0
        assert said in view.panel.said.text() and view.panel.said.text().startswith("Not added: ")
    assert (form.date.text(), form.by.text(), form.note.text()) == (text, "A. Fitter", "dry")


def test_what_is_odd_about_a_line_is_said(view: HandoverView) -> None:
    view.upkeep.do_add(datetime.date(2026, 3, 1), "", START_UP, "", "")
    assert "But" not in view.panel.said.text()
    view.upkeep.do_add(datetime.date(2026, 2, 1), "softener", "Fill up salt, keep it above the water", "", "")
    assert "before the start-up on 2026-03-01" in view.panel.said.text()
    view.upkeep.do_add(datetime.date(2026, 4, 1), "", START_UP, "", "")
    assert "has a start-up on 2026-03-01 already, and upkeep is counted from the last, 2026-04-01" in view.panel.said.text()


def test_what_was_undone_is_no_longer_said_to_be_in_the_log(view: HandoverView) -> None:
    view.upkeep.do_add(datetime.date(2019, 2, 3), "", START_UP, "", "")
    assert view.panel.said.text() == f"In the log: {START_UP}, 2019-02-03."
    view.session.stack.undo()
    assert view.panel.said.text() == "" and view.panel.said.isHidden()


def test_a_line_is_removed_and_undo_brings_it_back(view: HandoverView) -> None:
    view.upkeep.do_add(datetime.date(2026, 3, 1), "", START_UP, "", "")
    view.upkeep.do_add(datetime.date(2026, 4, 1), "softener", "Fill up salt, keep it above the water", "B", "")
    log = view.upkeep.log
    assert not view.upkeep.remove.isEnabled()
    QTest.mouseClick(log.viewport(), LEFT, NONE, log.visualItemRect(log.topLevelItem(1)).center())
    click(view.upkeep.remove)
    assert [row["what"] for row in view.session.document.log] == ["Fill up salt, keep it above the water"]
    view.session.stack.undo()
    assert [row["what"] for row in view.session.document.log][0] == START_UP


def test_the_log_costs_no_new_search_and_a_changed_train_does(view: HandoverView, monkeypatch: pytest.MonkeyPatch) -> None:
    choose(view, "comparison")
    kept = next(iter(OFFERS.values()))
    asked: list[str] = []

    def find(document: Document, *_: object, **__: object) -> Offer:
        asked.append(str(document.demand.value("peak")))
        return kept

    monkeypatch.setattr(work, "find_offer", find)
    view.upkeep.do_add(datetime.date(2026, 3, 1), "", START_UP, "", "")
    settle(view)
    assert asked == []
    assert view.session.edit(SetValue(path="demand.peak", value="5 gpm"))
    settle(view)
    assert len(asked) == 1
