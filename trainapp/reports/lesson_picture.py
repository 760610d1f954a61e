"""The benches of a lesson on paper: as built for the worksheet, as they stand at the lesson's moment for the answer sheet."""

from __future__ import annotations

from dataclasses import replace

from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.display import Display, Group, Measure, Rect, Shape, Text
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.tokens import HEADING
from trainapp.reports.drawing.view import layout
from trainapp.reports.year_model import model_at
from trainapp.studies.lessons import Played, PlayedBench
from trainapp.units import System

#: Room for the letter and the words of a bench above its picture, px.
_TOP = 26.0
_SQUARE = 18.0


def lesson_picture(
    played: Played,
    letter: str,
    *,
    width: float,
    height: float,
    later: bool = False,
    system: System = "us",
    measure: Measure = measure_dejavu,
) -> Display:
    """One bench under its letter and its words, `width` px wide or a little more where the train needs it.

    Args:
        later: as it stands at the moment of the lesson's numbers (film, rust, salt), where a year ran; else as built.
    """
    bench = played.bench(letter)
    options = Options(width, height - _TOP, top=_TOP, headline=False, bands=False, choosing=False)
    model = _model(played, bench, later, system)
    view = layout(model, options, measure)
    wide, tall = max(width, view.content[0]), max(height, _TOP + view.content[1])
    if wide > width:
        view = layout(model, replace(options, width=wide + 1.0), measure)
    return Display(wide, tall, [*_heading(bench), *(s for s in view.display.items if not _is_ground(s))], "page")


def _model(played: Played, bench: PlayedBench, later: bool, system: System) -> BenchModel:
    """The train without its findings: what goes wrong is what the class is to find out."""
    if later and bench.year is not None and played.hour is not None:
        return replace(model_at(bench.year, played.hour, system), findings=())
    return replace(bench_model(bench.evaluation, (), system), findings=())


def _heading(bench: PlayedBench) -> list[Shape]:
    return [
        Rect(0.0, 2.0, _SQUARE, _SQUARE, "ink", "", 0.0, 3.0),
        Text(_SQUARE / 2, 2.0 + 0.76 * _SQUARE, bench.letter, "page", HEADING, "middle", True),
        Text(_SQUARE + 8.0, 2.0 + 0.76 * _SQUARE, bench.label, "ink", HEADING, "start", True),
    ]


def stages_line(bench: PlayedBench, system: System) -> str:
    """The stages of a bench in flow order with their sizes, as they are numbered in the picture."""
    model = bench_model(bench.evaluation, (), system)
    return "; ".join(stage.title + (f", {stage.size}" if stage.size else "") for stage in model.stages)


def _is_ground(shape: Shape) -> bool:
    """Whether a shape is only there to be clicked."""
    return isinstance(shape, Group) and bool(shape.tag) and shape.tag[0] in ("choose-rows", "tidy")


__all__ = ["lesson_picture", "stages_line"]
