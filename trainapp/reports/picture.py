"""A picture of the bench in a file: SVG, PNG or PDF, by the name's ending."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import IO

from trainapp.checks.finding import Finding
from trainapp.reports.drawing import render_mpl, render_svg
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.display import Display
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.page import page
from trainapp.reports.drawing.tokens import THEMES
from trainapp.train.evaluation import Evaluation
from trainapp.units import System

#: Least size of a picture, px.
SIZE = (1440.0, 900.0)

KINDS = (".svg", ".png", ".pdf")


class PictureError(ValueError):
    """A picture that cannot be written; str() is one sentence that names the file."""


def write_picture(
    evaluation: Evaluation,
    findings: Sequence[Finding],
    path: str | Path,
    system: System = "us",
    theme: str = "light",
    size: tuple[float, float] = SIZE,
) -> None:
    """Write the whole bench view, its findings and the usual cautions; the file is whole or is not touched.

    Args:
        evaluation, findings: what to draw, findings worst first.
        path: a name that ends in .svg, .png or .pdf.
        system: "us" or "metric". theme: a key of :data:`~trainapp.reports.drawing.tokens.THEMES`.
        size: least width and height, px; a picture grows where nothing would be left out otherwise.

    Raises:
        PictureError: another ending, or a place that cannot be written to.
    """
    target = Path(path)
    check_target(target)
    model = bench_model(evaluation, findings, system)
    drawing = page(model, size, measure_dejavu)
    save(drawing, target, theme, model.site or "Bench")


def check_target(target: Path) -> None:
    """Refuse a name of which no picture can be made.

    Raises:
        PictureError: with the reason.
    """
    if target.suffix.lower() not in KINDS:
        raise PictureError(f"{target}: a picture ends in .svg, .png or .pdf")
    if target.is_dir():
        raise PictureError(f"{target} is a folder")
    if not target.parent.is_dir():
        raise PictureError(f"{target}: there is no folder {target.parent}")


def save(drawing: Display, target: Path, theme: str = "light", title: str = "") -> None:
    """Render a display list into a file: beside it first, then in its place.

    Raises:
        PictureError: the file cannot be written.
    """
    if theme not in THEMES:
        raise PictureError(f"{theme} is not a theme; use one of {', '.join(THEMES)}")
    writers: dict[str, Callable[[IO[bytes]], object]] = {
        ".svg": lambda file: file.write(render_svg.svg(drawing, theme, title).encode()),
        ".png": lambda file: render_mpl.write_png(drawing, file, theme),
        ".pdf": lambda file: render_mpl.write_pdf(drawing, file, theme, title),
    }
    try:
        _replace(target, writers[target.suffix.lower()])
    except OSError as error:
        raise PictureError(f"{target} cannot be written: {error.strerror or error}") from error


def _replace(target: Path, write: Callable[[IO[bytes]], object]) -> None:
    """Write a new file in the same folder, to the disk, and put it where the old one was; on failure the old one stays."""
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.stem}-", suffix=target.suffix)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            write(file)
            file.flush()
            os.fsync(file.fileno())
        # mkstemp makes files that only their owner may read; a picture is as readable as any new file.
        mask = os.umask(0)
        os.umask(mask)
        temporary.chmod(0o666 & ~mask)
        temporary.replace(target)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
