"""A board of options under a test's hands."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from tests.desktop.hands import LEFT
from trainapp.desktop.options.column import Column
from trainapp.desktop.options.view import OptionsView
from trainapp.reports.options_cells import Cell


def rest(qtbot: QtBot, view: OptionsView) -> None:
    """Wait until nothing is on its way."""
    qtbot.waitUntil(lambda: not view.working and view.counted is not None, timeout=20_000)


def settle(qtbot: QtBot, view: OptionsView) -> None:
    """Wait until figures and trains stand; years and draws may go on."""
    qtbot.waitUntil(lambda: not view.counting_or_seeking, timeout=20_000)


def press(widget: QWidget) -> None:
    QTest.mouseClick(widget, LEFT, Qt.KeyboardModifier.NoModifier, QPoint(widget.width() // 2, widget.height() // 2))
    QApplication.processEvents()


def options(view: OptionsView) -> list[Column]:
    return [column for column in view.area.columns.values() if column.kind == "option"]


def cell(view: OptionsView, column: str, row: str) -> Cell:
    return view.area.columns[column].cells[row].cell


def amount(view: OptionsView, column: str, row: str) -> float:
    value = cell(view, column, row).value
    assert value is not None
    return value
