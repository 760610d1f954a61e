"""Where everything stands on the board: heights and places that all columns and their labels share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from trainapp.desktop.options.cells import INSET
from trainapp.reports.drawing.display import Measure
from trainapp.reports.drawing.measure import shorten, wrap
from trainapp.reports.drawing.side_by_side import Look, banded_height, figures_width, lines_height
from trainapp.reports.drawing.small import small_height, small_scale
from trainapp.reports.drawing.tokens import BODY, TITLE
from trainapp.reports.options_cells import Board

LABELS, LEAST, MOST, GAP = 168, 200, 250, 8
#: Inside a card, px.
PAD = 6
_PICTURE = 150.0
BUTTON_LINE = 28
_NAME_LINES = 2
#: px beside the text of a flat and of a boxed button, and between boxed ones.
_FLAT, _BOX, _BETWEEN = 12, 22, 6
#: What can be done with a column of a kind: id, text, whether the button is flat.
ACTIONS: dict[str, tuple[tuple[str, str, bool], ...]] = {
    "left": (),
    "bench": (("bench", "To the bench", False),),
    "option": (
        ("open", "Open on bench", False), ("keep", "Keep", False), ("take", "Take over", True), ("rename", "Rename", True),
        ("remove", "Remove", True),
    ),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Style:
    """How large all is: px of texts, height of rows, whether the customer looks on, whether the window is low."""

    px: float = BODY
    row: int = 24
    customer: bool = False
    low: bool = False

    @property
    def zoom(self) -> float:
        """Against the usual size."""
        return self.px / BODY

    def wide(self, px: int) -> int:
        """A width at this size."""
        return round(px * (1.0 + 0.6 * (self.zoom - 1.0)))

    @property
    def title(self) -> float:
        """Size of a column's name."""
        return round(TITLE * (1.0 + 0.6 * (self.zoom - 1.0)))

    @property
    def name_step(self) -> int:
        """From one line of a name to the next."""
        return round(1.25 * self.title)


@dataclass(frozen=True, slots=True)
class Places:
    """Tops and heights by row; all px from the top of a card.

    Attributes:
        width: of a column. title, status, reason, picture, headings, rows, buttons, height: where they stand.
        scale: of pictures, px per metre. look: of cells.
    """

    width: int
    title: tuple[int, int]
    status: tuple[int, int]
    reason: tuple[int, int]
    picture: tuple[int, int]
    scale: float
    headings: Mapping[str, int]
    rows: Mapping[str, tuple[int, int]]
    buttons: tuple[int, int]
    height: int
    look: Look = field(default_factory=Look)


def places(board: Board, width: int, style: Style, measure: Measure, stale: bool = False) -> Places:
    """Lay out a board whose columns are so wide."""
    zoom, inner = style.zoom, width - 2.0 * (PAD + INSET)
    look = Look(style.px, min(figures_width(board, style.px, measure), 0.56 * inner), stale)
    y = 10
    named = max((len(name_lines(head.name, inner, style, measure)) for head in board.heads), default=1)
    title = (y, round(24 * zoom) + (named - 1) * style.name_step)
    y += title[1]
    status = (y, round(18 * zoom))
    y += status[1] + 2
    step = round(1.34 * style.px)
    longest = max((len(wrap(head.reason, inner, style.px, False, measure)) for head in board.heads), default=1)
    reason = (y, longest * step + 2)
    y += reason[1] + 6
    scale = small_scale(board.pictures, inner + 2.0 * INSET, _PICTURE * zoom, measure)
    picture = (y, round(small_height(board.pictures, scale, measure)))
    y += picture[1] + 4
    headings, rows = {}, {}
    for section in board.sections:
        headings[section.key] = y
        y += round(26 * zoom)
        for row in section.rows:
            high = round(style.row * zoom)
            if any(cell.word for cell in row.cells):
                high = max(high, round(banded_height(look)))
            if row.key == "settle":
                high = round(max(lines_height(cell, inner, look, measure) for cell in row.cells)) + 8
            rows[row.key] = (y, high)
            y += high
        y += 4
    lines = max((line for head in board.heads for _, line in button_spots(head.kind, width, style, measure).values()), default=0) + 1
    buttons = (y + 4, lines * BUTTON_LINE)
    return Places(width, title, status, reason, picture, scale, headings, rows, buttons, buttons[0] + buttons[1] + 8, look)


def name_lines(name: str, width: float, style: Style, measure: Measure) -> list[str]:
    """A column's name on one line, or on two of which the second ends in an ellipsis where there is no room for all of it."""
    lines = wrap(name, width, style.title, True, measure)
    if len(lines) <= _NAME_LINES:
        return lines
    rest = " ".join(name.split(" ")[sum(len(line.split(" ")) for line in lines[: _NAME_LINES - 1]) :])
    return [*lines[: _NAME_LINES - 1], shorten(rest, width, style.title, True, measure)]


def button_spots(kind: str, width: int, style: Style, measure: Measure) -> dict[str, tuple[int, int]]:
    """Where the buttons of a column stand: px from its left, and on which line. The customer keeps and no more."""
    spots, x, line = {}, PAD + INSET, 0
    for action, text, flat in ACTIONS[kind]:
        if style.customer and action != "keep":
            continue
        wide = int(measure(text, BODY, False)) + (_FLAT if flat else _BOX) + 1
        if x + wide > width - PAD and x > PAD + INSET:
            x, line = PAD + INSET, line + 1
        spots[action] = x, line
        x += wide + (0 if flat else _BETWEEN)
    return spots


def column_width(available: int, count: int, style: Style) -> int:
    """Width of a column where so many px are left beside the labels: held between the least and the most."""
    share = (available - GAP * (count + 1)) // max(count, 1)
    return min(max(share, style.wide(LEAST)), style.wide(MOST))
