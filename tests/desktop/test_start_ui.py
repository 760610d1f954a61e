"""Start in a minute: offered where nothing is one's own yet, a few answers, a first train, and what still needs testing."""

from __future__ import annotations

from pathlib import Path
from typing import Any, TypeVar

import pytest
from pypdf import PdfReader
from PySide6.QtCore import QEvent, QLocale, Qt
from PySide6.QtGui import QGuiApplication, QTextDocument
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from tests.desktop.hands import LEFT, key
from trainapp.desktop.app import Documents
from trainapp.desktop.printing import Preview, make_printer
from trainapp.desktop.sampling import SamplingWindow
from trainapp.desktop.starting import WORKING, StartWindow
from trainapp.desktop.window import Window
from trainapp.reports.print_paper import PAPERS
from trainapp.train.edits import SetValue

W = TypeVar("W", bound=QWidget)


@pytest.fixture
def first(documents: Documents, qtbot: QtBot) -> Window:
    """The window of a first run."""
    window = documents.open(None, first_run=True)
    qtbot.waitUntil(lambda: window.session is not None)
    QApplication.processEvents()
    return window


def open_one(kind: type[W]) -> W:
    """The one open window of a kind."""
    found = [w for w in QApplication.topLevelWidgets() if isinstance(w, kind) and w.isVisible()]
    assert len(found) == 1, found
    return found[0]


@pytest.fixture
def asked(first: Window) -> StartWindow:
    """The questions."""
    QTest.mouseClick(first.offer.button, LEFT)
    return open_one(StartWindow)


def begun(documents: Documents, qtbot: QtBot) -> Window:
    """The window of the first train, once it is put together."""
    qtbot.waitUntil(lambda: len(documents.windows) == 2 and documents.windows[1].session is not None, timeout=20_000)
    return documents.windows[1]


def test_a_first_run_offers_it_in_a_line_and_asks_nothing(first: Window, documents: Documents) -> None:
    assert first.offer.isVisible() and "invented sample" in first.offer.text.text()
    assert QApplication.activeModalWidget() is None and QApplication.activePopupWidget() is None
    QTest.mouseClick(first.offer.leave, LEFT)
    assert not first.offer.isVisible()


def test_a_new_train_offers_it_too_and_a_file_does_not(documents: Documents, farm_well: Path, qtbot: QtBot) -> None:
    new, file = documents.open(None), documents.open(farm_well)
    qtbot.waitUntil(lambda: new.session is not None and file.session is not None)
    assert new.offer.isVisible() and not hasattr(file, "offer")


def test_five_answers_put_a_train_on_the_bench(asked: StartWindow, documents: Documents, qtbot: QtBot) -> None:
    asked.source.field.setFocus()
    key(asked.source.field, Qt.Key.Key_Down, Qt.Key.Key_Down, Qt.Key.Key_Down)
    for field, text in (
        (asked.people.field, "5"),
        (asked.water["hardness"].field, "18 gpg"),
        (asked.water["iron"].field, "<0.1 mg/L"),
        (asked.water["ph"].field, "6.9"),
        (asked.name.field, "Fern Hollow"),
    ):
        QTest.keyClicks(field, text)
    assert asked.water["hardness"].line.text().startswith("18") and "308" in asked.water["hardness"].line.text()
    QTest.mouseClick(asked.button, LEFT)
    assert asked.said.text() == WORKING and not asked.button.isEnabled() and len(documents.windows) == 1
    session = begun(documents, qtbot).session
    assert not any(isinstance(w, StartWindow) and w.isVisible() for w in QApplication.topLevelWidgets())
    assert session is not None and session.name == "Fern Hollow" and session.path is None
    document = session.document
    assert document.supply.word("source") == "dug_well" and document.people == 5
    assert document.samples[0].results["iron"]["value"] == "<0.1 mg/L"
    kinds = [stage.kind for stage in document.stages]
    assert "softener" in kinds and kinds[-1] == "uv_chamber"
    assert documents.windows[1].isWindowModified(), "nobody has saved these answers"


def test_everything_may_be_left_out_and_the_page_says_what_was_assumed(asked: StartWindow, documents: Documents, qtbot: QtBot) -> None:
    QTest.mouseClick(asked.button, LEFT)
    session = begun(documents, qtbot).session
    assert session is not None and session.document.samples[0].results == {}
    page = open_one(SamplingWindow)
    assert "because nobody said what kind of source" in page.text and "4 people, because nobody said how many" in page.text
    assert "Sampling order, New site" in page.text and "Before anyone drinks it" in page.text and "E. coli" in page.text
    shown = page.page.toPlainText()
    assert "What is assumed" in shown and "Sterile bottle" in shown


def test_it_is_done_by_keyboard_alone(first: Window, documents: Documents, qtbot: QtBot) -> None:
    key(first, Qt.Key.Key_N, modifier=Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    asked = open_one(StartWindow)
    asked.activateWindow()
    qtbot.waitUntil(asked.isActiveWindow)
    assert asked.source.field.hasFocus()
    for text in ("", "3", "12", "2.5", "7.1", "Quiet Ford"):
        QTest.keyClicks(QApplication.focusWidget(), text)
        last = QApplication.focusWidget()
        key(last, Qt.Key.Key_Tab)
    key(last, Qt.Key.Key_Return)
    session = begun(documents, qtbot).session
    assert session is not None and session.name == "Quiet Ford" and session.document.people == 3
    results = {name: row["value"] for name, row in session.document.samples[0].results.items()}
    assert results == {"hardness": "12 gpg", "iron": "2.5 mg/L", "ph": "7.1"}


def test_answers_that_cannot_be_read_are_counted(asked: StartWindow) -> None:
    QTest.keyClicks(asked.people.field, "none")
    QTest.mouseClick(asked.button, LEFT)
    assert asked.said.text() == "Not started: one answer cannot be read."
    QTest.keyClicks(asked.water["iron"].field, "much")
    QTest.mouseClick(asked.button, LEFT)
    assert asked.said.text() == "Not started: 2 answers cannot be read."
    assert not asked.people.mark.isHidden() and not asked.water["iron"].mark.isHidden()


@pytest.mark.parametrize(
    ("which", "text", "sentence"),
    [
        ("hardness", "3 furlongs", '"3 furlongs" is not a hardness'),
        ("iron", "much", '"much" is not a concentration'),
        ("ph", "71", '"71" is not a pH between 0 and 14'),
        ("people", "none", '"none" is not a number of people'),
        ("people", "0", "a household start is for 1 to 24 people"),
        ("people", "9000", "a household start is for 1 to 24 people"),
    ],
)
def test_an_answer_that_cannot_be_read_is_said_at_its_question(
    asked: StartWindow, documents: Documents, which: str, text: str, sentence: str, qtbot: QtBot
) -> None:
    answer = asked.people if which == "people" else asked.water[which]
    QTest.keyClicks(answer.field, text)
    key(answer.field, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: sentence in answer.line.text())
    assert not answer.mark.isHidden() and answer.field.hasFocus()
    assert asked.isVisible() and len(documents.windows) == 1 and asked.said.text().startswith("Not started")
    QTest.keyClick(answer.field, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClick(answer.field, Qt.Key.Key_Delete)
    assert answer.mark.isHidden()
    key(answer.field, Qt.Key.Key_Return)
    begun(documents, qtbot)


def test_a_number_alone_is_in_the_units_shown_with_the_locales_decimal_sign(first: Window, documents: Documents, qtbot: QtBot) -> None:
    QLocale.setDefault(QLocale(QLocale.Language.German, QLocale.Country.Germany))
    try:
        first.run("units")
        first.run("start")
        asked = open_one(StartWindow)
        QTest.keyClicks(asked.water["hardness"].field, "1,5 mmol/L")
        QTest.keyClicks(asked.water["iron"].field, "2,5")
        key(asked.water["iron"].field, Qt.Key.Key_Return)
    finally:
        QLocale.setDefault(QLocale.c())
    session = begun(documents, qtbot).session
    assert session is not None and session.system == "metric"
    results = session.document.samples[0].results
    assert results["hardness"]["value"].endswith("mmol/L") and results["iron"]["value"] == "2.5 mg/L"


def test_the_questions_follow_the_units(asked: StartWindow, first: Window) -> None:
    answer = asked.water["hardness"]
    QTest.keyClicks(answer.field, "180")
    assert answer.line.text().startswith("180\u202fgpg")
    first.run("units")
    assert answer.line.text() == "180\u202fmg/L" and answer.text() == "180 mg/L"
    answer.field.clear()
    assert "a number alone is in mg/L" in answer.line.text()


def test_opened_twice_there_is_one(first: Window) -> None:
    first.run("start")
    first.run("start")
    open_one(StartWindow)


# What still needs testing -----------------------------------------------------------------------------------------------------------


@pytest.fixture
def page(asked: StartWindow, documents: Documents, qtbot: QtBot) -> SamplingWindow:
    QTest.keyClicks(asked.water["hardness"].field, "18")
    QTest.mouseClick(asked.button, LEFT)
    begun(documents, qtbot)
    return open_one(SamplingWindow)


def test_what_was_tested_leaves_the_order(page: SamplingWindow) -> None:
    assert "Nitrate:" in page.text
    page.session.edit(SetValue(path=("samples", "kitchen-table", "results", "nitrate"), value="<0.5 mg/L"))
    assert "Nitrate:" not in page.text and "Nitrate" not in page.page.toPlainText()
    page.session.stack.undo()
    assert "Nitrate:" in page.text


def test_it_is_copied_and_kept_as_text(page: SamplingWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    QTest.mouseClick(page.copy, LEFT)
    assert QGuiApplication.clipboard().text() == page.text and page.said.text() == "Copied."
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a: (str(tmp_path / "order"), ""))
    QTest.mouseClick(page.keep, LEFT)
    assert (tmp_path / "order.txt").read_text(encoding="utf-8") == page.text
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a: (str(tmp_path / "none" / "order.txt"), ""))
    QTest.mouseClick(page.keep, LEFT)
    assert "there is no folder" in page.said.text() and not page.mark.isHidden()


def test_it_prints_in_black_whatever_the_theme(page: SamplingWindow, tmp_path: Path, qtbot: QtBot) -> None:
    QTest.mouseClick(page.paper, LEFT)
    preview = open_one(Preview)
    QApplication.processEvents()
    document = preview.findChild(QTextDocument)
    assert document is not None
    printer = make_printer(PAPERS["letter"], "order")
    printer.setFullPage(False)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "order.pdf"))
    preview.paint_on(printer)
    reader = PdfReader(tmp_path / "order.pdf")
    text = "".join(sheet.extract_text() for sheet in reader.pages)
    assert "Sampling" in text and "coli" in text
    assert [round(float(x)) for x in reader.pages[0].mediabox[2:]] == [612, 792]
    preview.close()


def test_a_first_train_closes_only_after_asking(page: SamplingWindow, documents: Documents, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []

    def cancel(*told: Any) -> QMessageBox.StandardButton:
        asked.append(told[2])
        return QMessageBox.StandardButton.Cancel

    monkeypatch.setattr(QMessageBox, "question", cancel)
    assert not documents.windows[1].close() and asked == ["New site was changed and not saved. Save it?"]
    monkeypatch.setattr(QMessageBox, "question", lambda *a: QMessageBox.StandardButton.Discard)
    window = documents.windows[1]
    assert window.close()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert [w for w in QApplication.topLevelWidgets() if isinstance(w, SamplingWindow) and w.isVisible()] == []
