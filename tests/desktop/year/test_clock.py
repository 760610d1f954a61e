"""The clock of the Year view moves what is shown: by playing, by hand, by keys and by what goes wrong."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QSplitterHandle, QWidget
from pytestqt.qtbot import QtBot

from tests.desktop.hands import LEFT
from tests.desktop.year.conftest import opened
from trainapp import units
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.year.calendar import ticks
from trainapp.desktop.year.commands import COMMANDS
from trainapp.desktop.year.content import wrong_lists
from trainapp.desktop.year.playback import SPEEDS, Playback
from trainapp.desktop.year.view import YearView
from trainapp.reports.drawing.display import Text, texts
from trainapp.studies.year import without
from trainapp.train.document import Document

NONE = Qt.KeyboardModifier.NoModifier


@pytest.fixture
def view(shared: YearView) -> YearView:
    """The shared view, its clock at the beginning."""
    shared.entered()
    shared.playback.pause()
    shared.playback.go(0.0)
    return shared


def click(widget: object, x: float, y: float) -> None:
    """A press and release at a place of a widget."""
    QTest.mouseClick(widget, LEFT, NONE, QPoint(round(x), round(y)))


def chained(widget: QWidget) -> QWidget:
    """Where Tab goes from a widget."""
    found = widget.nextInFocusChain()
    while not (found.focusPolicy() & Qt.FocusPolicy.TabFocus and found.isVisible()):
        found = found.nextInFocusChain()
    return found


def cell(view: YearView, analyte: str, node: str) -> list[str]:
    """Texts of a cell of the ledger as it is drawn now."""
    display = view.benches.pictures[0].display
    assert display is not None
    group = display.find(("cell", analyte, node))
    assert group is not None
    return [text.text for text, _ in texts(group.items) if isinstance(text, Text)]


def test_play_moves_the_clock_until_it_is_paused(qtbot: QtBot, view: YearView) -> None:
    QTest.mouseClick(view.transport.play, LEFT)
    assert view.transport.play.text() == "Pause"
    qtbot.waitUntil(lambda: view.playback.slot > 10, timeout=5000)
    QTest.keyClick(view.transport.play, Qt.Key.Key_Space)
    assert not view.playback.playing and view.transport.play.text() == "Play"
    stood = view.playback.hour
    qtbot.wait(120)
    assert view.playback.hour == stood
    assert view.benches.pictures[0].slot == view.playback.slot
    assert view.charts.panels[0].hour == view.playback.slot


def test_a_second_takes_what_the_speed_says_and_the_end_stops_it(qtbot: QtBot) -> None:
    clock = Playback()
    clock.set_length(24 * 10)
    for index, (_, hours) in enumerate(SPEEDS):
        clock.set_speed(index)
        clock.go(0.0)
        clock.advance(0.2)
        assert clock.hour == pytest.approx(0.2 * hours)
    clock.play()
    clock.advance(10.0)
    assert clock.hour == 239.0 and not clock.playing
    clock.play()
    assert clock.hour == 0.0 and clock.playing
    clock.pause()


def test_dragging_the_slider_shows_the_ledger_of_that_hour(view: YearView) -> None:
    assert view.answer is not None
    scrub = view.transport.scrub
    course = view.answer.year.course("house", "hardness")
    raw = view.answer.year.course("supply", "iron")
    for hour in (30, 500, 901):
        x = scrub.x(hour)
        QTest.mousePress(scrub, LEFT, NONE, QPoint(round(scrub.x(5)), 25))
        QTest.mouseMove(scrub, QPoint(round(x), 25))
        QTest.mouseRelease(scrub, LEFT, NONE, QPoint(round(x), 25))
        slot = view.playback.slot
        assert abs(slot - hour) <= 1
        assert view.transport.moment.text().endswith(f"{slot % 24:02d}:00")
        for analyte, node, value, dimension in (
            ("hardness", "house", course[slot], "hardness"),
            ("iron", "screen", raw[slot], "concentration"),
        ):
            number = units.show(float(value), dimension, "us", analyte=analyte).split()[0]
            assert number in cell(view, analyte, node), (hour, analyte)


def test_keys_walk_by_hours_days_and_months(view: YearView) -> None:
    scrub = view.transport.scrub
    view.playback.go(100.0)
    for key, hour in (
        (Qt.Key.Key_Right, 101),
        (Qt.Key.Key_Up, 125),
        (Qt.Key.Key_Down, 101),
        (Qt.Key.Key_Left, 100),
        (Qt.Key.Key_PageUp, 830),
        (Qt.Key.Key_End, 959),
        (Qt.Key.Key_Home, 0),
        (Qt.Key.Key_Left, 0),
    ):
        QTest.keyClick(scrub, key)
        assert view.playback.slot == hour
    QTest.keyClick(scrub, Qt.Key.Key_Space)
    assert view.playback.playing
    QTest.keyClick(scrub, Qt.Key.Key_Space)
    assert not view.playback.playing
    # what the bench itself has no use for is for the clock, too
    view.benches.pictures[0].setFocus()
    view.do_year_start()
    QTest.keyClick(view.benches.pictures[0], Qt.Key.Key_Up)
    assert view.playback.slot == 24


def test_who_turns_to_the_view_works_its_clock_whatever_field_had_the_keyboard(view: YearView) -> None:
    view.controls.days.setFocus()
    view.left()
    view.entered()
    focused = view.focusWidget()
    assert focused is view.transport.scrub
    QTest.keyClick(focused, Qt.Key.Key_Space)
    assert view.playback.playing and view.controls.days.text() == "40 days"
    view.playback.pause()


def test_tab_walks_from_a_head_into_what_stands_under_it(view: YearView) -> None:
    panel, row = view.charts.panels[0], view.column.wrongs.rows[0]
    assert chained(view.charts.add) is panel.more and chained(panel.more) is panel.remove
    assert chained(view.column.wrongs.area) is row
    assert chained(view.transport.steps[-1]) is view.transport.scrub


def test_transport_charts_and_pictures_tell_one_clock(view: YearView) -> None:
    view.playback.go(500.0)
    transport, picture, panel = view.transport, view.benches.benches[0], view.charts.panels[0]
    # a chamber's film is a teaching picture: months of use, and no date beside it
    assert transport.moment.text() == "Month 0.7, 20:00"
    assert picture.head.text() == "Month 0.7, 20:00." and transport.scrub.accessibleName() == "Time in the run: Month 0.7, 20:00"
    assert picture.picture.accessibleDescription().startswith("Month 0.7, 20:00. ")
    assert panel.display is not None
    words = [text.text for text, _ in texts(panel.display.items)]
    assert any(word.startswith("month 0") for word in words) and "Jan" not in " ".join(words)
    assert ticks(0, 365)[0][1] == "Jan" and [word for _, word in ticks(0, 365, True)][:3] == ["month 0", "1", "2"]


def test_a_train_without_a_teaching_picture_has_dates_but_in_a_power_cut(prefs: Prefs, farm: Document) -> None:
    with opened(Session(without(farm, ("uv",))), prefs) as dated:
        clock, picture = dated.transport.moment, dated.benches.benches[0]
        dated.playback.go(30.0)
        assert clock.text() == "2 January, 06:00" and picture.head.text() == "2 January, 06:00."
        assert not dated.transport.scrub.undated and not dated.charts.panels[0].undated
        cut = next(line.hour for line in wrong_lists(dated.answer)[0].lines if "power cut" in line.when)
        dated.playback.go(cut)
        assert clock.text().startswith("Month 0.8, ") and picture.head.text() == f"{clock.text()}."


def test_buttons_step_and_commands_do_the_same(view: YearView) -> None:
    view.playback.go(200.0)
    for button in view.transport.steps[3:5]:
        QTest.mouseClick(button, LEFT)
    assert view.playback.slot == 225
    for command in ("hour_back", "day_back", "month_on", "month_back", "day_on", "hour_on"):
        getattr(view, f"do_year_{command}")()
    assert view.playback.slot == 225
    view.do_year_end()
    assert view.playback.hour == view.playback.last == 959.0
    view.do_year_start()
    assert view.playback.slot == 0
    before = view.playback.speed
    view.do_year_faster()
    assert view.playback.speed == view.transport.speed.currentIndex() == before + 1
    view.do_year_slower()
    assert view.playback.speed == view.transport.speed.currentIndex() == before


def test_a_click_on_what_goes_wrong_goes_there(view: YearView) -> None:
    assert view.answer is not None
    row = view.column.wrongs.rows[0]
    wrong = view.answer.year.gone_wrong[0]
    assert wrong.day is not None and wrong.sentence in row.accessibleDescription()
    QTest.mouseClick(row, LEFT, NONE, QPoint(20, 8))
    assert view.playback.slot == int(wrong.day * 24)
    view.do_year_start()
    QTest.keyClick(row, Qt.Key.Key_Return)
    assert view.playback.slot == int(wrong.day * 24)


def test_marks_on_the_slider_are_what_goes_wrong(view: YearView) -> None:
    assert view.answer is not None
    scrub = view.transport.scrub
    dated = [wrong for wrong in view.answer.year.gone_wrong if wrong.day is not None]
    assert [m.hour for m in scrub.milestones] == [int(wrong.day * 24) for wrong in dated if wrong.day is not None]
    first = scrub.milestones[0]
    click(scrub, scrub.x(first.hour) + 2, 9)
    assert view.playback.slot == first.hour
    view.do_year_start()
    view.do_year_next_wrong()
    assert view.playback.slot == first.hour
    view.do_year_end()
    view.do_year_last_wrong()
    assert view.playback.slot == scrub.milestones[-1].hour


def test_a_click_in_a_chart_goes_there(view: YearView) -> None:
    panel = view.charts.panels[0]
    assert panel.display is not None and panel._plot is not None
    plot = panel._plot
    click(panel, plot.x + 0.5 * plot.w, plot.y + 20)
    assert abs(view.playback.slot - 480) <= 2
    assert view.answer is not None
    pressure = view.answer.year.course("house", "pressure")[view.playback.slot]
    assert panel.values() == f"{units.show(float(pressure), 'pressure')} in this hour"


def test_turning_away_stops_the_clock(view: YearView) -> None:
    view.do_year_play()
    view.left()
    assert not view.playback.playing


def test_a_stage_is_selected_by_a_click_and_shown_on_the_bench_by_two(qtbot: QtBot, view: YearView) -> None:
    picture = view.benches.pictures[0]
    assert picture.display is not None
    area = next(group for group in picture.display.groups() if group.tag == ("stage", "softener") and group.areas).areas[0]
    at = QPoint(round(area.x + area.w / 2), round(area.y + 0.8 * area.h))
    QTest.mouseMove(picture, at)
    QTest.mouseClick(picture, LEFT, NONE, at)
    assert view.session.selection == ("stage", "softener") and picture.selected == ("stage", "softener")
    with qtbot.waitSignal(view.bench_asked):
        QTest.mouseDClick(picture, LEFT, NONE, at)


def test_what_is_shown_is_said_to_who_cannot_see_it(view: YearView) -> None:
    view.playback.go(700.0)
    words = view.benches.pictures[0].accessibleDescription()
    assert "softener: " in words and "of the resin left" in words and "illustrative" in words
    assert view.charts.panels[0].accessibleDescription().endswith("psi in this hour")
    focusable = [widget for widget in view.findChildren(QWidget) if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.isVisible()]
    assert focusable and all(widget.accessibleName() or isinstance(widget, QSplitterHandle) for widget in focusable)


def test_every_command_has_its_method() -> None:
    assert all(callable(getattr(YearView, f"do_{command.id}")) for command in COMMANDS)
    assert {command.view for command in COMMANDS} == {"year"}
