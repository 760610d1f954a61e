"""The window that prints a proposal: every line of cost only where its box is ticked."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from tests.desktop.opening import opened
from trainapp.data import samples_path
from trainapp.desktop.background import Progress
from trainapp.desktop.options import make
from trainapp.desktop.options import printing as printing_module
from trainapp.desktop.options.desk import Ground
from trainapp.desktop.options.printing import Job, ProposalWindow
from trainapp.desktop.options.view import OptionsView
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.reports.drawing.glyphs import note_unshown
from trainapp.studies.cost import default_prices
from trainapp.studies.options.what_if import WhatIf
from trainapp.train.document import load


@pytest.fixture
def window(qtbot: QtBot, prefs: Prefs) -> Iterator[ProposalWindow]:
    """The window over a view that has not sought anything yet."""
    view = make(Session(load(samples_path("pebble-court-3.train.json"))), prefs)
    assert isinstance(view, OptionsView)
    with opened(qtbot, view, (900, 600)):
        made = ProposalWindow(view, view)
        made.show()
        yield made


def test_the_box_is_ticked_by_mouse_and_key_and_is_for_the_whole_proposal_alone(window: ProposalWindow) -> None:
    assert not window.bill.isChecked() and window.bill.isEnabled()
    QTest.mouseClick(window.bill, Qt.MouseButton.LeftButton)
    assert window.bill.isChecked()
    window.bill.setFocus()
    QTest.keyClick(window.bill, Qt.Key.Key_Space)
    assert not window.bill.isChecked() and window.bill.grab().width() >= 200
    window.what.setCurrentIndex(1)
    assert not window.bill.isEnabled()


def test_what_is_ticked_reaches_the_writer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[bool] = []
    monkeypatch.setattr("trainapp.reports.proposal.write_proposal", lambda *_, full_bill, **__: told.append(full_bill))
    monkeypatch.setattr("trainapp.reports.proposal_offer.offer_of", lambda *_, **__: None)
    monkeypatch.setattr(printing_module, "Proposer", lambda *_: None)

    ground = Ground(load(samples_path("pebble-court-3.train.json")), WhatIf(), default_prices(), "us")
    for ticked in (False, True):
        job = Job("whole", tmp_path / "a.pdf", "letter", ground, (), None, None, None, ticked, Progress())  # type: ignore[arg-type]
        printing_module.write(job, lambda: False)
    assert told == [False, True]


def test_what_the_board_supposes_and_the_day_reach_the_writer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The document as it is goes along, so that the page can say what was supposed; the columns are those of the board."""
    told: list[Any] = []
    monkeypatch.setattr("trainapp.reports.proposal.write_proposal", lambda offer, path, extras, **_: told.append(extras.issued))
    monkeypatch.setattr("trainapp.reports.proposal_offer.offer_of", lambda *_, **given: told.append(given))
    monkeypatch.setattr(printing_module, "Proposer", lambda *_: None)
    document = load(samples_path("pebble-court-3.train.json"))
    ground = Ground(document, WhatIf(people=9), default_prices(), "us")
    printing_module.write(
        Job("short", tmp_path / "a.pdf", "letter", ground, (), None, None, None, False, Progress()),  # type: ignore[arg-type]
        lambda: False,
    )
    given, issued = told
    assert given["drawn"].document is document and given["drawn"].prices is ground.prices and given["lived"]
    assert issued == datetime.date.today()


def test_letters_that_no_font_has_are_told_beside_what_was_written(window: ProposalWindow) -> None:
    note_unshown("\u6c34")
    window._written(Path("a.pdf"))
    assert window.said.text().startswith("Wrote a.pdf. No font of this machine has this letter") and "\u6c34" in window.said.text()
    window._written(Path("a.pdf"))
    assert window.said.text() == "Wrote a.pdf."
