"""Charts that the user picks, and two trains on one clock."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from tests.desktop.hands import LEFT
from trainapp.desktop.finder import Finder
from trainapp.desktop.year.chart_panel import HEIGHT
from trainapp.desktop.year.comparing import CompareMenu
from trainapp.desktop.year.view import YearView
from trainapp.desktop.year.work import Answer, Beside
from trainapp.reports.year_chart import usual
from trainapp.studies import year as study

Ran = Callable[[], Answer]
NONE = Qt.KeyboardModifier.NoModifier


def pick(view: YearView, words: str) -> None:
    """Type into the list of quantities that is open, and take the first that is left."""
    finder = next(finder for finder in view.window().findChildren(Finder) if finder.isVisible())
    QTest.keyClicks(finder.field, words)
    QTest.keyClick(finder.field, Qt.Key.Key_Return)


def choose(view: YearView, text: str) -> None:
    """Open the menu of comparisons and click on a line of it."""
    QTest.mouseClick(view.head.compare, LEFT)
    menu = next(menu for menu in view.findChildren(CompareMenu) if menu.isVisible())
    action = next(action for action in menu.actions() if text in action.text())
    QTest.mouseClick(menu, LEFT, NONE, menu.actionGeometry(action).center())


def chain(view: YearView) -> list[QWidget]:
    """Where Tab goes, from the first field on."""
    found: list[QWidget] = [view.controls.days]
    while (following := found[-1].nextInFocusChain()) is not found[0]:
        found.append(following)
    return found


# Charts -----------------------------------------------------------------------------------------------------------------------


@pytest.fixture
def charted(shared: YearView) -> YearView:
    """The shared view with its usual charts of the whole run."""
    assert shared.answer is not None
    shared.playback.go(0.0)
    shared.charts.stretch.setCurrentIndex(0)
    shared.charts.charts = [(shown,) for shown in usual(shared.answer.year)]
    shared.charts.show_answer(shared.answer, "us")
    QApplication.processEvents()
    return shared


def test_charts_are_added_grown_and_removed(charted: YearView) -> None:
    count = len(charted.charts.panels)
    assert count >= 3
    QTest.mouseClick(charted.charts.add, LEFT)
    pick(charted, "softener flow")
    assert charted.charts.charts[-1] == (("softener", "flow"),)
    panel = charted.charts.panels[-1]
    assert panel.display is not None and not panel.error
    QApplication.processEvents()
    for other in charted.charts.panels:
        assert other.display is not None
    # an hour stands at one place in all of them
    assert len({(other._plot.x, other._plot.w) for other in charted.charts.panels if other._plot is not None}) == 1
    QTest.mouseClick(panel.more, LEFT)
    pick(charted, "iron filter flow")
    assert charted.charts.charts[-1] == (("softener", "flow"), ("iron", "flow"))
    assert [line.at for line in panel.lines] == ["softener", "iron"]
    QTest.mouseClick(panel.remove, LEFT)
    assert len(charted.charts.panels) == count == len(charted.charts.charts)
    while charted.charts.panels:
        QTest.mouseClick(charted.charts.panels[0].remove, LEFT)
    assert charted.charts.none.isVisible()


def test_a_line_of_another_unit_is_not_offered_beside(charted: YearView) -> None:
    QTest.mouseClick(charted.charts.panels[0].more, LEFT)
    finder = charted.window().findChild(Finder)
    assert finder is not None and finder.choices
    assert all("Pressure" in choice.text for choice in finder.choices)
    assert all(choice.key != "house pressure" for choice in finder.choices)
    finder.close()


def test_a_click_on_a_number_under_the_bench_adds_its_chart(charted: YearView) -> None:
    picture = charted.benches.pictures[0]
    assert picture.display is not None
    group = picture.display.find(("cell", "iron", "softener"))
    assert group is not None
    area = group.areas[0]
    QTest.mouseClick(picture, LEFT, NONE, QPoint(round(area.x + area.w / 2), round(area.y + area.h / 2)))
    assert charted.charts.charts[-1] == (("iron", "iron"),)  # what arrives at the softener leaves the iron filter


def test_the_stretch_that_charts_show_follows_the_clock(charted: YearView) -> None:
    charted.charts.stretch.setFocus()
    for _ in range(3):
        QTest.keyClick(charted.charts.stretch, Qt.Key.Key_Down)
    assert charted.charts.day_window() == (0, 7)
    charted.playback.go(24.0 * 16)
    assert charted.charts.panels[0].window_days == (14, 7)
    charted.do_year_end()
    assert charted.charts.panels[0].window_days == (33, 7)
    QTest.keyClick(charted.charts.stretch, Qt.Key.Key_Down)
    assert charted.charts.panels[0].display is not None and charted.charts.panels[0].values().endswith("psi in this minute")
    QTest.keyClick(charted.charts.stretch, Qt.Key.Key_Up)
    assert charted.charts.panels[0].display is not None and not charted.charts.panels[0].error


# Two trains -------------------------------------------------------------------------------------------------------------------


def test_without_a_stage_beside_with_it(view: YearView, ran: Ran) -> None:
    view.playback.go(500.0)
    choose(view, "Without 3 Softener")
    found = ran()
    assert found.pair is not None and found.labels == ("on the bench", "without softener")
    assert len(view.benches.pictures) == 2
    own, other = (picture.year for picture in view.benches.pictures)
    assert own is not None and other is not None
    assert [entry.id for entry in other.document.stages] == ["screen", "iron", "fine", "uv"]
    hardness = next(panel for panel in view.charts.panels if panel.lines[0].key == "hardness")
    assert [line.name[0] for line in hardness.lines] == ["A", "B"]
    assert hardness.display is not None
    first, second = hardness.values().removesuffix(" gpg in this hour").split(", ")
    assert first[:2] == "A " and second[:2] == "B " and first[2:] != second[2:]
    QTest.keyClick(view.transport.scrub, Qt.Key.Key_Right)
    assert {picture.slot for picture in view.benches.pictures} == {501}
    hard = next(line for line in view.column.totals.lines if "hard water" in line.label)
    assert hard.values[0] != hard.values[1]
    assert any("B  without softener" in row.text() for row in view.column.wrongs._others if hasattr(row, "text"))
    choose(view, "Without 2 Iron filter")
    assert view.beside == Beside("without", ("softener", "iron")) and view.runner.busy
    choose(view, "Without 3 Softener")
    assert view.beside == Beside("without", ("iron",))
    choose(view, "This train alone")
    assert ran().pair is None and len(view.benches.pictures) == 1


def test_against_the_train_of_a_file(view: YearView, ran: Ran, root: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    other = root / "samples" / "lone-alder-farm-uv-alone.train.json"
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(other), ""))
    choose(view, "With the train of a file")
    found = ran()
    assert found.labels == ("on the bench", "lone-alder-farm-uv-alone")
    assert [entry.id for entry in found.years[1].document.stages] == ["uv"]
    broken = tmp_path / "broken.train.json"
    broken.write_text("{", encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(broken), ""))
    choose(view, "With the train of a file")
    assert ran() is found and view.stale
    assert view.head.text.accessibleName().startswith("Not run: ")


def test_before_and_after_in_one_click(view: YearView, ran: Ran) -> None:
    QTest.mouseClick(view.head.both, LEFT)
    found = ran()
    assert found.labels == ("without pre-treatment", "with pre-treatment") and found.own == 1
    pair = study.before_and_after(view.session.document, found.asked.options)
    lines = {line.label: line for line in view.column.totals.lines}
    assert {line.split(",")[0] for line in lines} >= {
        "Water outside the UV rating",
        "Scale: hard water at the house",
        "Lowest pressure at the house",
    }
    for measure in pair.measures:
        if measure.band is not None:
            line = lines[f"{measure.label}, illustrative"]
            assert line.illustrative and all(" h" in value.replace("\u202f", " ") for value in line.values)
    # rules 10: no percentage stands on disinfection or health
    assert not any("%" in value for line in lines.values() for value in line.values)
    assert view.column.safety.isVisible()
    assert view.session.document is found.year.document


def test_every_width_has_room_for_everything(qtbot: QtBot, view: YearView, ran: Ran) -> None:
    for width, drawer in ((960, True), (1280, False), (1920, False)):
        view.resize(width, 760)
        qtbot.wait(1)
        assert view.lower.bar.isVisible() is drawer
        for part in (view.benches, view.charts, view.transport, view.column.safety, view.controls.upkeep, view.head.export):
            corner = part.mapTo(view, QPoint(part.width() - 1, part.height() - 1))
            assert part.isVisible() and corner.x() < width and corner.y() < view.height(), (width, part)
        view.do_year_wrong_list()
        assert view.column.wrongs.rows[0].isVisible()
    view.do_year_both()
    ran()
    view.resize(1280, 740)
    qtbot.wait(1)
    assert all(picture.width() > 500 for picture in view.benches.pictures)
    assert view.column.totals.isVisible() and view.transport.scrub.hasFocus()
    # with the vessels the first rows of the ledger are in sight, to the column of the house
    for picture in view.benches.pictures:
        assert picture.display is not None and picture.view is not None
        cells = [
            group.areas[0] for analyte in ("hardness", "iron", "manganese") if (group := picture.display.find(("cell", analyte, "house")))
        ]
        assert len(cells) == 3 and all(cell.bottom <= picture.height() and cell.right <= picture.width() for cell in cells)
        assert picture.view.bands.bench >= 150.0 and picture.view.most.x == 0.0
    # all of Safety comes into sight, and goes again
    low = view.column.height()
    QTest.mouseClick(view.column.safety.more, LEFT)
    qtbot.waitUntil(lambda: view.column.height() > low + 60)
    assert view.column.safety.area.height() >= view.column.safety.text.heightForWidth(1000)
    QTest.mouseClick(view.column.safety.more, LEFT)
    qtbot.waitUntil(lambda: view.column.height() == low)


def test_at_twice_the_size_the_train_is_in_sight_and_a_tab_opens_the_rest(qtbot: QtBot, shared: YearView) -> None:
    # 1920 x 1080 at 200 %, less what the window has around the view
    shared.resize(960, 475)
    safety = shared.column.safety
    qtbot.waitUntil(lambda: shared.lower.shut and safety.height() >= safety.minimumSizeHint().height())
    picture = shared.benches.pictures[0]
    assert picture.display is not None and picture.view is not None and picture.view.floor < picture.height()
    for part in (shared.transport, shared.column.safety):
        corner = part.mapTo(shared, QPoint(part.width() - 1, part.height() - 1))
        assert corner.y() < shared.height() and part.height() >= part.minimumSizeHint().height()
    QTest.mouseClick(shared.lower.tabs["What goes wrong, and the numbers"], LEFT)
    qtbot.waitUntil(lambda: not shared.lower.shut)
    assert shared.column.wrongs.rows[0].isVisible()
    # Tab comes to it before the clock that stands under it, and after the clock where it stands beside
    assert chain(shared).index(shared.column.wrongs.rows[0]) < chain(shared).index(shared.transport.play)
    shared._moved_by_hand = False
    shared.resize(1440, 1100)
    assert chain(shared).index(shared.transport.scrub) < chain(shared).index(shared.column.wrongs.rows[0])
    qtbot.waitUntil(lambda: not shared.lower.shut and not shared.lower.bar.isVisible())


@pytest.mark.parametrize(("width", "height"), [(1280, 740), (1920, 1020)])
def test_no_chart_is_cut_at_its_zero_line(qtbot: QtBot, view: YearView, width: int, height: int) -> None:
    view.resize(width, height)
    qtbot.wait(1)
    seen = view.charts.area.viewport().height()
    assert seen >= HEIGHT and seen % HEIGHT < 8
    if width == 1920:
        assert seen >= 2 * HEIGHT
    assert view.benches.height() > view.lower.height() - 40
