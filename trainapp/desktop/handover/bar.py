"""The line over the preview: which page, where to go, how large."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QWidget

from trainapp.desktop.handover.pages import PagesArea
from trainapp.desktop.parts import ChoiceBox, FlatButton, TokenLabel
from trainapp.reports.drawing.tokens import BODY, PAD
from trainapp.reports.print_pages import PrintJob


class PagesBar(QWidget):
    """Page, contents, size."""

    #: Signal emitted with the number of a page and the height on it, px of the page, that is to be shown.
    wanted = Signal(int, float)

    def __init__(self, area: PagesArea, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.area = area
        self.page = TokenLabel("", "ink2", BODY)
        self.contents = ChoiceBox()
        self.contents.setAccessibleName("Go to a part of the paper")
        self.contents.activated.connect(self._picked)
        self.smaller, self.larger = FlatButton("\u2212", "Smaller pages"), FlatButton("+", "Larger pages")
        self.width_button = FlatButton("Fit", "As wide as there is room")
        row = QHBoxLayout(self)
        row.setContentsMargins(int(PAD), 6, int(PAD), 6)
        row.setSpacing(8)
        row.addWidget(self.page)
        row.addWidget(self.contents, 1)
        for button, slot in ((self.smaller, area.smaller), (self.larger, area.larger), (self.width_button, self._fit)):
            button.clicked.connect(slot)
            row.addWidget(button)
        area.moved.connect(self._follow)
        self.wanted.connect(area.go_to)
        self.show_job(None)

    def show_job(self, job: PrintJob | None) -> None:
        """List the parts of a paper, as its PDF has them in its outline."""
        self._places: list[tuple[int, float]] = []
        self.contents.clear()
        for number, page in enumerate(job.pages if job is not None else (), 1):
            for mark in page.marks:
                self.contents.addItem(f"{'   ' * mark.level}{mark.text}")
                self._places.append((number, mark.y))
        self.setEnabled(job is not None)
        self._follow()

    def _picked(self, index: int) -> None:
        if 0 <= index < len(self._places):
            self.wanted.emit(*self._places[index])

    def _fit(self) -> None:
        self.area.zoom(None)

    def _follow(self, _page: int = 0) -> None:
        """Say which page is at the top, and which part of the paper begins there or before."""
        number = self.area.page
        self.page.setText(f"Page {number} of {self.area.count}" if self.area.count else "")
        last = max((i for i, (page, _) in enumerate(self._places) if page <= number), default=-1)
        first = next((i for i, (page, _) in enumerate(self._places) if page == number), last)
        if self.contents.count() and not self.contents.hasFocus():
            self.contents.setCurrentIndex(max(first, 0))


__all__ = ["PagesBar"]
