"""Printing: the pages of a report painted on a printer, in a preview that shows them first."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from PySide6.QtCore import QLocale, QObject, QRectF, QSizeF, Qt, Slot
from PySide6.QtGui import QAction, QColor, QIcon, QImage, QPageLayout, QPageSize, QPainter, QTextDocument
from PySide6.QtPrintSupport import QPrinter, QPrintPreviewDialog
from PySide6.QtWidgets import QGraphicsView, QWidget

from trainapp.desktop.engine import Assessment
from trainapp.desktop.painter import paint, saved
from trainapp.desktop.style import inked
from trainapp.desktop.theme import look
from trainapp.reports.drawing.tokens import THEMES
from trainapp.reports.print_bench import bench_job
from trainapp.reports.print_pages import Page, PrintJob
from trainapp.reports.print_paper import PAPERS, PX_PER_INCH, Paper, paper_of
from trainapp.units import System

#: Makes the pages for a sheet of paper as it lies or stands in the printer.
Pages = Callable[[Paper], PrintJob]


def paper_for(system: System) -> Paper:
    """Letter or A4, as is usual where the user is."""
    return paper_of(QLocale().name(), system)


def make_printer(paper: Paper, title: str, lying: bool = False) -> QPrinter:
    """A printer set to a sheet, of which all is painted on: the pages have their own margins."""
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setDocName(title)
    printer.setCreator("trainapp")
    printer.setPageSize(_page_size(paper))
    printer.setPageOrientation(QPageLayout.Orientation.Landscape if lying else QPageLayout.Orientation.Portrait)
    printer.setFullPage(True)
    return printer


def _page_size(paper: Paper) -> QPageSize:
    known = {"letter": QPageSize.PageSizeId.Letter, "a4": QPageSize.PageSizeId.A4}
    if paper.name in known:
        return QPageSize(known[paper.name])
    return QPageSize(QSizeF(paper.width / PX_PER_INCH, paper.height / PX_PER_INCH), QPageSize.Unit.Inch)


def paper_in(printer: QPrinter) -> Paper:
    """The sheet that a printer is set to, standing."""
    known = {QPageSize.PageSizeId.Letter: "letter", QPageSize.PageSizeId.A4: "a4"}
    size = printer.pageLayout().pageSize()
    if size.id() in known:
        return PAPERS[known[size.id()]]
    inches = size.size(QPageSize.Unit.Inch)
    width, height = sorted((inches.width(), inches.height()))
    return Paper("own", width * PX_PER_INCH, height * PX_PER_INCH)


def sheet_in(printer: QPrinter) -> Paper:
    """The sheet that a printer is set to, as it is set: turned where it lies."""
    lying = printer.pageLayout().orientation() == QPageLayout.Orientation.Landscape
    return paper_in(printer).turned if lying else paper_in(printer)


def paint_job(job: PrintJob, printer: QPrinter) -> None:
    """Paint every page. A page that lies on a sheet that stands, or the other way round, is turned."""
    painter = QPainter(printer)
    try:
        for number, page in enumerate(job.pages):
            if number:
                printer.newPage()
            with saved(painter):
                _paint_page(page, painter, printer)
    finally:
        painter.end()


def _paint_page(page: Page, painter: QPainter, printer: QPrinter) -> None:
    sheet = printer.pageLayout().fullRectPixels(printer.resolution())
    if (page.width > page.height) != (sheet.width() > sheet.height()):
        painter.translate(sheet.width(), 0)
        painter.rotate(90.0)
        width, height = sheet.height(), sheet.width()
    else:
        width, height = sheet.width(), sheet.height()
    scale = min(width / page.width, height / page.height)
    painter.scale(scale, scale)
    for part in page.parts:
        with saved(painter):
            painter.translate(part.x, part.y)
            painter.scale(part.scale, part.scale)
            paint(painter, part.display.items, _ink, str)
    for picture in page.pictures:
        painter.drawImage(QRectF(picture.x, picture.y, picture.width, picture.height), QImage.fromData(picture.png, "PNG"))


def _ink(token: str) -> QColor:
    return QColor(THEMES["print"][token])


# Preview ------------------------------------------------------------------------------------------------------------------------


class Preview(QPrintPreviewDialog):
    """Shows pages as they will print, lets the user choose printer, paper and pages, and prints."""

    def __init__(self, printer: QPrinter, title: str, pages: Pages | QTextDocument, parent: QWidget | None = None) -> None:
        super().__init__(printer, parent)
        # Qt keeps no printer that it was given.
        self.printer_kept, self._pages = printer, pages
        self._icons: dict[QAction, QIcon] = {}
        self._made: tuple[Paper, PrintJob] | None = None
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(f"Print: {title}")
        self.setObjectName("preview")
        self.paintRequested.connect(self.paint_on)
        _name_all(self)
        self._dress()
        look().changed.connect(self._dress)

    @Slot()
    def _dress(self) -> None:
        """Qt's own controls in the colours of the theme."""
        for action in self.findChildren(QAction):
            kept = self._icons.setdefault(action, action.icon())
            action.setIcon(inked(kept))
        for view in self.findChildren(QGraphicsView):
            view.setBackgroundBrush(look().colour("well"))

    @Slot(QPrinter)
    def paint_on(self, printer: QPrinter) -> None:
        """Paint the pages for the sheet that is set."""
        if isinstance(self._pages, QTextDocument):
            self._pages.print_(printer)
            return
        printer.setFullPage(True)
        sheet = sheet_in(printer)
        if self._made is None or self._made[0] != sheet:
            self._made = sheet, self._pages(sheet)
        paint_job(self._made[1], printer)


def _name_all(dialog: QPrintPreviewDialog) -> None:
    """Every control of Qt's own gets a name that can be read out."""
    for widget in _without_name(dialog):
        widget.setAccessibleName(widget.toolTip() or widget.whatsThis() or "Print preview")


def _without_name(dialog: QObject) -> Iterator[QWidget]:
    for widget in dialog.findChildren(QWidget):
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and not widget.accessibleName():
            yield widget


def print_bench(assessment: Assessment, system: System, parent: QWidget) -> Preview:
    """Open the preview of the bench, its findings and its worked steps."""

    def pages(sheet: Paper) -> PrintJob:
        # a preview has one kind of sheet: pages of another kind would come turned
        return bench_job(assessment.evaluation, assessment.findings, system, sheet, bench=sheet)

    title = assessment.model.site or "This train"
    preview = Preview(make_printer(paper_for(system), title, lying=True), title, pages, parent)
    preview.show()
    return preview


def print_text(document: QTextDocument, title: str, parent: QWidget, system: System) -> Preview:
    """Open the preview of a text."""
    printer = make_printer(paper_for(system), title)
    printer.setFullPage(False)
    preview = Preview(printer, title, document, parent)
    document.setParent(preview)
    preview.show()
    return preview
