"""What was not saved when the program ended: kept while it is edited, offered in a line at the next start, gone once it is saved."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.desktop.hands import LEFT
from trainapp.desktop import recovery
from trainapp.desktop.app import Documents
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.recovery import CopyLine, Keeper, left_behind
from trainapp.desktop.session import Session
from trainapp.desktop.window import Window
from trainapp.train.document import dumps, load
from trainapp.train.edits import RemoveStage
from trainapp.train.store import ChangedError
from trainapp.train.whole_file import here


@pytest.fixture
def on_disk(tmp_path: Path, session: Session) -> Session:
    """The farm well from a file of its own."""
    session.save(tmp_path / "farm.train.json")
    return session


def process_that_is_gone() -> int:
    with subprocess.Popen([sys.executable, "-S", "-c", ""]) as process:
        process.wait()
    return process.pid


def left(prefs: Prefs, session: Session, process: int) -> Path:
    """A copy as another run of the program leaves it when it is killed."""
    keeper = Keeper(session, prefs.recovery, session)
    keeper.keep()
    machine = here().partition("-")[0]
    return keeper.file.rename(prefs.recovery / f"{machine}-{process}-00000000-0.recovery.json")


def shown(documents: Documents, qtbot: QtBot, path: Path) -> Window:
    window = documents.open(path)
    qtbot.waitUntil(lambda: window.workspace is not None)
    return window


def lines(window: Window) -> list[CopyLine]:
    return window.findChildren(CopyLine)


def test_a_copy_stands_while_the_file_does_not_hold_the_train(
    on_disk: Session, prefs: Prefs, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(recovery, "REST", 20)
    keeper = Keeper(on_disk, prefs.recovery, on_disk)
    keeper.keep()
    assert not keeper.file.exists()
    on_disk.edit(RemoveStage(id="screen"))
    qtbot.waitUntil(keeper.file.exists)
    assert not list(left_behind(prefs.recovery)), "of this run, which still has it"
    on_disk.stack.undo()
    qtbot.waitUntil(lambda: not keeper.file.exists())
    on_disk.stack.redo()
    keeper.keep()
    assert keeper.has_copy and keeper.file.exists()
    on_disk.save()
    assert not keeper.file.exists()


@pytest.mark.parametrize("again", [False, True], ids=["another process", "the same number again"])
def test_what_was_left_behind_is_offered_and_opened(
    on_disk: Session, prefs: Prefs, documents: Documents, qtbot: QtBot, again: bool
) -> None:
    assert on_disk.path is not None
    on_disk.edit(RemoveStage(id="screen"))
    file = left(prefs, on_disk, os.getpid() if again else process_that_is_gone())
    window = shown(documents, qtbot, on_disk.path)
    (line,) = lines(window)
    assert "was changed and not saved when the program ended" in line.text.text()
    QTest.mouseClick(line.button, LEFT)
    assert len(documents.windows) == 2 and not line.isVisibleTo(window)
    second = documents.windows[1]
    assert second.session is not None and second.keeper is not None
    assert dumps(second.session.document) == dumps(on_disk.document) and not second.session.is_clean
    assert second.session.path == on_disk.path and not file.exists() and second.keeper.file.exists()
    on_disk.path.write_text(on_disk.path.read_text("utf-8") + "\n", "utf-8")
    with pytest.raises(ChangedError):
        second.session.save()
    second.session.save(force=True)
    assert dumps(load(on_disk.path)) == dumps(on_disk.document) and not second.keeper.file.exists()


def test_a_copy_may_be_thrown_away_and_is_offered_once(on_disk: Session, prefs: Prefs, documents: Documents, qtbot: QtBot) -> None:
    assert on_disk.path is not None
    on_disk.edit(RemoveStage(id="screen"))
    file = left(prefs, on_disk, process_that_is_gone())
    (prefs.recovery / f"{file.name.replace('-0.', '-1.')}").write_text("{", "utf-8")
    window = shown(documents, qtbot, on_disk.path)
    (line,) = lines(window)
    QTest.mouseClick(line.leave, LEFT)
    assert not file.exists() and not line.isVisibleTo(window) and len(documents.windows) == 1


def test_a_living_program_keeps_its_own(on_disk: Session, prefs: Prefs) -> None:
    on_disk.edit(RemoveStage(id="screen"))
    file = left(prefs, on_disk, os.getppid())
    assert not list(left_behind(prefs.recovery)) and file.exists()


def test_what_is_closed_without_saving_leaves_nothing(window: Window, session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    session.edit(RemoveStage(id="screen"))
    assert window.keeper is not None
    window.keeper.keep()
    assert window.keeper.file.exists()
    monkeypatch.setattr(window, "_may_close", lambda: True)
    window.close()
    assert not window.keeper.file.exists()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def test_where_no_copy_can_be_kept_that_is_said_once(on_disk: Session, tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    said: list[str] = []
    on_disk.refused.connect(said.append)
    keeper = Keeper(on_disk, tmp_path / "file", on_disk)
    on_disk.edit(RemoveStage(id="screen"))
    keeper.keep()
    keeper.keep()
    assert len(said) == 1 and said[0].startswith("No copy is kept for the case that the program ends: ")
