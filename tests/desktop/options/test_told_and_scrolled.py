"""What is said stops with what it is of, and the board stays where it was scrolled to."""

from __future__ import annotations

import json

from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.desktop.hands import enter
from tests.desktop.options.board import options, press, rest, settle
from trainapp.data import samples_path
from trainapp.desktop.options.bill import BillWindow
from trainapp.desktop.options.desk import Count, Ground, count
from trainapp.desktop.options.head import Across
from trainapp.desktop.options.rows import Style
from trainapp.desktop.options.told import ToldWindow
from trainapp.desktop.options.view import SEEKING, OptionsView
from trainapp.desktop.parts import TokenLabel
from trainapp.desktop.session import Session
from trainapp.studies.cost import default_prices
from trainapp.studies.options.what_if import WhatIf
from trainapp.train.document import Document


def test_a_message_stops_with_what_it_is_of(qtbot: QtBot, view: OptionsView, session: Session) -> None:
    view.seek()
    view.do_options_cancel()
    assert view.bar.said.text().endswith("Look again (Alt+R) runs it anew.")
    view.do_options_again()
    rest(qtbot, view)
    assert not view.bar.said.text(), "a search that ended was not given up"
    proposal, view.proposal = view.proposal, None
    view.seek()
    assert view.area.waiting.text() == SEEKING
    view.do_options_print()
    assert "Not printed: the search has not ended." in view.bar.said.text()
    view.do_options_cancel()
    assert view.area.waiting.text().startswith("The search has not ended") and "(Alt+R)" in view.area.waiting.text()
    view.do_options_print()
    assert "(Alt+R)" in view.bar.said.text()
    view.proposal = proposal
    view.do_options_print()
    assert not view.bar.said.text(), "it stands no more behind the window that prints"
    view.do_options_take(options(view)[0].key)
    assert "Undo takes it back" in view.bar.said.text()
    session.stack.undo()
    assert not view.bar.said.text(), "what was taken back stands on the bench no more"
    rest(qtbot, view)


def test_rename_and_remove_scroll_nothing_away(qtbot: QtBot, view: OptionsView) -> None:
    view.resize(1280, 640)
    settle(qtbot, view)
    area, bar = view.area, view.area.verticalScrollBar()
    first, second = options(view)[:2]
    area.go_to(first.key, "settle")
    QApplication.processEvents()
    assert bar.value() > 0 and area.pinned.isVisible()
    assert [name for name, _ in area.pinned.names][:2] == ["Left as it is", "On the bench"]
    spot = next(place for name, place in area.pinned.names if name == "Least to buy")
    assert spot[0] == first.mapTo(area.viewport(), first.rect().topLeft()).x() and spot[1:] == (first.width(), True)
    first.rename()
    top = first.name.mapTo(area.viewport(), first.name.rect().topLeft()).y()
    assert 0 <= top < area.viewport().height() and not area.pinned.isVisible(), "the field is in sight"
    enter(first.name, "For the Sorrels")
    settle(qtbot, view)
    assert first.title.mapTo(area.viewport(), first.title.rect().topLeft()).y() >= 0, "so is the new name"
    assert area.current == (first.key, "settle") and first.cells["settle"].hasFocus()
    bar.setValue(bar.maximum())
    before = bar.value()
    view.do_options_remove(second.key)
    assert "Take back (Alt+Z)" in view.bar.said.text()
    view.bar.say("")
    settle(qtbot, view)
    assert before - bar.value() <= 40, "only as far as the board became shorter"
    assert "(Alt+Z)" in view.foot.back.text()


def test_what_is_taken_back_has_the_keyboard(qtbot: QtBot, view: OptionsView) -> None:
    first = options(view)[0]
    press(first.cells["chores"])
    press(first.buttons["remove"])
    settle(qtbot, view)
    view.do_options_take_back()
    assert view.column() is not None and view.column().key == first.key, "at once"  # type: ignore[union-attr]
    settle(qtbot, view)
    assert view.area.current == (first.key, "chores")
    view.do_options_bill()
    bill = view.findChild(BillWindow)
    assert bill is not None and bill.key == first.key


def test_long_names_have_two_lines_and_a_low_window_a_low_foot_that_hides_nothing(qtbot: QtBot, view: OptionsView) -> None:
    first = options(view)[0]
    name = "Softener by the old carbon bed"
    reason = first.reason.y()
    view.rename(first.key, name)
    settle(qtbot, view)
    assert len(first.title.lines) == 2 and " ".join(first.title.lines) == name and first.title.toolTip() == name
    assert first.reason.y() == reason + view.style_.name_step
    assert view.area.columns["left"].title.lines == ["Left as it is"]
    view.rename(first.key, "Wider W" + 33 * "W")
    settle(qtbot, view)
    assert len(first.title.lines) == 2 and first.title.lines[1].endswith("…")
    assert first.title.accessibleName().startswith("Wider W" + 33 * "W")
    view.resize(1280, 700)
    settle(qtbot, view)
    QApplication.processEvents()
    assert view.foot.height() <= 112 and not view.foot.bands.isVisible() and not view.foot.looked.isVisible()
    assert "Looked at" in view.foot.left.accessibleName() and view.foot.bands_line.accessibleName() == view.foot.bands.text()
    press(view.foot.more["prices"])
    told = view.findChild(ToldWindow)
    assert told is not None and told.windowTitle() == "Prices and bands"
    assert "every sum here is illustrative" in " ".join(label.text() for label in told.findChildren(TokenLabel))
    view.do_options_remove(options(view)[0].key)
    settle(qtbot, view)
    assert view.foot.back.isVisible() and view.foot.looked.isVisible(), "one line for both"
    assert "Looked at" not in view.foot.left.accessibleName()


def test_what_stands_across_shrinks_again_behind_the_customer(qtbot: QtBot) -> None:
    ground = Ground(with_nitrate(), WhatIf(), default_prices(), "us")
    board = count(Count(ground, ()), lambda: False).board
    assert board.unsolved
    across = Across()
    qtbot.addWidget(across)
    across.show()
    heights = [across.show_board(board, 1264, style) for style in (Style(), Style(16.0, 24, True), Style(), Style())]
    assert heights[0] == heights[2] == heights[3] < heights[1]


def with_nitrate() -> Document:
    tree = json.loads(samples_path("pebble-court-3.train.json").read_text(encoding="utf-8"))
    tree["samples"][0]["results"]["nitrate"] = "20 mg/L"
    return Document.of(tree)
