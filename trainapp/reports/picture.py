"""A picture of the bench in a file: SVG, PNG or PDF, by the name's ending."""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from pathlib import Path

from trainapp.checks.finding import Finding
from trainapp.reports.drawing import render_mpl, render_svg
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.display import Display
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.page import page
from trainapp.reports.drawing.tokens import THEMES
from trainapp.reports.export_file import ExportError, Writer, check_target, write_export
from trainapp.train.evaluation import Evaluation
from trainapp.units import System

#: Least size of a picture, px.
SIZE = (1440.0, 900.0)

KINDS = (".svg", ".png", ".pdf")


#: A picture that cannot be written; str() is one sentence that names the file.
PictureError = ExportError


def write_picture(
    evaluation: Evaluation,
    findings: Sequence[Finding],
    path: str | Path,
    system: System = "us",
    theme: str = "light",
    size: tuple[float, float] = SIZE,
    dots: float = 2.0,
) -> None:
    """Write the whole bench view, its findings and the usual cautions; the file is whole or is not touched.

    Args:
        evaluation, findings: what to draw, findings worst first.
        path: a name that ends in .svg, .png or .pdf.
        system: "us" or "metric". theme: a key of :data:`~trainapp.reports.drawing.tokens.THEMES`.
        size: least width and height, px; a picture grows where nothing would be left out otherwise.
        dots: of a PNG, a px; a px is 1/96 in, so that 2 are 192 dots an inch.

    Raises:
        PictureError: another ending, or a place that cannot be written to.
    """
    target = Path(path)
    check_target(target, KINDS, "a picture")
    model = bench_model(evaluation, findings, system)
    drawing = page(model, size, measure_dejavu)
    save(drawing, target, theme, model.site or "Bench", dots)


def save(drawing: Display, target: Path, theme: str = "light", title: str = "", dots: float = 2.0) -> None:
    """Render a display list into a file: beside it first, then in its place.

    Raises:
        PictureError: the file cannot be written.
    """
    if theme not in THEMES:
        raise PictureError(f"{theme} is not a theme; use one of {', '.join(THEMES)}")
    writers: dict[str, Writer] = {
        ".svg": lambda file: file.write(render_svg.svg(drawing, theme, title).encode()),
        ".png": lambda file: render_mpl.write_png(drawing, file, theme, dots),
        ".pdf": lambda file: render_mpl.write_pdf(drawing, file, theme, title),
    }
    with warnings.catch_warnings():
        # a letter that the font lacks is drawn as a box, and seen there
        warnings.simplefilter("ignore")
        write_export(target, writers[target.suffix.lower()])
