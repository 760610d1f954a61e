"""A trainer writes a lesson in the window, tries it, saves it, and plays it from its file; nothing is lost without asking."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from tests.desktop.clicking import Clicker
from tests.desktop.editing import pick, wheel
from tests.desktop.lessons.seen import press, to, words
from trainapp.desktop.editors.pick import Tick
from trainapp.desktop.lessons.editor import LessonEditor
from trainapp.desktop.lessons.editor_fields import Known, Row
from trainapp.desktop.lessons.view import LessonsView
from trainapp.desktop.parts import ChoiceBox, FlatButton
from trainapp.desktop.window import Window
from trainapp.studies import lessons

LEFT, CTRL = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def editor(view: LessonsView) -> LessonEditor:
    """A lesson about the farm well, of which nothing is written."""
    QTest.mouseClick(view.page.buttons["lesson_from_bench"], LEFT)
    assert view.writing
    return view.editor


def row(editor: LessonEditor, place: str) -> Row:
    assert editor.form is not None
    return dict(editor.form.named())[place]


def write(editor: LessonEditor, place: str, text: str) -> None:
    """Type over what stands in a field."""
    field = row(editor, place).editor
    field.setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClick(field, Qt.Key.Key_A, CTRL)
    QTest.keyClicks(field, text) if text else QTest.keyClick(field, Qt.Key.Key_Delete)
    if isinstance(field, Known) and field.completer().popup().isVisible():
        QTest.keyClick(field.completer().popup(), Qt.Key.Key_Escape)
        field.window().activateWindow()
        QTest.qWaitForWindowActive(field.window())


def choose(editor: LessonEditor, place: str, key: str) -> None:
    box = row(editor, place).editor
    assert isinstance(box, ChoiceBox)
    pick(box, key)


def press_button(editor: LessonEditor, name: str) -> None:
    assert editor.form is not None
    QTest.mouseClick(next(button for button in editor.form.findChildren(FlatButton) if button.objectName() == name), LEFT)


def worked_out(qtbot: QtBot, editor: LessonEditor) -> None:
    def done() -> bool:
        return not editor._pause.isActive() and not editor._errands.busy

    qtbot.waitUntil(done, timeout=20_000)


def write_all(editor: LessonEditor) -> None:
    """What no lesson can be without."""
    write(editor, "title", "The farm's shower")
    write(editor, "scene", "A farm draws from its own well.")
    write(editor, "question", "Does the shower get 25 psi after half a year?")
    write(editor, "point.text", "The house has {A} left.")
    write(editor, "run.days", "200")
    write(editor, "measure.month", "6")


def save_as(view: LessonsView, monkeypatch: pytest.MonkeyPatch, path: Path) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(path), ""))
    QTest.mouseClick(view.editor.outcome.buttons["lesson_save"], LEFT)


def test_a_lesson_about_the_train_on_the_bench_is_written_saved_and_played(
    view: LessonsView, editor: LessonEditor, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert editor.outcome.said.text() == "Still to write: Title."
    write_all(editor)
    worked_out(qtbot, editor)
    assert "A: " in editor.outcome.numbers.text() and "psi" in editor.outcome.numbers.text()
    path = tmp_path / "shower.lesson.toml"
    save_as(view, monkeypatch, path)
    assert not editor.changed and lessons.load(path).title == "The farm's shower"
    QTest.mouseClick(editor.outcome.buttons["lesson_list"], LEFT)
    assert not view.writing and view.page.key == str(path)
    QTest.mouseClick(view.page.play, LEFT)
    player = view.player
    assert player is not None
    qtbot.waitUntil(lambda: player.working.played is not None, timeout=20_000)
    player.clock.seconds = 0.05
    to(player, "question")
    QTest.keyClicks(player, "12")
    to(player, "numbers")
    while not player.walk.at_end:
        press(player, Qt.Key.Key_Right)
    assert "The house has" in words(player) and "{A}" not in words(player)
    assert player.guesses.rows[0].right is not None
    press(player, Qt.Key.Key_Escape)
    assert view.player is None and "2 guesses" in view.page.list.currentItem().text()


def test_two_trains_one_without_a_stage_and_something_to_change(view: LessonsView, editor: LessonEditor, qtbot: QtBot) -> None:
    write_all(editor)
    press_button(editor, "second")
    assert [answer["when"] for answer in editor.tree["answers"]] == ["A", "B", "both", "neither"]
    write(editor, "benches.#2.label", "Without the iron filter")
    assert editor.form is not None
    tick = next(tick for tick in editor.form.findChildren(Tick) if tick.objectName() == "1 iron")
    assert tick.text() == "Iron filter" and tick.accessibleName() == "Leave iron filter out of train B"
    tick.setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClick(tick, Qt.Key.Key_Space)
    choose(editor, ".new control", "Most flow to the house")
    assert editor.tree["controls"][0]["paths"] == ["demand.peak"]
    worked_out(qtbot, editor)
    played = editor.outcome.played
    assert played is not None
    assert [len(bench.document.stages) for bench in played.benches] == [5, 4]
    if not played.as_told:
        QTest.mouseClick(editor.outcome.explain, LEFT)
        worked_out(qtbot, editor)
    assert editor.outcome.played is not None and editor.outcome.played.as_told
    QTest.mouseClick(editor.outcome.buttons["lesson_try"], LEFT)
    assert view.player is not None and [side.letter for side in view.player.material.sides] == ["A", "B"]
    assert [change.label for change in view.player.material.changes] == ["Most flow to the house"]
    press(view.player, Qt.Key.Key_Escape)
    assert view.writing


def test_other_ways_of_judging_bring_their_own_answers(editor: LessonEditor) -> None:
    write_all(editor)
    press_button(editor, "second")
    choose(editor, "judge.by", "compare")
    assert [answer["when"] for answer in editor.tree["answers"]] == ["A", "B", "alike"]
    choose(editor, "judge.by", "range")
    press_button(editor, "more answers")
    assert len(editor.tree["answers"]) == 3
    write(editor, "answers.#1.below", "20 psi")
    write(editor, "answers.#2.below", "30 psi")
    assert [answer.get("at_least") for answer in editor.tree["answers"]] == [None, "20 psi", "30 psi"]
    press_button(editor, "drop 1")
    assert len(editor.tree["benches"]) == 1
    assert editor.checked() is not None


def test_a_renamed_answer_is_renamed_wherever_it_stands(editor: LessonEditor) -> None:
    write_all(editor)
    write(editor, "answers.#1.text", "Yes, it does")
    assert editor.tree["point"]["answer"] == "Yes, it does"
    box = row(editor, "point.answer").editor
    assert isinstance(box, ChoiceBox) and box.currentText() == "Yes, it does"
    assert editor.checked() is not None


def test_what_is_wrong_is_said_at_its_place_and_gone_to(editor: LessonEditor, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    write_all(editor)
    write(editor, "measure.key", "presure")
    worked_out(qtbot, editor)
    assert "presure" in row(editor, "measure.key").line.text() and editor.outcome.mark.isVisible()
    assert editor.outcome.said.text().startswith("What: ")
    write(editor, "measure.key", "pressure")
    write(editor, "judge.limit", "25 apples")
    worked_out(qtbot, editor)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: pytest.fail("asked for a file"))
    QTest.mouseClick(editor.outcome.buttons["lesson_save"], LEFT)
    assert row(editor, "judge.limit").editor.hasFocus()
    assert "25 apples" in row(editor, "judge.limit").line.text()


def test_down_lists_what_can_be_read_there(editor: LessonEditor) -> None:
    field = row(editor, "measure.key").editor
    assert isinstance(field, Known)
    field.setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClick(field, Qt.Key.Key_Down)
    popup = field.completer().popup()
    assert popup.isVisible() and popup.model().rowCount() > 8
    while popup.currentIndex().data() != "hardness":
        QTest.keyClick(popup, Qt.Key.Key_Down)
    QTest.keyClick(popup, Qt.Key.Key_Return)
    assert editor.tree["measure"]["key"] == "hardness"


def test_what_was_not_saved_is_asked_about(
    view: LessonsView, editor: LessonEditor, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(editor, "title", "Half a lesson")
    cancel = Clicker("Cancel")
    view.do_lesson_list()
    assert view.writing and cancel.asked == ["Half a lesson was changed and not saved. Save it?"]
    cancel = Clicker("Cancel")
    view.do_lesson_write()
    assert editor.tree["title"] == "Half a lesson" and cancel.asked
    write_all(editor)
    path = tmp_path / "farm.lesson.toml"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(path), ""))
    save = Clicker("Save")
    view.do_lesson_list()
    assert save.asked and path.is_file() and not view.writing
    QTest.mouseClick(view.page.buttons["lesson_change"], LEFT)
    assert editor.path == path
    write(editor, "title", "Another title")
    discard = Clicker("Discard")
    view.do_lesson_list()
    assert discard.asked and not view.writing and lessons.load(path).title == "The farm's shower"


def test_the_window_does_not_close_over_a_lesson_that_was_not_saved(window: Window) -> None:
    page = window.turn_to("lessons")
    assert isinstance(page, LessonsView)
    window.run("lesson_from_bench")
    write(page.editor, "title", "Half a lesson")
    cancel = Clicker("Cancel")
    window.close()
    assert cancel.asked and window.isVisible()
    discard = Clicker("Discard")
    window.close()
    assert discard.asked and not window.isVisible()


def test_a_train_from_a_file_or_a_sentence_why_not(
    editor: LessonEditor, tmp_path: Path, root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bad = tmp_path / "bad.train.json"
    bad.write_text("{", encoding="utf-8")
    before = editor.tree["benches"][0]["document"]
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(bad), ""))
    press_button(editor, "file 0")
    assert editor.outcome.said.text().startswith("bad.train.json: ") and editor.tree["benches"][0]["document"] == before
    good = root / "samples" / "sorrel-bank-cottage.train.json"
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(good), ""))
    press_button(editor, "file 0")
    assert editor.tree["benches"][0]["document"] != before
    press_button(editor, "bench 0")
    assert editor.tree["benches"][0]["document"] == before
    name = lessons.train_names()[-1]
    choose(editor, "benches.#1.train", name)
    assert editor.tree["benches"][0] == {"label": editor.tree["benches"][0]["label"], "train": name}


def test_a_copy_of_one_of_the_programs_lessons_can_be_saved_elsewhere(
    view: LessonsView, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    view.do_lesson_change()
    editor = view.editor
    assert editor.path is None and not editor.changed
    write(editor, "title", "My own words")
    path = tmp_path / "mine.lesson.toml"
    save_as(view, monkeypatch, path)
    mine = lessons.load(path)
    assert mine.title == "My own words" and mine.facts and len(mine.benches) == 2
    assert lessons.play(mine).benches


def test_the_form_is_for_the_keyboard_too(editor: LessonEditor) -> None:
    assert editor.form is not None
    first = editor.form.rows[0].editor
    first.setFocus(Qt.FocusReason.TabFocusReason)
    reached = set()
    for _ in range(90):
        focused = QApplication.focusWidget()
        assert focused is not None and focused.accessibleName()
        reached.add(focused.objectName())
        QTest.keyClick(focused, Qt.Key.Key_Tab)
    assert {row.editor.objectName() for row in editor.form.rows} <= reached
    assert {"lesson_try", "lesson_save", "lesson_list"} <= reached
    box = row(editor, "measure.read").editor
    first.setFocus()
    wheel(box)
    assert editor.tree["measure"]["read"] == "year"
