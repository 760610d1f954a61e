"""Numbers as the reader's locale writes them: on the screen alone, and never in a file, on paper or in what cites a source."""

from __future__ import annotations

import re

import pytest
from PySide6.QtCore import QLocale
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from tests.desktop.opening import window_on
from trainapp.desktop.figures import local
from trainapp.desktop.fonts import measure
from trainapp.desktop.painter import recorded
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Text
from trainapp.sources import sources
from trainapp.train.document import dumps

_DECIMAL = re.compile(r"(?<![\w.])\d+\.\d+(?![\w.])")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("3.10\u202fmg/L", "3,10\u202fmg/L"), ("…0.12", "…0,12"), ("≤0.05", "≤0,05"), ("\u22120.4 to 1.25", "\u22120,4 to 1,25"),
        ("1,234.50 USD, 12,000 draws", "1.234,50 USD, 12.000 draws"), ("It reads 7.2.", "It reads 7,2."), ("18 gpg, 5, 6", "18 gpg, 5, 6"),
        ("PySide6 6.11.3", "PySide6 6.11.3"), ("2026-05-04", "2026-05-04"), ("site-2.5.train.json", "site-2.5.train.json"),
        ("e103.3", "e103.3"), ("12\u202f345.5\u202fL", "12.345,5\u202fL"), ("Table 10.7", "Table 10.7"),
    ],
)  # fmt: skip
def test_a_number_follows_the_locale_and_a_name_does_not(german: None, text: str, shown: str) -> None:
    assert local(text) == shown


@pytest.mark.parametrize(("name", "shown"), [("en_US", "1,234.5"), ("fr_FR", "1\u202f234,5"), ("de_CH", "1'234.5"), ("ar_EG", "1,234.5")])
def test_each_locale_has_its_own_signs(name: str, shown: str) -> None:
    before = QLocale()
    QLocale.setDefault(QLocale(name))
    try:
        assert local("1,234.5") == shown
    finally:
        QLocale.setDefault(before)


def test_what_cites_a_source_stays(german: None) -> None:
    for source in sources().values():
        assert local(f"Source: {source.label} (published)") == f"Source: {source.label} (published)"


def test_a_comma_takes_the_room_of_a_point() -> None:
    """The drawing is laid out with points."""
    for size in (9.0, 12.0, 16.0):
        for bold in (False, True):
            assert measure("3,10", size, bold) == measure("3.10", size, bold)


def test_a_window_shows_no_point_and_writes_no_comma(german: None, qtbot: QtBot, prefs: Prefs, session: Session) -> None:
    before = dumps(session.document)
    with window_on(qtbot, prefs, session) as window:
        session.select(("stage", "softener"))
        QApplication.processEvents()
        assert window.workspace is not None
        view = window.workspace.canvas.view
        assert view is not None
        drawn = [text for text in _drawn(view.display.items) if re.search(r"\d[.,]\d", text)]
        assert len(drawn) > 20 and not any(_DECIMAL.search(text) for text in drawn)
        labels = [label.text() for label in window.findChildren(QLabel)]
        told = [text for text in labels if re.search(r"\d,\d", text)]
        assert len(told) > 5
        assert [text for text in labels if _DECIMAL.search(text) and not any(s.title in text for s in sources().values())] == []
    assert dumps(session.document) == before


def _drawn(items: object) -> list[str]:
    return [arguments[1] for call, arguments in recorded(items, look().colour) if call is QPainter.drawText]  # type: ignore[arg-type]


def test_paper_keeps_its_points(german: None) -> None:
    shapes = [Text(0.0, 0.0, "3.10", "ink", 12.0)]
    assert _drawn(shapes) == ["3,10"]
    kept = recorded(shapes, look().colour, figures=str)
    assert [arguments[1] for call, arguments in kept if call is QPainter.drawText] == ["3.10"]
