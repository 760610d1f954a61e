"""Tabs, keys and menus of the views, and that the keys of one do nothing in another."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from trainapp.desktop.actions import COMMANDS
from trainapp.desktop.finder import Finder
from trainapp.desktop.session import Session
from trainapp.desktop.views import BENCH, VIEWS, View
from trainapp.desktop.window import Window

LEFT = Qt.MouseButton.LeftButton


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.id)
def test_a_view_is_turned_to_by_tab_and_by_key_and_left_again(window: Window, view: View) -> None:
    assert window.views is not None
    QTest.mouseClick(window.strip.views[view.id], LEFT)
    assert window.views.shown == view.id and window.views.currentWidget() is window.views.pages[view.id]
    assert [name for name, tab in window.strip.views.items() if tab.isChecked()] == [view.id]
    assert [each.id for each in VIEWS if window.menus[each.title].menuAction().isVisible()] == [view.id]
    QTest.keyClick(window, Qt.Key.Key_F5)
    assert window.views.shown == BENCH and window.strip.views[BENCH].isChecked()
    assert not any(window.menus[each.title].menuAction().isVisible() for each in VIEWS)
    page = window.views.pages[view.id]
    QTest.keyClick(window, getattr(Qt.Key, f"Key_{view.key}"))
    assert window.views.currentWidget() is page


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.id)
def test_every_command_of_a_view_is_a_method_of_it(window: Window, view: View) -> None:
    page = window.turn_to(view.id)
    commands = [command for command in COMMANDS if command.view == view.id]
    assert commands and {command.menu for command in commands} == {view.title}
    for command in commands:
        assert callable(getattr(page, f"do_{command.id}")), command.id
        assert window.actions_by_id[command.id].isEnabled() == window._can(command)


def test_keys_of_the_bench_do_nothing_in_another_view(window: Window, session: Session) -> None:
    session.select(("stage", session.document.stages[0].id))
    window.turn_to(VIEWS[0].id)
    before = session.document
    QTest.keyClick(window, Qt.Key.Key_Delete)
    assert session.document is before
    window.turn_to(BENCH)
    QTest.keyClick(window, Qt.Key.Key_Delete)
    assert len(session.document.stages) == len(before.stages) - 1


def test_find_a_command_turns_to_the_view_that_it_belongs_to(window: Window) -> None:
    assert window.views is not None
    window.turn_to(VIEWS[0].id)
    window.find_command()
    finder = window.findChild(Finder)
    assert isinstance(finder, Finder)
    QTest.keyClicks(QApplication.focusWidget(), "Overview")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert window.views.shown == BENCH
