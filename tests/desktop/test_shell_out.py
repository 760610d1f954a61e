"""What leaves the window: exports that other programs read back, the same picture as the command line draws, and printed pages."""

from __future__ import annotations

import csv
import io
import subprocess
import sys
import threading
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader
from PySide6.QtCore import QEvent, QLocale, Qt
from PySide6.QtGui import QImage, QPageLayout, QPageSize
from PySide6.QtPrintSupport import QPrinter, QPrintPreviewWidget
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from tests.desktop.hands import LEFT
from trainapp.desktop import exporting
from trainapp.desktop.exporting import DOTS, FORMATS, ExportWindow
from trainapp.desktop.printing import Preview, make_printer, paint_job, paper_for, paper_in
from trainapp.desktop.session import Session
from trainapp.desktop.theme import look
from trainapp.desktop.window import Window
from trainapp.reports.picture import SIZE
from trainapp.reports.print_bench import bench_job
from trainapp.reports.print_paper import PAPERS, PX_PER_INCH, Paper
from trainapp.train.edits import Unlink


@pytest.fixture
def dialog(window: Window) -> ExportWindow:
    window.run("export")
    found = [w for w in QApplication.topLevelWidgets() if isinstance(w, ExportWindow) and w.isVisible()]
    assert len(found) == 1
    return found[0]


def export(dialog: ExportWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, path: Path, what: str, **choices: str) -> str:
    """Choose, press Export and wait; what was said."""
    dialog.what.setCurrentIndex(dialog.what.findData(what))
    for name, word in choices.items():
        box = getattr(dialog, name)
        assert box.isVisible()
        box.setCurrentIndex(box.findData(word))
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a: (str(path), ""))
    QTest.mouseClick(dialog.button, LEFT)
    qtbot.waitUntil(lambda: not dialog.busy, timeout=60_000)
    return dialog.said.text()


# Exports ----------------------------------------------------------------------------------------------------------------------------


def test_a_png_has_the_dots_that_were_asked_for(
    dialog: ExportWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    path = tmp_path / "bench.png"
    assert export(dialog, qtbot, monkeypatch, path, "picture-png", dots="150") == f"Wrote {path}."
    image = QImage(str(path))
    assert round(image.dotsPerMeterX() * 0.0254) == round(image.dotsPerMeterY() * 0.0254) == 150
    assert image.width() >= SIZE[0] * 150 / 96 and image.height() >= SIZE[1] * 150 / 96
    assert DOTS == (96, 150, 300, 600)


def test_an_svg_is_the_one_that_the_command_line_draws(
    dialog: ExportWindow, session: Session, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, farm_well: Path, root: Path
) -> None:
    path, other = tmp_path / "bench.svg", tmp_path / "cli.svg"
    export(dialog, qtbot, monkeypatch, path, "picture-svg")
    command = [sys.executable, "-m", "trainapp", "picture", str(farm_well), "--out", str(other)]
    subprocess.run(command, check=True, cwd=root, timeout=120, capture_output=True)
    assert path.read_bytes() == other.read_bytes()
    texts = [node.text for node in ET.fromstring(path.read_text(encoding="utf-8")).iter() if node.tag.endswith("text")]
    assert "Lone Alder Farm" in texts


def test_colours_and_units_are_those_that_were_chosen(
    dialog: ExportWindow, window: Window, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    window.run("units")
    export(dialog, qtbot, monkeypatch, tmp_path / "dark.svg", "picture-svg", colours="dark")
    text = (tmp_path / "dark.svg").read_text(encoding="utf-8")
    assert "#1C1C1C" in text and "L/min" in text


def test_pdfs_hold_text_that_can_be_searched(dialog: ExportWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    export(dialog, qtbot, monkeypatch, tmp_path / "one.pdf", "picture-pdf")
    [page] = PdfReader(tmp_path / "one.pdf").pages
    assert "Lone Alder Farm" in page.extract_text()
    export(dialog, qtbot, monkeypatch, tmp_path / "pages.pdf", "pages-pdf", paper="a4")
    pages = PdfReader(tmp_path / "pages.pdf").pages
    assert len(pages) > 3 and "Findings" in "".join(page.extract_text() for page in pages)
    assert sorted(round(float(side)) for side in pages[1].mediabox[2:]) == [595, 842]


def test_ledgers_are_read_back(dialog: ExportWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    export(dialog, qtbot, monkeypatch, tmp_path / "points.csv", "ledger-csv")
    export(dialog, qtbot, monkeypatch, tmp_path / "values", "ledger-values")
    points, values = (list(csv.reader(io.StringIO((tmp_path / f"{name}.csv").read_text("utf-8-sig")))) for name in ("points", "values"))
    assert len(values) > len(points) > 5 and any("hardness" in head.lower() for head in points[0])
    export(dialog, qtbot, monkeypatch, tmp_path / "ledger.xlsx", "ledger-xlsx", paper="letter")
    workbook = load_workbook(tmp_path / "ledger.xlsx")
    assert len(workbook.sheetnames) >= 2 and workbook.worksheets[0].max_row > 5


def test_return_exports(dialog: ExportWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a: (asked.append(str(a[1])) or "", ""))
    QTest.keyClick(dialog.what, Qt.Key.Key_Return)
    assert asked == ["Export"]


def test_choices_are_shown_where_they_count(dialog: ExportWindow) -> None:
    for place, each in enumerate(FORMATS):
        dialog.what.setCurrentIndex(place)
        shown = {name for name in ("dots", "colours", "paper") if getattr(dialog, name).isVisible()}
        assert shown == set(each.choices) and dialog.holds.text() == each.holds


def test_what_cannot_be_written_is_one_sentence_and_leaves_nothing(
    dialog: ExportWindow, session: Session, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    said = export(dialog, qtbot, monkeypatch, tmp_path / "none" / "x.png", "picture-png")
    assert said.startswith("Not exported: ") and "there is no folder" in said and not dialog.mark.isHidden()
    assert export(dialog, qtbot, monkeypatch, tmp_path / "x.svg", "picture-png") == "Not exported: x.svg does not end in .png."
    (tmp_path / "taken.csv").mkdir()
    assert "is a folder" in export(dialog, qtbot, monkeypatch, tmp_path / "taken.csv", "ledger-csv")
    assert [path.name for path in tmp_path.iterdir() if path.suffix in (".png", ".svg")] == []
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a: ("", ""))
    dialog.say("")
    QTest.mouseClick(dialog.button, LEFT)
    assert not dialog.busy and dialog.said.text() == ""


def test_a_train_that_cannot_be_worked_out_is_not_exported(dialog: ExportWindow, session: Session, window: Window) -> None:
    session.stale = "stages.uv: its dose is missing"
    QTest.mouseClick(dialog.button, LEFT)
    assert dialog.said.text() == "Not exported: the train cannot be worked out as it is: stages.uv: its dose is missing."
    window.run("print")
    assert window.workspace is not None and window.workspace.foot.message.accessibleName().startswith("Not printed: ")
    assert not session.edit(Unlink(ends=("supply", "screen")))
    session.stale = ""


def test_exports_are_written_off_the_windows_thread_and_go_on_after_it_closed(
    window: Window, dialog: ExportWindow, session: Session, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    threads, let_go, begun = [], threading.Event(), threading.Event()
    real = exporting.write_ledger

    def slow(*whose: object, **how: object) -> None:
        threads.append(threading.get_ident())
        begun.set()
        let_go.wait(20)
        real(*whose, **how)  # type: ignore[arg-type]

    monkeypatch.setattr(exporting, "write_ledger", slow)
    dialog.what.setCurrentIndex(dialog.what.findData("ledger-csv"))
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a: (str(tmp_path / "late.csv"), ""))
    QTest.mouseClick(dialog.button, LEFT)
    qtbot.waitUntil(begun.is_set)
    assert dialog.said.text() == "Writing late.csv…" and not dialog.button.isEnabled()
    session.stack.setClean()
    window.close()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert not isValid(dialog)
    let_go.set()
    qtbot.waitUntil((tmp_path / "late.csv").exists)
    QTest.qWait(30)
    assert threads and threading.get_ident() not in threads


# Print ------------------------------------------------------------------------------------------------------------------------------


def printed(session: Session, paper: Paper, path: Path, lying: bool = False) -> PdfReader:
    """The bench painted on a printer that writes a PDF."""
    assert session.assessment is not None
    printer = make_printer(paper, "bench", lying)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(path))
    paint_job(bench_job(session.assessment.evaluation, session.assessment.findings, session.system, paper), printer)
    return PdfReader(path)


@pytest.mark.parametrize(("name", "points"), [("letter", (612, 792)), ("a4", (595, 842))])
def test_pages_are_painted_on_letter_and_a4(session: Session, tmp_path: Path, name: str, points: tuple[int, int]) -> None:
    reader = printed(session, PAPERS[name], tmp_path / "bench.pdf")
    assert {tuple(round(float(side)) for side in page.mediabox[2:]) for page in reader.pages} == {points}
    # Qt writes every glyph apart, a tab for a space.
    told = [page.extract_text().replace("\t", " ") for page in reader.pages]
    assert "Lone Alder Farm" in told[0] and "Findings" in told[1] and "whether water is" in told[1]
    assert f"1 of {len(reader.pages)}" in told[0]


def test_a_page_that_lies_is_turned_on_a_sheet_that_stands_and_not_on_one_that_lies(session: Session, tmp_path: Path) -> None:
    standing, lying = (printed(session, PAPERS["letter"], tmp_path / f"{turned}.pdf", turned) for turned in (False, True))
    assert [round(float(side)) for side in lying.pages[0].mediabox[2:]] == [792, 612]

    def upright(reader: PdfReader, page: int) -> bool:
        turned: list[bool] = []

        def visit(text: str, matrix: list[float], text_matrix: list[float], *_: object) -> None:
            if text.strip():
                turned.append(abs(matrix[0]) > abs(matrix[1]))

        reader.pages[page].extract_text(visitor_text=visit)
        return all(turned)

    assert not upright(standing, 0) and upright(standing, 1)
    assert upright(lying, 0) and not upright(lying, 1)


def test_the_preview_shows_every_page_and_follows_the_paper(window: Window, session: Session, qtbot: QtBot) -> None:
    look().choose("dark")
    window.run("print")
    [preview] = [w for w in QApplication.topLevelWidgets() if isinstance(w, Preview) and w.isVisible()]
    view = preview.findChild(QPrintPreviewWidget)
    assert view is not None
    qtbot.waitUntil(lambda: view.pageCount() > 3)
    assert paper_in(preview.printer_kept).name == paper_for("us").name
    preview.printer_kept.setPageSize(QPageSize(QPageSize.PageSizeId.A5))
    view.updatePreview()
    made = preview._made
    assert made is not None and made[0].height == pytest.approx(148 / 25.4 * PX_PER_INCH, abs=1)
    preview.close()


def test_no_page_of_the_preview_comes_turned(window: Window, session: Session, qtbot: QtBot) -> None:
    window.run("print")
    [preview] = [w for w in QApplication.topLevelWidgets() if isinstance(w, Preview) and w.isVisible()]
    view = preview.findChild(QPrintPreviewWidget)
    assert view is not None
    qtbot.waitUntil(lambda: view.pageCount() > 3)
    for orientation in (QPageLayout.Orientation.Landscape, QPageLayout.Orientation.Portrait):
        preview.printer_kept.setPageOrientation(orientation)
        view.updatePreview()
        sheet = preview.printer_kept.pageLayout().fullRectPixels(96)
        assert preview._made is not None
        sides = {(page.width > page.height) == (sheet.width() > sheet.height()) for page in preview._made[1].pages}
        assert sides == {True}, orientation
    preview.close()


def test_the_paper_is_that_of_the_place_else_of_the_units() -> None:
    for locale, name in (("en_US", "letter"), ("en_CA", "letter"), ("de_DE", "a4"), ("en_GB", "a4")):
        QLocale.setDefault(QLocale(locale))
        assert paper_for("us").name == name
    QLocale.setDefault(QLocale.c())
    assert (paper_for("us").name, paper_for("metric").name) == ("letter", "a4")


def test_a_printer_is_asked_for_its_sheet_standing() -> None:
    printer = make_printer(PAPERS["letter"], "x", lying=True)
    assert paper_in(printer) == PAPERS["letter"]
    assert printer.pageLayout().orientation() == QPageLayout.Orientation.Landscape
    own = make_printer(Paper("own", 500.0, 700.0), "x")
    assert (round(paper_in(own).width), round(paper_in(own).height)) == (500, 700)
