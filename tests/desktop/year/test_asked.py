"""What is asked of the run: controls, live, and what becomes of what was shown before."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog, QMenu
from pytestqt.qtbot import QtBot

from tests.desktop.hands import LEFT
from trainapp.desktop.background import Progress
from trainapp.desktop.session import Session
from trainapp.desktop.year import settings as reading
from trainapp.desktop.year.settings import RunSettings
from trainapp.desktop.year.view import YearView
from trainapp.desktop.year.work import Answer, Asked, answer
from trainapp.studies import year as study
from trainapp.studies.year.options import YearError
from trainapp.studies.year.patterns import BUILT_IN
from trainapp.train.document import load
from trainapp.train.edits import ChangeSetting

Ran = Callable[[], Answer]


@pytest.fixture
def session(root: Path) -> Session:
    """A chamber alone, which runs fast."""
    return Session(load(root / "samples" / "lone-alder-farm-uv-alone.train.json"))


def enter(field: object, text: str) -> None:
    """Type over what a field has."""
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def test_the_upkeep_slider_changes_the_numbers_at_once(view: YearView, ran: Ran) -> None:
    enter(view.controls.days, "400 days")
    slider = view.controls.upkeep
    assert ran().hours == 9600
    before = view.column.totals.words()
    assert "UV lamps changed: 1" in before
    QTest.mouseClick(slider, LEFT, Qt.KeyboardModifier.NoModifier, QPoint(round(slider.x(2)), 11))
    assert view.stale
    found = ran()
    assert not view.stale and found.asked.options.upkeep.kept == "never"
    assert "UV lamps changed: 0" in view.column.totals.words()
    own = study.run(view.session.document, found.asked.options)
    low, high = own.totals.lights["uv"].band
    assert any(f"{low:.0f} to {high:.0f} h" in line.replace("\u202f", " ") for line in view.column.totals.words())
    QTest.keyClick(slider, Qt.Key.Key_Left)
    assert view.controls.settings.kept == "late"
    view.do_year_upkeep()
    view.do_year_upkeep()
    assert ran().asked.options.upkeep.kept == "on-time"
    assert view.column.totals.words() == before


def test_days_start_spike_cuts_and_reading_reach_the_run(view: YearView, ran: Ran) -> None:
    controls = view.controls
    view.do_year_end()
    enter(controls.days, "2 weeks")
    enter(controls.start, "5 March")
    controls.cuts.setFocus()
    QTest.keyClick(controls.cuts, Qt.Key.Key_Up)
    QTest.keyClick(controls.reading, Qt.Key.Key_Down)
    QTest.keyClick(controls.spike, Qt.Key.Key_Down)
    QTest.mouseClick(controls.spike_more, LEFT)
    assert controls.spike_panel.isVisible()
    enter(controls.peak, "22 NTU")
    enter(controls.spike_day, "10 March")
    enter(controls.spike_days, "3 days")
    asked = ran().asked.options
    assert (asked.days, asked.start_day, len(asked.cuts), asked.adverse) == (14, 63, 2, False)
    assert asked.spike == study.Spike("turbidity", 22.0, 68.0, 3.0)
    assert view.transport.moment.text().startswith("Month 0.5, 23:00")  # held to the end of the shorter run
    assert view.playback.last == 14 * 24 - 1


def test_a_spike_that_is_chosen_moves_nothing_of_the_line_above(view: YearView) -> None:
    view.resize(1280, 800)
    controls = view.controls

    def stand() -> list[QRect]:
        return [controls.geometry(), *(control.geometry() for control in controls.controls.values()), view.head.geometry()]

    before = stand()
    assert not controls.spike_more.isVisible() and controls.height() < 80
    controls.take(controls.settings.with_spike("turbidity"))
    assert controls.spike_more.isVisible() and controls.spike_more.text().startswith("15.0 NTU")
    assert stand() == before
    QTest.mouseClick(controls.spike_more, LEFT)
    assert view.window().isVisible() and controls.peak.hasFocus()
    QTest.keyClick(controls.peak, Qt.Key.Key_Escape)
    assert not controls.spike_panel.isVisible()


def test_what_cannot_be_asked_is_refused_in_a_sentence(qtbot: QtBot, view: YearView) -> None:
    asked = view.asked
    for field, text, word in (
        (view.controls.days, "4000 days", "1 to 3650 days"),
        (view.controls.days, "soon", '"soon" is not a length of time'),
        (view.controls.start, "31 April", '"31 April" is not a day of the year'),
    ):
        shown = field.text()
        with qtbot.waitSignal(view.told) as told:
            enter(field, text)
        assert word in told.args[0]
        assert field.text() == shown
    assert view.asked is asked and not view.stale


def test_a_date_stands_beside_the_month_of_use_by_which_the_clock_goes(view: YearView) -> None:
    row = view.column.wrongs.rows[0]
    assert row.line.when == "1 January, month 0.0" and row.accessibleName().startswith(f"1 {row.line.severity}, 1 January, month 0.0")
    assert view.transport.moment.text().startswith("Month 0.0")


def test_a_season_is_picked_from_a_menu(view: YearView, ran: Ran) -> None:
    QTest.mouseClick(view.controls.seasons, LEFT)
    menu = view.controls.findChild(QMenu)
    assert menu is not None
    action = next(action for action in menu.actions() if action.text().startswith("Summer"))
    QTest.mouseClick(menu, LEFT, Qt.KeyboardModifier.NoModifier, menu.actionGeometry(action).center())
    assert ran().asked.options.start_day == 151
    assert view.controls.start.text() == "1 June"


def test_patterns_are_called_as_their_files_call_them(view: YearView) -> None:
    box = view.controls.pattern
    told = {box.itemData(i): box.itemText(i) for i in range(box.count())}
    assert told["household"] == "household" and told["weekend_cabin"] == "weekend cabin" and told["own"].startswith("own")
    assert set(told) == {*BUILT_IN, "own"} and all("_" not in words for words in told.values())


def test_the_pattern_is_the_documents_and_can_be_undone(view: YearView, ran: Ran, session: Session) -> None:
    assert session.document.demand.word("pattern") == "household"
    view.controls.pattern.setFocus()
    QTest.keyClick(view.controls.pattern, Qt.Key.Key_Down)
    assert session.document.demand.word("pattern") == "weekend_cabin"
    assert ran().year.machine.demand.pattern.label == "Weekend cabin"
    session.stack.undo()
    assert view.controls.pattern.currentData() == "household"
    assert ran().year.machine.demand.pattern.label == "Household"


def test_a_pattern_of_ones_own_is_asked_for(
    view: YearView, ran: Ran, session: Session, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = tmp_path / "own.csv"
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(table), ""))
    view.controls.pattern.setFocus()
    QTest.keyClick(view.controls.pattern, Qt.Key.Key_End)
    assert session.document.demand.word("pattern") == str(table)
    ran()
    assert view.head.text.accessibleName().startswith("Not run: ") and "own.csv" in view.head.text.accessibleName()
    assert view.stale and not view.head.again.isHidden()


def test_another_train_runs_anew_and_what_was_shown_is_stale_until_then(view: YearView, ran: Ran, session: Session) -> None:
    first = view.answer
    session.edit(ChangeSetting(stage="uv", key="rated_flow", value="5 gpm"))
    assert view.stale and view.answer is first
    assert view.benches.pictures[0].stale
    assert "as it was before" in view.head.text.accessibleName()
    second = ran()
    assert second is not first and not view.stale and not view.benches.pictures[0].stale
    assert second.year.document is session.document
    view.left()
    session.stack.undo()
    assert not view.runner.busy
    view.entered()
    assert view.runner.busy
    ran()


def test_units_change_what_is_shown_and_run_nothing(view: YearView, session: Session) -> None:
    before = view.answer
    session.set_system("metric")
    assert view.answer is before and not view.runner.busy
    assert any("bar" in line for line in view.column.totals.words())
    assert view.benches.pictures[0].system == "metric"
    assert view.charts.panels[0].display is not None and "bar in this hour" in view.charts.panels[0].values()


def test_cancel_stops_a_run_and_run_takes_it_up_again(qtbot: QtBot, view: YearView, ran: Ran) -> None:
    before = view.answer
    enter(view.controls.days, "10 years")
    qtbot.waitUntil(lambda: view.head.cancel.isVisible(), timeout=10_000)
    assert view.head.progress.isVisible() and view.head.progress.text.endswith("%")
    QTest.mouseClick(view.head.cancel, LEFT)
    assert not view.runner.busy and view.answer is before and view.stale
    assert view.head.text.accessibleName().startswith("Stopped")
    enter(view.controls.days, "30 days")
    assert ran().hours == 720 and not view.stale
    view.do_year_run()
    assert view.runner.busy
    view.do_year_cancel()
    QTest.mouseClick(view.head.again, LEFT)
    assert ran().hours == 720 and not view.stale


def test_a_run_that_nobody_waits_for_is_given_up(session: Session) -> None:
    gauge, told = Progress(), []

    def cancelled() -> bool:
        told.append(gauge.share)
        return len(told) > 5

    with pytest.raises(study.Cancelled):
        answer(Asked(session.document, None, study.Options(), gauge=gauge), cancelled)
    assert len(told) == 6 and gauge.share < 0.2


@pytest.mark.parametrize(
    ("text", "day"),
    [("spring", 59), ("5 March", 63), ("March 5", 63), ("dec", 334), ("365", 364), ("1 jan", 0), ("29 feb", None), ("mars x", None)],
)
def test_days_of_the_year_are_read(text: str, day: int | None) -> None:
    if day is None:
        with pytest.raises(YearError, match="not a day of the year"):
            reading.read_date(text)
    else:
        assert reading.read_date(text) == day
        assert reading.read_date(reading.date_text(day)) == day


def test_lengths_and_peaks_are_read() -> None:
    assert [reading.read_days(text) for text in ("365", "2 years", "18 months", "1 week")] == [365, 730, 548, 7]
    assert reading.days_text(730) == "2 years" and reading.days_text(1) == "1 day"
    assert reading.read_peak("9", "iron") == pytest.approx(9.0)
    with pytest.raises(YearError, match="a spike lasts for 1 to 365 days"):
        reading.read_spike_days("2 years")
    with pytest.raises(YearError):
        reading.read_peak("-3 mg/L", "iron")
    with pytest.raises(YearError):
        reading.read_peak("3 psi", "iron")
    assert RunSettings().with_spike("iron").options.spike is not None
    assert RunSettings().with_spike("iron").with_spike(None) == RunSettings(peak=8.0, spike_day=95, spike_days=14)
