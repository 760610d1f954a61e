"""What holds for every editor: opened once, closed without a trace, walked by keyboard, named, never edited by a passing wheel."""

from __future__ import annotations

import gc
import re
import weakref
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QDialog, QLineEdit, QPlainTextEdit, QWidget
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from tests.desktop.editing import CTRL, opened, wheel
from trainapp.desktop.actions import COMMANDS
from trainapp.desktop.editors import EDITORS, open_editor
from trainapp.desktop.editors.dialog import Editor
from trainapp.desktop.editors.sheet import Sheet
from trainapp.desktop.editors.supply import SupplyEditor
from trainapp.desktop.session import Session
from trainapp.desktop.theme import look
from trainapp.desktop.window import Window
from trainapp.train.document import Document, DocumentError, blank
from trainapp.train.edits import SetValue

IDS = [name for name, _, _ in EDITORS]
SHIFT = Qt.KeyboardModifier.ShiftModifier


def focusable(editor: QWidget) -> list[QWidget]:
    """What Tab can reach."""
    return [
        widget
        for widget in editor.findChildren(QWidget)
        if widget.isVisibleTo(editor) and widget.isEnabled() and widget.focusPolicy() & Qt.FocusPolicy.TabFocus and not widget.focusProxy()
    ]


def deleted() -> None:
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.mark.parametrize("what", IDS)
def test_it_stands_beside_the_window_and_opens_once(qtbot: QtBot, session: Session, what: str) -> None:
    parent = QWidget()
    qtbot.addWidget(parent)
    editor = open_editor(session, what, parent)
    assert isinstance(editor, QDialog) and editor.isVisible() and not editor.isModal() and editor.parent() is parent
    assert open_editor(session, what, parent) is editor
    title = dict((name, title) for name, title, _ in EDITORS)[what]
    assert editor.windowTitle() == f"{title}, Lone Alder Farm"
    QTest.keyClick(editor, Qt.Key.Key_Escape)
    deleted()
    assert not isValid(editor)
    again = open_editor(session, what, parent)
    assert again is not editor and again.isVisible()
    again.close()
    deleted()


def test_there_is_no_other_editor(session: Session) -> None:
    with pytest.raises(KeyError):
        open_editor(session, "moon")


def test_ids_titles_and_shortcuts_are_their_own() -> None:
    for part in zip(*EDITORS, strict=True):
        assert len(set(part)) == len(part)
    titles = {title for _, title, _ in EDITORS}
    taken = {key for command in COMMANDS if command.text.rstrip("…") not in titles for key in command.keys}
    assert not taken & {keys for _, _, keys in EDITORS}


@pytest.mark.parametrize("what", IDS)
def test_a_hundred_times_open_and_closed_leaves_nothing(session: Session, what: str) -> None:
    alive = []
    for _ in range(100 if what == "site" else 12):
        editor = open_editor(session, what)
        alive.append(weakref.ref(editor))
        editor.close()
        deleted()
        del editor
    session.edit(SetValue(path="site.name", value="Other"))
    gc.collect()
    assert not [ref for ref in alive if ref() is not None]
    assert not [widget for widget in QApplication.topLevelWidgets() if isinstance(widget, Editor)]


@pytest.mark.parametrize("what", IDS)
def test_it_closes_with_its_session(qtbot: QtBot, farm: Document, what: str) -> None:
    session = Session(farm)
    editor = open_editor(session, what)
    session.deleteLater()
    deleted()
    deleted()
    assert not isValid(editor) or not editor.isVisible()


@pytest.mark.parametrize("what", IDS)
def test_everything_that_takes_the_keyboard_has_a_name(qtbot: QtBot, session: Session, what: str) -> None:
    editor = opened(qtbot, session, what, Editor)
    nameless = [widget for widget in focusable(editor) if not (widget.accessibleName() or getattr(widget, "text", str)())]
    assert nameless == []


@pytest.mark.parametrize("what", IDS)
def test_tab_reaches_everything_and_is_caught_nowhere(qtbot: QtBot, session: Session, what: str) -> None:
    editor = opened(qtbot, session, what, Editor)
    assert editor.focusWidget() is not None
    wanted, seen = set(focusable(editor)), set()
    for _ in range(3 * len(wanted)):
        focus = QApplication.focusWidget()
        assert focus is not None
        seen.add(focus)
        QTest.keyClick(focus, Qt.Key.Key_Tab)
    assert wanted - seen == set()


@pytest.mark.parametrize("what", IDS)
def test_a_passing_wheel_changes_nothing(qtbot: QtBot, session: Session, farm: Document, what: str) -> None:
    editor = opened(qtbot, session, what, Editor)
    for widget in editor.findChildren(QWidget):
        if isinstance(widget, QComboBox | QLineEdit | QPlainTextEdit | QAbstractButton) and not widget.hasFocus():
            wheel(widget)
    assert session.document is farm and session.stack.count() == 0


@pytest.mark.parametrize("what", IDS)
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_it_is_drawn_in_both_themes_and_both_units(qtbot: QtBot, session: Session, what: str, theme: str) -> None:
    editor = opened(qtbot, session, what, Editor)
    look().choose(theme)  # type: ignore[arg-type]
    session.set_system("metric")
    QApplication.processEvents()
    picture = editor.grab().toImage()
    corner = picture.pixelColor(3, 3)
    assert corner == look().colour("page")
    step = 7
    colours = {picture.pixel(x, y) for x in range(0, picture.width(), step) for y in range(0, picture.height(), step)}
    assert len(colours) > 3


@pytest.mark.parametrize("what", IDS)
def test_it_stands_on_a_new_document_and_on_numbers_that_are_stale(qtbot: QtBot, what: str) -> None:
    session = Session(blank())
    editor = opened(qtbot, session, what, Editor)
    session.edit(SetValue(path="demand.daily", value="300 gal"))
    assert editor.verdict.accessibleName() and session.stale == ""

    def refuse(document: Document, system: str) -> None:
        raise DocumentError("stages.uv", "its dose is missing")

    never = Session(blank(), assess=refuse)  # type: ignore[arg-type]
    blind = opened(qtbot, never, what, Editor)
    assert blind.verdict.accessibleName() == "Not worked out: stages.uv: its dose is missing"
    never.edit(SetValue(path="site.name", value="Other"))
    assert "Other" in blind.windowTitle()


def test_undo_and_redo_keys_work_where_nothing_is_being_typed(qtbot: QtBot, session: Session, farm: Document) -> None:
    editor = opened(qtbot, session, "supply", SupplyEditor)
    session.edit(SetValue(path="supply.lift", value="3 ft"))
    field = editor.form.rows["supply.lift"].editor
    field.setFocus()
    QTest.keyClicks(field, "9")
    QTest.keyClick(field, Qt.Key.Key_Z, CTRL)
    assert session.stack.index() == 1, "while typing, undo takes back typing"
    assert field.text() == "3 ft"
    QTest.keyClick(field, Qt.Key.Key_Z, CTRL)
    assert session.document == farm
    QTest.keyClick(field, Qt.Key.Key_Z, CTRL | SHIFT)
    assert session.document.supply.lift == "3 ft"
    assert editor.undo_button.isEnabled() and not editor.redo_button.isEnabled()


def test_no_colour_is_written_in_an_editor(root: Path) -> None:
    for path in sorted((root / "trainapp" / "desktop" / "editors").glob("*.py")):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"#[0-9A-Fa-f]{6}\b|GlobalColor|setStyleSheet", text), path.name
        assert not re.search(r"\.connect\(\s*(lambda|partial)", text), path.name


@pytest.mark.parametrize(("what", "title", "keys"), EDITORS)
def test_the_window_opens_it_by_menu_shortcut_and_name(window: Window, what: str, title: str, keys: str) -> None:
    action = window.actions_by_id[what]
    assert action.text() == f"{title}…" and action.isEnabled()
    assert action.shortcut() == QKeySequence(keys)
    QTest.keySequence(window, QKeySequence(keys))
    (editor,) = window.findChildren(Editor)
    assert editor.isVisible() and editor.session is window.session
    QTest.keyClick(editor, Qt.Key.Key_Escape)
    deleted()
    assert not window.findChildren(Editor)


@pytest.mark.parametrize(
    ("selection", "what", "current"),
    [
        (("link", "iron", "softener"), "plumbing", "iron>softener"),
        (("end", "garden"), "outlets", "garden"),
        (("stage", "softener"), "drains", "softener"),
        (("supply",), "supply", None),
        (("end", "house"), "demand", None),
        (("end", "house"), "goals", None),
    ],
)
def test_it_opens_at_what_is_selected(window: Window, selection: tuple[str, ...], what: str, current: str | None) -> None:
    assert window.session is not None and window.workspace is not None
    window.session.select(selection)
    window.workspace.open_card()
    button = window.workspace.right.card.findChild(QAbstractButton, what)
    if button is not None:
        QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    else:
        window.run(what)
    (editor,) = window.findChildren(Editor)
    assert editor.objectName() == f"editor-{what}"
    if current is not None:
        assert current in {sheet.key for sheet in editor.findChildren(Sheet)}


def test_the_sample_on_the_card_leads_to_the_whole_sheet(window: Window) -> None:
    assert window.workspace is not None
    window.run("sample")
    QTest.mouseClick(window.workspace.right.sample.whole, Qt.MouseButton.LeftButton)
    (editor,) = window.findChildren(Editor)
    assert editor.objectName() == "editor-samples"
