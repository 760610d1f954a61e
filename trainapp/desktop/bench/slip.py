"""The slip beside the pointer: where something would land, and what it would do to the findings."""

from __future__ import annotations

from trainapp.desktop.bench.forecast import Outlook, plural
from trainapp.desktop.fonts import measure
from trainapp.reports.drawing.display import Rect, Shape, Text
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.measure import shorten
from trainapp.reports.drawing.tokens import BODY, CAPTION, CORNER

#: From the pointer to the slip, and its widest text, px.
_OFF, _MOST = 18.0, 380.0
_LINE, _PAD = 18.0, 8.0


def slip(text: str, outlook: Outlook | None, x: float, y: float, width: float, height: float, below: float = 0.0) -> list[Shape]:
    """Shapes of a slip near a point, kept inside a view of that size. Without an outlook it is not known yet, and says so.

    Args:
        text: where it would land, "" for no such line.
        below: px under the pointer that something else takes.
    """
    lines = [line for line in (_where(text), _what(outlook), _worst(outlook)) if line]
    wide = max(_width(line) for line in lines) + 2 * _PAD
    tall = len(lines) * _LINE + _PAD
    left = min(max(x + _OFF, 4.0), max(width - wide - 4.0, 4.0))
    under = y + _OFF + below
    top = under if under + tall < height - 4.0 else max(y - _OFF - tall, 4.0)
    shapes: list[Shape] = [Rect(left, top, wide, tall, "page", "edge", 1.0, CORNER)]
    for i, line in enumerate(lines):
        shapes += _put(line, left + _PAD, top + _PAD / 2 + (i + 0.5) * _LINE)
    return shapes


#: A line: parts one behind the other, each a mark or "", its text, and its token.
Part = tuple[str, str, str]


def _where(text: str) -> list[Part]:
    return [("", shorten(text, _MOST, BODY, False, measure), "ink")] if text else []


def _what(outlook: Outlook | None) -> list[Part]:
    if outlook is None:
        return [("", "findings: working it out", "ink3")]
    if outlook.refused:
        return [("unknown", shorten(outlook.words, _MOST, BODY, False, measure), "ink")]
    if not outlook.come and not outlook.go:
        return [("", outlook.words, "ink2")]
    parts: list[Part] = [(word, f"+{count}\u202f{plural(word, count)}", "ink") for word, count in outlook.come]
    return parts + [(word, f"\u2212{count}\u202f{plural(word, count)}", "ink") for word, count in outlook.go]


def _worst(outlook: Outlook | None) -> list[Part]:
    return [("", shorten(outlook.worst, _MOST, CAPTION, False, measure), "ink2")] if outlook is not None and outlook.worst else []


def _width(line: list[Part]) -> float:
    return sum(measure(text, BODY, False) + (17.0 if sign else 0.0) for sign, text, _ in line) + 12.0 * (len(line) - 1)


def _put(line: list[Part], x: float, y: float) -> list[Shape]:
    shapes: list[Shape] = []
    for sign, text, token in line:
        if sign:
            shapes += mark(sign, x + 6.0, y)  # type: ignore[arg-type]
            x += 17.0
        shapes.append(Text(x, y + 4.0, text, token, BODY))
        x += measure(text, BODY, False) + 12.0
    return shapes
