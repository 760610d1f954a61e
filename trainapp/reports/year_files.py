"""Files of a year of service: charts, the bench at an hour, two trains beside each other; SVG, PNG or PDF by the name's ending."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from trainapp.reports.drawing.display import Display, Rect, Shape, Text
from trainapp.reports.drawing.display import Line as Stroke
from trainapp.reports.drawing.layers import moved
from trainapp.reports.drawing.measure import measure_dejavu, shorten, wrap
from trainapp.reports.drawing.tokens import BODY, HEADING, TITLE
from trainapp.reports.export_file import check_target
from trainapp.reports.picture import KINDS, save
from trainapp.reports.year_chart import Line, Window, strip_charts
from trainapp.reports.year_foot import foot_height, foot_lines, foot_shapes
from trainapp.reports.year_model import warning_of
from trainapp.reports.year_pair import pair_page
from trainapp.reports.year_text import title_line
from trainapp.studies.year import Pair
from trainapp.units import System, typeset

#: Size of one chart, px: about 16:5.
CHART = (960.0, 300.0)
_HEAD, _WARNING = 56.0, 20.0


def check_chart(path: str | Path) -> None:
    """Refuse a name under which no chart can be written: ExportError with the reason."""
    check_target(Path(path), KINDS, "a chart")


def check_table(path: str | Path) -> None:
    """Refuse a name under which no page of two trains can be written: ExportError with the reason."""
    check_target(Path(path), KINDS, "two trains beside each other")


def write_charts(
    rows: Sequence[Sequence[Line]],
    path: str | Path,
    *,
    system: System = "us",
    theme: str = "light",
    day_window: Window | None = None,
    hour: float | None = None,
    dots: float = 2.0,
    undated: bool = False,
) -> None:
    """Write charts below one another, with what ran above and the usual cautions under them; the file is whole or is not touched.

    Args:
        rows: the lines of each chart. dots: of a PNG, a px. undated: months of use along every axis, as :func:`strip_chart` has it.

    Raises:
        ExportError: the name, the folder or the disk takes no such file. ChartError: as :func:`strip_chart`.
    """
    check_chart(path)
    page = charts_page(rows, system=system, day_window=day_window, hour=hour, undated=undated)
    save(page, Path(path), theme, title_line(rows[0][0].year), dots)


def charts_page(
    rows: Sequence[Sequence[Line]],
    *,
    system: System = "us",
    day_window: Window | None = None,
    hour: float | None = None,
    undated: bool = False,
) -> Display:
    """The same as a display list."""
    width, high = CHART
    drawn = strip_charts(rows, width=width, height=high, system=system, day_window=day_window, hour=hour, undated=undated)
    years = list({id(line.year): line.year for lines in rows for line in lines}.values())
    foot = foot_lines(years, width)
    warned = wrap(warning_of(*years), width - 24.0, HEADING, True, measure_dejavu) if warning_of(*years) else []
    top = _WARNING * len(warned)
    height = top + _HEAD + drawn.height + 12.0 + foot_height(foot)
    name, _, rest = title_line(years[0]).partition(": ")
    items: list[Shape] = [Rect(0.0, 0.0, width, height, "page")]
    items += [Text(12.0, 24.0 + _WARNING * i, line, "ink", HEADING, "start", True) for i, line in enumerate(warned)]
    items.append(Text(12.0, top + 24.0, shorten(name, width - 24.0, TITLE, True, measure_dejavu), "ink", TITLE, "start", True))
    told = typeset(rest[:1].upper() + rest[1:])
    items.append(Text(12.0, top + 43.0, shorten(told, width - 24.0, BODY, False, measure_dejavu), "ink2", BODY))
    items += [Stroke(0.0, top + _HEAD, width, top + _HEAD, "hair"), *moved(drawn.items, 0.0, top + _HEAD + 8.0)]
    return Display(width, height, [*items, *foot_shapes(foot, width, height)], "page")


def write_table(pair: Pair, path: str | Path, *, system: System = "us", theme: str = "light", dots: float = 2.0) -> None:
    """Write two trains beside each other: benches, numbers, what goes wrong in one alone; the file is whole or is not touched.

    Raises:
        ExportError: the name, the folder or the disk takes no such file.
    """
    check_table(path)
    save(pair_page(pair, system=system), Path(path), theme, title_line(pair.first), dots)


__all__ = ["CHART", "charts_page", "check_chart", "check_table", "write_charts", "write_table"]
