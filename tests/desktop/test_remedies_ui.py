"""Remedies and acceptances of the opened finding: off the window's thread, one click, one undo, no stale answer."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from tests.desktop.hands import LEFT, enter, key
from trainapp import units
from trainapp.checks.finding import Amount, Finding
from trainapp.desktop import remedies_panel
from trainapp.desktop.accepting import accept, agreed, is_acceptable
from trainapp.desktop.background import Cancelled
from trainapp.desktop.findings import FindingRow, FindingsPanel
from trainapp.desktop.remedies_panel import TRYING, FindingTools
from trainapp.desktop.remedies_work import Question, Trier, cost_words, told, told_whole
from trainapp.desktop.session import Session
from trainapp.desktop.window import Window
from trainapp.studies.remedies import Remedy, Tried
from trainapp.train.document import load
from trainapp.train.edits import AddStage, ChangeSetting, SetValue, plan_edit
from trainapp.train.edits import apply as applied


@pytest.fixture
def session(root: Path) -> Session:
    """The farm's water with a UV chamber alone: it fails at much."""
    return Session(load(root / "samples" / "lone-alder-farm-uv-alone.train.json"))


@pytest.fixture
def panel(window: Window) -> FindingsPanel:
    assert window.workspace is not None
    return window.workspace.right.findings


def found(session: Session, code: str, analyte: str = "") -> int:
    """Number of a finding in the list."""
    assert session.assessment is not None
    return next(i for i, f in enumerate(session.assessment.findings, 1) if f.code == code and (not analyte or f.analyte == analyte))


def click_row(panel: FindingsPanel, number: int) -> FindingRow:
    row = panel.rows[number - 1]
    panel.area.ensureWidgetVisible(row)
    QTest.mouseClick(row.title, LEFT)
    QApplication.processEvents()
    return row


def worked_out(qtbot: QtBot, tools: FindingTools) -> None:
    qtbot.waitUntil(lambda: not tools.busy, timeout=20_000)
    QApplication.processEvents()


# Remedies -----------------------------------------------------------------------------------------------------------------------


def test_a_click_on_a_finding_brings_its_remedies(panel: FindingsPanel, session: Session, qtbot: QtBot) -> None:
    row = click_row(panel, found(session, "inlet-limit", "iron"))
    assert row.opened and row.isAncestorOf(panel.tools) and panel.tools.said.text() == TRYING
    worked_out(qtbot, panel.tools)
    assert 1 <= len(panel.tools.rows) <= 3
    first = panel.tools.rows[0]
    assert first.button.isVisible() and first.label.text().startswith("Put in")
    assert "clears it" in first.told.text() and "USD" in first.told.text() and "pressure at the house" in first.told.text()


def test_one_click_applies_and_one_undo_takes_back(panel: FindingsPanel, window: Window, session: Session, qtbot: QtBot) -> None:
    before = session.document
    click_row(panel, found(session, "inlet-limit", "iron"))
    worked_out(qtbot, panel.tools)
    said = panel.tools.rows[0].label.text()
    QTest.mouseClick(panel.tools.rows[0].button, LEFT)
    assert session.stack.count() == 1 and session.stack.undoText().startswith("Put in")
    assert session.assessment is not None
    assert all(not (f.code == "inlet-limit" and f.analyte == "iron") for f in session.assessment.findings)
    assert window.workspace is not None and window.workspace.foot.message.accessibleName() == f"Done: {said}. Undo takes it back"
    session.stack.undo()
    assert session.document == before
    assert found(session, "inlet-limit", "iron")


def test_a_remedy_is_applied_by_keyboard_alone(panel: FindingsPanel, window: Window, session: Session, qtbot: QtBot) -> None:
    window.run("findings")
    for _ in range(len(panel.rows)):
        if panel.rows[found(session, "inlet-limit", "turbidity") - 1].hasFocus():
            break
        key(QApplication.focusWidget(), Qt.Key.Key_Down)
    key(QApplication.focusWidget(), Qt.Key.Key_Return)
    worked_out(qtbot, panel.tools)
    key(QApplication.focusWidget(), Qt.Key.Key_Tab)
    assert panel.tools.rows[0].button.hasFocus() and panel.tools.rows[0].button.accessibleName().startswith("Apply: ")
    key(panel.tools.rows[0].button, Qt.Key.Key_Return)
    assert [stage.kind for stage in session.document.stages] == ["sediment_cartridge", "uv_chamber"]
    assert isinstance(QApplication.focusWidget(), FindingRow)


def test_where_nothing_clears_it_says_what_was_tried(
    panel: FindingsPanel, session: Session, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    click_row(panel, found(session, "health"))
    worked_out(qtbot, panel.tools)
    assert panel.tools.rows == [] and panel.tools.said.text() == "No small edit of the train is known that could clear it."
    failed = (("another order", "does not clear it"), ("larger pipe", "does not clear it"), ("copper pipe", "makes something else fail"))
    answer = Tried((), tuple(words for words, _ in failed), failed=failed)
    monkeypatch.setattr(Trier, "__call__", lambda self, question, cancelled: answer)
    click_row(panel, found(session, "inlet-limit", "iron"))
    worked_out(qtbot, panel.tools)
    reasons = "another order, larger pipe (does not clear it); copper pipe (makes something else fail)"
    assert panel.tools.said.text() == f"None helps. Tried: {reasons}."


def test_a_remedy_is_three_short_lines_and_keeps_all_of_it_in_its_hint() -> None:
    edits, figures = (ChangeSetting(stage="uv", key="x", value=1),), ("iron 0.10 mg/L instead of 2.00 mg/L", "salt 3 lb instead of 1 lb")
    remedy = Remedy("Do it.", edits, clears=("A", "B"), changes=figures, cost=Decimal(250), invented=True)
    first, second = told(remedy)
    assert first == f"clears it; {units.typeset(figures[0])}"
    assert second == units.typeset("USD 250 more, invented prices; clears 2 others")
    assert "salt" in (whole := " ".join(told_whole(remedy))) and "also clears: A; B" in whole
    # what it brings takes the place of the figure: it is never left out
    assert told(replace(remedy, brings=("Harm",)))[0] == "clears it; brings: Harm"


def test_what_is_not_bought_costs_nothing_and_what_is_says_whose_prices() -> None:
    free = Remedy("Set it.", (), cost=Decimal(0))
    assert cost_words(free) == "nothing to buy"
    assert cost_words(replace(free, cost=Decimal(90))) == units.typeset("USD 90.00 more")
    assert cost_words(replace(free, cost=Decimal(-900), invented=True)) == units.typeset("USD 900 less, invented prices")
    assert cost_words(replace(free, cost=None)) == "no price in the list for what is bought"


def test_pressing_inside_does_not_close_the_finding(panel: FindingsPanel, session: Session, qtbot: QtBot) -> None:
    click_row(panel, found(session, "inlet-limit", "iron"))
    worked_out(qtbot, panel.tools)
    number = session.finding
    QTest.mouseClick(panel.tools.rows[0].told, LEFT)
    QTest.mouseClick(panel.tools.said, LEFT)
    assert session.finding == number


def test_units_change_what_remedies_say(panel: FindingsPanel, window: Window, session: Session, qtbot: QtBot) -> None:
    click_row(panel, found(session, "inlet-limit", "iron"))
    worked_out(qtbot, panel.tools)
    assert "psi" in panel.tools.rows[0].told.text()
    window.run("units")
    worked_out(qtbot, panel.tools)
    assert "kPa" in panel.tools.rows[0].told.text() or "bar" in panel.tools.rows[0].told.text()


# Threads ------------------------------------------------------------------------------------------------------------------------


class Gate:
    """Stands for the engine: waits until it is let go, and remembers who asked and on which thread."""

    def __init__(self) -> None:
        self.open = threading.Event()
        self.running = threading.Event()
        self.questions: list[Question] = []
        self.threads: set[int] = set()
        self.given_up = 0

    def __call__(self, question: Question, cancelled: Cancelled) -> Tried:
        self.questions.append(question)
        self.threads.add(threading.get_ident())
        self.running.set()
        while not self.open.wait(0.005):
            if cancelled():
                self.given_up += 1
                break
        return Tried((), (f"question {len(self.questions)}",))


@pytest.fixture
def gate(monkeypatch: pytest.MonkeyPatch) -> Iterator[Gate]:
    made = Gate()
    monkeypatch.setattr(remedies_panel, "Trier", lambda: made)
    yield made
    made.open.set()


def test_an_answer_to_an_older_document_is_never_shown(gate: Gate, panel: FindingsPanel, session: Session, qtbot: QtBot) -> None:
    click_row(panel, found(session, "inlet-limit", "iron"))
    qtbot.waitUntil(gate.running.is_set)
    session.edit(ChangeSetting(stage="uv", key="rated_flow", value="9 gpm"))
    assert panel.tools.said.text() == TRYING
    qtbot.waitUntil(lambda: len(gate.questions) == 2)
    assert gate.given_up == 1 and gate.questions[1].document is session.document
    gate.open.set()
    worked_out(qtbot, panel.tools)
    assert panel.tools.said.text() == "None helps. Tried: question 2."
    assert threading.get_ident() not in gate.threads


def test_an_answer_after_the_window_has_closed_goes_nowhere(
    gate: Gate, panel: FindingsPanel, window: Window, session: Session, qtbot: QtBot
) -> None:
    click_row(panel, found(session, "inlet-limit", "iron"))
    qtbot.waitUntil(gate.running.is_set)
    tools = panel.tools
    session.stack.setClean()
    window.close()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert not isValid(tools)
    gate.open.set()
    QTest.qWait(60)
    qtbot.waitUntil(lambda: "remedies" not in [thread.name for thread in threading.enumerate()], timeout=3000)


def test_a_finding_that_is_closed_gives_its_question_up(gate: Gate, panel: FindingsPanel, session: Session, qtbot: QtBot) -> None:
    number = found(session, "inlet-limit", "iron")
    click_row(panel, number)
    qtbot.waitUntil(gate.running.is_set)
    click_row(panel, number)
    qtbot.waitUntil(lambda: gate.given_up == 1)
    QTest.qWait(30)
    assert panel.tools.isHidden() and panel.tools.rows == []


def test_a_fault_of_the_engine_is_said_and_the_findings_stand(
    panel: FindingsPanel, session: Session, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fault(self: Trier, question: Question, cancelled: Cancelled) -> Tried:
        raise ZeroDivisionError("no bed")

    monkeypatch.setattr(Trier, "__call__", fault)
    click_row(panel, found(session, "inlet-limit", "iron"))
    worked_out(qtbot, panel.tools)
    assert "the program failed at trying them, ZeroDivisionError: no bed" in panel.tools.said.text()


# Accepting ----------------------------------------------------------------------------------------------------------------------


@pytest.fixture
def open_form(panel: FindingsPanel, session: Session) -> Callable[[int], QWidget]:
    def opened(number: int) -> QWidget:
        click_row(panel, number)
        QTest.mouseClick(panel.tools.accept.opener, LEFT)
        QApplication.processEvents()
        return panel.tools.accept.form

    return opened


def test_accepting_needs_a_reason_and_changes_nothing_but_the_mark(
    panel: FindingsPanel, session: Session, open_form: Callable[[int], QWidget]
) -> None:
    assert session.assessment is not None
    number, verdict = found(session, "inlet-limit", "iron"), session.assessment.verdict
    form = open_form(number)
    QTest.mouseClick(panel.tools.accept.form.button, LEFT)
    assert session.stack.count() == 0 and "without a reason" in panel.tools.accept.form.said.text() and form.isVisible()
    enter(panel.tools.accept.form.by, "")
    panel.tools.accept.form.by.setText("W. Sample")
    enter(panel.tools.accept.form.reason, "the chamber is replaced in spring")
    [entry] = session.document.accepted
    assert (entry.code, entry.stage, entry.analyte) == ("inlet-limit", "uv", "iron")
    assert (entry.reason, entry.by, entry.date) == ("the chamber is replaced in spring", "W. Sample", date.today().isoformat())
    row = panel.rows[number - 1]
    assert "fail, accepted" in row.word.text() and session.assessment.verdict == verdict == "fail"
    assert panel.tools.accept.state.text() == f"accepted {date.today().isoformat()} by W. Sample" and panel.tools.accept.form.isHidden()
    assert session.stack.undoText() == "Accept Iron into the UV chamber"
    QTest.mouseClick(panel.tools.accept.taker, LEFT)
    assert session.document.accepted == [] and "accepted" not in row.word.text()
    session.stack.undo()
    session.stack.undo()
    assert session.document.accepted == [] and session.stack.index() == 0


def test_escape_leaves_the_form(panel: FindingsPanel, session: Session, open_form: Callable[[int], QWidget]) -> None:
    open_form(found(session, "inlet-limit", "iron"))
    QTest.keyClicks(panel.tools.accept.form.reason, "no")
    key(panel.tools.accept.form.reason, Qt.Key.Key_Escape)
    assert not panel.tools.accept.form.isVisible() and panel.tools.accept.opener.hasFocus() and session.stack.count() == 0


def test_what_cannot_be_accepted_is_not_offered(panel: FindingsPanel, session: Session) -> None:
    click_row(panel, found(session, "health"))
    assert not panel.tools.accept.opener.isVisible() and "cannot be accepted" in panel.tools.accept.state.text()


@pytest.mark.parametrize("code", ["health", "uv-class", "outside-rating", "dose-short", "unprotected-path", "over-rating"])
def test_codes_that_nobody_can_accept(session: Session, code: str) -> None:
    assert session.assessment is not None
    at_chamber = Finding(code, "fail", "uv", "title", "message")
    assert not is_acceptable(at_chamber, session.assessment.evaluation)
    if code == "over-rating":
        assert is_acceptable(Finding(code, "note", "softener", "title", "message"), session.assessment.evaluation)


def test_an_acceptance_that_lapsed_is_removed(panel: FindingsPanel, session: Session) -> None:
    entry = {"code": "inlet-limit", "stage": "uv", "analyte": "iron", "value": "0.4 mg/L", "reason": "was near", "date": "2026-02-01"}
    session.edit(SetValue(path=("accepted",), value=[entry]))
    click_row(panel, found(session, "acceptance-lapsed"))
    assert panel.tools.accept.taker.text() == "Remove the old acceptance" and not panel.tools.accept.opener.isVisible()
    QTest.mouseClick(panel.tools.accept.taker, LEFT)
    assert session.document.accepted == []


@pytest.mark.parametrize(
    ("value", "limit", "text"),
    [
        (Amount.of(2.4, "concentration"), Amount.of(0.3, "concentration"), "2.4 mg/L"),
        (Amount(1.0, 2.5, "concentration"), Amount.of(0.3, "concentration"), "2.5 mg/L"),
        (Amount(70.0, 84.0, "uvt"), Amount.of(75.0, "uvt"), "70 %/cm"),
        (Amount(50.0, None, "concentration"), Amount.of(10.0, "concentration"), ">50 mg/L"),
        (Amount.of(3.0, "none", "days"), None, "3 days"),
    ],
)
def test_what_is_accepted_is_the_bad_end(value: Amount, limit: Amount | None, text: str) -> None:
    assert agreed(Finding("code", "caution", "", "title", "message", value=value, limit=limit)) == text


def test_every_finding_that_may_be_accepted_is_and_stays_so(root: Path) -> None:
    """Written as the form writes it, read as the checks read it: it holds at once, and severity and verdict are the same."""
    for path in sorted((root / "samples").glob("*.train.json")):
        session = Session(load(path))
        assert session.assessment is not None
        for finding in session.assessment.findings:
            if not is_acceptable(finding, session.assessment.evaluation):
                continue
            edit = accept(session.document, finding, "agreed", "", date(2026, 5, 4))
            after = Session(applied(session.document, plan_edit(session.document, edit)))
            assert after.assessment is not None and after.assessment.verdict == session.assessment.verdict
            now = [f for f in after.assessment.findings if (f.code, f.stage, f.analyte) == (finding.code, finding.stage, finding.analyte)]
            assert now[0].accepted == {k: v for k, v in now[0].accepted.items() if v} and now[0].severity == finding.severity, finding
            assert not [f for f in after.assessment.findings if f.code == "acceptance-lapsed"], finding
            del after


def test_accepting_again_replaces_what_was_accepted_before(session: Session) -> None:
    assert session.assessment is not None
    for reason in ("first", "second"):
        finding = session.assessment.findings[found(session, "inlet-limit", "iron") - 1]
        session.edit(accept(session.document, finding, reason, "", date(2026, 5, 4)))
    assert [entry.reason for entry in session.document.accepted] == ["second"]


def test_typing_a_reason_survives_an_edit_elsewhere(panel: FindingsPanel, session: Session, open_form: Callable[[int], QWidget]) -> None:
    open_form(found(session, "inlet-limit", "iron"))
    QTest.keyClicks(panel.tools.accept.form.reason, "half a sen")
    session.edit(AddStage(kind="carbon_bed"))
    assert panel.tools.accept.form.isVisible() and panel.tools.accept.form.reason.text() == "half a sen"
