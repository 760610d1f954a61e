"""The program's window on a flat on a main, turned to Hand-over."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from tests.desktop.handover.steps import OFFERS, settle, view_of
from tests.desktop.opening import window_on
from tests.reports.printing import SAMPLES
from trainapp.desktop.handover import work
from trainapp.desktop.handover.view import HandoverView
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.window import Window
from trainapp.reports.proposal_offer import Offer
from trainapp.studies.cost import PriceList
from trainapp.train.document import Document, load


@pytest.fixture(autouse=True)
def _sought_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A search for the same train is not made twice by these tests."""
    real = work.find_offer

    def find(document: Document, prices: PriceList, **more: Any) -> Offer:
        key = json.dumps({k: v for k, v in document.tree.items() if k != "log"}, sort_keys=True), more["system"], prices.name
        if key not in OFFERS:
            OFFERS[key] = real(document, prices, **more)
        return OFFERS[key]

    monkeypatch.setattr(work, "find_offer", find)


@pytest.fixture
def court() -> Session:
    """A flat on a main: its options are found quickly."""
    return Session(load(SAMPLES / "pebble-court-3.train.json"))


@pytest.fixture
def home(qtbot: QtBot, prefs: Prefs, court: Session, tmp_path: Path) -> Iterator[Window]:
    """The program's window on it, turned to Hand-over by its key."""
    prefs.folder = str(tmp_path)
    with window_on(qtbot, prefs, court) as made:
        QTest.keyClick(made, Qt.Key.Key_F8)
        settle(view_of(made))
        yield made


@pytest.fixture
def view(home: Window) -> HandoverView:
    return view_of(home)
