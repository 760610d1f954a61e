"""Files that are written from the Year view."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from tests.desktop.hands import LEFT
from trainapp.desktop.year.exporting import YearExport
from trainapp.desktop.year.view import YearView
from trainapp.desktop.year.work import Answer

Ran = Callable[[], Answer]


class Exporter:
    """Opens the window and writes what is chosen in it."""

    def __init__(self, qtbot: QtBot, view: YearView, monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
        self.qtbot, self.monkeypatch, self.folder, self.view = qtbot, monkeypatch, folder, view

    def open(self) -> YearExport:
        QTest.mouseClick(self.view.head.export, LEFT)
        window = next(window for window in self.view.window().findChildren(YearExport) if window.isVisible())
        return window

    def write(self, window: YearExport, key: str, name: str, wait: bool = True) -> Path:
        path = self.folder / name
        self.monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(path), ""))
        window.what.setFocus()
        window.what.setCurrentIndex(window.what.findData(key))
        QTest.mouseClick(window.button, LEFT)
        if wait:
            self.qtbot.waitUntil(lambda: not window.busy, timeout=30_000)
        return path


@pytest.fixture
def view(qtbot: QtBot, shared: YearView) -> YearView:
    """The shared view, one train alone."""
    shared.do_year_alone()
    qtbot.waitUntil(lambda: not shared.runner.busy, timeout=20_000)
    return shared


@pytest.fixture
def exporter(qtbot: QtBot, view: YearView, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Exporter:
    """Writes into a folder of the test."""
    return Exporter(qtbot, view, monkeypatch, tmp_path)


def test_charts_as_png_and_svg(view: YearView, exporter: Exporter) -> None:
    window = exporter.open()
    path = exporter.write(window, "charts-svg", "charts.svg")
    words = " ".join(ElementTree.parse(path).getroot().itertext())
    assert "Hardness" in words and "Pressure" in words and "illustrative" in words and "only tests do" in words
    assert window.said.text() == f"Wrote {path}."
    window.chart.setFocus()
    QTest.keyClick(window.chart, Qt.Key.Key_Down)
    assert not exporter.write(window, "charts-png", "one").exists()  # a name without an ending gets ours
    image = QImage(str(exporter.folder / "one.png"))
    # as in the window: no date beside a teaching picture, on a chart alone neither
    words = " ".join(ElementTree.parse(exporter.write(window, "charts-svg", "one.svg")).getroot().itertext())
    assert "month 0" in words and "Jan" not in words.split()
    assert image.width() == 1920 and 600 < image.height() < 900  # one chart, what ran over it and the cautions under it
    window.close()


def test_what_cannot_be_written_is_said(view: YearView, ran: Ran, exporter: Exporter) -> None:
    window = exporter.open()
    exporter.write(window, "pair-text", "both.txt")
    assert "one train runs alone" in window.said.text() and window.mark.isVisible()
    exporter.write(window, "charts-svg", "charts.gif")
    assert window.said.text() == "Not written: charts.gif does not end in .svg."
    exporter.write(window, "charts-svg", "nowhere/charts.svg")
    assert window.said.text().startswith("Not written: ") and "nowhere" in window.said.text()
    view.do_year_both()
    ran()
    exporter.open()
    text = exporter.write(window, "pair-text", "both.txt").read_text(encoding="utf-8")
    assert "without pre-treatment" in text and "illustrative" in text and "only tests do" in text
    page = " ".join(ElementTree.parse(exporter.write(window, "pair-svg", "both.svg")).getroot().itertext())
    assert "without pre-treatment" in page.lower() and "illustrative" in page and "only tests do" in page
    window.close()


def test_the_animation_of_one_train_and_of_two(view: YearView, ran: Ran, exporter: Exporter) -> None:
    window = exporter.open()
    window.pictures.insertItem(0, "3", "3")
    window.pictures.setCurrentIndex(0)
    window.width_box.setCurrentIndex(0)
    with Image.open(exporter.write(window, "animation", "one.gif")) as alone:
        assert (alone.n_frames, alone.size) == (3, (640, 400))
    view.do_year_both()
    ran()
    exporter.open()
    with Image.open(exporter.write(window, "animation", "two.gif")) as both:
        assert both.n_frames == 3
        both.seek(2)
        assert len(both.convert("RGB").getcolors(65536) or ()) > 10
    window.close()


def test_cancel_leaves_no_file(qtbot: QtBot, view: YearView, exporter: Exporter) -> None:
    window = exporter.open()
    window.pictures.setCurrentIndex(window.pictures.count() - 1)
    path = exporter.write(window, "animation", "long.gif", wait=False)
    qtbot.waitUntil(lambda: window.cancel.isVisible(), timeout=10_000)
    assert not window.button.isEnabled()
    QTest.mouseClick(window.cancel, LEFT)
    assert not window.busy and window.said.text() == "Stopped; nothing was written."
    assert window.button.isEnabled() and not window.cancel.isVisible()
    qtbot.waitUntil(lambda: not list(exporter.folder.glob(".long*")), timeout=10_000)
    assert not path.exists()
    window.close()
