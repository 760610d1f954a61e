"""Hands for the tests of the editors: open one, type into the cells of a sheet, pick from choices, paste."""

from __future__ import annotations

from typing import TypeVar

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QGuiApplication, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from trainapp.desktop.editors import open_editor
from trainapp.desktop.editors.dialog import Editor
from trainapp.desktop.editors.form import Form, Row
from trainapp.desktop.editors.sheet import Sheet
from trainapp.desktop.session import Session

E = TypeVar("E", bound=Editor)
LEFT = Qt.MouseButton.LeftButton
NONE, CTRL = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier


def opened(qtbot: QtBot, session: Session, what: str, kind: type[E]) -> E:
    """An editor, shown and active."""
    editor = open_editor(session, what)
    assert isinstance(editor, kind)
    qtbot.addWidget(editor)
    QTest.qWaitForWindowActive(editor)
    QApplication.processEvents()
    return editor


def type_cell(sheet: Sheet, line: str, column: str, text: str, end: Qt.Key = Qt.Key.Key_Return) -> None:
    """Walk to a cell, type over it, and press a key."""
    sheet.setFocus(Qt.FocusReason.OtherFocusReason)
    sheet.go_to(line, column)
    QTest.keyClick(sheet, Qt.Key.Key_F2)
    inside = cell_editor(sheet)
    field = inside.lineEdit() if isinstance(inside, QComboBox) else inside
    assert isinstance(field, QLineEdit)
    QTest.keyClick(field, Qt.Key.Key_A, CTRL)
    QTest.keyClicks(field, text) if text else QTest.keyClick(field, Qt.Key.Key_Delete)
    QTest.keyClick(inside, end)
    QApplication.processEvents()


def cell_editor(sheet: Sheet) -> QWidget:
    """What is open in a cell."""
    found = [w for w in sheet.viewport().children() if isinstance(w, QLineEdit | QComboBox) and w.isVisible()]
    assert len(found) == 1, found
    return found[0]


def click_cell(sheet: Sheet, line: str, column: str, twice: bool = False) -> None:
    """Click, or double-click, into a cell."""
    row = next(i for i, each in enumerate(sheet.sheet.lines) if each.key == line)
    at = next(i for i, each in enumerate(sheet.sheet.columns) if each.key == column)
    index = sheet.sheet.index(row, at)
    sheet.scrollTo(index)
    place = sheet.visualRect(index).center()
    QTest.mouseClick(sheet.viewport(), LEFT, NONE, place)
    if twice:
        QTest.mouseDClick(sheet.viewport(), LEFT, NONE, place)


def pick(box: QComboBox, word: str) -> None:
    """Choose by keyboard, as someone would who reads the list."""
    box.setFocus(Qt.FocusReason.TabFocusReason)
    at, wanted = box.currentIndex(), box.findData(word)
    assert wanted >= 0, [box.itemData(i) for i in range(box.count())]
    QTest.keyClick(box, Qt.Key.Key_Space)
    view = box.view()
    assert view.isVisible()
    for _ in range(abs(wanted - max(at, 0))):
        QTest.keyClick(view, Qt.Key.Key_Down if wanted > at else Qt.Key.Key_Up)
    QTest.keyClick(view, Qt.Key.Key_Return)
    box.window().activateWindow()
    QTest.qWaitForWindowActive(box.window())
    QApplication.processEvents()


def choose_in_cell(sheet: Sheet, line: str, column: str, typed: str) -> None:
    """Double-click into a cell with a choice, find a word of its list by typing, and press Return."""
    click_cell(sheet, line, column, twice=True)
    box = cell_editor(sheet)
    assert isinstance(box, QComboBox)
    QApplication.processEvents()
    view = box.view()
    assert view.isVisible()
    QTest.keyClicks(view, typed)
    QTest.keyClick(view, Qt.Key.Key_Return)
    QApplication.processEvents()


def row_of(form: Form, ending: str) -> Row:
    """The row whose key ends so."""
    return next(row for key, row in form.rows.items() if key.endswith(ending))


def type_row(form: Form, ending: str, text: str) -> Row:
    """Type into a row of a form and press Return."""
    row = row_of(form, ending)
    row.editor.setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClick(row.editor, Qt.Key.Key_A, CTRL)
    QTest.keyClicks(row.editor, text) if text else QTest.keyClick(row.editor, Qt.Key.Key_Delete)
    QTest.keyClick(row.editor, Qt.Key.Key_Return)
    return row


def click(button: QWidget) -> None:
    """Click on a button."""
    QTest.mouseClick(button, LEFT)


def paste(widget: QWidget, text: str) -> None:
    """Put a text on the clipboard and press Ctrl+V."""
    QGuiApplication.clipboard().setText(text)
    QTest.keyClick(widget, Qt.Key.Key_V, CTRL)


def wheel(widget: QWidget) -> None:
    """Turn the wheel over a widget."""
    middle = QPointF(widget.rect().center())
    event = QWheelEvent(
        middle, widget.mapToGlobal(middle), QPoint(), QPoint(0, -120), Qt.MouseButton.NoButton, NONE, Qt.ScrollPhase.NoScrollPhase, False
    )
    QApplication.sendEvent(widget, event)
