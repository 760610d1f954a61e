"""The preview: the pages of a paper painted from the same list that is printed, one below the other."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QColor, QImage, QPainter, QPaintEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QAbstractScrollArea, QFrame, QWidget

from trainapp.desktop.focus_seen import FocusSeen
from trainapp.desktop.fonts import font
from trainapp.desktop.painter import HINTS, Stroke, play, recorded, saved
from trainapp.desktop.parts import SlimBar
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import texts
from trainapp.reports.drawing.tokens import BODY, THEMES
from trainapp.reports.print_pages import Page, PrintJob

_GAP = 16.0
#: Factors of a page on the screen: least, most, and by which it grows at a step.
_LEAST, _MOST, _STEP = 0.25, 3.0, 1.25
#: Where nothing says otherwise a page is never larger than so.
_NATURAL = 1.25


class PagesArea(FocusSeen, QAbstractScrollArea):
    """Pages, scrolled up and down, as wide as there is room or at a factor of one's own."""

    #: Signal emitted when another page comes to the top: its number from 1.
    moved = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.job: PrintJob | None = None
        self.factor: float | None = None
        self.stale = False
        self._title = ""
        self._page = 1
        self._strokes: dict[int, list[list[Stroke]]] = {}
        self._images: dict[bytes, QImage] = {}
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setVerticalScrollBar(SlimBar(Qt.Orientation.Vertical))
        self.setHorizontalScrollBar(SlimBar(Qt.Orientation.Horizontal))
        self.verticalScrollBar().valueChanged.connect(self._scrolled)
        look().changed.connect(self.viewport().update)
        self._name()

    # What is shown ------------------------------------------------------------------------------------------------------------

    def show_job(self, job: PrintJob | None, title: str) -> None:
        """Show other pages; of the same paper at the same place."""
        same = title == self._title
        self.job, self._title, self.stale = job, title, False
        self._strokes.clear()
        self._images.clear()
        self._lay_out()
        if not same:
            self.verticalScrollBar().setValue(0)
            self.horizontalScrollBar().setValue(0)
        self._scrolled()
        self.viewport().update()

    def fade(self) -> None:
        """Show that what is seen is no longer so."""
        self.stale = True
        self.viewport().update()

    @property
    def count(self) -> int:
        """How many pages there are."""
        return len(self.job.pages) if self.job is not None else 0

    @property
    def page(self) -> int:
        """Number of the page at the top, from 1."""
        return self._page

    @property
    def scale(self) -> float:
        """px of the screen for a px of the page at the top."""
        return self.scale_of(self._pages[min(self._page, self.count) - 1]) if self._pages else 1.0

    def scale_of(self, page: Page) -> float:
        """px of the screen for a px of a page: one that lies is as wide as one that stands, where each takes the room there is."""
        if self.factor is not None:
            return self.factor
        return min(max((self.viewport().width() - 2 * _GAP) / page.width, _LEAST), _NATURAL)

    @property
    def _pages(self) -> tuple[Page, ...]:
        return self.job.pages if self.job is not None else ()

    def tops(self) -> list[float]:
        """Where each page begins, px from the top of all."""
        y, found = _GAP, []
        for page in self._pages:
            found.append(y)
            y += page.height * self.scale_of(page) + _GAP
        return [*found, y]

    # Moving -------------------------------------------------------------------------------------------------------------------

    def go_to(self, number: int, y: float = 0.0) -> None:
        """Bring a page to the top, from a height on it (px of the page)."""
        if 1 <= number <= self.count:
            place = self.tops()[number - 1] - _GAP / 2 + y * self.scale_of(self._pages[number - 1])
            self.verticalScrollBar().setValue(int(place))
            self._told(number)

    def zoom(self, factor: float | None) -> None:
        """Show pages at a factor, None for as wide as there is room."""
        page = self._page
        self.factor = None if factor is None else min(max(factor, _LEAST), _MOST)
        self._lay_out()
        self.go_to(page)
        self.viewport().update()

    def larger(self) -> None:
        """One step larger."""
        self.zoom(self.scale * _STEP)

    def smaller(self) -> None:
        """One step smaller."""
        self.zoom(self.scale / _STEP)

    def wheelEvent(self, event: QWheelEvent) -> None:
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            if event.angleDelta().y():
                self.zoom(self.scale * (_STEP if event.angleDelta().y() > 0 else 1 / _STEP))
            event.accept()
            return
        super().wheelEvent(event)

    def _scrolled(self, _value: int = 0) -> None:
        middle = self.verticalScrollBar().value() + self.viewport().height() / 3
        self._told(max(sum(top <= middle for top in self.tops()[:-1]), 1) if self._pages else 1)
        self.viewport().update()

    def _told(self, number: int) -> None:
        changed = number != self._page
        self._page = number
        self._name()
        if changed:
            self.moved.emit(number)

    def _name(self) -> None:
        """What a screen reader says: paper, page, and the words on it."""
        if not self._pages:
            self.setAccessibleName("Preview, nothing to show")
            self.setAccessibleDescription("")
            return
        self.setAccessibleName(f"Preview of {self._title}, page {self._page} of {self.count}")
        page = self._pages[min(self._page, self.count) - 1]
        self.setAccessibleDescription(" ".join(text.text for part in page.parts for text, _ in texts(part.display.items)))

    def _lay_out(self) -> None:
        tall = self.tops()[-1]
        wide = max((page.width * self.scale_of(page) for page in self._pages), default=0.0) + 2 * _GAP
        up, across = self.verticalScrollBar(), self.horizontalScrollBar()
        up.setRange(0, max(int(tall - self.viewport().height()), 0))
        up.setPageStep(max(self.viewport().height(), 1))
        up.setSingleStep(40)
        across.setRange(0, max(int(wide - self.viewport().width()), 0))
        across.setPageStep(max(self.viewport().width(), 1))

    def resizeEvent(self, event: QResizeEvent) -> None:
        page = self._page
        super().resizeEvent(event)
        self._lay_out()
        if event.oldSize().isValid() and self.factor is None:
            self.go_to(page)

    # Painting -----------------------------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self.viewport())
        painter.fillRect(event.rect(), look().colour("well"))
        seen = QRectF(event.rect())
        for hint in (*HINTS, QPainter.RenderHint.SmoothPixmapTransform):
            painter.setRenderHint(hint)
        for number, (page, top) in enumerate(zip(self._pages, self.tops(), strict=False)):
            area = self._area(page, top)
            if area.intersects(seen):
                self._paint_page(painter, number, page, area)
        painter.resetTransform()
        if not self._pages:
            painter.setFont(font(BODY))
            painter.setPen(look().colour("ink2"))
            painter.drawText(self.viewport().rect(), Qt.AlignmentFlag.AlignCenter, "The pages stand here once they are made.")
        if self.stale and self._pages:
            veil = QColor(look().colour("well"))
            veil.setAlphaF(0.55)
            painter.fillRect(event.rect(), veil)
        if self.hasFocus():
            _ring(painter, self.viewport())

    def _area(self, page: Page, top: float) -> QRectF:
        """Where a page stands on the viewport."""
        scale = self.scale_of(page)
        width = page.width * scale
        free = max((self.viewport().width() - width) / 2, _GAP)
        return QRectF(free - self.horizontalScrollBar().value(), top - self.verticalScrollBar().value(), width, page.height * scale)

    def _paint_page(self, painter: QPainter, number: int, page: Page, area: QRectF) -> None:
        painter.fillRect(area, _paper("page"))
        painter.setPen(look().colour("edge"))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(area)
        if number not in self._strokes:
            self._strokes[number] = [recorded(part.display.items, _paper, crisp=False, figures=str) for part in page.parts]
        with saved(painter):
            painter.setClipRect(area)
            painter.translate(area.topLeft())
            painter.scale(area.width() / page.width, area.height() / page.height)
            for part, strokes in zip(page.parts, self._strokes[number], strict=True):
                with saved(painter):
                    painter.translate(part.x, part.y)
                    painter.scale(part.scale, part.scale)
                    play(painter, strokes)
            for picture in page.pictures:
                painter.drawImage(QRectF(picture.x, picture.y, picture.width, picture.height), self._image(picture.png))

    def _image(self, png: bytes) -> QImage:
        if png not in self._images:
            self._images[png] = QImage.fromData(png, "PNG")
        return self._images[png]


def _ring(painter: QPainter, widget: QWidget) -> None:
    """The focus ring inside an area that has the focus."""
    painter.setPen(look().colour("accent"))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for inset in (0, 1):
        painter.drawRect(widget.rect().adjusted(inset, inset, -1 - inset, -1 - inset))


def _paper(token: str) -> QColor:
    """Ink on paper, whatever theme the window has."""
    return QColor(THEMES["print"][token])


__all__ = ["PagesArea"]
