"""A board on a small site, its search and its draws made once for all tests."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from tests.desktop.opening import opened
from tests.desktop.options.board import rest
from trainapp.desktop.background import Cancelled
from trainapp.desktop.options import make
from trainapp.desktop.options import view as view_module
from trainapp.desktop.options.desk import Deepen, Seeker, deepen
from trainapp.desktop.options.view import OptionsView
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.studies.options.contender import Contender
from trainapp.train.document import Document

#: One search for all tests, and years and draws of one train once: they are the same every time.
_SEEKER = Seeker()
_KNOWN: dict[object, Contender] = {}


def _deepen(question: Deepen, cancelled: Cancelled) -> Contender:
    """The real answer, remembered."""
    contender, spreads = question.contender, question.spreads
    asked = contender.key, str(contender.document.tree), spreads.peak, str(spreads.lab_rows), question.ground.supposed_prices.labour
    if asked not in _KNOWN:
        _KNOWN[asked] = deepen(question, cancelled)
    return replace(contender, served=_KNOWN[asked].served, sure=_KNOWN[asked].sure)


@pytest.fixture
def session(root: Path) -> Session:
    """A home on a main: scale, and a low pressure that its train makes worse. Without its chlorine, so that there are fewer trains."""
    tree = json.loads((root / "samples" / "pebble-court-3.train.json").read_text(encoding="utf-8"))
    del tree["samples"][0]["results"]["free_chlorine"]
    return Session(Document.of(tree))


@pytest.fixture
def view(qtbot: QtBot, session: Session, prefs: Prefs, monkeypatch: pytest.MonkeyPatch) -> Iterator[OptionsView]:
    monkeypatch.setattr(view_module, "Seeker", lambda: _SEEKER)
    monkeypatch.setattr(view_module, "deepen", _deepen)
    made = make(session, prefs)
    assert isinstance(made, OptionsView)
    made.draws = 64
    with opened(qtbot, made, (1440, 860)):
        made.entered()
        rest(qtbot, made)
        yield made
