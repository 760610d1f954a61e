"""Text, lists, tables and drawings set down the pages of a print, one below the other; nothing is cut, what does not fit goes on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from trainapp.checks.safety import cautions
from trainapp.reports.drawing.display import Display, Line, Measure, Rect, Shape, Text
from trainapp.reports.drawing.marks import Mark, mark
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.page import hazard
from trainapp.reports.drawing.tokens import BODY, CAPTION, HEADING, MARK_LIST, TITLE
from trainapp.reports.print_pages import Bookmark, Page, Picture, Placed, PrintJob
from trainapp.reports.print_paper import Paper
from trainapp.reports.print_text import fold

MARGIN = 48.0
_HEAD, _FOOT = 26.0, 26.0
#: Room that a heading wants below itself, so that it never ends a page.
_KEEP = 80.0
_LEADING = 1.36


def standing() -> str:
    """What is said at the foot of every page: the first of the cautions that belong to every train."""
    return next(caution.text for caution in cautions() if not caution.tag)


@dataclass(slots=True)
class Flow:
    """A document being set.

    Attributes:
        paper: of the pages that follow. running: said at the head of every page but the first.
        y: where the next thing goes, px from the top of the page.
    """

    paper: Paper
    running: str
    measure: Measure = measure_dejavu
    y: float = MARGIN
    _pages: list[Page] = field(default_factory=list)
    _items: list[list[Shape]] = field(default_factory=list)
    _top: float = 0.0

    def __post_init__(self) -> None:
        self.new_page(self.paper)

    # Pages --------------------------------------------------------------------------------------------------------------------

    @property
    def left(self) -> float:
        """Where lines begin."""
        return MARGIN

    @property
    def width(self) -> float:
        """How long a line is."""
        return self.paper.width - 2 * MARGIN

    @property
    def bottom(self) -> float:
        """Where the page is full."""
        return self.paper.height - MARGIN - _FOOT

    @property
    def room(self) -> float:
        """Height left on this page."""
        return self.bottom - self.y

    @property
    def whole(self) -> float:
        """Height of a page that is not the first."""
        return self.bottom - MARGIN - _HEAD

    @property
    def fresh(self) -> bool:
        """Whether nothing stands on this page yet."""
        return self.y == self._top

    @property
    def count(self) -> int:
        """How many pages there are so far."""
        return len(self._pages)

    @property
    def items(self) -> list[Shape]:
        """Shapes of this page."""
        return self._items[-1]

    def new_page(self, paper: Paper | None = None) -> None:
        """Go on at the top of a new page, of another paper where one is given."""
        self.paper = paper or self.paper
        self._pages.append(Page(self.paper.width, self.paper.height))
        self._items.append([])
        self.y = self._top = MARGIN + (_HEAD if len(self._pages) > 1 else 0.0)

    def keep(self, height: float) -> None:
        """Begin a new page where less than `height` is left of this one, unless it is empty."""
        if self.room < height and not self.fresh:
            self.new_page()

    def skip(self, height: float) -> None:
        """Leave a gap; none at the top of a page."""
        if not self.fresh:
            self.y += height

    def mark(self, text: str, level: int = 0) -> None:
        """Put a bookmark here."""
        self._pages[-1].marks.append(Bookmark(text, level, max(self.y - 8.0, 0.0)))

    def finish(self, title: str, subject: str = "") -> PrintJob:
        """The document, with a head and a foot on every page."""
        for number, (page, items) in enumerate(zip(self._pages, self._items, strict=True), 1):
            items += self._foot(page, number)
            page.parts.insert(0, Placed(Display(page.width, page.height, items, "page"), 0.0, 0.0))
        return PrintJob(title, subject, tuple(self._pages))

    def _foot(self, page: Page, number: int) -> list[Shape]:
        right, y = page.width - MARGIN, page.height - MARGIN
        items: list[Shape] = [Line(MARGIN, y - 16.0, right, y - 16.0, "hair")]
        items.append(Text(MARGIN, y, standing(), "ink2", CAPTION))
        items.append(Text(right, y, f"{number} of {len(self._pages)}", "ink2", CAPTION, "end"))
        if number > 1:
            first, *_ = fold(self.running, right - MARGIN, CAPTION, False, self.measure)
            items.append(Text(MARGIN, MARGIN + 4.0, first, "ink2", CAPTION))
            items.append(Line(MARGIN, MARGIN + 12.0, right, MARGIN + 12.0, "hair"))
        return items

    # Text ---------------------------------------------------------------------------------------------------------------------

    def title(self, text: str, below: str = "") -> None:
        """What the document is of, and a line of what it is."""
        self.mark(below or text)
        for line in fold(text, self.width, TITLE, True, self.measure):
            self.y += TITLE * _LEADING
            self.items.append(Text(self.left, self.y - 6.0, line, "ink", TITLE, "start", True))
        if below:
            self.text(below, token="ink2", size=HEADING)
        self.y += 4.0

    def heading(self, text: str, level: int = 0, keep: float = _KEEP) -> None:
        """A heading with a bookmark; `keep` is the room it wants below itself."""
        size = HEADING if level == 0 else BODY
        lines = fold(text, self.width, size, True, self.measure)
        self.skip(16.0 if level == 0 else 10.0)
        self.keep(len(lines) * size * _LEADING + keep)
        self.mark(text, level)
        for line in lines:
            self.y += size * _LEADING
            self.items.append(Text(self.left, self.y - 4.0, line, "ink", size, "start", True))
        self.y += 2.0

    def text(self, text: str, *, token: str = "ink", size: float = BODY, bold: bool = False, indent: float = 0.0) -> None:
        """A paragraph; up to four lines stay together."""
        lines = fold(text, self.width - indent, size, bold, self.measure)
        pitch = size * _LEADING
        self.keep(min(len(lines), 4) * pitch)
        for line in lines:
            self.keep(pitch)
            self.y += pitch
            self.items.append(Text(self.left + indent, self.y - 0.3 * size, line, token, size, "start", bold))

    def points(self, texts: Iterable[str], *, size: float = BODY, sign: str = "dot") -> None:
        """A list; `sign` is "dot", "box" (to be ticked) or "number"."""
        indent = 24.0 if sign == "number" else 18.0
        for number, text in enumerate(texts, 1):
            lines = fold(text, self.width - indent, size, False, self.measure)
            self.keep(min(len(lines), 4) * size * _LEADING + 2.0)
            self._sign(sign, number, self.y + size * _LEADING - 0.3 * size, size)
            self.text(text, size=size, indent=indent)
            self.y += 2.0

    def _sign(self, sign: str, number: int, y: float, size: float) -> None:
        if sign == "number":
            self.items.append(Text(self.left, y, f"{number}", "ink", size, "start", True))
        elif sign == "box":
            side = 0.85 * size
            self.items.append(Rect(self.left, y - side + 0.5, side, side, "page", "ink2", 1.0))
        else:
            self.items.append(Rect(self.left + 3.0, y - 0.5 * size, 4.0, 4.0, "ink2"))

    def marked(self, kind: Mark, text: str, *, token: str = "ink", bold: bool = False) -> None:
        """A line with a status mark before it; its word has to stand in the text."""
        lines = fold(text, self.width - 20.0, BODY, bold, self.measure)
        self.keep((min(len(lines), 4) + 2) * BODY * _LEADING)
        self.items.extend(mark(kind, self.left + 6.5, self.y + BODY * _LEADING - 8.0, MARK_LIST))
        self.text(text, token=token, bold=bold, indent=20.0)

    def safety(self, sentences: Sequence[str], heading: str = "Safety") -> None:
        """The usual cautions under their sign."""
        self.skip(16.0)
        self.keep(HEADING * _LEADING + _KEEP)
        self.mark(heading)
        self.y += HEADING * _LEADING
        self.items.extend(hazard(self.left + 8.0, self.y - 8.0))
        self.items.append(Text(self.left + 24.0, self.y - 4.0, heading, "ink", HEADING, "start", True))
        self.y += 2.0
        self.points(sentences)

    def rule(self) -> None:
        """A hairline across the page."""
        if not self.fresh:
            self.y += 6.0
            self.items.append(Line(self.left, self.y, self.left + self.width, self.y, "hair"))
            self.y += 4.0

    # Drawings -----------------------------------------------------------------------------------------------------------------

    def picture(self, picture: Picture) -> None:
        """A picture of dots at the left edge, at its own size."""
        self.keep(picture.height)
        self._pages[-1].pictures.append(replace(picture, x=self.left, y=self.y))
        self.y += picture.height

    def picture_beside(self, picture: Picture, x: float) -> None:
        """A picture of dots `x` px right of where lines begin; what follows does not move."""
        self._pages[-1].pictures.append(replace(picture, x=self.left + x, y=self.y))

    def beside(self, display: Display, x: float, scale: float = 1.0, down: float = 0.0) -> None:
        """A drawing `x` px right of where lines begin and `down` px below what stands here; what follows does not move."""
        self._pages[-1].parts.append(Placed(display, self.left + x, self.y + down, scale))

    def drawing(self, display: Display, bleed: float = 0.0) -> None:
        """A drawing at its own size, smaller where the page is narrower or lower than it; it may reach `bleed` px into the margins."""
        width = self.width + 2 * bleed
        scale = min(1.0, width / display.width, self.whole / display.height)
        self.keep(display.height * scale)
        self._pages[-1].parts.append(Placed(display, self.left - bleed, self.y, scale))
        self.y += display.height * scale
