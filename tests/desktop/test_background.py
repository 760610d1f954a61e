"""Work off the window's thread: the last question alone is answered, on the right thread, and to who asked it."""

from __future__ import annotations

import gc
import threading
from typing import Any

from PySide6.QtCore import QEvent, QObject, Slot
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from trainapp.desktop.background import Cancelled, Errands


class Listener(QObject):
    """Hears answers, and on which thread."""

    def __init__(self) -> None:
        super().__init__()
        self.heard: list[tuple[Any, int]] = []

    @Slot(object)
    def hear(self, answer: Any) -> None:
        self.heard.append((answer, threading.get_ident()))


def test_only_the_last_question_is_answered_and_on_the_windows_thread(qapp: QApplication, qtbot: QtBot) -> None:
    def work(question: int, cancelled: Cancelled) -> tuple[int, int]:
        for _ in range(30):
            if cancelled():
                break
            threading.Event().wait(0.002)
        return question, threading.get_ident()

    listener, errands = Listener(), Errands(work, "counting")
    errands.answered.connect(listener.hear)
    for number in range(12):
        errands.ask(number)
    qtbot.waitUntil(lambda: bool(listener.heard))
    QTest.qWait(80)
    [(answer, heard_on)] = listener.heard
    assert answer[0] == 11 and answer[1] != threading.get_ident() and heard_on == threading.get_ident()
    errands.deleteLater()


def test_a_letter_to_who_is_gone_reaches_nobody_who_came_after(qapp: QApplication) -> None:
    """Python gives the place of what is thrown away to what comes next."""
    seen = set()
    for number in range(1, 21):
        errands = Errands(lambda question, cancelled: question, "short-lived")
        seen.add(errands._address)
        assert len(seen) == number
        errands.deleteLater()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        del errands
        gc.collect()


def test_threads_end_with_who_asked(qapp: QApplication, qtbot: QtBot) -> None:
    for number in range(20):
        errands = Errands(lambda question, cancelled: question, "short-lived")
        errands.ask(number)
        errands.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    del errands
    gc.collect()
    qtbot.waitUntil(lambda: "short-lived" not in [thread.name for thread in threading.enumerate()], timeout=3000)
