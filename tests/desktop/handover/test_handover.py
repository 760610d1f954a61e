"""The Hand-over view, driven by keys and clicks: papers with their pages, files, the upkeep log."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QWidget
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from tests.desktop.handover.steps import choose, click, settle, wheel
from trainapp.desktop.handover import work
from trainapp.desktop.handover.view import HandoverView
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.theme import look
from trainapp.desktop.window import Window
from trainapp.reports.handover import KINDS
from trainapp.studies.options import SearchCancelled
from trainapp.train.edits import SetValue


def save_as(view: HandoverView, monkeypatch: pytest.MonkeyPatch, path: Path, kinds: str = "") -> None:
    """Click Save and answer the question for a file."""
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(path), kinds))
    click(view.panel.save)
    settle(view)


# Papers -----------------------------------------------------------------------------------------------------------------------


def test_it_opens_on_the_job_sheet_with_its_pages(view: HandoverView) -> None:
    assert view.panel.key == "job-sheet" and view.area.count >= 4
    assert view.area.job is not None and view.area.job.title == "Pebble Court 3: job sheet"
    assert view.bar.page.text() == f"Page 1 of {view.area.count}"
    assert "Preview of Job sheet, page 1" in view.area.accessibleName() and "Pebble Court 3" in view.area.accessibleDescription()


def test_every_paper_is_shown(view: HandoverView) -> None:
    for kind in KINDS:
        choose(view, kind.key)
        assert view.area.count >= 1 and view.panel.holds.text() == kind.holds, kind.key
        assert view.panel.said.text() == ""
    choose(view, "short")
    assert view.area.count == 1


def test_the_pages_are_ink_on_white_paper_in_the_dark(view: HandoverView) -> None:
    look().choose("dark")
    picture = view.area.viewport().grab().toImage()
    paper = view.area._area(view.area.job.pages[0], view.area.tops()[0])  # type: ignore[union-attr]
    inside = (paper.center() + QPointF(-paper.width() * 0.48, 0)).toPoint()
    assert picture.pixelColor(inside) == QColor("#FFFFFF")
    assert picture.pixelColor(3, 3) == look().colour("well")


def test_another_sheet_and_other_units_make_other_pages(view: HandoverView) -> None:
    view.panel.paper.setFocus()
    before = view.area.job
    QTest.keyClick(view.panel.paper, Qt.Key.Key_End)
    view.panel.paper.activated.emit(view.panel.paper.currentIndex())
    settle(view)
    assert view.area.job is not before and round(view.area.job.pages[1].height) == 1123  # type: ignore[union-attr]
    view.panel.units.setFocus()
    QTest.keyClick(view.panel.units, Qt.Key.Key_End)
    view.panel.units.activated.emit(view.panel.units.currentIndex())
    settle(view)
    assert view.session.system == "us", "the window keeps its own"
    assert "L/min" in " ".join(_texts(view)) and "gpm" not in " ".join(_texts(view))


def _texts(view: HandoverView) -> list[str]:
    from trainapp.reports.drawing.display import texts

    assert view.area.job is not None
    return [text.text for page in view.area.job.pages for part in page.parts for text, _ in texts(part.display.items)]


def test_a_changed_train_gets_other_pages(view: HandoverView) -> None:
    assert view.session.edit(SetValue(path="site.name", value="Pebble Court 4"))
    assert view.area.job is not None and view.area.job.title.startswith("Pebble Court 3")
    settle(view)
    assert view.area.job.title.startswith("Pebble Court 4")


def test_turned_away_from_nothing_is_made(home: Window, view: HandoverView) -> None:
    QTest.keyClick(home, Qt.Key.Key_F5)
    assert view.session.edit(SetValue(path="site.name", value="Pebble Court 4"))
    QTest.qWait(200)
    assert not view.working and view.area.job is not None and view.area.job.title.startswith("Pebble Court 3")
    QTest.keyClick(home, Qt.Key.Key_F8)
    settle(view)
    assert view.area.job.title.startswith("Pebble Court 4")


# Pages ------------------------------------------------------------------------------------------------------------------------


def test_pages_are_turned_by_keys_and_gone_to_by_the_contents(home: Window, view: HandoverView) -> None:
    QTest.keyClick(home, Qt.Key.Key_PageDown, Qt.KeyboardModifier.AltModifier)
    assert view.area.page == 2 and view.bar.page.text().startswith("Page 2 of")
    QTest.keyClick(home, Qt.Key.Key_PageUp, Qt.KeyboardModifier.AltModifier)
    assert view.area.page == 1
    place = view.bar.contents.findText("Sources")
    assert place > 0
    view.bar.contents.activated.emit(place)
    assert view.area.page == view.bar._places[place][0] > 1
    view.area.setFocus()
    QTest.keyClick(view.area, Qt.Key.Key_Down)
    assert view.area.verticalScrollBar().value() > 0


def test_pages_grow_and_shrink_about_the_page_that_is_seen(home: Window, view: HandoverView) -> None:
    view.area.go_to(3)
    natural = view.area.scale
    QTest.keyClick(home, Qt.Key.Key_Plus, Qt.KeyboardModifier.AltModifier)
    assert view.area.scale == pytest.approx(natural * 1.25) and view.area.page == 3
    wheel(view.area.viewport(), -120, Qt.KeyboardModifier.ControlModifier)
    assert view.area.scale == pytest.approx(natural)
    click(view.bar.width_button)
    assert view.area.factor is None


def test_the_wheel_turns_pages_and_never_a_choice(view: HandoverView) -> None:
    wheel(view.area.viewport(), -240)
    assert view.area.verticalScrollBar().value() > 0
    view.area.setFocus()
    for box in (view.panel.paper, view.panel.units, view.upkeep.form.stage, view.upkeep.form.what, view.bar.contents):
        before = box.currentIndex()
        wheel(box, -120)
        assert box.currentIndex() == before


# Files ------------------------------------------------------------------------------------------------------------------------


def test_a_paper_is_saved_and_said_to_be(view: HandoverView, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    save_as(view, monkeypatch, tmp_path / "sheet")
    assert len(PdfReader(tmp_path / "sheet.pdf").pages) == view.area.count
    assert view.panel.said.text() == f"Wrote {tmp_path / 'sheet.pdf'}."
    choose(view, "upkeep")
    save_as(view, monkeypatch, tmp_path / "upkeep", "ICS (*.ics)")
    assert (tmp_path / "upkeep.ics").read_bytes().startswith(b"BEGIN:VCALENDAR")


def test_a_second_file_waits_for_the_first(view: HandoverView, tmp_path: Path) -> None:
    view.write_into((("job-sheet", tmp_path / "first.pdf"),))
    view.write_into((("job-sheet", tmp_path / "second.pdf"),))
    assert "still being written" in view.panel.said.text()
    settle(view)
    assert [path.name for path in tmp_path.glob("*.pdf")] == ["first.pdf"]


def test_a_name_with_another_ending_is_refused(view: HandoverView, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    save_as(view, monkeypatch, tmp_path / "sheet.doc")
    assert view.panel.said.text() == "Not written: sheet.doc ends in none of .pdf." and not view.panel.mark.isHidden()


def test_a_folder_that_is_not_there_is_one_sentence(view: HandoverView, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    save_as(view, monkeypatch, tmp_path / "no" / "sheet.pdf")
    assert view.panel.said.text().startswith("Not written:") and "there is no folder" in view.panel.said.text()
    assert view.area.count and view.panel.save.isEnabled()


def test_all_papers_are_saved_into_a_folder(view: HandoverView, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    folder = tmp_path / "papers"
    folder.mkdir()
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(folder))
    click(view.panel.save_all)
    settle(view)
    names = {path.name.removeprefix("pebble-court-3-") for path in folder.iterdir()}
    assert names == {f"{kind.key}{ending}" for kind in KINDS for ending in kind.endings}
    asked: list[str] = []
    monkeypatch.setattr("trainapp.desktop.handover.doing.ask", lambda *words: asked.append(words[2]) or "cancel")
    before = {path: path.stat().st_mtime_ns for path in folder.iterdir()}
    click(view.panel.save_all)
    settle(view)
    assert "in that folder already" in asked[0] and before == {path: path.stat().st_mtime_ns for path in folder.iterdir()}


def test_a_logo_and_terms_are_picked_shown_and_remembered(
    view: HandoverView, prefs: Prefs, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    Image.new("RGB", (300, 80), (0, 90, 0)).save(tmp_path / "ours.png")
    choose(view, "short")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(tmp_path / "ours.png"), ""))
    click(view.panel.rows["logo"].pick)
    settle(view)
    assert view.area.job is not None and len(view.area.job.pages[0].pictures) == 1
    assert view.panel.rows["logo"].name.text() == "ours.png"
    picture = view.area.viewport().grab().toImage()
    assert any(picture.pixelColor(x, y) == QColor(0, 90, 0) for x in range(60, picture.width(), 6) for y in range(20, 200, 6))
    again = HandoverView(view.session, prefs)
    assert again.files.logo == tmp_path / "ours.png"
    again.deleteLater()
    click(view.panel.rows["logo"].leave)
    settle(view)
    assert not view.area.job.pages[0].pictures


def test_a_logo_that_is_none_is_said_and_leaves_the_pages(view: HandoverView, tmp_path: Path) -> None:
    (tmp_path / "ours.png").write_text("no picture")
    choose(view, "short")
    before = view.area.job
    view.use_file("logo", tmp_path / "ours.png")
    settle(view)
    assert "is neither a PNG nor a JPEG picture" in view.panel.said.text() and view.area.job is before and view.area.stale


def test_a_price_list_of_ones_own_is_counted_with(view: HandoverView, tmp_path: Path) -> None:
    (tmp_path / "ours.csv").write_text("section,kind,item,price\n")
    choose(view, "comparison")
    view.use_file("prices", tmp_path / "ours.csv")
    settle(view)
    said = view.panel.said.text()
    assert said.startswith("Not shown:") and "ours.csv" in said
    view.leave_out("prices")
    settle(view)
    assert view.panel.said.text() == "" and view.panel.rows["prices"].name.text() == "invented prices"


def test_the_pages_go_to_the_printer_as_they_are(view: HandoverView, qtbot: QtBot) -> None:
    from trainapp.desktop.printing import Preview

    click(view.panel.print)
    (preview,) = view.findChildren(Preview)
    qtbot.waitUntil(preview.isVisible)
    assert preview.windowTitle() == "Print: Pebble Court 3: job sheet"
    preview.close()


# Given up ---------------------------------------------------------------------------------------------------------------------


def test_a_search_can_be_given_up(view: HandoverView, monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_: object, progress, cancelled, **__: object) -> None:  # type: ignore[no-untyped-def]
        progress(0.25)
        while not cancelled():
            time.sleep(0.01)
        raise SearchCancelled

    monkeypatch.setattr(work, "find_offer", never)
    before = view.area.job
    view.panel.choose("proposal")
    end = time.monotonic() + 5.0
    while view.panel.running.isHidden():
        assert time.monotonic() < end
        QTest.qWait(20)
    assert view.panel.running.told.text().startswith("Looking for trains: 2") and not view.panel.save.isEnabled()
    click(view.panel.running.cancel)
    assert not view.working and view.panel.running.isHidden() and view.panel.said.text().startswith("Given up")
    assert view.area.job is before


# For everyone -----------------------------------------------------------------------------------------------------------------


def test_everything_that_takes_the_keyboard_has_a_name(view: HandoverView) -> None:
    focusable = [w for w in view.findChildren(QWidget) if w.focusPolicy() & Qt.FocusPolicy.TabFocus and w.isVisible()]
    assert len(focusable) > 15
    assert [type(w).__name__ for w in focusable if not w.accessibleName()] == []


@pytest.mark.parametrize("width", [800, 1000, 1280, 1920])
def test_nothing_is_squeezed_out_of_the_window(home: Window, view: HandoverView, width: int) -> None:
    home.resize(width, 700)
    QTest.qWait(20)
    assert view.width() <= width
    assert view.area.isVisible() and view.area.width() >= 300
    assert view.upkeep.isVisible() == (width >= 1120)
    if width < 1120:
        click(view.upkeep_tab)
        assert view.upkeep.isVisible() and not view.area.isVisible()


def test_closing_while_it_works_leaves_nothing_behind(home: Window, view: HandoverView) -> None:
    view.panel.choose("proposal")
    assert view.working
    view.session.stack.setClean()
    home.close()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    QTest.qWait(100)
    assert not isValid(view)
