"""The foot of every picture of a year that leaves the program: what a calculation does not show, and what in it is for teaching."""

from __future__ import annotations

from collections.abc import Sequence

from trainapp.reports.drawing.display import Line, Shape, Text
from trainapp.reports.drawing.measure import measure_dejavu, wrap
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.reports.year_words import NOT_SAFE
from trainapp.studies.year import Year

_TEACHING = "How a film grows, how cold water dims a lamp, spikes and power cuts are illustrative: for teaching, not data."
_LEAD, _PAD = 14.0, 12.0


def foot_lines(years: Sequence[Year], width: float) -> list[str]:
    """Its lines at a width, px."""
    taught = any(year.lights or year.options.cuts or year.options.spike is not None for year in years)
    return wrap(" ".join([NOT_SAFE, *([_TEACHING] if taught else [])]), width - 3 * _PAD, CAPTION, False, measure_dejavu)


def foot_height(lines: Sequence[str]) -> float:
    """What the lines take, px."""
    return _LEAD * len(lines) + 8.0


def foot_shapes(lines: Sequence[str], width: float, bottom: float) -> list[Shape]:
    """The lines above the bottom of a picture, under a hairline."""
    top = bottom - foot_height(lines)
    texts = [Text(_PAD, top + _LEAD * (i + 1) + 1.0, line, "ink2", CAPTION) for i, line in enumerate(lines)]
    return [Line(0.0, top, width, top, "hair"), *texts]
