"""Files of a year, written away from the window: charts, the animation, and two trains in numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from trainapp.desktop.background import Cancelled, Progress
from trainapp.desktop.engine import System
from trainapp.desktop.export_form import Format
from trainapp.desktop.year.work import Answer, teller
from trainapp.reports.print_paper import PX_PER_INCH

if TYPE_CHECKING:
    from trainapp.reports.year_series import Line

#: Height of a picture of the animation over its width.
_FRAME_HIGH = 0.625


_CHARTS = "The charts as they stand in the window, with the stretch of time that they show. Teaching pictures say so inside."
_PAIR = "Both trains beside each other: benches, hours outside the UV rating, staining, scale, lowest pressure, and what goes wrong."
FORMATS: tuple[Format, ...] = (
    Format("charts-png", "Charts, PNG", ".png", _CHARTS, frozenset({"chart", "colours", "dots"})),
    Format("charts-svg", "Charts, SVG", ".svg", _CHARTS, frozenset({"chart", "colours"})),
    Format("charts-pdf", "Charts, PDF", ".pdf", _CHARTS, frozenset({"chart", "colours"})),
    Format(
        "animation",
        "Animation of the bench, GIF",
        ".gif",
        "The bench at the busiest hour of each of so many stretches of the run; two trains on one clock, with a chart, where two run.",
        frozenset({"pictures", "width", "colours"}),
    ),
    Format("pair-png", "Before and after, or two trains, PNG", ".png", _PAIR, frozenset({"colours", "dots"})),
    Format("pair-svg", "Before and after, or two trains, SVG", ".svg", _PAIR, frozenset({"colours"})),
    Format("pair-pdf", "Before and after, or two trains, PDF", ".pdf", _PAIR, frozenset({"colours"})),
    Format("pair-text", "Before and after, or two trains, text", ".txt", _PAIR),
)


@dataclass(frozen=True, slots=True)
class Export:
    """One file to be written.

    Attributes:
        format, path: what, and where. answer: the runs. charts: the lines of each chart, `window` their stretch (first day, days).
        system, theme: as it is shown. dots: an inch of a PNG. pictures, width: of an animation. gauge: how far it is.
    """

    format: str
    path: Path
    answer: Answer
    charts: Sequence[Sequence[Line]]
    window: tuple[int, int] | None
    system: System
    theme: str = "light"
    dots: int = 192
    pictures: int = 120
    width: int = 960
    gauge: Progress = field(default_factory=Progress, compare=False)


def write(export: Export, cancelled: Cancelled) -> Path:
    """Write a file, whole or not at all; the file that was written.

    Raises:
        ExportError, ChartError: one sentence. Cancelled: nobody waits any more; nothing was written.
    """
    # Loaded on the thread that works: the window stands without it.
    from trainapp.reports.year_files import write_charts, write_table
    from trainapp.reports.year_moment import undated

    look = {"system": export.system, "theme": export.theme, "dots": export.dots / PX_PER_INCH}
    if export.format == "animation":
        _animation(export, cancelled)
    elif export.format == "pair-text":
        _text(export)
    elif export.answer.pair is not None and export.format.startswith("pair"):
        write_table(export.answer.pair, export.path, **look)
    else:
        write_charts(export.charts, export.path, day_window=export.window, undated=undated(export.answer.years), **look)
    return export.path


def _animation(export: Export, cancelled: Cancelled) -> None:
    from trainapp.reports.year_gif import animation

    animation(
        export.path,
        list(zip(export.answer.labels, export.answer.years, strict=True)),
        frames=export.pictures,
        width=export.width,
        height=round(export.width * _FRAME_HIGH),
        system=export.system,
        dark=export.theme.startswith("dark"),
        progress=teller(export.gauge, cancelled),
    )


def _text(export: Export) -> None:
    from trainapp.reports.export_file import check_target, write_export
    from trainapp.reports.year_text import pair_lines

    assert export.answer.pair is not None
    check_target(export.path, (".txt",), "a text")
    text = "\n".join([*pair_lines(export.answer.pair, export.system), ""]).encode()
    write_export(export.path, lambda file: file.write(text))
