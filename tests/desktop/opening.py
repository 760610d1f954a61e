"""Windows of the tests: shown with the keyboard in them, and gone behind the test, saved or not."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TypeVar

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.window import Window

Shown = TypeVar("Shown", bound=QWidget)


@contextmanager
def opened(qtbot: QtBot, made: Shown, size: tuple[int, int] = (1440, 900)) -> Iterator[Shown]:
    """A widget as a window of its own, closed and deleted in the end unless the test did so."""
    made.resize(*size)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    yield made
    if isValid(made):
        made.close()
        made.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@contextmanager
def window_on(qtbot: QtBot, prefs: Prefs, session: Session) -> Iterator[Window]:
    """The program's window on a document, with nothing to save when it closes."""
    with opened(qtbot, Window(prefs)) as made:
        made.show_session(session)
        QApplication.processEvents()
        yield made
        if isValid(session):
            session.stack.setClean()
