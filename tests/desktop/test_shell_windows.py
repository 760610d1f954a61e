"""The windows beside the bench: shortcuts, about, history; how they open, close and are named, and that none leaves anything behind."""

from __future__ import annotations

import gc
import re
import tomllib
import weakref
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QAccessible, QGuiApplication, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QTreeWidget, QWidget
from pytestqt.qtbot import QtBot

from tests.desktop.editing import wheel
from tests.desktop.hands import LEFT, key
from trainapp import __version__
from trainapp.desktop import app as application
from trainapp.desktop.about import PACKAGES, AboutWindow, packages, versions
from trainapp.desktop.actions import COMMANDS
from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.editors import EDITORS
from trainapp.desktop.session import Session
from trainapp.desktop.shortcuts import ShortcutsWindow, lines
from trainapp.desktop.window import Window
from trainapp.sources import sources
from trainapp.train.document import Document
from trainapp.train.edits import AddStage, ChangeSetting, RemoveStage

#: Commands that open a window beside the bench.
BESIDE = ("start", "recent", "export", "sampling", "catalogues", "shortcuts", "about", *(name for name, _, _ in EDITORS))


def beside() -> list[QWidget]:
    """Windows that are open beside the bench."""
    return [w for w in QApplication.topLevelWidgets() if w.isVisible() and not isinstance(w, Window)]


def the(kind: type[SideWindow]) -> SideWindow:
    found = [w for w in beside() if isinstance(w, kind)]
    assert len(found) == 1
    return found[0]


# Shortcuts --------------------------------------------------------------------------------------------------------------------------


def test_every_shortcut_is_in_the_list(window: Window) -> None:
    window.run("shortcuts")
    made = the(ShortcutsWindow)
    assert isinstance(made, ShortcutsWindow)
    shown = {(line.text(0), line.text(1)) for line in rows(made.list)}
    for command in COMMANDS:
        keys = ", ".join(QKeySequence(text).toString(QKeySequence.SequenceFormat.NativeText) for text in command.keys)
        assert (command.text.replace("…", ""), keys) in shown
    assert {("Walk along the train", "Left, Right"), ("Zoom to the pointer", "Ctrl+wheel")} <= shown


def rows(tree: QTreeWidget) -> Iterator[object]:
    for i in range(tree.topLevelItemCount()):
        group = tree.topLevelItem(i)
        yield from (group.child(j) for j in range(group.childCount()) if not group.child(j).isHidden())


def test_a_shortcut_is_found_by_its_words_and_by_its_keys(window: Window) -> None:
    window.run("shortcuts")
    made = the(ShortcutsWindow)
    assert isinstance(made, ShortcutsWindow)
    QTest.keyClicks(made.find, "undo history")
    assert [line.text(0) for line in rows(made.list)] == ["Undo history"]  # type: ignore[attr-defined]
    made.find.clear()
    QTest.keyClicks(made.find, "ctrl+shift+p")
    assert [line.text(0) for line in rows(made.list)] == ["Find a command"]  # type: ignore[attr-defined]
    QTest.mouseClick(made.copy, LEFT)
    assert QGuiApplication.clipboard().text().count("\n") == len(list(lines())) - 1


def test_every_shortcut_does_what_the_list_says(window: Window, session: Session) -> None:
    """Each key sequence belongs to one action of the window, and that is the one of the table."""
    for command in COMMANDS:
        action = window.actions_by_id[command.id]
        assert [keys.toString() for keys in action.shortcuts()] == [QKeySequence(keys).toString() for keys in command.keys]


def test_every_key_that_the_bench_takes_is_in_the_list(root: Path) -> None:
    source = (root / "trainapp" / "desktop" / "bench" / "keys.py").read_text(encoding="utf-8")
    named = {"Plus": "+", "Equal": "+", "Minus": "-", "PageUp": "PgUp", "PageDown": "PgDown", "Escape": "Esc", "Enter": "Return"}
    listed = {part for line in lines() for keys in line.keys.split(", ") for part in (keys, *keys.split("+"))}
    for name in set(re.findall(r"Key\.Key_(\w+)", source)):
        assert named.get(name, name) in listed, name


# About ------------------------------------------------------------------------------------------------------------------------------


def test_about_names_versions_licences_and_sources_and_copies(window: Window) -> None:
    window.run("about")
    made = the(AboutWindow)
    assert isinstance(made, AboutWindow)
    QTest.mouseClick(made.copy, LEFT)
    text = QGuiApplication.clipboard().text()
    assert text == versions() and f"trainapp {__version__}" in text and "Qt 6" in text and "pydantic" in text
    pages = {name: made.stack.widget(i) for i, name in enumerate(made.tabs)}
    assert "never certifies water" in pages["Versions"].toPlainText()  # type: ignore[attr-defined]
    QTest.mouseClick(made.tabs["Licences"], LEFT)
    assert made.stack.currentWidget() is pages["Licences"] and "Lesser General Public License" in pages["Licences"].toPlainText()  # type: ignore[attr-defined]
    key(made.tabs["Sources"], Qt.Key.Key_Return)
    shown = pages["Sources"].toPlainText()  # type: ignore[attr-defined]
    assert made.stack.currentWidget() is pages["Sources"] and all(source.title in shown for source in sources().values())


def test_every_package_that_is_needed_is_named_with_its_licence(root: Path) -> None:
    needed = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    names = {re.split(r"[<>=!~ ]", line)[0] for line in needed}
    assert names <= set(PACKAGES)
    assert {package.name for package in packages()} == set(PACKAGES)
    assert all(package.version and package.licence and package.licence != "see the package" for package in packages())


# History ----------------------------------------------------------------------------------------------------------------------------


def test_the_history_names_every_step_and_goes_back_to_any(window: Window, session: Session, farm: Document) -> None:
    session.edit(AddStage(kind="carbon_bed"))
    session.edit(ChangeSetting(stage="softener", key="salt_dose", value="10 lb/ft3"))
    session.edit(RemoveStage(id="fine"))
    window.run("history")
    view = window.history.view
    model = view.model()
    names = [model.index(row, 0).data() for row in range(model.rowCount())]
    assert names == ["As opened", "Add carbon bed", "Change salt dose of softener", "Remove sediment cartridge 4"]
    assert window.actions_by_id["history"].isChecked()
    place = view.visualRect(model.index(1, 0)).center()
    QTest.mouseClick(view.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, place)
    assert session.stack.index() == 1 and "carbon-bed" in [stage.id for stage in session.document.stages]
    key(view, Qt.Key.Key_Up)
    assert session.document == farm
    key(view, Qt.Key.Key_End)
    assert session.stack.index() == 3
    window.run("history")
    assert not window.history.isVisible() and not window.actions_by_id["history"].isChecked()


def test_the_history_takes_no_room_from_a_narrow_bench(window: Window) -> None:
    assert window.workspace is not None
    window.resize(1280, 800)
    QApplication.processEvents()
    width = window.workspace.width()
    window.run("history")
    QApplication.processEvents()
    assert window.history.isFloating() and window.workspace.width() == width
    window.run("history")
    window.resize(1920, 1080)
    window.run("history")
    QApplication.processEvents()
    assert not window.history.isFloating()


# All ------------------------------------------------------------------------------------------------------------------------------


def test_a_window_beside_the_bench_opens_once_and_never_stands_in_the_way(window: Window, qtbot: QtBot) -> None:
    for command in BESIDE:
        window.run(command)
        window.run(command)
        [made] = beside()
        assert not made.isModal() and made.windowTitle() and QApplication.activeModalWidget() is None, command
        assert made.parentWidget() is window
        made.activateWindow()
        qtbot.waitUntil(made.isActiveWindow)
        key(made, Qt.Key.Key_W, modifier=Qt.KeyboardModifier.ControlModifier)
        QApplication.processEvents()
        assert beside() == [] and window.isVisible(), f"Ctrl+W closes what it is pressed in: {command}"
        window.run(command)
        key(beside()[0], Qt.Key.Key_Escape)
        assert beside() == [], command


def test_everything_in_them_that_takes_the_keyboard_has_a_name(window: Window, session: Session) -> None:
    session.edit(AddStage(kind="carbon_bed"))
    window.prefs.recent.note(Path("/sites/a.train.json"))
    for command in (*BESIDE, "print"):
        window.run(command)
        QApplication.processEvents()
        [made] = beside()
        for widget in made.findChildren(QWidget):
            if widget.isVisible() and widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.focusProxy() is None:
                interface = QAccessible.queryAccessibleInterface(widget)
                assert interface is not None and interface.text(QAccessible.Text.Name), (command, widget)
                assert interface.role() != QAccessible.Role.NoRole
        made.close()


def test_a_wheel_changes_no_field_that_is_not_being_edited(window: Window) -> None:
    turned = 0
    for command in BESIDE:
        window.run(command)
        [made] = beside()
        for box in made.findChildren(QComboBox):
            box.clearFocus()
            before = box.currentIndex()
            wheel(box)
            assert box.currentIndex() == before, (command, box.accessibleName())
            turned += box.count() > 1
        made.close()
    assert turned > 4


@pytest.mark.parametrize("command", [*BESIDE, "print", "find_command"])
def test_opened_and_closed_ten_times_it_leaves_nothing_behind(window: Window, session: Session, command: str) -> None:
    """No wrapper of a dead object is spoken to: any RuntimeError would reach the event loop and fail the test."""
    gone: list[weakref.ref[QObject]] = []
    for number in range(10):
        window.run(command)
        made = next(iter(beside()))
        gone.append(weakref.ref(made))
        if number == 5:
            session.edit(AddStage(kind="carbon_bed"))
            session.stack.undo()
            window.run("units")
        made.close()
        del made
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()
    assert beside() == []
    assert sum(1 for each in gone if each() is not None) <= 1
    session.edit(AddStage(kind="carbon_bed"))
    window.run("dark")


def test_windows_beside_close_with_theirs(window: Window, session: Session) -> None:
    for command in BESIDE:
        window.run(command)
    assert len(beside()) == len(BESIDE)
    session.stack.setClean()
    window.close()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    QApplication.processEvents()
    assert beside() == []


# When the program itself fails --------------------------------------------------------------------------------------------------------


def test_a_fault_is_shown_with_text_that_can_be_copied_and_the_window_goes_on(
    window: Window, session: Session, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[tuple[str, str, bool]] = []

    def look_at(box: application.QMessageBox) -> int:
        copied = bool(box.textInteractionFlags() & Qt.TextInteractionFlag.TextSelectableByKeyboard)
        seen.append((box.text(), box.detailedText(), copied))
        return 0

    monkeypatch.setattr(application.QMessageBox, "exec", look_at)
    try:
        raise ZeroDivisionError("no bed")
    except ZeroDivisionError as error:
        application._uncaught(ZeroDivisionError, error, error.__traceback__)
    [(sentence, details, copied)] = seen
    assert sentence == "The program failed at something: no bed" and "ZeroDivisionError: no bed" in details and copied
    assert f"trainapp {__version__}" in details
    assert session.edit(AddStage(kind="carbon_bed"))
