"""How a stage stands, where the document says so itself."""

from __future__ import annotations

from dataclasses import replace

from trainapp.stages.base import Figure, Settings


def height_line(settings: Settings) -> tuple[tuple[str, float | str, str], ...]:
    """What a size line says of how high a tank stands: nothing where nobody measured it."""
    height = settings.get("height")
    return () if height is None else (("height", float(height), "length"),)


def measured(figure: Figure, settings: Settings) -> Figure:
    """The figure of a kind with the width and height that the document gives of one unit; a bed stays inside its tank."""
    width, height = settings.get("width"), settings.get("height")
    if width is None and height is None:
        return figure
    tall = float(height) if height is not None else figure.height
    return replace(figure, width=float(width) if width is not None else figure.width, height=tall, fill=min(figure.fill, tall))
