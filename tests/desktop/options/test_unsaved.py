"""What would be lost with the window is asked for, and what opens a window of its own is told from the other and priced like it."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from tests.desktop.opening import window_on
from tests.desktop.options.board import options, press, settle
from trainapp.desktop.app import Documents
from trainapp.desktop.opening import Aside
from trainapp.desktop.options import make
from trainapp.desktop.options.view import OptionsView
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.studies.cost import default_prices, read_prices
from trainapp.train.document import load


def test_kept_options_and_prices_are_named_before_they_go(
    qtbot: QtBot, view: OptionsView, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    assert view.may_close(), "nothing is lost, so nothing is asked"
    first = options(view)[0]
    press(first.buttons["keep"])
    assert "Keep the option as a file (Alt+Shift+K)" in view.bar.said.text()
    view.rename(first.key, "Smith choice")
    view._priced(view.prices.with_general("currency", "EUR"))
    settle(qtbot, view)
    asked: list[str] = []
    buttons = QMessageBox.StandardButton
    answers = [buttons.Cancel, buttons.Discard, buttons.Save, buttons.Save]

    def question(_parent: QWidget, _title: str, sentence: str, *_: object) -> QMessageBox.StandardButton:
        asked.append(sentence)
        return answers.pop(0)

    monkeypatch.setattr(QMessageBox, "question", question)
    assert not view.may_close() and view.may_close()
    lost = "prices were changed and not saved; 1 kept option is not saved (Smith choice)"
    assert asked[0] == f"Options of Pebble Court 3: {lost}. Save to files?"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: ("", ""))
    assert not view.may_close(), "a file that is not chosen keeps the window"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda _p, _t, start, _f: (str(tmp_path / Path(start).name), ""))
    assert view.may_close() and not view.unsaved and view.may_close()
    assert len(asked) == 4
    assert read_prices(tmp_path / "prices.toml").currency == "EUR"
    kept = next(c for c in view.columns if c.key == first.key)
    assert load(tmp_path / "pebble-court-3-smith-choice.train.json").tree == kept.document.tree
    view.rename(first.key, "Other choice")
    assert "Other choice" in view.unsaved
    view.session.path = tmp_path / "own.train.json"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "own.train.json"), ""))
    view.do_options_file(first.key)
    assert "is the file of the train on the bench" in view.bar.said.text() and "Other choice" in view.unsaved
    view.do_options_take(first.key)
    assert not view.unsaved, "on the bench it is asked for with the document"


def test_a_window_stays_where_a_view_keeps_it(qtbot: QtBot, session: Session, prefs: Prefs, monkeypatch: pytest.MonkeyPatch) -> None:
    with window_on(qtbot, prefs, session) as window:
        page = window.turn_to("options")
        assert isinstance(page, OptionsView)
        page.left()
        page.prices = default_prices().with_general("currency", "NOK")
        monkeypatch.setattr(QMessageBox, "question", lambda *_: QMessageBox.StandardButton.Cancel)
        assert not window.close() and window.isVisible()
        page.prices = default_prices()


def test_an_option_of_its_own_window_brings_its_name_and_prices(qtbot: QtBot, session: Session, prefs: Prefs) -> None:
    prices = default_prices().with_general("currency", "EUR")
    documents = Documents(prefs)
    window = documents._show_train(Aside(session.document, "Least to buy", prices))
    assert window.session is not None
    assert window.windowTitle() == "Pebble Court 3 \u2013 Least to buy[*] \u2013 trainapp"
    assert window.session.slug == "pebble-court-3-least-to-buy" and window.session.name == "Pebble Court 3"
    made = make(window.session, prefs)
    assert isinstance(made, OptionsView) and made.prices is prices
    made.deleteLater()
    window.session.stack.setClean()
    window.close()
