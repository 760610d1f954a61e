"""The window of a file that cannot be used: a sentence, and what can be done instead."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from tests.desktop.hands import LEFT, key
from trainapp.desktop.app import Documents
from trainapp.desktop.trouble import Trouble
from trainapp.desktop.window import Window


def in_trouble(documents: Documents, tmp_path: Path, qtbot: QtBot) -> tuple[Window, Trouble]:
    path = tmp_path / "broken.train.json"
    path.write_text("{}", encoding="utf-8")
    window = documents.open(path)
    qtbot.waitUntil(lambda: isinstance(window.centralWidget(), Trouble))
    trouble = window.centralWidget()
    assert isinstance(trouble, Trouble)
    return window, trouble


def test_the_window_of_a_file_that_cannot_be_used_offers_another(
    documents: Documents, tmp_path: Path, farm_well: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window, trouble = in_trouble(documents, tmp_path, qtbot)
    assert trouble.title.text() == "This file cannot be opened" and "broken.train.json" in trouble.sentence.text()
    assert "Traceback" not in trouble.sentence.text() and trouble.sentence.text().endswith(".")
    window.activateWindow()
    qtbot.waitUntil(trouble.open.hasFocus)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *a: ("", ""))
    key(trouble.open, Qt.Key.Key_Return)
    assert documents.windows == [window], "nothing was picked: it stays"
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *a: (str(farm_well), ""))
    key(trouble.open, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: len(documents.windows) == 1 and documents.windows[0].session is not None)
    assert documents.windows[0].session.path == farm_well, "the empty window has gone"


def test_the_window_of_a_file_that_cannot_be_used_begins_anew(documents: Documents, tmp_path: Path, qtbot: QtBot) -> None:
    _, trouble = in_trouble(documents, tmp_path, qtbot)
    QTest.mouseClick(trouble.recent, LEFT)
    assert any(type(w).__name__ == "RecentWindow" and w.isVisible() for w in QApplication.topLevelWidgets())
    QTest.mouseClick(trouble.new, LEFT)
    qtbot.waitUntil(lambda: len(documents.windows) == 1 and documents.windows[0].session is not None)
    assert documents.windows[0].session.path is None
