"""Lists beside the bench: title bars in the look of the program, rows that can be hit, nothing cut, and the train said in full."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QListView

from tests.desktop.hands import LEFT
from trainapp.checks.context import analyte_inside
from trainapp.desktop.card import StageCard
from trainapp.desktop.docks import DockTitle
from trainapp.desktop.recent import RecentFiles
from trainapp.desktop.recent_menu import RecentWindow
from trainapp.desktop.session import Session
from trainapp.desktop.window import Window
from trainapp.desktop.words import told
from trainapp.reports.drawing.tokens import ROW
from trainapp.spelling import spelt
from trainapp.train.edits import Batch, SetValue


def heights(view: QListView) -> list[int]:
    model = view.model()
    return [view.visualRect(model.index(row, 0)).height() for row in range(model.rowCount())]


def test_docks_have_their_own_title_bar_which_closes_them(window: Window) -> None:
    for command, dock in (("history", window.history), ("words", window.words)):
        window.run(command)
        QApplication.processEvents()
        title = dock.titleBarWidget()
        assert dock.isVisible() and isinstance(title, DockTitle) and title.label.text() == dock.windowTitle()
        assert title.close_button.accessibleName() == f"Close {dock.windowTitle()}"
        QTest.mouseClick(title.close_button, LEFT)
        assert not dock.isVisible()


def test_rows_of_the_history_are_tall_enough_and_wrap_what_is_long(window: Window, session: Session) -> None:
    note = SetValue(path="site.notes", value="a")
    session.edit(note)
    window.run("history")
    QApplication.processEvents()
    assert min(heights(window.history.view)) >= ROW
    session.edit(Batch(edits=[SetValue(path="site.notes", value="b")], name="Put in a cartridge " + "with a very long name " * 6))
    QApplication.processEvents()
    assert max(heights(window.history.view)) > ROW
    # the list gets wider: what took several lines takes fewer
    tall = max(heights(window.history.view))
    window.history.setFloating(True)
    window.history.resize(900, 400)
    QApplication.processEvents()
    assert max(heights(window.history.view)) < tall


def test_rows_of_recent_files_are_tall_enough(window: Window, tmp_path: Path) -> None:
    recent = RecentFiles(window.prefs.recent._kept)
    recent.note(tmp_path / "one.train.json")
    recent.note(tmp_path / ("a-long-name-" * 12 + ".train.json"))
    files = RecentWindow(recent, window)
    files.show()
    QApplication.processEvents()
    found = heights(files.list)
    assert min(found) >= ROW and max(found) > ROW
    files.close()


def test_the_train_in_words_tells_what_is_within_what_is_unknown_and_what_is_set(session: Session) -> None:
    lines = {text for _, _, below in told(session) for text, _ in below}
    assert any(text.endswith(": within") for text in lines)
    assert session.assessment is not None
    unmeasured = [text for text in lines if text.startswith("not measured: ")]
    for row in session.assessment.model.rows:
        if all(cell is None or cell.status == "missing" for cell in row.cells.values()) and row.cells:
            assert all(spelt(analyte_inside(row.key)) in text for text in unmeasured) and unmeasured
    written = [stage for stage in session.document.stages if stage.settings]
    assert not written or any(" set to " in text for text in lines)


def test_the_name_in_files_comes_behind_the_settings(window: Window, session: Session) -> None:
    session.select(("stage", session.document.stages[0].id))
    window.run("card")
    QApplication.processEvents()
    card = window.findChild(StageCard)
    assert card is not None and card.name_row is not None
    tops = [row.mapTo(card.widget(), row.rect().topLeft()).y() for row in card.rows.values() if row.isVisible()]
    assert tops and card.name_row.mapTo(card.widget(), card.name_row.rect().topLeft()).y() > max(tops)


def test_the_item_of_a_card_is_told_in_the_units_shown(window: Window, session: Session) -> None:
    """2 ft3 and 12 x 52 in are no sizes for a metric reader."""
    softener = next(stage for stage in session.document.stages if stage.item and "softener" in stage.item)
    session.select(("stage", softener.id))
    window.run("card")
    QApplication.processEvents()
    card = window.findChild(StageCard)
    assert card is not None
    label = card._summary.text()
    window.run("units")
    QApplication.processEvents()
    metric = card._summary.text()
    assert "12 x 52" in label or "in" in label.split("Item: ")[1].split()
    assert " mm" in metric.replace("\u202f", " ") and "ft³" not in metric and "ft3" not in metric
