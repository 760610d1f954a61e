"""The window: title and dirty mark, closing, saving, commands, units, theme, and what it says when something is wrong."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QAccessible, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from tests.desktop.hands import key
from trainapp.data import samples_path
from trainapp.desktop.actions import COMMANDS, MENUS
from trainapp.desktop.app import Documents
from trainapp.desktop.doing import Doing
from trainapp.desktop.finder import Finder
from trainapp.desktop.opening import open_session
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.shell import Shell
from trainapp.desktop.theme import look
from trainapp.desktop.views import BENCH, TITLES
from trainapp.desktop.window import Window
from trainapp.desktop.workspace import Widths, widths
from trainapp.train.document import Document, load
from trainapp.train.edits import AddStage, RemoveStage

SAVE, DISCARD, CANCEL = QMessageBox.StandardButton.Save, QMessageBox.StandardButton.Discard, QMessageBox.StandardButton.Cancel


@pytest.fixture
def answer(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Answers the next question, and remembers that it was asked."""

    class Answer:
        asked = 0
        reply = CANCEL

        def __call__(self, *_: Any) -> QMessageBox.StandardButton:
            self.asked += 1
            return self.reply

    made = Answer()
    monkeypatch.setattr(QMessageBox, "question", made)
    return made


# Title, dirty, closing ----------------------------------------------------------------------------------------------------------


def test_title_and_dirty_mark(window: Window, session: Session) -> None:
    assert window.windowTitle() == "Lone Alder Farm[*] – trainapp" and not window.isWindowModified()
    session.edit(AddStage(kind="carbon_bed"))
    assert window.isWindowModified() and window.strip.saved.text() == "not saved"
    session.stack.undo()
    assert not window.isWindowModified()


def test_a_clean_window_closes_without_a_question(window: Window, answer: Any) -> None:
    assert window.close() and answer.asked == 0


@pytest.mark.parametrize(("reply", "closes"), [(CANCEL, False), (DISCARD, True)])
def test_a_dirty_window_asks(window: Window, session: Session, answer: Any, reply: Any, closes: bool) -> None:
    session.edit(AddStage(kind="carbon_bed"))
    answer.reply = reply
    assert window.close() is closes and answer.asked == 1
    assert window.isVisible() is not closes
    answer.reply = DISCARD


def test_closing_can_save(window: Window, session: Session, answer: Any, tmp_path: Path) -> None:
    session.path = tmp_path / "farm.train.json"
    session.edit(AddStage(kind="carbon_bed"))
    saved = session.document
    answer.reply = SAVE
    assert window.close()
    assert load(tmp_path / "farm.train.json") == saved


def test_a_save_that_fails_keeps_the_window(
    window: Window, session: Session, answer: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    monkeypatch.setattr(QMessageBox, "warning", lambda *a: told.append(a[2]))
    session.path = tmp_path / "nowhere" / "farm.train.json"
    session.edit(AddStage(kind="carbon_bed"))
    answer.reply = SAVE
    assert not window.close()
    assert told and "cannot save farm.train.json" in told[0]
    assert window.isWindowModified()
    answer.reply = DISCARD


def test_save_writes_and_says_when(window: Window, session: Session, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "my farm"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a: (str(target), ""))
    session.edit(AddStage(kind="carbon_bed"))
    window.run("save")
    assert load(tmp_path / "my farm.train.json") == session.document
    assert not window.isWindowModified() and window.strip.saved.text().startswith("saved ")
    assert window.workspace is not None and window.workspace.foot.message.accessibleName() == "Saved my farm.train.json"
    session.edit(RemoveStage(id="carbon-bed"))
    window.run("save")
    assert load(tmp_path / "my farm.train.json") == session.document


def test_save_as_never_overwrites_unasked(window: Window, answer: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "farm.train.json").write_text("someone else's", encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a: (str(tmp_path / "farm"), ""))
    answer.reply = QMessageBox.StandardButton.No
    window.run("save_as")
    assert answer.asked == 1 and (tmp_path / "farm.train.json").read_text(encoding="utf-8") == "someone else's"


# Commands -----------------------------------------------------------------------------------------------------------------------


def test_every_command_is_in_a_menu_and_can_be_done(window: Window) -> None:
    in_menus = {action.objectName() for menu in window.strip.menus.actions() for action in menu.menu().actions() if action.objectName()}
    assert in_menus == {command.id for command in COMMANDS}
    own = {"new", "open", "close", "quit", "find_command", "light", "dark", "system", "contrast"}
    own |= {name[3:] for name in dir(Shell) if name.startswith("do_")}
    own |= {f"view_{name}" for name in TITLES}
    assert {c.id for c in COMMANDS if c.view in ("", BENCH)} - own == {name[3:] for name in dir(Doing) if name.startswith("do_")}


def test_no_two_commands_share_a_shortcut() -> None:
    for view in TITLES:
        keys = [QKeySequence(text).toString() for command in COMMANDS if command.view in ("", view) for text in command.keys]
        assert len(keys) == len(set(keys)) and all(keys)
        # Alt with the first letter of a menu's title opens that menu.
        assert not {f"Alt+{menu[0]}" for menu in MENUS} & set(keys)


def test_undo_says_what_it_takes_back(window: Window, session: Session) -> None:
    session.edit(AddStage(kind="carbon_bed"))
    assert window.actions_by_id["undo"].text() == "Undo Add carbon bed"
    key(window, Qt.Key.Key_Z, modifier=Qt.KeyboardModifier.ControlModifier)
    assert window.actions_by_id["redo"].text() == "Redo Add carbon bed" and not window.actions_by_id["undo"].isEnabled()


def finder() -> Finder:
    found = [w for w in QApplication.topLevelWidgets() if isinstance(w, Finder) and w.isVisible()]
    assert len(found) == 1
    return found[0]


def test_find_a_command_finds_and_does_it(window: Window, session: Session) -> None:
    key(window, Qt.Key.Key_P, modifier=Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    made = finder()
    QTest.keyClicks(made.field, "metric")
    key(made.field, Qt.Key.Key_Return)
    assert session.system == "metric"


def test_what_cannot_be_done_is_shown_and_not_taken(window: Window, session: Session) -> None:
    window.run("find_command")
    made = finder()
    QTest.keyClicks(made.field, "two in parallel")
    key(made.field, Qt.Key.Key_Return)
    assert session.stack.count() == 0
    made.close()


def test_a_pipe_is_laid_by_keyboard(window: Window, session: Session) -> None:
    session.select(("stage", "screen"))
    window.run("link")
    made = finder()
    assert session.title_of("iron") not in [choice.text for choice in made.choices]
    QTest.keyClicks(made.field, "softener")
    key(made.field, Qt.Key.Key_Return)
    assert ("screen", "softener") in {link.ends for link in session.document.links}
    assert session.selection == ("link", "screen", "softener")


def test_a_stage_is_moved_by_keyboard(window: Window, session: Session, farm: Document) -> None:
    session.select(("stage", "softener"))
    window.run("earlier")
    assert [s.id for s in session.document.stages] == ["screen", "softener", "iron", "fine", "uv"]
    window.run("later")
    window.run("later")
    assert [s.id for s in session.document.stages] == ["screen", "iron", "fine", "softener", "uv"]
    assert session.selection == ("stage", "softener")
    for _ in range(3):
        session.stack.undo()
    assert session.document == farm
    session.select(("stage", "screen"))
    window.run("earlier")
    assert session.document == farm
    assert window.workspace is not None and "first stage" in window.workspace.foot.message.accessibleName()


def test_flow_is_tried_by_keyboard(window: Window, session: Session) -> None:
    window.run("more_flow")
    assert session.trial_flow == pytest.approx(1.1 * session.document_peak, rel=1e-3)
    window.run("peak_flow")
    assert session.trial_flow is None
    for _ in range(30):
        window.run("less_flow")
    assert session.trial_flow is not None and session.trial_flow > 0


def test_units_change_everywhere_at_once(window: Window, session: Session) -> None:
    assert window.workspace is not None
    window.run("units")
    assert "L/min" in window.workspace.foot.figures.accessibleName()
    assert session.model is not None and session.model.flow_unit == "L/min"
    assert window.unit_button.text() == "Metric units"
    assert window.prefs.units == "metric"
    assert session.stack.count() == 0


def test_the_theme_is_chosen_and_remembered(window: Window, prefs: Prefs) -> None:
    window.run("dark")
    assert QApplication.palette().window().color() == look().colour("page")
    assert look().name == "dark" and prefs.theme == "dark"
    window.run("contrast")
    assert look().name == "dark, high contrast" and prefs.high_contrast
    window.run("contrast")
    window.run("light")
    assert prefs.theme == "light"


def test_a_refusal_is_one_sentence_in_the_foot(window: Window, session: Session) -> None:
    session.select(("link", "screen", "iron"))
    window.run("remove")
    assert window.workspace is not None
    foot = window.workspace.foot
    assert foot.message.isVisible() and not foot.mark.isHidden() and foot.message.accessibleName().startswith("Not done: ")
    foot.clear()
    assert not foot.message.isVisible() and "selected" in foot.selected.accessibleName()


# Sizes ------------------------------------------------------------------------------------------------------------------------


def test_what_gives_way_in_width() -> None:
    assert widths(1920) == widths(1600) == Widths(180, 340, rail=False, drawer=False)
    assert widths(1599) == widths(1366) == Widths(164, 300, rail=False, drawer=False)
    assert widths(1365) == widths(1200) == Widths(44, 280, rail=True, drawer=False)
    assert widths(1199) == widths(760) == Widths(44, 0, rail=True, drawer=True)


@pytest.mark.parametrize("size", [(1920, 1080), (1440, 900), (1280, 800), (1000, 700), (800, 600)])
def test_nothing_is_cut_off_at_any_size(window: Window, size: tuple[int, int]) -> None:
    window.resize(*size)
    QApplication.processEvents()
    assert window.workspace is not None
    assert (window.width(), window.height()) == size
    for part in (window.workspace.canvas, window.workspace.right, window.workspace.foot, window.workspace.verdict, window.strip):
        area = part.rect().translated(part.mapTo(window, part.rect().topLeft()))
        assert window.rect().contains(area), part
    assert window.workspace.canvas.height() >= 220


# Windows ----------------------------------------------------------------------------------------------------------------------


def test_a_window_stands_before_its_document(documents: Documents, farm_well: Path, qtbot: QtBot) -> None:
    window = documents.open(farm_well)
    assert window.isVisible() and window.session is None
    assert not window.actions_by_id["save"].isEnabled() and window.actions_by_id["open"].isEnabled()
    qtbot.waitUntil(lambda: window.session is not None)
    assert window.session is not None and window.session.path == farm_well


def test_the_first_run_works_on_a_copy_of_a_sample(documents: Documents, qtbot: QtBot) -> None:
    window = documents.open(None, first_run=True)
    qtbot.waitUntil(lambda: window.session is not None)
    assert window.session is not None and window.session.name == "Lone Alder Farm" and window.session.path is None


def test_several_documents_and_each_file_once(documents: Documents, root: Path, farm_well: Path, qtbot: QtBot) -> None:
    first = documents.open(farm_well)
    qtbot.waitUntil(lambda: first.session is not None)
    first.open_asked.emit(root / "samples" / "pebble-court-3.train.json")
    first.open_asked.emit(farm_well)
    assert len(documents.windows) == 2
    qtbot.waitUntil(lambda: documents.windows[1].session is not None)
    first.run("new")
    qtbot.waitUntil(lambda: len(documents.windows) == 3 and documents.windows[2].session is not None)
    documents.windows[1].close()
    assert len(documents.windows) == 2


@pytest.mark.parametrize("text", ["not json at all", '{"format": "trainapp/train", "version": 99}', "{}"])
def test_a_file_that_cannot_be_used_is_said_in_the_window(documents: Documents, tmp_path: Path, text: str, qtbot: QtBot) -> None:
    path = tmp_path / "broken.train.json"
    path.write_text(text, encoding="utf-8")
    window = documents.open(path)
    qtbot.waitUntil(lambda: "broken.train.json cannot be opened" in window.centralWidget().accessibleName())
    assert window.session is None and window.actions_by_id["open"].isEnabled()


def test_a_file_that_is_not_there_is_said(prefs: Prefs, tmp_path: Path) -> None:
    session, problem = open_session(tmp_path / "gone.train.json", prefs)
    assert session is None and problem.startswith("gone.train.json cannot be opened. ")


SAMPLES = sorted(path.name for path in samples_path().glob("*.train.json"))


@pytest.mark.parametrize("name", SAMPLES)
def test_every_sample_opens_in_both_units(documents: Documents, name: str, qtbot: QtBot) -> None:
    window = documents.open(samples_path(name))
    qtbot.waitUntil(lambda: window.session is not None)
    assert window.session is not None and window.session.stale == ""
    window.run("units")
    assert window.session.stale == ""


def test_prefs_that_make_no_sense_read_as_defaults(prefs: Prefs) -> None:
    prefs._kept.setValue("units", "cubits")
    prefs._kept.setValue("theme", 7)
    prefs._kept.setValue("size", "huge")
    assert (prefs.units, prefs.theme, prefs.size) == ("us", "system", None)


# Whole ------------------------------------------------------------------------------------------------------------------------


class ShownWindows(QObject):
    """Remembers every window that is shown."""

    def __init__(self) -> None:
        super().__init__()
        self.shown: list[QWidget] = []

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Show and isinstance(watched, QWidget) and watched.isWindow():
            self.shown.append(watched)
        return False


def test_no_part_ever_flashes_up_as_a_window_of_its_own(window: Window, session: Session) -> None:
    spy = ShownWindows()
    QApplication.instance().installEventFilter(spy)  # type: ignore[union-attr]
    for tag in (("stage", "uv"), ("supply",), ("end", "house"), ("link", "iron", "softener"), ()):
        session.select(tag)
        for page in ("card", "sample", "steps", "findings"):
            window.run(page)
    session.edit(AddStage(kind="carbon_bed"))
    session.stack.undo()
    QApplication.processEvents()
    QApplication.instance().removeEventFilter(spy)  # type: ignore[union-attr]
    assert spy.shown == []


def test_everything_that_takes_the_keyboard_has_a_name(window: Window, session: Session) -> None:
    session.select(("stage", "softener"))
    for page in ("words", "sample", "steps", "card"):
        window.run(page)
        QApplication.processEvents()
        for widget in window.findChildren(QWidget):
            if widget.isVisible() and widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.focusProxy() is None:
                interface = QAccessible.queryAccessibleInterface(widget)
                assert interface is not None, widget
                assert interface.text(QAccessible.Text.Name), (page, widget, widget.parentWidget())
                assert interface.role() != QAccessible.Role.NoRole


def test_closed_windows_leave_nothing_behind(documents: Documents, farm_well: Path, qtbot: QtBot) -> None:
    for _ in range(8):
        window = documents.open(farm_well)
        qtbot.waitUntil(lambda w=window: w.session is not None)
        window.run("card")
        window.close()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        QApplication.processEvents()
    assert documents.windows == []
    assert [w for w in QApplication.topLevelWidgets() if isinstance(w, Window) and w.isVisible()] == []
    look().choose("dark")
    look().choose("light")
