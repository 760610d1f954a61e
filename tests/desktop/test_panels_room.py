"""Panels where there is little room: what is said is said whole, and nothing scrolls aside."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from trainapp.checks.finding import Finding
from trainapp.data import samples_path
from trainapp.desktop.engine import Assessment, System, assess
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.window import Window
from trainapp.reports.drawing.told import finding_models
from trainapp.train.document import Document, load
from trainapp.train.edits import SetValue

LONG = "Unpronounceablylongwordwithoutanyplacetobreakitatallsothatnolabelcanwrapit"


def settled(window: Any, width: int = 0) -> None:
    if width:
        window.resize(width, 800)
    for _ in range(3):
        QApplication.processEvents()
    QTest.qWait(30)


def widened(assessment: Assessment, title: str, at: tuple[str, ...]) -> Assessment:
    """The same with one more finding of the whole train, and one of many places."""
    more = (
        Finding("sample-doubt", "note", "", f"{title} {LONG}", f"{LONG} is one word. " * 3, analyte="iron", cause="a"),
        Finding("sample-doubt", "note", "", title, f"{LONG} is one word. " * 3, analyte="iron", cause="b"),
        Finding("velocity", "note", at[0], title, title, also_at=at[1:] * 6),
    )
    findings = (*assessment.findings, *more)
    models = finding_models(assessment.evaluation, findings, {node: f"{node} {LONG[:12]}" for node in at})
    return replace(assessment, findings=findings, model=replace(assessment.model, findings=models))


@pytest.fixture
def session(farm: Document) -> Session:
    """The farm well with findings that no panel is wide enough for."""

    def longer(document: Document, system: System) -> Assessment:
        return widened(
            assess(document, system), "A title of many words that has to be broken into several lines to be read", ("iron", "uv", "fine")
        )

    return Session(farm, assess=longer)


@pytest.mark.parametrize("width", [1920, 1440, 1280, 1000])
def test_the_verdict_is_never_cut(window: Any, session: Session, width: int) -> None:
    session.edit(SetValue(path="demand.peak", value="14 gpm"))
    assert session.model is not None
    settled(window, width)
    strip, rest = window.workspace.verdict, session.model.verdict.rest
    assert "Gives in first" in rest and "Only tests after start-up show whether water is fit to drink." in rest
    shown = strip.below if strip.below.isVisible() else strip.rest
    assert shown.text() == rest
    assert shown.height() >= shown.heightForWidth(shown.width()) > 0
    if shown is strip.rest:
        assert shown.fontMetrics().horizontalAdvance(rest) <= shown.width()


def test_findings_never_scroll_aside(window: Any, session: Session) -> None:
    settled(window, 1280)
    panel = window.workspace.right.findings
    for number, row in enumerate(panel.rows, 1):
        session.open_finding(number)
        settled(window)
        bar = panel.area.horizontalScrollBar()
        assert (bar.maximum(), bar.value()) == (0, 0)
        assert panel.body.width() == panel.area.viewport().width()
        top = row.mapTo(panel.area.viewport(), row.rect().topLeft())
        assert 0 <= top.x() < 12 and top.y() < panel.area.viewport().height()
        for label in (row.title, row.message):
            assert label.width() <= panel.area.viewport().width()
            assert not label.isVisible() or label.height() >= label.heightForWidth(label.width())


def test_a_finding_of_the_whole_train_selects_no_place(window: Any, session: Session) -> None:
    session.select(("stage", "softener"))
    assert session.assessment is not None
    whole = [i for i, finding in enumerate(session.assessment.findings, 1) if not finding.stage]
    for number in whole:
        session.open_finding(number)
        assert session.selection == () and session.chosen == ()
        assert [row.opened for row in window.workspace.right.findings.rows].index(True) == number - 1
        assert window.workspace.foot.selected.accessibleName() == ""


def test_the_opened_one_of_two_alike_stays_opened(window: Any, session: Session) -> None:
    assert session.assessment is not None
    second = next(i for i, finding in enumerate(session.assessment.findings, 1) if finding.cause == "b")
    session.open_finding(second)
    session.edit(SetValue(path="site.notes", value="looked at again"))
    assert session.finding is not None and session.assessment.findings[session.finding - 1].cause == "b"
    assert window.workspace.right.findings.rows[session.finding - 1].opened


# Worked steps -----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("path", sorted(samples_path().glob("*.train.json")), ids=lambda path: path.name.partition(".")[0])
def test_worked_steps_are_never_cut(path: Path, system: System, prefs: Prefs) -> None:
    """In the narrowest column every stage's steps are as wide as the panel, values whole at its right side."""
    session = Session(load(path), system=system)
    window = Window(prefs)
    window.resize(1210, 800)
    window.show()
    window.show_session(session)
    assert window.workspace is not None
    right = window.workspace.right
    for stage in session.document.stages:
        session.select(("stage", stage.id))
        right.show_page("Worked steps")
        QApplication.processEvents()
        page = right.steps.page
        assert page.horizontalScrollBar().maximum() == 0 and page.document().size().width() <= page.viewport().width(), stage.id
        told = page.toPlainText()
        assert "Pa/(" not in told and "e-0" not in told and "e+" not in told
    session.stack.setClean()
    window.close()
