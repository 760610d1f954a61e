"""Pages as PDF: vectors, embedded fonts, text that can be searched and copied, bookmarks; the same pages give the same bytes."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from typing import IO, Any

from trainapp import __version__
from trainapp.reports.drawing.display import (
    Box,
    Circle,
    Dots,
    Group,
    Line,
    Polyline,
    Rect,
    Shape,
    Strokes,
    Text,
)
from trainapp.reports.drawing.display import (
    Path as Outline,
)
from trainapp.reports.drawing.fallback import Fallback, fallbacks, letters
from trainapp.reports.drawing.glyphs import bundled, runs, words
from trainapp.reports.drawing.tokens import THEMES
from trainapp.reports.export_file import check_target, write_export
from trainapp.reports.print_pages import Page, Picture, Placed, PrintJob
from trainapp.reports.print_paper import POINTS_PER_PX

_PLAIN, _BOLD = "DejaVuSans", "DejaVuSans-Bold"


def write_pages(path: str | Path, what: str, pages: Callable[[], PrintJob]) -> None:
    """Write pages into a PDF; the file is whole or is not touched.

    Args:
        path: a name that ends in .pdf. what: it is, for the sentence that refuses another: "a report".
        pages: makes them, once it is clear that they can be written.

    Raises:
        ExportError: another ending, or a place that cannot be written to; one sentence.
    """
    target = Path(path)
    check_target(target, (".pdf",), what)
    job = pages()
    write_export(target, lambda file: write_job(job, file))


def write_job(job: PrintJob, file: IO[bytes]) -> None:
    """Write a document."""
    from reportlab.pdfgen.canvas import Canvas

    _fonts()
    fonts = fallbacks(words(part.display for page in job.pages for part in page.parts))
    for font in fonts:
        _add(font)
    canvas = Canvas(file, invariant=1, pageCompression=1, initialFontName=_PLAIN, lang="en")
    canvas.setTitle(job.title)
    canvas.setSubject(job.subject)
    canvas.setCreator(f"trainapp {__version__}")
    canvas.setAuthor("")
    for number, page in enumerate(job.pages, 1):
        _page(canvas, page, number, fonts)
    if any(page.marks for page in job.pages):
        canvas.showOutline()
    canvas.save()


@cache
def _fonts() -> None:
    """Make the drawing's fonts known; they come with matplotlib, and are embedded as the letters that are used."""
    from reportlab.pdfbase import ttfonts
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    plain = ttfonts.makeToUnicodeCMap
    if not isinstance(plain, partial):
        ttfonts.makeToUnicodeCMap = partial(_in_pairs, plain)
    for name, bold in ((_PLAIN, False), (_BOLD, True)):
        registerFont(TTFont(name, str(bundled(bold))))


def _in_pairs(made: Callable[[str, Any], str], name: str, subset: Any) -> str:
    """What text is copied as. WORKAROUND(reportlab 5.1): letters past the first plane are written as one number, where PDF wants a pair."""
    return re.sub(r"<([0-9A-F]{5,6})>", lambda found: f"<{chr(int(found[1], 16)).encode('utf-16-be').hex().upper()}>", made(name, subset))


@cache
def _add(font: Fallback) -> None:
    """Make another font known, likewise."""
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    registerFont(TTFont(font.name, str(font.path)))


def _page(canvas: Any, page: Page, number: int, fonts: tuple[Fallback, ...]) -> None:
    height = page.height * POINTS_PER_PX
    canvas.setPageSize((page.width * POINTS_PER_PX, height))
    for place, mark in enumerate(page.marks):
        key = f"p{number}-{place}"
        canvas.bookmarkPage(key, fit="XYZ", left=0, top=height - mark.y * POINTS_PER_PX, zoom=0)
        canvas.addOutlineEntry(mark.text, key, level=mark.level, closed=mark.level > 0)
    for part in page.parts:
        _Painter(canvas, part, height, fonts).paint(part.display.items)
    for picture in page.pictures:
        _picture(canvas, picture, height)
    canvas.showPage()


def _picture(canvas: Any, picture: Picture, height: float) -> None:
    from reportlab.lib.utils import ImageReader

    x, y, wide, tall = (px * POINTS_PER_PX for px in (picture.x, picture.y + picture.height, picture.width, picture.height))
    canvas.drawImage(ImageReader(io.BytesIO(picture.png)), x, height - y, wide, tall, mask="auto")


class _Painter:
    """Draws the shapes of one placed drawing, in their order."""

    def __init__(self, canvas: Any, part: Placed, height: float, fonts: tuple[Fallback, ...]) -> None:
        self.canvas, self.height, self.fonts = canvas, height, fonts
        self.left, self.top, self.unit = part.x * POINTS_PER_PX, part.y * POINTS_PER_PX, part.scale * POINTS_PER_PX

    def x(self, x: float) -> float:
        return self.left + x * self.unit

    def y(self, y: float) -> float:
        return self.height - self.top - y * self.unit

    def paint(self, items: list[Shape]) -> None:
        for shape in items:
            if isinstance(shape, Group):
                self.group(shape)
            elif isinstance(shape, Text):
                self.text(shape)
            elif isinstance(shape, Line):
                self.line(Polyline(((shape.x1, shape.y1), (shape.x2, shape.y2)), shape.token, shape.width, shape.dash))
            elif isinstance(shape, Polyline):
                self.line(shape)
            elif isinstance(shape, Rect):
                self.rect(shape)
            elif isinstance(shape, Circle):
                draw = self.pen(shape.fill, shape.stroke, shape.width, shape.dash)
                self.canvas.circle(self.x(shape.x), self.y(shape.y), shape.r * self.unit, **draw)
            elif isinstance(shape, Outline):
                self.outline(shape)
            elif isinstance(shape, Dots):
                self.dots(shape)
            else:
                self.strokes(shape)

    def group(self, group: Group) -> None:
        if group.clip is None:
            self.paint(group.items)
            return
        self.canvas.saveState()
        self.clip(group.clip)
        self.paint(group.items)
        self.canvas.restoreState()

    def clip(self, box: Box) -> None:
        edge = self.canvas.beginPath()
        edge.rect(self.x(box.x), self.y(box.bottom), box.w * self.unit, box.h * self.unit)
        self.canvas.clipPath(edge, stroke=0, fill=0)

    def pen(self, fill: str, stroke: str, width: float, dash: tuple[float, ...] = ()) -> dict[str, int]:
        """Set colours, width and dash; what is to be drawn of a closed shape."""
        if fill:
            self.canvas.setFillColor(_colour(fill))
        if stroke:
            self.canvas.setStrokeColor(_colour(stroke))
            self.canvas.setLineWidth(width * self.unit)
            self.canvas.setDash([part * self.unit for part in dash])
        return {"fill": int(bool(fill)), "stroke": int(bool(stroke))}

    def text(self, shape: Text) -> None:
        from reportlab.pdfbase.pdfmetrics import stringWidth

        names, size = [_BOLD if shape.bold else _PLAIN, *(font.name for font in self.fonts)], shape.size * self.unit
        parts = [(part, names[at]) for part, at in runs(shape.text, letters(self.fonts))]
        wide = sum(stringWidth(part, name, size) for part, name in parts) if shape.anchor != "start" else 0.0
        self.canvas.setFillColor(_colour(shape.token))
        line = self.canvas.beginText(self.x(shape.x) - {"start": 0.0, "middle": 0.5, "end": 1.0}[shape.anchor] * wide, self.y(shape.y))
        for part, name in parts:
            line.setFont(name, size)
            line.textOut(part)
        self.canvas.drawText(line)

    def line(self, shape: Polyline) -> None:
        draw = self.pen(shape.fill, shape.stroke, shape.width, shape.dash)
        self.canvas.setLineJoin(1 if shape.round else 0)
        self.canvas.setLineCap(0)
        path = self.canvas.beginPath()
        path.moveTo(*self.point(shape.points[0]))
        for point in shape.points[1:]:
            path.lineTo(*self.point(point))
        if shape.closed:
            path.close()
        self.canvas.drawPath(path, **draw)

    def point(self, point: tuple[float, float]) -> tuple[float, float]:
        return self.x(point[0]), self.y(point[1])

    def rect(self, shape: Rect) -> None:
        draw = self.pen(shape.fill, shape.stroke, shape.width, shape.dash)
        corner = min(shape.corner, shape.w / 2, shape.h / 2) * self.unit
        box = self.x(shape.x), self.y(shape.y + shape.h), shape.w * self.unit, shape.h * self.unit
        if corner > 0:
            self.canvas.roundRect(*box, corner, **draw)
        else:
            self.canvas.rect(*box, **draw)

    def outline(self, shape: Outline) -> None:
        path, at = self.canvas.beginPath(), (0.0, 0.0)
        for command in shape.commands:
            numbers = [float(part) for part in command[1:]]
            points = [self.point(pair) for pair in zip(numbers[::2], numbers[1::2], strict=True)]
            if command[0] == "M":
                path.moveTo(*points[0])
            elif command[0] == "L":
                path.lineTo(*points[0])
            elif command[0] == "Q":
                path.curveTo(*_cubic(at, points[0], points[1]))
            else:
                path.close()
            at = points[-1] if points else at
        self.canvas.drawPath(path, **self.pen(shape.fill, shape.stroke, shape.width))

    def dots(self, shape: Dots) -> None:
        path = self.canvas.beginPath()
        for x, y in shape.points:
            path.circle(self.x(shape.x + x), self.y(shape.y + y), shape.r * self.unit)
        self.canvas.setFillColor(_colour(shape.token))
        self.canvas.drawPath(path, fill=1, stroke=0)

    def strokes(self, shape: Strokes) -> None:
        self.pen("", shape.token, shape.width)
        self.canvas.setLineCap(0)
        lines = [(self.x(shape.x + a), self.y(shape.y + b), self.x(shape.x + c), self.y(shape.y + d)) for a, b, c, d in shape.segments]
        self.canvas.lines(lines)


def _cubic(start: tuple[float, float], handle: tuple[float, float], end: tuple[float, float]) -> tuple[float, ...]:
    """The two handles and the end of the cubic curve that is a quadratic one: degree elevation."""
    first = [s + 2.0 / 3.0 * (h - s) for s, h in zip(start, handle, strict=True)]
    second = [e + 2.0 / 3.0 * (h - e) for e, h in zip(end, handle, strict=True)]
    return (*first, *second, *end)


@cache
def _colour(token: str) -> Any:
    from reportlab.lib.colors import HexColor

    return HexColor(THEMES["print"][token])
