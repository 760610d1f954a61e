"""The bench view on paper: nothing in it that asks to be clicked, and in several parts where the train is wider than the page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from trainapp.reports.drawing.display import Box, Display, Group, Measure, Shape, Text
from trainapp.reports.drawing.frame import HEADS, MARGIN, Options
from trainapp.reports.drawing.ledger import urgent
from trainapp.reports.drawing.model import BenchModel, Row
from trainapp.reports.drawing.view import View, layout

#: A train that is a little too wide is drawn smaller, as long as its text is printed at 8 pt or nearly so.
_LEAST_SCALE = 0.96
#: What one part of a wide train shows again of the part before, px: a vessel and its column.
_AGAIN = 150.0
#: What of the view is there to be clicked.
_CLICKED = frozenset({"choose-rows", "tidy"})


def paper_parts(model: BenchModel, width: float, height: float, measure: Measure, headline: bool = True) -> list[tuple[View, Display]]:
    """The view in one part, or in as many as a page needs, from the left; each with what of it is printed.

    Args:
        model: its ledger rows give way as far as `height` needs it.
        width, height: room on the page, px. A drawing may come out a little larger: it is then to be placed smaller.
        headline: whether the verdict stands over each part.
    """
    model = _fitting(replace(model, try_flow=None), Options(width, height, headline=headline), measure)
    wide = layout(model, Options(width, height, headline=headline), measure).content[0]
    if wide > width and width >= _LEAST_SCALE * wide:
        width, height = wide + 1.0, height * (wide + 1.0) / width
    views = [layout(model, Options(width, height, pan_x=pan, headline=headline), measure) for pan in _pans(wide, width)]
    return [(view, replace(view.display, items=_printed(view.display.items, None, measure))) for view in views]


def _fitting(model: BenchModel, options: Options, measure: Measure) -> BenchModel:
    """The model with as many ledger rows as there is room for."""
    while len(model.rows) > 1 and layout(model, options, measure).content[1] > options.height + 0.5:
        model = replace(model, rows=_without_last(model.rows))
    return model


def _without_last(rows: Sequence[Row]) -> tuple[Row, ...]:
    """All rows but the last of those that could best be missed."""
    calm = [i for i, row in enumerate(rows) if not urgent(row)]
    gone = calm[-1] if calm else len(rows) - 1
    return tuple(row for i, row in enumerate(rows) if i != gone)


def _pans(wide: float, width: float) -> list[float]:
    """How far each part of a wide view is moved to the left."""
    over = wide - width
    if over <= 0.5:
        return [0.0]
    step = max(width - HEADS - MARGIN - _AGAIN, _AGAIN)
    count = int(-(-over // step))
    return [over * i / count for i in range(count + 1)]


def _printed(items: Sequence[Shape], clip: Box | None, measure: Measure) -> list[Shape]:
    """The shapes without what is there to be clicked, and without texts that an edge would cut: another part shows them whole."""
    kept: list[Shape] = []
    for shape in items:
        if isinstance(shape, Group):
            if not (shape.tag and shape.tag[0] in _CLICKED):
                kept.append(replace(shape, items=_printed(shape.items, shape.clip or clip, measure)))
        elif clip is None or not isinstance(shape, Text) or _inside(shape.box(measure), clip):
            kept.append(shape)
    return kept


def _inside(box: Box, clip: Box) -> bool:
    return box.x >= clip.x - 0.5 and box.right <= clip.right + 0.5
