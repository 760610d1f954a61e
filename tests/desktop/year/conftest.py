"""The Year view on a farm well, a short run of it shown."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QSettings
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.year import make
from trainapp.desktop.year.settings import RunSettings
from trainapp.desktop.year.view import YearView
from trainapp.desktop.year.work import Answer
from trainapp.train.document import load

DAYS = 40


@contextmanager
def opened(session: Session, prefs: Prefs) -> Iterator[YearView]:
    """The view, turned to, its first run shown."""
    made = make(session, prefs)
    made.controls.settings = RunSettings(days=DAYS)
    made.controls.refresh()
    made.resize(1440, 1100)
    made.show()
    made.entered()
    end = time.monotonic() + 20.0
    while made.answer is None and time.monotonic() < end:
        QTest.qWait(5)
    assert made.answer is not None
    QApplication.processEvents()
    yield made
    made.left()
    made.runner.cancel()
    made.close()
    made.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture
def view(session: Session, prefs: Prefs) -> Iterator[YearView]:
    """A view for one test."""
    with opened(session, prefs) as made:
        yield made


@pytest.fixture(scope="module")
def shared(farm_well: Path, tmp_path_factory: pytest.TempPathFactory, qapp: QApplication) -> Iterator[YearView]:
    """A view for tests that leave it as it is but for its clock."""
    kept = QSettings(str(tmp_path_factory.mktemp("year") / "prefs.ini"), QSettings.Format.IniFormat)
    with opened(Session(load(farm_well)), Prefs(kept)) as made:
        yield made


@pytest.fixture
def ran(qtbot: QtBot, view: YearView) -> Callable[[], Answer]:
    """Waits for the answer to what was asked last."""

    def wait() -> Answer:
        qtbot.waitUntil(lambda: not view.runner.busy, timeout=20_000)
        QApplication.processEvents()
        assert view.answer is not None
        return view.answer

    return wait
