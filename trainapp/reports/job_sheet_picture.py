"""The bench of the job sheet: to scale, without its bands, with the dimensions of every vessel in rows under it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from trainapp import units
from trainapp.dimensions import INCH
from trainapp.reports.drawing.display import Display, Line, Measure, Shape, Text
from trainapp.reports.drawing.frame import HEADS
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.page import scale_bar
from trainapp.reports.drawing.pipes import port_heights
from trainapp.reports.drawing.tokens import BODY, CAPTION
from trainapp.reports.drawing.view import View
from trainapp.reports.print_drawing import paper_parts
from trainapp.units import System

#: Height of a row of dimensions, and of all of them with the scale bar, px.
_ROW = 20.0
_UNDER = 6 * _ROW + 44.0


@dataclass(frozen=True, slots=True)
class Body:
    """One thing that stands in the room, at `x` px of the drawing: width, top, underside, free height above and below, ports; metres."""

    x: float
    width: float
    top: float
    base: float
    clear: float = 0.0
    under: float = 0.0
    ports: tuple[float, float] | None = None


def dimensioned(model: BenchModel, width: float, height: float, measure: Measure) -> list[Display]:
    """The bench in as many parts as a page of that room (px) needs, each with its rows of dimensions and a scale bar."""
    bare = replace(model, rows=(), columns=(), pressure=None, findings=())
    parts = paper_parts(bare, width, height - _UNDER, measure, headline=False)
    return [_part(bare, view, drawn, measure) for view, drawn in parts]


def _part(model: BenchModel, view: View, drawn: Display, measure: Measure) -> Display:
    y = view.content[1] + 10.0
    items: list[Shape] = list(drawn.items)
    # Under the heads of the rows a part shows no value: the part before it does.
    shown = [body for body in bodies(model, view) if HEADS + 12.0 <= body.x <= drawn.width - 24.0]
    unit = units.unit("length", model.system)
    for head, values in (row for row in _rows(shown, model.system) if any(row[1])):
        items.append(Line(12.0, y, drawn.width - 24.0, y, "hair"))
        items.append(Text(12.0, y + 14.0, head, "ink", BODY, "start", True))
        items.append(Text(12.0 + measure(head, BODY, True) + 6.0, y + 14.0, unit, "ink3", CAPTION))
        items += _labels(shown, values, y + 14.0, measure)
        y += _ROW
    items.append(Line(12.0, y, drawn.width - 24.0, y, "hair"))
    scale_bar(items, model, view, y + 24.0, measure)
    return Display(drawn.width, y + 34.0, items, "page")


def _labels(shown: Sequence[Body], values: Sequence[str], y: float, measure: Measure) -> Iterator[Text]:
    """A value under each body; twins that stand close share one, others give way to the right."""
    end, last = 0.0, ""
    for body, value in zip(shown, values, strict=True):
        half = measure(value, CAPTION, False) / 2
        close = body.x - half < end + 5.0
        if value and not (close and value == last):
            x = max(body.x, end + 5.0 + half)
            yield Text(x, y, value, "ink", CAPTION, "middle")
            end, last = x + half, value


def bodies(model: BenchModel, view: View) -> Iterator[Body]:
    """Every vessel, and every tank beside one, from the left; what sits in the pipe is none."""
    scale = view.spread.scale
    found = []
    for stage in model.stages:
        figure = stage.figure
        for x in view.spread.units.get(stage.id, ()) if figure.shape != "inline" else ():
            found.append(
                Body(
                    x, figure.width, figure.base + figure.height, figure.base, figure.clear_above, figure.clear_below, port_heights(figure)
                )
            )
            if figure.beside[0] > 0:
                beside = x + (figure.width / 2 + figure.beside[0] / 2) * scale + 5.0
                found.append(Body(beside, figure.beside[0], figure.beside[1], 0.0))
    yield from sorted(found, key=lambda body: body.x)


def _rows(shown: list[Body], system: System) -> Iterator[tuple[str, list[str]]]:
    yield "Width", [number(body.width, system) for body in shown]
    yield "Top at", [number(body.top, system) for body in shown]
    yield "Underside at", [number(body.base, system) if body.base > 0 else "" for body in shown]
    yield "Ports at", [_ports(body.ports, system) for body in shown]
    yield "Free above", [number(body.clear, system) if body.clear > 0 else "" for body in shown]
    yield "Free below", [number(body.under, system) if body.under > 0 else "" for body in shown]


def _ports(ports: tuple[float, float] | None, system: System) -> str:
    """Heights of inlet and outlet, one figure where both are the same."""
    return "/".join(dict.fromkeys(number(port, system) for port in ports)) if ports else ""


def number(metres: float, system: System) -> str:
    """A dimension as it is measured in a room, without its unit: whole inches, or mm to the centimetre."""
    step = INCH if system == "us" else 0.01
    return f"{units.convert(round(metres / step) * step, 'length', system):.0f}"


def length_text(metres: float, system: System) -> str:
    """The same with its unit."""
    return units.typeset(f"{number(metres, system)} {units.unit('length', system)}")
