"""A year of service as an animation: the bench at chosen hours of a run, or two trains on one clock with a chart under them, as a GIF."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import IO, TYPE_CHECKING

import numpy as np

from trainapp.reports.drawing.display import Display, Line, Shape
from trainapp.reports.drawing.layers import moved
from trainapp.reports.drawing.render_raster import image
from trainapp.reports.drawing.tokens import THEMES
from trainapp.reports.export_file import check_target, write_export
from trainapp.reports.year_bench import bench_at, benches_at
from trainapp.reports.year_chart import charts_of, strip_charts
from trainapp.reports.year_foot import foot_height, foot_lines, foot_shapes
from trainapp.reports.year_moment import undated
from trainapp.studies.year import Cancelled, Year
from trainapp.units import System

if TYPE_CHECKING:
    from PIL.Image import Image as Picture

#: Frames of an animation unless told otherwise, ms of all of them together, of one at the least and the most, and of the last.
FRAMES = 104
_TOTAL, _SHORTEST, _LONGEST, _LAST = 20_800, 60, 500, 2_000
MOST_FRAMES = 1_000
#: Height of a chart under two benches, px, and share of the picture that it takes at the most.
_CHART, _CHART_SHARE = 170.0, 0.24

Progress = Callable[[float], bool]
Trains = Sequence[tuple[str, Year]]


def animation(
    path: str | Path,
    trains: Trains,
    *,
    frames: int = FRAMES,
    width: int = 1280,
    height: int = 800,
    system: System = "us",
    dark: bool = False,
    shown: tuple[str, str] | None = None,
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> None:
    """Write an animation; the file is whole or is not touched.

    Args:
        path: a name that ends in .gif.
        trains: one run with its name ("" for none), or several on one clock.
        frames: how many; the run is cut into as many stretches, and of each its busiest hour is drawn.
        shown: (place, quantity) of a chart under the benches; by default the first that two trains have in common and differ in, none
            for one train alone.
        progress: told the share that is done; where it answers False, or `cancelled` True, it stops.

    Raises:
        ExportError: a name, folder or disk that takes no such file. ChartError: no such quantity. ValueError: no frame, or too many.
        Cancelled: it was stopped.
    """
    target = Path(path)
    check_target(target, (".gif",), "an animation")
    if not 1 <= frames <= MOST_FRAMES:
        raise ValueError(f"{frames} frames: an animation takes 1 to {MOST_FRAMES}")
    hours = frame_hours([year for _, year in trains], frames)
    theme, palette = "dark" if dark else "light", _palette("dark" if dark else "light")
    chart = shown or (_differing(trains) if len(trains) > 1 else None)

    def drawn() -> Iterator[Picture]:
        from PIL import Image

        for i, hour in enumerate(hours):
            if (cancelled is not None and cancelled()) or (progress is not None and progress(i / len(hours)) is False):
                raise Cancelled
            picture = image(frame(trains, hour, width=width, height=height, system=system, shown=chart), theme)
            yield picture.quantize(palette=palette, dither=Image.Dither.NONE)

    def write(file: IO[bytes]) -> None:
        pictures = drawn()
        first, each = next(pictures), int(np.clip(_TOTAL / len(hours), _SHORTEST, _LONGEST))
        times = [each] * (len(hours) - 1) + [_LAST]
        # optimize: what stays as it was is left out of a picture, which makes the file a third as large.
        first.save(file, "GIF", save_all=True, append_images=pictures, duration=times, loop=0, optimize=True, disposal=1)
        if progress is not None and progress(1.0) is False:
            raise Cancelled

    write_export(target, write)


def frame(
    trains: Trains, hour: float, *, width: float, height: float, system: System = "us", shown: tuple[str, str] | None = None
) -> Display:
    """One picture of an animation at an hour since the start."""
    foot = foot_lines([year for _, year in trains], width)
    high = min(_CHART, _CHART_SHARE * height) if shown is not None else 0.0
    below = foot_height(foot) + high
    if len(trains) == 1:
        name, year = trains[0]
        top = bench_at(year, hour, width=width, height=height - below, system=system, title=name)
    else:
        top = benches_at(trains, hour, width=width, height=height - below, system=system)
    items: list[Shape] = list(top.items)
    if shown is not None:
        rows = charts_of(trains, [shown])
        chart = strip_charts(rows[:1], width=width, height=high, system=system, hour=hour, undated=undated([y for _, y in trains]))
        items += [Line(0.0, height - below, width, height - below, "hair"), *moved(chart.items, 0.0, height - below)]
    return Display(width, height, [*items, *foot_shapes(foot, width, height)])


def frame_hours(years: Sequence[Year], frames: int) -> list[int]:
    """Hours since the start, rising: the busiest of each of as many stretches of equal length; the first of one in which nobody draws."""
    slots = min(year.pieces.slots for year in years)
    edges = np.unique(np.linspace(0, slots, min(frames, slots) + 1).round().astype(np.intp))
    flow = years[0].course("house", "flow")
    return [int(a + np.argmax(flow[a:b])) for a, b in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True)]


def _differing(trains: Trains) -> tuple[str, str] | None:
    """What is charted under two trains: the first of the usual quantities that both have and that differs."""
    wished = [("uv", "dose_credited"), ("house", "iron"), ("house", "hardness"), ("house", "pressure")]
    lights = [(node, "dose_credited") for node in trains[0][1].lights]
    for at, key in [*lights, *wished]:
        try:
            courses = [year.course(at, key) for _, year in trains]
        except KeyError:
            continue
        spread = float(np.nanmax(np.abs(np.nan_to_num(courses[0]) - np.nan_to_num(courses[1]))))
        if spread > 1e-3 * max(float(np.nanmax(np.abs(np.nan_to_num(courses[0])))), 1e-9):
            return at, key
    return None


@cache
def _palette(theme: str) -> Picture:
    """256 colours: the tokens, and what their edges blend to on every ground."""
    from PIL import Image

    tokens = {name: _rgb(colour) for name, colour in THEMES[theme].items()}
    grounds = [tokens[name] for name in ("sheet", "page", "body")]
    found = dict.fromkeys(tokens.values())
    found |= dict.fromkeys(
        tuple(round(a + (b - a) * i / 6) for a, b in zip(ground, ink, strict=True))
        for i in range(1, 6)
        for ground in grounds
        for ink in (tokens["ink"], *tokens.values())
    )
    flat = [part for colour in list(found)[:256] for part in colour]
    made = Image.new("P", (1, 1))
    made.putpalette(flat + [0] * (768 - len(flat)))
    return made


def _rgb(colour: str) -> tuple[int, ...]:
    return tuple(int(colour[i : i + 2], 16) for i in (1, 3, 5))


__all__ = ["FRAMES", "MOST_FRAMES", "Cancelled", "animation", "frame", "frame_hours"]
