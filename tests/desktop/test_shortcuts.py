"""Shortcuts of one's own: a key pressed in the list, refused with one sentence where it is taken, kept, and given back."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.desktop.hands import LEFT, key
from trainapp.desktop.actions import COMMANDS
from trainapp.desktop.app import Documents
from trainapp.desktop.bindings import change, refusal, reset_all
from trainapp.desktop.finder import Finder
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.shortcuts import ShortcutsWindow
from trainapp.desktop.window import Window

CTRL, SHIFT, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.AltModifier
ALONE = "alone is typed into fields: take it with Ctrl or Alt, or take a function key"
BY_ID = {command.id: command for command in COMMANDS}


@pytest.fixture
def listed(window: Window) -> ShortcutsWindow:
    window.run("shortcuts")
    (made,) = [w for w in QApplication.topLevelWidgets() if isinstance(w, ShortcutsWindow) and w.isVisible()]
    return made


def mark(listed: ShortcutsWindow, text: str) -> None:
    """Find a line and walk to it with the keyboard."""
    listed.find.clear()
    QTest.keyClicks(listed.find, text)
    listed.list.setFocus()
    for _ in range(40):
        if listed.list.currentItem() is not None and listed.list.currentItem().text(0) == text:
            break
        key(listed.list, Qt.Key.Key_Down)
    assert listed.list.currentItem().text(0) == text


def keys(window: Window, command: str) -> list[str]:
    return [sequence.toString() for sequence in window.actions_by_id[command].shortcuts()]


def test_a_key_is_pressed_and_does_it(listed: ShortcutsWindow, window: Window, qtbot: QtBot) -> None:
    mark(listed, "Worked steps")
    assert listed.field.text() == "Ctrl+2" and listed.label.text() == "Key for “Worked steps”"
    key(listed.field, Qt.Key.Key_K, modifier=CTRL | ALT)
    assert keys(window, "steps") == ["Ctrl+Alt+K"] and listed.said.text() == "Ctrl+Alt+K it is."
    assert listed.list.currentItem().text(1) == "Ctrl+Alt+K (own)"
    assert window.workspace is not None
    window.run("card")
    tabs = window.workspace.right
    assert tabs.card.isVisible()
    listed.close()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    key(window.workspace.canvas, Qt.Key.Key_2, modifier=CTRL)
    assert tabs.card.isVisible() and not tabs.steps.isVisible()
    key(window.workspace.canvas, Qt.Key.Key_K, modifier=CTRL | ALT)
    assert tabs.steps.isVisible()


@pytest.mark.parametrize(
    ("pressed", "modifier", "sentence"),
    [
        (Qt.Key.Key_S, CTRL, "Not changed: Ctrl+S belongs to “Save” already."),
        (Qt.Key.Key_D, CTRL, "Not changed: Ctrl+D belongs to “Duplicate” already."),
        (Qt.Key.Key_K, Qt.KeyboardModifier.NoModifier, f"Not changed: K {ALONE}."),
        (Qt.Key.Key_K, SHIFT, f"Not changed: Shift+K {ALONE}."),
        (Qt.Key.Key_Left, ALT, "Not changed: Alt+Left belongs to the bench already: to the pipe between two stages."),
    ],
)  # fmt: skip
def test_a_key_that_is_taken_is_refused_in_one_sentence(
    listed: ShortcutsWindow, window: Window, pressed: Qt.Key, modifier: Qt.KeyboardModifier, sentence: str
) -> None:
    mark(listed, "Worked steps")
    key(listed.field, pressed, modifier=modifier)
    assert listed.said.text() == sentence and not listed.mark.isHidden()
    assert keys(window, "steps") == ["Ctrl+2"] and window.prefs.keys == {}


def test_its_own_key_is_given_back_alone_and_all_at_once(listed: ShortcutsWindow, window: Window) -> None:
    for text, pressed in (("Worked steps", Qt.Key.Key_F11), ("Stage card", Qt.Key.Key_F12)):
        mark(listed, text)
        key(listed.field, pressed)
    assert (keys(window, "steps"), keys(window, "card")) == (["F11"], ["F12"])
    QTest.mouseClick(listed.reset, LEFT)
    assert keys(window, "card") == ["Ctrl+3"] and keys(window, "steps") == ["F11"] and not listed.reset.isEnabled()
    QTest.mouseClick(listed.none, LEFT)
    assert keys(window, "card") == [] and listed.list.currentItem().text(1) == "no key (own)"
    QTest.mouseClick(listed.reset_every, LEFT)
    assert (keys(window, "steps"), keys(window, "card")) == (["Ctrl+2"], ["Ctrl+3"]) and window.prefs.keys == {}


def test_a_key_given_back_meets_who_has_it_now(window: Window) -> None:
    assert change(window.prefs, BY_ID["steps"], ["F11"]) == ""
    assert change(window.prefs, BY_ID["card"], ["Ctrl+2"]) == "", "the first has left it"
    assert change(window.prefs, BY_ID["steps"], BY_ID["steps"].keys) == "Ctrl+2 belongs to “Stage card” already"
    reset_all(window.prefs)


def test_escape_leaves_it_and_tab_goes_on(listed: ShortcutsWindow, window: Window) -> None:
    mark(listed, "Worked steps")
    listed.field.setFocus()
    key(listed.field, Qt.Key.Key_Control, Qt.Key.Key_Escape)
    assert listed.isVisible() and keys(window, "steps") == ["Ctrl+2"]
    key(listed.field, Qt.Key.Key_Tab)
    assert listed.none.hasFocus()


def test_a_line_without_a_command_stays_as_it_is(listed: ShortcutsWindow) -> None:
    mark(listed, "Walk along the train")
    assert not listed.field.isEnabled() and listed.label.text() == "This key stays as it is"


def test_keys_are_kept_and_every_window_has_them(documents: Documents, qtbot: QtBot) -> None:
    one, two = documents.open(None), documents.open(None)
    qtbot.waitUntil(lambda: one.session is not None and two.session is not None)
    assert change(documents.prefs, BY_ID["steps"], ["F11"]) == ""
    assert keys(one, "steps") == keys(two, "steps") == ["F11"]
    assert keys(documents.open(None), "steps") == ["F11"]
    one.find_command()
    (finder,) = [w for w in QApplication.topLevelWidgets() if isinstance(w, Finder) and w.isVisible()]
    assert next(choice.beside for choice in finder.choices if choice.key == "steps") == "F11"
    finder.close()
    reset_all(documents.prefs)


def test_kept_keys_that_make_no_sense_are_none(tmp_path: object) -> None:
    settings = QSettings(f"{tmp_path}/p.ini", QSettings.Format.IniFormat)
    for text in ("[1]", "nonsense", '{"steps": 3}', '{"steps": ["F11"]}'):
        settings.setValue("keys", text)
        assert Prefs(settings).keys in ({}, {"steps": ("F11",)})


def test_views_may_share_a_key_with_one_another_but_not_with_what_is_everywhere() -> None:
    views = {command.view for command in COMMANDS if command.view}
    assert len(views) > 1
    bench = next(command for command in COMMANDS if command.view == "bench")
    other = next(command for command in COMMANDS if command.view not in ("", "bench"))
    assert refusal(other, "Ctrl+S", {}) and not refusal(other, "F11", {bench.id: ("F11",)})
