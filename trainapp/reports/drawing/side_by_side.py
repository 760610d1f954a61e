"""Cells of a board of options as shapes: marks, figures, bars to one scale a row, counted draws, bands with their word under them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from trainapp.reports.drawing.display import Line, Measure, Rect, Shape, Text
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.measure import shorten, wrap
from trainapp.reports.drawing.tokens import BODY, CAPTION, MARK_CELL
from trainapp.reports.options_cells import Board, Cell, CellMark, Row

_GAP, _TICK = 10.0, 8.0
#: How far a word under a bar may begin before it, and what a mark before that word takes, px.
_WORD_BEFORE, _MARKED = 6.0, 14.0
_BLOCKS_A_ROW = 10


@dataclass(frozen=True, slots=True)
class Look:
    """How cells are drawn.

    Attributes:
        px: size of texts. figures: width of the column of figures, px; bars begin behind it.
        stale: figures of something else, drawn faintly.
    """

    px: float = BODY
    figures: float = 64.0
    stale: bool = False

    @property
    def zoom(self) -> float:
        """Against the usual size."""
        return self.px / BODY

    @property
    def caption(self) -> float:
        """Size of small letters."""
        return max(CAPTION, round(CAPTION * self.zoom))


def figures_width(board: Board, px: float, measure: Measure) -> float:
    """Width that the figures of a board need, px."""
    cells = [cell for section in board.sections for row in section.rows for cell in row.cells if cell.bar is not None or cell.blocks]
    widest = max((measure(cell.text, px, True) for cell in cells), default=40.0)
    return widest + (16.0 * px / BODY if any(cell.mark for cell in cells) else 0.0)


def banded_height(look: Look) -> float:
    """Least height of a cell that holds a band with its word under it, clear of the lines above and below."""
    return round(2.2 * look.caption) + 8.0


def cell(shown: Cell, width: float, height: float, look: Look, measure: Measure) -> list[Shape]:
    """Shapes of a cell of one line."""
    middle, zoom = height / 2, look.zoom
    items: list[Shape] = []
    left = 0.0
    # the mark of a bar with a word stands before that word
    if shown.mark == "none":
        items.append(Line(0.0, middle, 8.0 * zoom, middle, "ink3", 1.6))
    elif shown.mark and not (shown.word and shown.bar is not None):
        items += mark(shown.mark, 6.0 * zoom, middle, MARK_CELL * zoom)
    if shown.mark:
        left = 18.0 * zoom
    token = "ink3" if look.stale or shown.quiet else "ink" if shown.best else "ink2"
    base = middle + 0.36 * look.px
    if shown.bar is None and shown.blocks is None:
        text = shorten(shown.text, width - left, look.px, shown.best, measure)
        return [*items, Text(left, base, text, token, look.px, "start", shown.best)]
    start = look.figures + _GAP
    if shown.word and _word_width(shown, look, measure) > width - start + _WORD_BEFORE:
        base -= _raised(look)
    items.append(Text(look.figures, base, shown.text, token, look.px, "end", shown.best))
    if shown.blocks is not None:
        return [*items, *_blocks(shown.blocks, start, middle, width - start, look)]
    return [*items, *_bar(shown, start, middle, width - start, look, measure)]


def _bar(shown: Cell, left: float, middle: float, width: float, look: Look, measure: Measure) -> list[Shape]:
    bar, zoom = shown.bar, look.zoom
    if bar is None or width < 12.0:
        return []
    items = list[Shape]()
    # with a word under it a bar is in the upper half of its cell
    centre, half = (middle - _raised(look), 3.0 * zoom) if shown.word else (middle, 4.0 * zoom)
    start, end = left + bar.share * width, left + (bar.share if bar.to is None else bar.to) * width
    if bar.to is not None:
        long = max(end - start, 3.0)
        items.append(Rect(start, centre - half, long, 2 * half, "well"))
        items += [Line(start, y, start + long, y, "edge", 1.0, (3.0, 2.0)) for y in (centre - half, centre + half)]
    else:
        token = "hair" if look.stale else "ink2" if shown.best else "ghost"
        items.append(Rect(left, centre - half, max(bar.share * width, 1.5), 2 * half, token))
    if shown.word:
        room = _word_width(shown, look, measure)
        # not under the middle of its bar: words of several rows stand below each other
        at = max(min(left, left + width - room), 0.0)
        if shown.mark and shown.mark != "none":
            items += mark(shown.mark, at + 5.5 * zoom, middle + 0.5 * look.caption, MARK_CELL * zoom)
            at += _MARKED * zoom
        items.append(Text(at, middle + 0.86 * look.caption, shown.word, "ink2", look.caption))
    if bar.wanted is not None:
        x = left + bar.wanted * width
        items.append(Line(x, middle - _TICK * zoom, x, middle + _TICK * zoom, "ink", 2.0))
    return items


def _raised(look: Look) -> float:
    """How far a figure or a bar with a word under it stands above the middle."""
    return 0.5 * look.caption + 1.0


def _word_width(shown: Cell, look: Look, measure: Measure) -> float:
    """Width of the word under a bar, with its mark."""
    marked = _MARKED * look.zoom if shown.mark and shown.mark != "none" else 0.0
    return measure(shown.word, look.caption, False) + marked


def _blocks(blocks: tuple[int, int], left: float, middle: float, width: float, look: Look) -> list[Shape]:
    """Two rows of ten small boxes, those of draws without a failure filled."""
    count, whole = blocks
    step = width / _BLOCKS_A_ROW
    wide, high = max(step - 3.0, 2.0), 6.0 * look.zoom
    items: list[Shape] = []
    for place in range(whole):
        row, column = divmod(place, _BLOCKS_A_ROW)
        y = middle - high - 1.5 + row * (high + 3.0)
        full = place < count
        fill = ("hair" if look.stale else "ink2") if full else ""
        items.append(Rect(left + column * step, y, wide, high, fill, "edge", 1.0))
    return items


def label(row: Row, width: float, height: float, look: Look, measure: Measure) -> list[Shape]:
    """Name of a row and its unit in small letters beside it, the latter where there is room for all of it."""
    base = height / 2 + 0.36 * look.px
    name = shorten(row.label, width, look.px, False, measure)
    items: list[Shape] = [Text(0.0, base, name, "ink2", look.px)]
    start = measure(name, look.px, False) + 6.0
    # half a figure would be another figure
    fits = bool(row.unit) and start + measure(row.unit, look.caption, False) <= width
    return [*items, Text(start, base, row.unit, "ink3", look.caption)] if fits else items


# Marked sentences -----------------------------------------------------------------------------------------------------------------


def lines(shown: Cell, width: float, look: Look, measure: Measure) -> list[Shape]:
    """Marked sentences one below the other, from y = 0 down."""
    items: list[Shape] = []
    indent, step = 18.0 * look.zoom, line_step(look)
    y = 0.0
    for kind, broken in _broken(shown, width, look, measure):
        if kind == "none":
            items.append(Line(0.0, y + step / 2, 8.0 * look.zoom, y + step / 2, "ink3", 1.6))
        elif kind:
            items += mark(kind, 6.0 * look.zoom, y + step / 2, MARK_CELL * look.zoom)
        for text in broken:
            token = "ink3" if look.stale or not kind else "ink"
            items.append(Text(indent if kind else 0.0, y + step / 2 + 0.36 * look.px, text, token, look.px))
            y += step
        y += 4.0
    return items


def lines_height(shown: Cell, width: float, look: Look, measure: Measure) -> float:
    """Height of marked sentences."""
    return sum(len(broken) * line_step(look) + 4.0 for _, broken in _broken(shown, width, look, measure))


def line_step(look: Look) -> float:
    """From one line of a sentence to the next, px."""
    return round(1.34 * look.px)


def _broken(shown: Cell, width: float, look: Look, measure: Measure) -> Iterable[tuple[CellMark, list[str]]]:
    told: tuple[tuple[CellMark, str], ...] = shown.lines or (("", shown.text),)
    return ((kind, wrap(text, width - (18.0 * look.zoom if kind else 0.0), look.px, False, measure)) for kind, text in told)
