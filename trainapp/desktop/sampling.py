"""What a first train assumes and what still has to be tested: to read, copy, print and keep as text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from html import escape
from pathlib import Path
from typing import IO

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QGuiApplication, QTextDocument
from PySide6.QtWidgets import QFileDialog, QTextBrowser, QWidget

from trainapp import units
from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.parts import BoxButton, quiet
from trainapp.desktop.printing import print_text
from trainapp.desktop.session import Session
from trainapp.reports.export_file import ExportError, check_target, write_export
from trainapp.studies.sampling_order import HEADINGS, URGENCIES, SamplingOrder, order_lines, sampling_order
from trainapp.train.document import Document

STALE = "The train cannot be worked out as it is, so that nothing can be said of what needs testing."
#: Events of a document's log that a start writes: heading, and the event.
_LOGGED = (
    ("What is assumed, to be checked on the site", "assumed"),
    ("Why each stage stands there", "chosen"),
    ("Then put right on paper", "put right"),
)


class SamplingWindow(SideWindow):
    """Follows the document: what is tested leaves the order."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("Sampling order", QSize(720, 640), parent)
        self.session = session
        self.page = QTextBrowser()
        quiet(self.page)
        self.page.setAccessibleName("Sampling order")
        self.page.setOpenLinks(False)
        self.column.addWidget(self.page, 1)
        self.copy = BoxButton("Copy", "Copy the sampling order as text")
        self.copy.clicked.connect(self.do_copy)
        self.keep = BoxButton("Save as text…", "Keep the sampling order in a text file")
        self.keep.clicked.connect(self.do_save)
        self.paper = BoxButton("Print…", "Print the sampling order")
        self.paper.clicked.connect(self.do_print)
        for button in (self.copy, self.keep, self.paper):
            self.add_button(button)
        session.changed.connect(self.refresh)
        session.destroyed.connect(self.close)
        self.refresh()
        self.page.setFocus(Qt.FocusReason.OtherFocusReason)

    def refresh(self) -> None:
        """Show what holds for the document as it is now."""
        session = self.session
        order = self._order()
        at = self.page.verticalScrollBar().value()
        self.page.setHtml("".join(_html(session.document, order)))
        self.page.verticalScrollBar().setValue(at)
        self._text = "\n".join(text_lines(session.document, order)) + "\n"

    @property
    def text(self) -> str:
        """All of it as plain text."""
        return self._text

    def do_copy(self) -> None:
        """Put the text on the clipboard."""
        QGuiApplication.clipboard().setText(self._text)
        self.say("Copied.")

    def do_save(self) -> None:
        """Ask for a file and write the text there."""
        name, _ = QFileDialog.getSaveFileName(self, "Save as text", "sampling-order.txt", "Text (*.txt)")
        if not name:
            return
        path = Path(name) if Path(name).suffix else Path(f"{name}.txt")
        try:
            check_target(path, (".txt",), "a text")
            write_export(path, self._write)
        except ExportError as error:
            self.say(f"{error}.", refused=True)
        else:
            self.say(f"Saved {path.name}.")

    def _write(self, file: IO[bytes]) -> None:
        file.write(self._text.encode("utf-8"))

    def do_print(self) -> None:
        """Show how it prints, and print it."""
        document = QTextDocument(self)
        document.setHtml("".join(_html(self.session.document, self._order())))
        print_text(document, "Sampling order", self, self.session.system)

    def _order(self) -> SamplingOrder | None:
        assessment = self.session.assessment
        return sampling_order(assessment.evaluation) if assessment and not self.session.stale else None


def logged(document: Document, event: str) -> list[str]:
    """What the document's log says of an event."""
    return [str(row.get("text", "")) for row in document.log if row.get("event") == event and row.get("text")]


def text_lines(document: Document, order: SamplingOrder | None) -> Iterator[str]:
    """Everything as lines of text."""
    for heading, event in _LOGGED:
        texts = logged(document, event)
        if texts:
            yield heading
            for text in texts:
                yield from textwrap.wrap(text, 100, initial_indent=" - ", subsequent_indent="   ")
            yield ""
    yield from order_lines(order) if order is not None else (STALE,)


def _html(document: Document, order: SamplingOrder | None) -> Iterator[str]:
    for heading, event in _LOGGED:
        texts = logged(document, event)
        if texts:
            yield f"<h4>{_shown(heading)}</h4>{_list(texts)}"
    if order is None:
        yield f"<p>{_shown(STALE)}</p>"
        return
    yield f"<h3>Sampling order, {_shown(order.site)}</h3>"
    if not order.bottles:
        yield "<p>Nothing that the limits or this train ask for is untested.</p>"
        return
    number = 0
    for urgency in URGENCIES:
        bottles = [bottle for bottle in order.bottles if bottle.urgency == urgency]
        if bottles:
            yield f"<h4>{_shown(HEADINGS[urgency])}</h4>"
        for bottle in bottles:
            number += 1
            yield f"<p><b>{number} {_shown(bottle.label)}</b><br>{_shown(bottle.how)}</p>"
            yield _list(f"{test.label}: {test.why}." for test in bottle.tests)
    yield "<p>The laboratory's own instructions come first; ask it which bottles it sends.</p>"


def _shown(text: str) -> str:
    """A text as the page has it."""
    return escape(units.typeset(text))


def _list(texts: Iterable[str]) -> str:
    return f"<ul>{''.join(f'<li>{_shown(text)}</li>' for text in texts)}</ul>"
