"""The bench at an hour of a year of service: what every vessel looks like, and flow, water and pressure of that hour under it.

Values are those of the hour, read from the run, none of them between two. The picture of a film on a sleeve is illustrative: the word
stands in the picture, its number is a band, and beside it time is told in months of use instead of dates.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from trainapp.reports.drawing.budget import ROWS_LEAST
from trainapp.reports.drawing.display import Box, Display, Group, Line, Measure, Rect, Shape, Text
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.layers import moved
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.measure import measure_dejavu, shorten, wrap
from trainapp.reports.drawing.tokens import BODY, HEADING, MARK_LIST, ROW_TIGHT, TITLE
from trainapp.reports.drawing.view import View, layout
from trainapp.reports.year_model import ROWS_MOST, clock_words, model_at, warning_of, what_flows
from trainapp.reports.year_moment import Moment, moment, of_clock
from trainapp.reports.year_words import marked
from trainapp.studies.year import Year
from trainapp.units import System

_LEFT = 12.0
#: Height of all bands but the rows of the ledger, px.
_BESIDE_ROWS = 470.0
#: Heights of each line that says not to drink, of the lines above a bench, of that above one of two trains, and of their clock, px.
_WARNING, _HEAD, _NAME, _CLOCK = 20.0, 46.0, 30.0, 28.0


def bench_at(
    year: Year,
    hour: float,
    *,
    width: float,
    height: float,
    system: System = "us",
    measure: Measure = measure_dejavu,
    bench_only: bool = False,
    headline: bool = True,
    title: str = "",
) -> Display:
    """The bench at an hour since the start of a run, as a display list.

    Args:
        width, height: px; what needs more of them is cut, see :func:`view_at`.
        bench_only: vessels and names alone, for lessons and for two trains beside each other.
        headline: whether two lines above say when it is, what flows and what goes wrong; `title` stands at their right end.
    """
    top = _head_height(year, width, measure) if headline else 0.0
    options = Options(width=width, height=max(height - top, 1.0), top=top, bands=not bench_only)
    # so many rows that pressure finds room under them: nothing scrolls here
    most = min(max(int((options.height - _BESIDE_ROWS) / ROW_TIGHT), ROWS_LEAST), ROWS_MOST)
    view = view_at(year, hour, options, system=system, measure=measure, most_rows=most)
    heads = _heading(year, moment(year, hour), title, width, system, measure) if headline else []
    return Display(width, height, [*view.display.items, *heads])


def view_at(
    year: Year, hour: float, options: Options, *, system: System = "us", measure: Measure = measure_dejavu, most_rows: int = ROWS_MOST
) -> View:
    """The same as a view that can be panned and asked what lies under a point, without the lines above it; its ledger has at the most
    so many rows, unless the options choose them."""
    model = model_at(year, hour, system, options.rows, most_rows)
    return layout(model, replace(options, headline=False, choosing=False, rows=()), measure)


def benches_at(
    trains: Sequence[tuple[str, Year]],
    hour: float,
    *,
    width: float,
    height: float,
    system: System = "us",
    measure: Measure = measure_dejavu,
    headline: bool = True,
) -> Display:
    """Several trains below one another on one clock, vessels alone, each under its name and what goes wrong with it.

    Args:
        trains: each with what it is called. headline: whether a line above says when it is.
    """
    moments = [moment(year, hour) for _, year in trains]
    above = _CLOCK if headline else 0.0
    area = Box(0.0, above, width, height - above)
    boxes = _below(area, len(trains))
    items: list[Shape] = []
    if headline:
        items.append(Text(_LEFT, 20.0, f"{clock_words(of_clock(moments))}.", "ink", HEADING, "start", True))
    for (name, year), now, box in zip(trains, moments, boxes, strict=True):
        clip = Box(box.x, box.y + _NAME, box.w, box.h - _NAME)
        view = view_at(year, hour, Options(width=clip.w, height=clip.h, bands=False), system=system, measure=measure)
        items.append(Group(moved(view.display.items, clip.x, clip.y), clip=clip))
        items += _line(now, box, name, measure)
        if box.y > above:
            items.append(Line(0.0, box.y, width, box.y, "hair"))
    return Display(width, height, items)


def _below(area: Box, count: int) -> list[Box]:
    each = area.h / count
    return [Box(area.x, area.y + i * each, area.w, each) for i in range(count)]


# Lines above a bench --------------------------------------------------------------------------------------------------------------


def _warnings(year: Year, width: float, measure: Measure) -> list[str]:
    """Lines of what not to do now; nothing of it is ever cut."""
    told = warning_of(year)
    return wrap(told, width - 2 * _LEFT, HEADING, True, measure) if told else []


def _head_height(year: Year, width: float, measure: Measure) -> float:
    return _HEAD + _WARNING * len(_warnings(year, width, measure))


def _heading(year: Year, now: Moment, title: str, width: float, system: System, measure: Measure) -> list[Shape]:
    """When it is and what flows; below, what goes wrong; above, what not to do now. As high whatever it says."""
    items: list[Shape] = [Rect(0.0, 0.0, width, _head_height(year, width, measure), "sheet")]
    y = 20.0
    for line in _warnings(year, width, measure):
        items.append(Text(_LEFT, y, line, "ink", HEADING, "start", True))
        y += _WARNING
    clock = f"{clock_words(now)}."
    items.append(Text(_LEFT, y, clock, "ink", HEADING, "start", True))
    # the sentence beside it begins at one place, whatever the clock says
    x = _LEFT + measure("30 September, 00:00.", HEADING, True) + 12.0
    name = shorten(title, 0.3 * width, BODY, False, measure)
    room = width - x - 2 * _LEFT - measure(name, BODY, False)
    items.append(Text(x, y, shorten(what_flows(now, system), room, BODY, False, measure), "ink2", BODY))
    items += [Text(width - _LEFT, y, name, "ink3", BODY, "end")] if name else []
    return [*items, *_wrongs(now, _LEFT, y + 18.0, width, measure)]


def _line(now: Moment, box: Box, name: str, measure: Measure) -> list[Shape]:
    """What one of several trains is called, and what goes wrong with it."""
    left, y = box.x + _LEFT, box.y + 20.0
    head = Text(left, y, shorten(name, 0.4 * box.w, TITLE, True, measure), "ink", TITLE, "start", True)
    return [head, *_wrongs(now, left + measure(head.text, TITLE, True) + 16.0, y, box.right, measure)]


def _wrongs(now: Moment, x: float, y: float, width: float, measure: Measure) -> list[Shape]:
    """What goes wrong in an hour, each with its mark, its word and its number in the list; as many as find room."""
    if not now.wrong:
        told = shorten("Nothing that was modelled goes wrong in this hour.", width - _LEFT - x, BODY, False, measure)
        return [Text(x, y, told, "ink3", BODY)]
    items: list[Shape] = []
    for i, wrong in enumerate(now.worst_first):
        text = f"{wrong.number} {wrong.told.severity}: {marked(wrong.told)}"
        rest = f"and {len(now.wrong) - i} more"
        need = measure(text, BODY, False) + 18.0 + (measure(rest, BODY, False) + 16.0 if i < len(now.wrong) - 1 else 0.0)
        if x + need > width - _LEFT:
            return [*items, Text(x, y, rest if i else shorten(text, width - x - _LEFT, BODY, False, measure), "ink2", BODY)]
        items += [*mark(wrong.told.severity, x + 6.5, y - 4.5, MARK_LIST), Text(x + 18.0, y, text, "ink", BODY)]
        x += 18.0 + measure(text, BODY, False) + 16.0
    return items


__all__ = ["bench_at", "benches_at", "model_at", "view_at"]
