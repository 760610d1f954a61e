"""The list of lessons in the window: turned to, played, forgotten, printed, and files that are no lessons."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from tests.desktop.lessons.seen import press, to
from trainapp.desktop.lessons.adapter import material_of, stops
from trainapp.desktop.lessons.commands import COMMANDS
from trainapp.desktop.lessons.view import LessonsView
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.window import Window
from trainapp.studies import lessons
from trainapp.units import System

LEFT = Qt.MouseButton.LeftButton


def choose(view: LessonsView, name: str) -> None:
    keys = [kept.key for kept in view.page.found.lessons]
    view.page.list.setFocus(Qt.FocusReason.TabFocusReason)
    for _ in range(abs(keys.index(name) - view.page.list.currentRow())):
        down = keys.index(name) > view.page.list.currentRow()
        QTest.keyClick(view.page.list, Qt.Key.Key_Down if down else Qt.Key.Key_Up)
    assert view.page.key == name


def test_all_lessons_are_listed_with_what_they_are_about(view: LessonsView) -> None:
    there = lessons.load_all().lessons
    assert len(there) >= 8 and view.page.list.count() == len(there)
    for kept in view.page.found.lessons:
        choose(view, kept.key)
        assert view.page.card.title.text() == kept.lesson.title
        assert kept.lesson.answers[0].text in view.page.card.lines["To choose from"].text()
        assert view.page.card.lines["Safety"].text() == kept.lesson.safety


def test_what_a_lesson_rests_on_is_told_in_the_units_shown(view: LessonsView) -> None:
    for key, us, metric in (
        ("uv-and-softener", "7\u202fgpg of hardness", "120\u202fmg/L of hardness"),
        ("softener-first", "3 to 5\u202fgpg", "51 to 86\u202fmg/L"),
        ("calcite-after-softener", "up to 3\u202fgpg", "up to 51\u202fmg/L"),
    ):
        kept = next(kept for kept in view.page.found.lessons if kept.key == key)
        for system, told in (("us", us), ("metric", metric)):
            view.page.card.show_lesson(kept, system)
            words = view.page.card.lines["What it rests on"].text()
            assert told in words and ("gpg" in words) == (system == "us"), words


@pytest.mark.parametrize("system", ["us", "metric"])
def test_no_text_before_a_class_has_a_gap_where_a_number_belongs(system: System) -> None:
    for lesson in lessons.load_all().lessons:
        material = material_of(lesson, lesson.name, "", system)
        told = (
            material.title,
            material.scene,
            material.question,
            material.watch,
            material.caution,
            *(hint.text for hint in material.hints),
        )
        assert not any("{" in text for text in told), lesson.name
        for change, control in zip(material.changes, lesson.controls, strict=True):
            assert stops(control)[change.at] == control.start


def test_every_command_of_the_table_can_be_done_here() -> None:
    done = {name.removeprefix("do_") for name in dir(LessonsView) if name.startswith("do_")}
    assert done == {command.id for command in COMMANDS}
    assert all(command.view == "lessons" and command.menu == "Lessons" for command in COMMANDS)


def test_a_lesson_is_played_on_the_whole_screen_and_a_new_class_starts_anew(view: LessonsView) -> None:
    choose(view, "too-much-flow")
    QTest.keyClick(view.page.list, Qt.Key.Key_Return)
    player = view.player
    assert player is not None and player.isFullScreen()
    to(player, "question")
    QTest.keyClicks(player, "22")
    press(player, Qt.Key.Key_Escape)
    assert view.player is None and view.page.key == "too-much-flow"
    assert view.page.play.text() == "Go on" and "2 guesses are kept" in view.page.state.text()
    QTest.mouseClick(view.page.play, LEFT)
    assert view.player is not None and view.player.guessed.counts[1] == 2
    press(view.player, Qt.Key.Key_Escape)
    QTest.mouseClick(view.page.buttons["lesson_new_class"], LEFT)
    assert view.page.play.text() == "Play" and "guesses" not in view.page.list.currentItem().text()


def test_a_file_that_is_no_lesson_is_told_in_one_sentence(view: LessonsView, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    own = lessons.lessons_path() / "too-much-flow.lesson.toml"
    bad = tmp_path / "bad.lesson.toml"
    bad.write_text(own.read_text(encoding="utf-8").replace('by = "limit"', 'by = "taste"'), encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(bad), ""))
    count = view.page.list.count()
    QTest.mouseClick(view.page.buttons["lesson_open"], LEFT)
    said = view.said.text.text()
    assert said.startswith("bad.lesson.toml, line ") and "judge.by" in said and "taste" in said and "\n" not in said
    assert view.page.list.count() == count and view.said.mark.isVisible()
    QTest.mouseClick(view.said.close_button, LEFT)
    assert not view.said.isVisible()


def test_an_own_lesson_is_there_the_next_time_and_a_broken_one_says_so(
    view: LessonsView, prefs: Prefs, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "mine.lesson.toml"
    lessons.save(lessons.find("too-much-flow"), path)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    view.do_lesson_open()
    assert view.page.key == str(path) and prefs.lessons == (path,)
    path.write_text("format =", encoding="utf-8")
    view.entered()
    assert view.page.key != str(path) and view.page.problem.text().startswith("mine.lesson.toml, line 1")
    path.unlink()
    view.entered()
    assert "mine.lesson.toml" in view.page.problem.text()
    QTest.mouseClick(view.page.drop_bad, LEFT)
    assert prefs.lessons == () and not view.page.problem.isVisible() and not view.page.drop_bad.isVisible()


def test_an_own_lesson_leaves_the_list_and_its_file_stays(view: LessonsView, prefs: Prefs, tmp_path: Path) -> None:
    path = tmp_path / "mine.lesson.toml"
    lessons.save(lessons.find("too-much-flow"), path)
    assert view.open(path)
    QTest.mouseClick(view.page.drop_own, LEFT)
    assert prefs.lessons == () and path.is_file() and view.page.key != str(path)
    assert not view.page.drop_own.isVisible()


def test_worksheet_and_answer_sheet_are_written(view: LessonsView, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from pypdf import PdfReader

    choose(view, "too-much-flow")
    texts = {}
    for command in ("lesson_worksheet", "lesson_answers"):
        path = tmp_path / f"{command}.pdf"
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, path=path: (str(path.with_suffix("")), ""))
        QTest.mouseClick(view.page.buttons[command], LEFT)
        qtbot.waitUntil(path.is_file, timeout=20_000)
        texts[command] = " ".join("".join(page.extract_text() for page in PdfReader(path).pages).split())
    question = " ".join(lessons.find("too-much-flow").question.split()[:3])
    assert all(question in text for text in texts.values())
    assert texts["lesson_worksheet"] != texts["lesson_answers"]


def test_a_sheet_that_cannot_be_written_says_why(view: LessonsView, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    choose(view, "too-much-flow")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "nowhere" / "sheet.pdf"), ""))
    view.do_lesson_worksheet()
    assert view.said.stop.isVisible() and view.said.text.text().startswith("Writing sheet.pdf")
    qtbot.waitUntil(lambda: view.said.mark.isVisible(), timeout=20_000)
    assert view.said.text.text().startswith("Not written: ")


def test_a_sheet_that_takes_long_can_be_stopped(view: LessonsView, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    choose(view, "uv-on-iron-water")
    path = tmp_path / "sheet.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(path), ""))
    view.do_lesson_answers()
    QTest.mouseClick(view.said.stop, LEFT)
    assert view.said.text.text() == "Not written: stopped." and not path.exists()


def test_the_window_turns_to_the_lessons_by_their_key_and_units_are_its_own(window: Window) -> None:
    QTest.keyClick(window, Qt.Key.Key_F9)
    assert window.views is not None
    view = window.views.currentWidget()
    assert isinstance(view, LessonsView)
    QApplication.processEvents()
    assert view.page.list.hasFocus() and window.menus["Lessons"].menuAction().isVisible()
    choose(view, "too-much-flow")
    before = view.page.card.lines["Scene"].text()
    window.run("units")
    assert view.page.card.lines["Scene"].text() != before and "L/min" in view.page.card.lines["Scene"].text()
    QTest.keyClick(window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert view.player is not None and "L/min" in view.player.material.scene
    press(view.player, Qt.Key.Key_Escape)
