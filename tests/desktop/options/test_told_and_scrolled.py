"""What is said stops with what it is of, and the board stays where it was scrolled to."""

from __future__ import annotations

from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.desktop.hands import enter
from tests.desktop.options.board import options, press, rest, settle
from trainapp.desktop.options.bill import BillWindow
from trainapp.desktop.options.view import SEEKING, OptionsView
from trainapp.desktop.session import Session


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
