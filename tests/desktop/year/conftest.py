"""The Year view on a farm well, a short run of it shown."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.year import make
from trainapp.desktop.year.settings import RunSettings
from trainapp.desktop.year.view import YearView
from trainapp.desktop.year.work import Answer

DAYS = 40


@pytest.fixture
def view(qtbot: QtBot, session: Session, prefs: Prefs) -> Iterator[YearView]:
    """The view, turned to, its first run shown."""
    made = make(session, prefs)
    made.controls.settings = RunSettings(days=DAYS)
    made.controls.refresh()
    made.resize(1440, 860)
    made.show()
    made.entered()
    qtbot.waitUntil(lambda: made.answer is not None, timeout=20_000)
    QApplication.processEvents()
    yield made
    made.left()
    made.runner.cancel()
    made.close()
    made.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture
def ran(qtbot: QtBot, view: YearView) -> Callable[[], Answer]:
    """Waits for the answer to what was asked last."""

    def wait() -> Answer:
        qtbot.waitUntil(lambda: not view.runner.busy, timeout=20_000)
        QApplication.processEvents()
        assert view.answer is not None
        return view.answer

    return wait
