"""Worked steps and figures of findings: every index low, every number with its name, words with all the room there is."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QApplication

from trainapp.checks import findings as all_findings
from trainapp.checks.finding import Amount, Finding
from trainapp.desktop.findings import figures_of
from trainapp.desktop.session import Session
from trainapp.desktop.steps import _row
from trainapp.desktop.steps import _set as lowered
from trainapp.desktop.steps_content import Line, sheet_of
from trainapp.train.document import load
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan


@pytest.mark.parametrize(
    ("symbol", "html"),
    [
        ("c_∞", "c<sub>∞</sub>"),
        ("Fe_d_in", "Fe<sub>d,&#8288;in</sub>"),
        ("f_Mn,O", "f<sub>Mn,O</sub>"),
        ("min(p_c, p_o)", "min(p<sub>c</sub>, p<sub>o</sub>)"),
        ("SO₄_in", "SO₄<sub>in</sub>"),
        ("a clean bed", "a clean bed"),
    ],
)
def test_indices_are_set_low(symbol: str, html: str) -> None:
    assert lowered(symbol) == html


def test_no_index_stays_raw_in_any_worked_step(window: Any, session: Session) -> None:
    window.run("steps")
    page = window.workspace.right.steps.page
    for stage in session.document.stages:
        session.select(("stage", stage.id))
        QApplication.processEvents()
        assert "_" not in page.toPlainText(), stage.id


def test_a_wide_value_takes_no_room_from_the_words_of_others() -> None:
    """Each step is a table of its own: beside a short value words have all the rest of 260 px."""
    metrics = QFontMetrics(QApplication.font())
    short, long = (_row(Line("x", "what it is", "", value), metrics) for value in ("1 ft", "a very long value that will not fit"))
    widths = [int(re.findall(r'width="(\d+)"', html)[-1]) for html in (short, long)]
    assert widths[0] < 60 and widths[1] <= 130 and widths[0] < widths[1]


def test_a_raw_value_is_either_measured_or_assumed(root: Path) -> None:
    session = Session(load(root / "samples" / "lone-alder-farm.train.json"))
    assert session.assessment is not None
    sheet = session.assessment.evaluation.plan.raw.sheet
    water = session.assessment.evaluation.points["supply"].water
    missing = [row.key for row in session.assessment.model.rows if row.key not in sheet]
    for key in missing:
        cells = sheet_of(session.assessment, ("cell", key, session.document.stages[0].id), "us")
        assert cells is not None
        told = [line.meaning for line in cells.lines if line.meaning.startswith("raw water")]
        wanted = "worked out from other results" if water.is_known(key).all() else "assumed within what is usual"
        assert all(text == f"raw water, {wanted}" for text in told), key


# Figures of findings ------------------------------------------------------------------------------------------------------------


def test_figures_say_what_they_are_of() -> None:
    ph = Finding("x", "caution", "a", "t", "m", "ph", Amount.of(6.0, "ph"), Amount.of(6.5, "ph"))
    assert figures_of(ph, "us") == "pH 6.0, limit pH 6.5"
    iron = Finding("x", "caution", "a", "t", "m", "iron", Amount.of(2.4, "concentration"), Amount.of(0.3, "concentration"))
    assert figures_of(iron, "us").startswith("iron 2.40") and figures_of(Finding("x", "note", "a", "t", "m"), "us") == ""


def test_a_bed_behind_the_softener_says_that_its_figure_is_what_it_adds(root: Path) -> None:
    told = [
        figures_of(finding, "us")
        for path in sorted((root / "samples").glob("*.train.json"))
        for finding in all_findings(evaluate(open_plan(load(path))))
        if finding.code == "order" and finding.analyte == "hardness"
    ]
    assert told and all(text.startswith("hardness that it adds ") for text in told)
