"""A lesson before a class, by real keys and clicks, from the scene to the point."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.desktop.editing import wheel
from tests.desktop.lessons.conftest import CARTRIDGE, FLOW, Open, lesson_named, numbers
from tests.desktop.lessons.seen import press, to, words
from tests.studies.lessons.shown import NAMES, played
from trainapp.desktop.lessons.adapter import Shown, stops
from trainapp.desktop.lessons.guesses import GuessBook
from trainapp.desktop.lessons.player import Player

LEFT, RIGHT_BUTTON = Qt.MouseButton.LeftButton, Qt.MouseButton.RightButton


def figures(player: Player) -> list[str]:
    """The big numbers that are shown."""
    assert player.board.screen_shown is not None
    return [card.figure.number for card in player.board.screen_shown.cards if card is not None and card.figure is not None]


def worked_out(qtbot: QtBot, player: Player) -> None:
    qtbot.waitUntil(lambda: not player.working.busy, timeout=20_000)


def test_a_class_goes_from_the_scene_to_the_point_by_one_key(play: Open) -> None:
    player = play()
    assert player.board.screen_shown is not None and player.material.scene.split()[0] in words(player)
    assert "Flow control ahead" not in words(player)
    press(player, Qt.Key.Key_Right)
    assert "Flow control ahead" in words(player) and player.material.question[:20] not in words(player)
    press(player, Qt.Key.Key_Right)
    assert player.material.question[:20] in words(player) and player.guesses.isVisible()
    assert not figures(player) and "Safety" not in words(player) and not player.tries.isVisible()
    QTest.keyClicks(player, "112222")
    press(player, Qt.Key.Key_Right)
    assert player.watch.isVisible() and not figures(player)
    press(player, Qt.Key.Key_Right)
    assert figures(player) == numbers(FLOW) and "Safety" in words(player) and not player.board.screen_shown.chart
    press(player, Qt.Key.Key_Right)
    assert player.board.screen_shown.chart and not player.tries.isVisible()
    press(player, Qt.Key.Key_Right)
    assert player.tries.isVisible() and player.guesses.rows[1].right is None
    press(player, Qt.Key.Key_Right)
    assert [row.right for row in player.guesses.rows] == [False, True, False, False]
    assert player.guesses.rows[1].accessibleName() == "2: B only, 4 guesses, the right answer"
    press(player, Qt.Key.Key_Right)
    assert player.working.first is not None and player.working.first.point[:30] in words(player) and player.walk.at_end
    press(player, Qt.Key.Key_Right)
    assert player.walk.thing == "point" and player.isVisible()


def test_a_clicker_and_the_mouse_go_the_same_way(play: Open) -> None:
    player = play()
    press(player, Qt.Key.Key_PageDown, Qt.Key.Key_PageDown)
    assert player.walk.thing == "question"
    press(player, Qt.Key.Key_PageUp)
    assert player.walk.thing == "second"
    QTest.mouseClick(player.bar.steps["Watch"], LEFT)
    assert player.walk.thing == "watch" and player.bar.steps["Guess"].accessibleName() == "Guess, done"
    press(player, Qt.Key.Key_Left)
    assert player.walk.thing == "question"


def test_guesses_are_counted_by_keys_and_clicks_and_only_while_they_can_be(play: Open) -> None:
    player = play()
    QTest.keyClicks(player, "1")
    assert player.guessed.total == 0
    to(player, "question")
    QTest.keyClicks(player, "2249")
    assert player.guessed.counts == (0, 2, 0, 1)
    QTest.mouseClick(player.guesses.rows[0], LEFT)
    assert player.guessed.counts == (1, 2, 0, 1)
    QTest.mouseClick(player.guesses.rows[1], RIGHT_BUTTON)
    assert player.guessed.counts == (1, 1, 0, 1)
    press(player, Qt.Key.Key_Backspace)
    assert player.guessed.counts == (0, 1, 0, 1)
    to(player, "answer")
    QTest.keyClicks(player, "3")
    press(player, Qt.Key.Key_Backspace)
    assert player.guessed.counts == (0, 1, 0, 1)


def test_a_class_that_leaves_is_taken_up_where_it_stood(play: Open, qtbot: QtBot, book: GuessBook) -> None:
    player = play()
    to(player, "question")
    QTest.keyClicks(player, "1222")
    to(player, "numbers")
    with qtbot.waitSignal(player.left):
        press(player, Qt.Key.Key_Escape)
    again = play()
    assert again.walk.thing == "numbers" and again.guessed.counts == (1, 3, 0, 0) and figures(again)
    book.forget("too-much-flow")
    assert play().walk.thing == "first"


def test_a_slider_moves_the_numbers_and_the_answer(play: Open, qtbot: QtBot) -> None:
    player = play()
    to(player, "try")
    peak = player.tries.sliders[0]
    peak.setFocus(Qt.FocusReason.TabFocusReason)
    press(player, *[Qt.Key.Key_Down] * 4)
    worked_out(qtbot, player)
    values = stops(lesson_named(FLOW).control(peak.change.key))
    assert figures(player) == numbers(FLOW, (peak.change.key, float(values[peak.at]))) != numbers(FLOW)
    assert player.tries.accessibleDescription() == "Now: both"
    press(player, Qt.Key.Key_Up)
    worked_out(qtbot, player)
    assert figures(player) == numbers(FLOW, (peak.change.key, float(values[peak.at])))
    QTest.mouseClick(peak, LEFT, Qt.KeyboardModifier.NoModifier, QPoint(peak.width() - 4, peak.height() // 2))
    assert peak.at == len(peak.change.stops) - 1
    worked_out(qtbot, player)
    assert figures(player) == numbers(FLOW, (peak.change.key, float(values[-1])))
    press(player, Qt.Key.Key_Right)
    assert player.walk.thing == "answer" and peak.at == peak.change.at
    worked_out(qtbot, player)
    assert figures(player) == numbers(FLOW)


def test_a_wheel_changes_nothing_that_has_not_the_keyboard(play: Open) -> None:
    player = play()
    to(player, "try")
    slider = player.tries.sliders[0]
    player.setFocus()
    wheel(slider)
    assert slider.at == slider.change.at
    slider.setFocus(Qt.FocusReason.TabFocusReason)
    wheel(slider)
    assert slider.at == slider.change.at - 1


def test_what_is_worth_trying_is_set_by_a_key_and_put_back_after_the_last(play: Open, qtbot: QtBot) -> None:
    player = play()
    press(player, Qt.Key.Key_T)
    assert player.tries.chosen == {change.key: change.at for change in player.material.changes}
    to(player, "try")
    for hint in player.material.hints:
        press(player, Qt.Key.Key_T)
        assert all(player.tries.chosen[key] == at for key, at in hint.chosen.items())
        assert hint.text[:20] in player.watch.accessibleName()
    press(player, Qt.Key.Key_T)
    assert player.tries.chosen == {change.key: change.at for change in player.material.changes}
    worked_out(qtbot, player)


def test_escape_gives_up_what_is_worked_out_and_leaves_only_then(play: Open, qtbot: QtBot) -> None:
    player = play()
    to(player, "try")
    slider = player.tries.sliders[0]
    slider.setFocus(Qt.FocusReason.TabFocusReason)
    press(player, Qt.Key.Key_Down)
    assert player.working.busy
    press(player, Qt.Key.Key_Escape)
    assert not player.working.busy and slider.at == slider.change.at and player.isVisible()
    qtbot.wait(60)
    assert figures(player) == numbers(FLOW)
    press(player, Qt.Key.Key_Escape)
    assert not player.isVisible()


def test_the_clock_runs_to_the_hour_that_is_asked_for_and_no_further(play: Open, qtbot: QtBot) -> None:
    player = play(CARTRIDGE)
    played = player.working.played
    assert played is not None and 0.0 < played.asked == played.hours
    press(player, Qt.Key.Key_Space)
    assert not player.clock.playing
    to(player, "chart")
    assert player.clock.hour == 0.0
    start = figures(player)
    press(player, Qt.Key.Key_Right)
    assert player.walk.thing == "run" and player.clock.playing
    qtbot.waitUntil(lambda: not player.clock.playing)
    assert player.clock.hour == pytest.approx(played.asked)
    assert figures(player) == [figure.number for figure in played.figures(played.asked)] != start
    press(player, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: not player.clock.playing)
    # once more from the start: numbers of another day never stand beside the point's
    assert player.clock.hour == pytest.approx(played.asked)
    assert figures(player) == [figure.number for figure in played.figures(played.asked)]
    press(player, Qt.Key.Key_Left)
    assert player.clock.hour == 0.0 and player.walk.thing == "chart"


def test_the_clock_can_be_held_and_a_press_forward_lets_it_be_over(play: Open) -> None:
    player = play(CARTRIDGE)
    player.clock.seconds = 60.0
    to(player, "run")
    assert player.clock.playing
    press(player, Qt.Key.Key_Space)
    assert not player.clock.playing
    press(player, Qt.Key.Key_Space)
    assert player.clock.playing
    press(player, Qt.Key.Key_Right)
    assert player.walk.thing == "run" and not player.clock.playing
    assert player.working.played is not None and player.clock.hour == pytest.approx(player.working.played.asked)


def test_everything_that_takes_the_keyboard_has_a_name(play: Open) -> None:
    player = play()
    to(player, "point")
    QApplication.processEvents()
    reached = set()
    for _ in range(40):
        press(player, Qt.Key.Key_Tab)
        focused = player.focusWidget()
        assert focused is not None and focused.accessibleName()
        reached.add(focused.accessibleName())
    names = [slider.accessibleName() for slider in player.tries.sliders] + [row.accessibleName() for row in player.guesses.rows]
    assert set(names) <= reached


@pytest.mark.parametrize("name", NAMES)
def test_the_point_tells_the_numbers_at_which_the_clock_stops(name: str) -> None:
    made = played(name)
    shown = Shown(made, "us")
    if shown.hours and shown.hours == shown.asked:
        # chart and clock end at one time, told in one unit
        of_day = shown.chart_of.day > 1.0
        end = shown.hours / 24.0 if of_day else shown.hours / 730.5
        assert shown.chart_of.span[1] == pytest.approx(end, abs=0.6 if of_day else 0.02)
        assert shown.clock(shown.hours).startswith("day" if of_day else "month")
    ends = [figure.number for figure in shown.figures(shown.hours)]
    assert ends == [made.number(bench.letter, "us") for bench in made.benches]
