"""Files as the window treats them: recent ones, dropped ones, going back to what is saved, and files that others changed or locked."""

from __future__ import annotations

import os
import threading
import time
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from PySide6.QtCore import QMimeData, QPointF, QRect, QSettings, QSize, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from tests.desktop.clicking import Clicker
from tests.desktop.hands import LEFT, key
from trainapp.desktop import app as application
from trainapp.desktop.app import Documents
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.recent import MOST, RecentFiles
from trainapp.desktop.recent_menu import RecentMenu, RecentWindow
from trainapp.desktop.session import Session
from trainapp.desktop.window import Window
from trainapp.train.document import Document, dumps, load
from trainapp.train.edits import AddStage, RemoveStage

CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def saved(session: Session, tmp_path: Path) -> Path:
    """The session's file, just saved."""
    path = tmp_path / "farm.train.json"
    session.save(path)
    return path


# Revert ---------------------------------------------------------------------------------------------------------------------------


def test_revert_is_one_step_that_undo_takes_back(window: Window, session: Session, farm: Document, saved: Path) -> None:
    window.follow()
    session.edit(AddStage(kind="carbon_bed"))
    session.edit(RemoveStage(id="softener"))
    changed = session.document
    window.run("revert")
    assert session.document == farm and session.is_clean and session.stack.undoText() == "Revert to farm.train.json"
    assert window.workspace is not None and "as it was saved" in window.workspace.foot.message.accessibleName()
    session.stack.undo()
    assert session.document == changed and not session.is_clean


def test_revert_reads_what_another_program_wrote_and_saving_works_again(session: Session, saved: Path) -> None:
    other = Session(load(saved))
    other.edit(RemoveStage(id="softener"))
    saved.write_text(dumps(other.document), encoding="utf-8")
    session.revert()
    assert session.document == other.document and session.is_clean
    session.edit(AddStage(kind="carbon_bed"))
    session.save()
    assert load(saved) == session.document


def test_reverting_to_what_is_there_already_is_no_step(session: Session, saved: Path) -> None:
    session.revert()
    assert session.stack.count() == 0 and session.is_clean


def test_a_file_that_cannot_be_read_reverts_nothing(window: Window, session: Session, saved: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []
    monkeypatch.setattr(QMessageBox, "warning", lambda *a: told.append(a[2]))
    session.edit(AddStage(kind="carbon_bed"))
    changed = session.document
    saved.write_text("not json", encoding="utf-8")
    window.run("revert")
    assert session.document is changed and not session.is_clean
    assert told and told[0].startswith("farm.train.json cannot be read. ") and told[0].count("\n") == 0


def test_revert_needs_a_file(window: Window, session: Session) -> None:
    window.follow()
    assert session.path is None and not window.actions_by_id["revert"].isEnabled()


# Conflicts and locks --------------------------------------------------------------------------------------------------------------


@pytest.fixture
def conflict(session: Session, saved: Path) -> Document:
    """Another program has written the file; what the session holds."""
    session.edit(AddStage(kind="carbon_bed"))
    saved.write_text(saved.read_text(encoding="utf-8").replace("Lone Alder Farm", "Lone Alder Farm, theirs"), encoding="utf-8")
    return session.document


def test_a_file_that_changed_on_disk_asks_and_cancel_writes_nothing(
    window: Window, session: Session, saved: Path, conflict: Document
) -> None:
    theirs = saved.read_text(encoding="utf-8")
    clicker = Clicker("Cancel")
    assert window.doing is not None and not window.doing.do_save()
    assert "changed by another program since it was opened" in clicker.asked[0]
    assert saved.read_text(encoding="utf-8") == theirs and not session.is_clean


def test_a_file_that_changed_on_disk_is_written_over_where_that_is_wanted(
    window: Window, session: Session, saved: Path, conflict: Document
) -> None:
    clicker = Clicker("Write over it")
    assert window.doing is not None and window.doing.do_save()
    assert clicker.asked and load(saved) == conflict and session.is_clean


def test_a_file_that_changed_on_disk_is_kept_beside_the_new_one(
    window: Window, session: Session, saved: Path, conflict: Document, monkeypatch: pytest.MonkeyPatch
) -> None:
    theirs = saved.read_text(encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a: (str(saved.with_name("mine.train.json")), ""))
    clicker = Clicker("Save as…")
    assert window.doing is not None and window.doing.do_save()
    assert clicker.asked and saved.read_text(encoding="utf-8") == theirs
    assert load(saved.with_name("mine.train.json")) == conflict and session.path == saved.with_name("mine.train.json")


def test_a_read_only_file_is_left_alone_and_said_in_a_sentence(
    window: Window, session: Session, saved: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    monkeypatch.setattr(QMessageBox, "warning", lambda *a: told.append(a[2]))
    before = saved.read_text(encoding="utf-8")
    saved.chmod(0o444)
    session.edit(AddStage(kind="carbon_bed"))
    window.run("save")
    assert told == ["cannot save farm.train.json: it is read-only; save under another name."]
    assert saved.read_text(encoding="utf-8") == before and window.isWindowModified()


# Recent ---------------------------------------------------------------------------------------------------------------------------


@pytest.fixture
def kept(tmp_path: Path) -> QSettings:
    return QSettings(str(tmp_path / "recent.ini"), QSettings.Format.IniFormat)


def test_the_latest_stands_first_and_pinned_ones_before_all(kept: QSettings) -> None:
    recent = RecentFiles(kept)
    for number in range(MOST + 3):
        recent.note(Path(f"/sites/{number}.train.json"))
        recent.pin(Path("/sites/0.train.json"), True)
    recent.note(Path("/sites/7.train.json"))
    names = [file.path.name.split(".")[0] for file in recent.files]
    assert names[:3] == ["0", "7", str(MOST + 2)] and len(names) == MOST + 1 and names.count("7") == 1
    again = RecentFiles(kept)
    assert again.files == recent.files and again.files[0].pinned
    again.clear()
    assert [file.path.name for file in again.files] == ["0.train.json"]
    again.forget(Path("/sites/0.train.json"))
    assert again.files == () and RecentFiles(kept).files == ()


@pytest.mark.parametrize("text", ["{", "7", '[{"path": 3}, {"path": ""}, 4, {"pinned": true}]', '"x"'])
def test_a_list_that_makes_no_sense_is_empty(kept: QSettings, text: str) -> None:
    kept.setValue("recent", text)
    assert RecentFiles(kept).files == ()


def test_a_dead_disk_never_stops_the_window(qtbot: QtBot, kept: QSettings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Looking for a file on a share that is gone may take a minute: the menu opens at once, and only then it turns grey."""
    here = tmp_path / "here.train.json"
    here.write_text("{}", encoding="utf-8")
    threads: set[int] = set()
    let_go = threading.Event()

    def slow(path: str) -> bool:
        threads.add(threading.get_ident())
        if path.startswith("/mnt/dead"):
            let_go.wait(20)
            return False
        return os.path.exists(path)

    monkeypatch.setattr("trainapp.desktop.recent._PATIENCE", 0.4)
    recent = RecentFiles(kept, exists=slow)
    for path in (tmp_path / "gone.train.json", Path("/mnt/dead/share.train.json"), here):
        recent.note(path)
    menu = RecentMenu(recent)
    qtbot.addWidget(menu)
    begin = time.monotonic()
    menu.aboutToShow.emit()
    assert time.monotonic() - begin < 0.5
    assert [action.isEnabled() for action in menu.files] == [True, True, True]
    qtbot.waitUntil(lambda: not menu.files[1].isEnabled(), timeout=6000)
    assert [action.isEnabled() for action in menu.files] == [True, False, False]
    assert "(missing)" in menu.files[1].text() and "missing" not in menu.files[0].text()
    assert threading.get_ident() not in threads
    let_go.set()


def test_files_that_cannot_be_looked_for_are_not_told_to_be_missing(qtbot: QtBot, kept: QSettings, monkeypatch: pytest.MonkeyPatch) -> None:
    recent = RecentFiles(kept, exists=lambda path: False)
    recent.note(Path("/mnt/share/farm.train.json"))
    with qtbot.waitSignal(recent.changed):
        recent.look()
    assert recent.files[0].missing

    def refused(_asked: object, _paths: object, _cancelled: object) -> frozenset[str]:
        raise RuntimeError("can't start new thread")

    monkeypatch.setattr("trainapp.desktop.recent._Looker.__call__", refused)
    with qtbot.waitSignal(recent.changed):
        recent.look()
    assert not recent.files[0].missing


def test_the_program_starts_at_once_with_files_on_a_dead_disk(
    prefs: Prefs, documents: Documents, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    prefs.recent.note(Path("/mnt/dead/share.train.json"))
    seen: list[str] = []
    real = os.stat

    def watched(path: Any, *rest: Any, **more: Any) -> os.stat_result:
        seen.append(str(path))
        return real(path, *rest, **more)

    monkeypatch.setattr("os.stat", watched)
    window = documents.open(None, first_run=True)
    qtbot.waitUntil(lambda: window.session is not None)
    assert seen and [path for path in seen if path.startswith("/mnt/dead")] == []


def recent_window() -> RecentWindow:
    found = [w for w in QApplication.topLevelWidgets() if isinstance(w, RecentWindow) and w.isVisible()]
    assert len(found) == 1
    return found[0]


def test_opened_and_saved_files_are_remembered_and_opened_again(
    documents: Documents, root: Path, farm_well: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    first = documents.open(farm_well)
    qtbot.waitUntil(lambda: first.session is not None)
    assert first.session is not None and first.doing is not None
    first.session.path = tmp_path / "mine.train.json"
    assert first.doing.do_save()
    assert [file.path for file in first.prefs.recent.files] == [tmp_path / "mine.train.json", farm_well]
    assert "mine.train.json" in first.recent_menu.files[0].text()
    first.close()
    second = documents.open(None)
    qtbot.waitUntil(lambda: second.session is not None)
    second.recent_menu.files[0].trigger()
    qtbot.waitUntil(lambda: len(documents.windows) == 2 and documents.windows[1].session is not None)
    assert documents.windows[1].session is not None and documents.windows[1].session.path == tmp_path / "mine.train.json"


def test_the_list_is_worked_by_keyboard(documents: Documents, farm_well: Path, root: Path, qtbot: QtBot) -> None:
    other = root / "samples" / "pebble-court-3.train.json"
    documents.prefs.recent.note(farm_well)
    documents.prefs.recent.note(other)
    window = documents.open(None)
    qtbot.waitUntil(lambda: window.session is not None)
    window.run("recent")
    dialog = recent_window()
    key(dialog.list, Qt.Key.Key_Down)
    QTest.mouseClick(dialog.buttons["pin"], LEFT)
    assert dialog.recent.files[0].path == farm_well and dialog.recent.files[0].pinned
    assert dialog.buttons["pin"].text() == "Unpin" and "(pinned)" in dialog.list.item(0).text()
    QTest.mouseClick(dialog.buttons["clear"], LEFT)
    assert [file.path for file in dialog.recent.files] == [farm_well]
    key(dialog.list, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: len(documents.windows) == 2 and documents.windows[1].session is not None)
    assert documents.windows[1].session is not None and documents.windows[1].session.path == farm_well


def test_a_missing_file_is_grey_and_does_not_open(documents: Documents, tmp_path: Path, qtbot: QtBot) -> None:
    documents.prefs.recent.note(tmp_path / "gone.train.json")
    window = documents.open(None)
    qtbot.waitUntil(lambda: window.session is not None)
    window.run("recent")
    dialog = recent_window()
    qtbot.waitUntil(lambda: not dialog.buttons["open"].isEnabled())
    assert "(missing)" in dialog.list.item(0).text()
    key(dialog.list, Qt.Key.Key_Return)
    assert len(documents.windows) == 1 and dialog.isVisible()
    QTest.mouseClick(dialog.buttons["forget"], LEFT)
    assert dialog.recent.files == () and dialog.none.isVisible()


# Drops ----------------------------------------------------------------------------------------------------------------------------


def drop(target: QWidget, *paths: Path) -> bool:
    """Drag files over a widget and let them go; whether it takes them."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    place = target.rect().center()
    enter = QDragEnterEvent(place, Qt.DropAction.CopyAction, data, LEFT, Qt.KeyboardModifier.NoModifier)
    enter.ignore()
    QApplication.sendEvent(target, enter)
    if not enter.isAccepted():
        return False
    QApplication.sendEvent(target, QDropEvent(QPointF(place), Qt.DropAction.CopyAction, data, LEFT, Qt.KeyboardModifier.NoModifier))
    return True


@pytest.fixture
def asked(window: Window) -> list[Any]:
    """What the window was asked to open."""
    made: list[Any] = []
    window.open_asked.connect(made.append)
    return made


def test_trains_that_are_dropped_are_opened(window: Window, asked: list[Any], farm_well: Path, root: Path) -> None:
    other = root / "samples" / "pebble-court-3.train.json"
    assert drop(window, farm_well, other)
    assert asked == [farm_well, other]


def test_files_that_are_dropped_on_the_bench_reach_the_window(window: Window, asked: list[Any], farm_well: Path) -> None:
    assert window.workspace is not None
    assert drop(window.workspace.canvas.viewport(), farm_well) and asked == [farm_well]
    assert drop(window.workspace.verdict, farm_well) and asked == [farm_well, farm_well]


def test_what_is_no_train_is_not_taken(window: Window, asked: list[Any], tmp_path: Path) -> None:
    assert not drop(window, tmp_path / "photo.jpg")
    data = QMimeData()
    data.setUrls([QUrl("https://example.org/x.train.json")])
    event = QDragEnterEvent(window.rect().center(), Qt.DropAction.CopyAction, data, LEFT, Qt.KeyboardModifier.NoModifier)
    event.ignore()
    QApplication.sendEvent(window, event)
    assert not event.isAccepted() and asked == []


# Several --------------------------------------------------------------------------------------------------------------------------


def test_quit_asks_for_every_window_and_one_that_stays_keeps_the_rest(
    documents: Documents, farm_well: Path, root: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    for path in (farm_well, root / "samples" / "pebble-court-3.train.json", None):
        documents.open(path)
    qtbot.waitUntil(lambda: all(window.session is not None for window in documents.windows))
    for window in documents.windows:
        assert window.session is not None
        window.session.edit(AddStage(kind="carbon_bed"))
    replies = [QMessageBox.StandardButton.Discard, QMessageBox.StandardButton.Cancel]
    asked: list[str] = []

    def reply(*told: Any) -> QMessageBox.StandardButton:
        asked.append(told[2])
        return replies.pop(0)

    monkeypatch.setattr(QMessageBox, "question", reply)
    documents.windows[0].run("quit")
    assert len(asked) == 2 and "Lone Alder Farm" in asked[0] and len(documents.windows) == 2


def test_units_change_in_every_window(documents: Documents, farm_well: Path, qtbot: QtBot) -> None:
    documents.open(farm_well)
    documents.open(None)
    qtbot.waitUntil(lambda: all(window.session is not None for window in documents.windows))
    documents.windows[1].run("units")
    assert [window.session.system for window in documents.windows if window.session] == ["metric", "metric"]
    assert [window.unit_button.text() for window in documents.windows] == ["Metric units", "Metric units"]
    assert documents.prefs.units == "metric"
    third = documents.open(None)
    qtbot.waitUntil(lambda: third.session is not None)
    assert third.session is not None and third.session.system == "metric"


def test_light_dark_and_contrast_are_remembered(tmp_path: Path, window: Window, prefs: Prefs) -> None:
    window.run("dark")
    window.run("contrast")
    again = Prefs(QSettings(str(tmp_path / "prefs.ini"), QSettings.Format.IniFormat))
    prefs._kept.sync()
    assert (again.theme, again.high_contrast) == ("dark", True)
    window.run("contrast")
    window.run("system")
    assert (prefs.theme, prefs.high_contrast) == ("system", False)


@pytest.mark.parametrize("screen", [QRect(0, 0, 1000, 700), QRect(1920, 40, 1280, 760)])
def test_windows_open_on_the_screen_whatever_was_remembered(
    documents: Documents, farm_well: Path, monkeypatch: pytest.MonkeyPatch, screen: QRect
) -> None:
    documents.prefs.size = QSize(3000, 2000)
    monkeypatch.setattr(application.QGuiApplication, "primaryScreen", lambda: SimpleNamespace(availableGeometry=lambda: screen))
    for _ in range(3):
        window = documents.open(farm_well)
        # Its corner is that of the frame, which this platform makes up.
        assert screen.contains(QRect(window.pos(), window.size())), window.geometry()
