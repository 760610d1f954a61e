"""The Options view by hand: what is supposed, kept, renamed, removed, opened, priced, turned to the customer, drawn for."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.desktop.editing import type_cell
from tests.desktop.hands import enter, key
from tests.desktop.options.board import amount, cell, options, press, rest, settle
from trainapp.desktop.options import make
from trainapp.desktop.options.bill import BillWindow, counted
from trainapp.desktop.options.prices import PriceWindow
from trainapp.desktop.options.sure import SureWindow
from trainapp.desktop.options.sure_content import lines
from trainapp.desktop.options.told import ToldWindow
from trainapp.desktop.options.view import OptionsView
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.reports.drawing.display import Rect, Text
from trainapp.studies.confidence import default_spreads
from trainapp.studies.cost.writing import toml_text
from trainapp.train.document import Document

KEYS = Qt.Key


def test_the_word_of_a_band_has_room_of_its_own(view: OptionsView) -> None:
    """Under its band, and clear of it, of the figures beside it and of the line of the next row."""
    shown = view.area.columns["left"].cells["own"]
    items = shown.shapes(shown.width() - 12.0)
    word = next(item for item in items if isinstance(item, Text) and item.text == "illustrative")
    band = next(item for item in items if isinstance(item, Rect))
    assert word.y - 0.8 * word.size >= band.y + band.h and word.y + 0.25 * word.size <= shown.height() - 4.0
    assert shown.height() > view.area.columns["left"].cells["rent"].height()
    cells = [each for each in view.area.columns["left"].cells.values() if each.cell.word == "illustrative"]
    places = {item.x for each in cells for item in each.shapes(188.0) if isinstance(item, Text) and item.text == "illustrative"}
    assert len(cells) > 1 and len(places) == 1, "words of several rows stand below each other"


def test_columns_stand_side_by_side(view: OptionsView) -> None:
    titles = [column.title.head.name for column in view.area.columns.values() if column.title.head is not None]
    assert titles[:3] == ["Left as it is", "On the bench", "Least to buy"]
    assert 3 <= len(options(view)) <= 5
    board = view.board
    assert board is not None
    reasons = " ".join(head.reason for head in board.heads)
    assert "$" in reasons and "USD" not in reasons, "money is written one way"
    for section in board.sections:
        for row in section.rows:
            tops = {column.cells[row.key].y() for column in view.area.columns.values()}
            assert len(tops) == 1, row.key
            best = [shown.value for shown in row.cells if shown.best]
            assert len(set(best)) <= 1
    assert cell(view, "left", "own").word == "illustrative" and cell(view, "left", "own").to is not None
    assert cell(view, "left", "treats-hardness").text == "stays"
    assert {cell(view, column.key, "treats-hardness").text for column in options(view)} == {"treated, test to confirm"}
    assert view.foot.safety.accessibleName().startswith("Safety: ") and "not measured" in view.foot.not_judged.accessibleName()
    assert "every figure invented" in view.foot.bands.text()


@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080)])
def test_every_button_stands_inside_its_card(qtbot: QtBot, view: OptionsView, size: tuple[int, int]) -> None:
    view.resize(*size)
    settle(qtbot, view)
    for column in view.area.columns.values():
        for action, button in column.buttons.items():
            assert column.rect().contains(button.geometry()), (column.key, action)
            others = [other for other in column.buttons.values() if other is not button]
            assert not any(button.geometry().intersects(other.geometry()) for other in others), action


def test_what_is_supposed_is_followed_at_once(qtbot: QtBot, view: OptionsView, session: Session) -> None:
    first = options(view)[0]
    salt, buy, drawn = (amount(view, first.key, row) for row in ("salt", "buy", "own"))
    press(first.buttons["keep"])
    settle(qtbot, view)
    document = session.document
    enter(view.bar.fields["people"], "6")
    assert view.stale and view.area.columns[first.key].cells["salt"].look.stale
    settle(qtbot, view)
    assert not view.stale
    assert amount(view, first.key, "salt") == pytest.approx(2 * salt, rel=0.15), "six people draw twice as much as three"
    enter(view.bar.fields["salt"], "19.20")
    settle(qtbot, view)
    assert amount(view, first.key, "own") > drawn and amount(view, first.key, "buy") == buy
    enter(view.bar.fields["years"], "zero")
    assert "is not a number of years" in view.bar.said.text() and view.bar.fields["years"].text() == "10"
    assert session.document is document, "the document is not touched"
    press(view.bar.back)
    settle(qtbot, view)
    assert amount(view, first.key, "salt") == salt and not view.bar.back.isVisible()


def test_another_peak_seeks_other_trains_and_can_be_given_up(qtbot: QtBot, view: OptionsView) -> None:
    before = [column.key for column in options(view)]
    enter(view.bar.fields["peak"], "14")
    qtbot.waitUntil(lambda: view.seeking.busy, timeout=5_000)
    assert view.busy.running and not view.busy.isVisible(), "it appears only once it takes long"
    view.busy.cancel.click()
    assert not view.seeking.busy and "given up" in view.bar.said.text()
    assert [column.key for column in options(view)] == before
    view.left()
    view.entered()
    settle(qtbot, view)
    assert [column.key for column in options(view)] == before, "what was given up is not begun again by itself"
    view.do_options_again()
    settle(qtbot, view)
    assert view.proposal is not None and view.proposal.site.document.demand.value("peak") == pytest.approx(14 * 6.309e-5, rel=1e-3)
    assert {column.key for column in options(view)} == {c.key for c in view.columns if c.kind == "option"}


def test_keep_rename_remove_and_take_back(qtbot: QtBot, view: OptionsView) -> None:
    first, second = options(view)[:2]
    press(first.buttons["keep"])
    settle(qtbot, view)
    assert first.buttons["keep"].text() == "Kept"
    press(second.buttons["rename"])
    assert second.name.hasFocus()
    assert "at most 40 letters" in view.bar.said.text()
    enter(second.name, "For the Sorrels")
    settle(qtbot, view)
    assert not view.bar.said.text(), "what was said goes with the next thing that is done"
    assert second.title.accessibleName().startswith("For the Sorrels")
    press(first.buttons["rename"])
    enter(first.name, "for the sorrels")
    assert "another column is called" in view.bar.said.text()
    gone, order = options(view)[1].key, [column.key for column in view.columns]
    press(view.area.columns[gone].buttons["remove"])
    settle(qtbot, view)
    assert gone not in view.area.columns and view.foot.back.isVisible()
    view.do_options_again()
    settle(qtbot, view)
    assert gone not in view.area.columns, "what was removed is not proposed again"
    press(view.foot.back)
    settle(qtbot, view)
    assert gone in view.area.columns and not view.foot.back.isVisible()
    assert [c.key for c in view.columns].index(gone) == order.index(gone), "it stands where it stood"
    assert next(c.kept for c in view.columns if c.key == gone), "what was kept is kept still"
    names = [column.title.head.name for column in options(view) if column.title.head is not None]
    assert "For the Sorrels" in names and len(set(names)) == len(names)


def test_an_option_is_opened_and_taken_over(qtbot: QtBot, view: OptionsView, session: Session) -> None:
    first = options(view)[0]
    with qtbot.waitSignal(view.document_asked) as asked:
        press(first.buttons["open"])
    opened = asked.args[0].document
    assert asked.args[0].prices is view.prices and asked.args[0].called == "Least to buy"
    assert isinstance(opened, Document) and opened.site.word("name") == session.document.site.word("name")
    before = session.document
    press(first.buttons["take"])
    assert session.stack.count() == 1 and session.stack.undoText() == "Take over Least to buy"
    assert session.document.tree == opened.tree
    settle(qtbot, view)
    assert amount(view, "bench", "buy") == amount(view, first.key, "buy")
    session.stack.undo()
    assert session.document.tree == before.tree
    with qtbot.waitSignal(view.bench_asked):
        press(view.area.columns["bench"].buttons["bench"])


def test_a_price_is_typed_and_its_line_opened(qtbot: QtBot, view: OptionsView, tmp_path: Path) -> None:
    first = options(view)[0]
    buy = amount(view, first.key, "buy")
    press(view.bar.prices)
    window = view.findChild(PriceWindow)
    assert window is not None
    place = next(i for i, row in enumerate(window.prices.rows) if row.section == "fittings" and row.kind == "softener" and not row.where)
    type_cell(window.sheet, str(place), "figure", "1096")
    assert window.prices.rows[place].price == Decimal(1096) and window.prices.name == "Own and invented prices"
    settle(qtbot, view)
    assert amount(view, first.key, "buy") == pytest.approx(buy + 1000 * 1.06), "a thousand more, and its tax"
    assert "some figures invented" in view.foot.bands.text(), "one price of one's own leaves the others invented"
    enter(window.fields["currency"], "EUR")
    assert "none was converted" in window.said.text() and "invented" in window.said.text()
    settle(qtbot, view)
    assert "some figures invented" in view.foot.bands.text()
    enter(window.fields["currency"], "USD")
    window.sheet.sheet.edited.emit(str(place), "figure", "-5")
    assert "is not an amount" in window.said.text() and window.prices.rows[place].price == Decimal(1096)
    window.save(tmp_path / "own.csv")
    press(window.buttons["default"])
    settle(qtbot, view)
    assert amount(view, first.key, "buy") == buy
    window.load(tmp_path / "own.csv")
    qtbot.waitUntil(lambda: window.prices.name == "Own and invented prices", timeout=5_000)
    settle(qtbot, view)
    press(first.cells["buy"])
    bill = view.findChild(BillWindow)
    assert bill is not None
    bill.sheet.go_to(next(k for k, line in bill._lines.items() if line.priced.section == "fittings"), "what")
    assert "paid at the start" in bill.working.text() and "Own and invented prices" in bill.working.text()
    assert "every sum here is illustrative" in bill.sums.text() and "for 1,000 gallons" in bill.sums.text()
    salt = next(line.priced for line in bill._lines.values() if line.priced.unit == "lb")
    pounds, kilos = counted(salt, "us"), counted(salt, "metric")
    assert (pounds[1], kilos[1]) == ("lb", "kg") and float(kilos[0]) == pytest.approx(0.45359237 * float(pounds[0]), abs=1e-3)
    bill.turn_to(next(c for c in view.columns if c.key == first.key), "metric")
    assert "for 1 m³" in bill.sums.text() and "gallons" not in bill.sums.text()


def test_the_customer_sees_no_working_and_every_caution(qtbot: QtBot, view: OptionsView) -> None:
    first = options(view)[0]
    press(first.cells["settle"])
    told = view.findChild(ToldWindow)
    assert told is not None
    board = view.board
    assert board is not None
    key(view, KEYS.Key_K)
    press(view.bar.customer)
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert view.customer and not view.findChildren(ToldWindow)
    assert first.cells["buy"].look.px == 16
    for hidden in (view.bar.fields["discount"], view.bar.prices, view.foot.looked, first.buttons["open"], first.buttons["remove"]):
        assert not hidden.isVisible()
    press(first.cells["buy"])
    assert not view.findChildren(BillWindow), "no bill is opened"
    for column, place in ((column, board.column(column.key)) for column in view.area.columns.values()):
        assert column.cells["settle"].isVisible() and column.cells["settle"].cell == board.row("settle").cells[place]
    assert view.foot.safety.isVisible() and view.foot.not_judged.isVisible() and view.foot.bands.isVisible()
    assert "illustrative" in view.foot.bands.text() and cell(view, "left", "own").word == "illustrative"
    view.do_options_left_out()
    assert not view.findChildren(ToldWindow) and "working" in view.bar.said.text()
    view.do_options_customer()
    assert not view.customer and view.foot.looked.isVisible()


def test_how_sure_is_a_count_and_spreads_are_typed_over(qtbot: QtBot, view: OptionsView) -> None:
    first = options(view)[0]
    shown = cell(view, first.key, "sure")
    assert shown.blocks is not None and shown.text == f"{shown.blocks[0]} of 20"
    press(first.cells["sure"])
    window = view.findChild(SureWindow)
    assert window is not None
    qtbot.waitUntil(lambda: not window.working and window.answer is not None, timeout=10_000)
    assert "of 64 drawn cases of these spreads; says nothing about what was not sampled" in window.list.text
    assert "What matters most" in window.list.text and "%" not in window.list.text
    assert window.answer is not None
    before = window.answer.no_fail
    window.sheet.sheet.edited.emit("flow peak", "spread", "0 %")
    qtbot.waitUntil(lambda: not window.working, timeout=10_000)
    assert window.answer.no_fail == 64 > before, "with the peak certain it never fails"
    window.sheet.sheet.edited.emit("lab 0", "spread", "plenty")
    assert "Not changed" in window.said.text()
    press(window.all)
    rest(qtbot, view)
    assert cell(view, first.key, "sure").text == "20 of 20"


def test_everything_is_reached_by_keyboard(qtbot: QtBot, view: OptionsView) -> None:
    view.area.go_to("left", "treats-hardness")
    start = view.area.columns["left"].cells["treats-hardness"]
    assert start.hasFocus()
    key(start, KEYS.Key_Right, KEYS.Key_Right)
    assert view.area.current == (view.columns[2].key, "treats-hardness")
    key(QApplication.focusWidget(), KEYS.Key_Down)  # type: ignore[arg-type]
    assert view.area.current[1] == "buy" and view.area.columns[view.columns[2].key].selected
    stops = [c for column in view.area.columns.values() for c in column.cells.values() if c.focusPolicy() == Qt.FocusPolicy.StrongFocus]
    assert len(stops) == 1, "Tab stops once on the board's cells"
    key(stops[0], KEYS.Key_Return)
    assert view.findChild(BillWindow) is not None
    for column in view.area.columns.values():
        for each in column.cells.values():
            assert each.accessibleName().startswith(column.title.head.name if column.title.head else "?")
    for command in ("keep", "take_back", "rename", "left_out", "not_judged", "sure", "bill"):
        getattr(view, f"do_options_{command}")()
    settle(qtbot, view)


def test_the_list_of_last_time_is_loaded_and_what_stands_in_the_way_is_told(
    qtbot: QtBot, view: OptionsView, prefs: Prefs, session: Session, tmp_path: Path
) -> None:
    own = tmp_path / "own.toml"
    own.write_text(toml_text(view.prices.with_general("name", "Ours").with_general("years", "7")), encoding="utf-8")
    prefs.price_list = own
    later = make(session, prefs)
    assert isinstance(later, OptionsView)
    later.draws = 64
    later.entered()
    qtbot.waitUntil(lambda: later.prices.name == "Ours" and not later.counting_or_seeking, timeout=20_000)
    assert later.board is not None and later.board.row("own").label == "Over 7 years"
    later.left()
    later.deleteLater()
    prefs.price_list = None
    enter(view.bar.fields["peak"], "200")
    settle(qtbot, view)
    assert view.proposal is not None and not view.proposal.options and view.area.across.ways.text
    assert view.area.across.isVisible() and "stand" in view.area.across.obstacles.text()


def test_a_search_that_was_turned_away_from_goes_on_later(qtbot: QtBot, session: Session, prefs: Prefs) -> None:
    later = make(session, prefs)
    assert isinstance(later, OptionsView)
    later.draws = 64
    later.entered()
    qtbot.waitUntil(lambda: later.seeking.busy, timeout=5_000)
    later.left()
    assert not later.seeking.busy and later.proposal is None
    later.entered()
    settle(qtbot, later)
    assert later.proposal is not None and options(later)
    later.left()
    later.deleteLater()


def test_no_two_spreads_of_a_section_read_alike() -> None:
    sections: list[list[str]] = []
    for line in lines(default_spreads()):
        if line.heading:
            sections.append([])
        else:
            sections[-1].append(str(line.cells[0].text))
    assert all(len(set(rows)) == len(rows) for rows in sections) and any("(other sources)" in row for rows in sections for row in rows)
