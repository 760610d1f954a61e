"""The lines of the plumbing editor: every pipe with its speed, the segments of one, and its fittings."""

from __future__ import annotations

import math

from trainapp import units
from trainapp.checks.policy import rule
from trainapp.data import load_toml
from trainapp.desktop.editors.plumbing_edits import EVERY, KEYS, name_of, own_segment, segments_of
from trainapp.desktop.editors.sheet import Cell, Column, Line
from trainapp.desktop.session import Session
from trainapp.hydraulics.pipes import PipeError, fitting_kinds, pipe_size, pipe_sizes
from trainapp.reports.drawing.marks import Mark
from trainapp.stages.working import PEAK
from trainapp.train.document import PipeSegment
from trainapp.train.shares import FLOW_STEP, shared_out

SEGMENTS = (
    Column("number", "No.", 40),
    Column("material", "Material", 184),
    Column("size", "Size", 76, right=True),
    Column("length", "Length", 64, right=True),
    Column("speed", "Speed", 0, right=True),
)
FITTINGS = (Column("fitting", "Fitting", 196), Column("count", "Count", 0, right=True))


def pipe_columns(system: units.System) -> tuple[Column, ...]:
    """The columns of the list of pipes, with the units of their numbers."""

    def head(title: str, dimension: str) -> str:
        return f"{title} {units.typeset(units.unit(dimension, system))}"

    return (
        Column("pipe", "Pipe"),
        Column("made", "Made of", 160),
        Column("length", head("Length", "distance"), 72, right=True),
        Column("flow", head("Peak", "flow"), 84, right=True),
        Column("speed", head("Speed", "velocity"), 84, right=True),
        Column("loss", head("Loss", "pressure"), 76, right=True),
    )


def _bare(value: float, dimension: str, system: units.System) -> str:
    """A number in the unit that its column says."""
    return units.typeset(units.show(value, dimension, system).removesuffix(units.unit(dimension, system)).strip())


def pipe_lines(session: Session) -> list[Line]:
    """Every pipe in the order of the document, the one that holds for all others first."""
    document, system = session.document, session.system
    every = Cell(_made(document.plumbing), token="ink2")
    length = _bare(document.plumbing.value("length"), "distance", system)
    lines = [Line(EVERY, "Every pipe", (Cell("Every pipe", bold=True), every, Cell(length, token="ink2"), Cell(), Cell(), Cell()))]
    found = session.assessment.evaluation.links if session.assessment else {}
    shown = shared_out({ends: float(result.flow[PEAK]) for ends, result in found.items()}, FLOW_STEP / units.convert(1.0, "flow", system))
    for link in document.links:
        name = f"{session.title_of(link.from_)} to {session.title_of(link.to)}"
        segments = document.pipe_of(link)
        made = _made(segments[0]) if len(segments) == 1 else f"{len(segments)} segments"
        whole = _bare(sum(segment.value("length") for segment in segments), "distance", system)
        result = found.get(link.ends)
        own = link.pipe is not None
        cells = [Cell(name), Cell(made, token="ink" if own else "ink3"), Cell(whole, token="ink" if own else "ink3")]
        if result is None:
            cells += [Cell("no flow", token="ink3"), Cell(), Cell()]
        else:
            flow, loss = _bare(shown[link.ends], "flow", system), _bare(result.loss, "pressure", system)
            cells += [Cell(flow, token="ink2"), speed_cell(result.velocity, system, bare=True), Cell(loss, token="ink2")]
        lines.append(Line(name_of(link), name, tuple(cells)))
    return lines


def _made(segment: PipeSegment) -> str:
    try:
        return pipe_size(segment.word("material"), segment.value("size")).label
    except PipeError:
        return f"{segment.word('material')}, {segment.raw('size')}"


def speed_cell(speed: float, system: units.System, bare: bool = False) -> Cell:
    """The speed of water in a pipe, marked where it is too fast; `bare` without its unit."""
    note, caution = rule("velocity_note"), rule("velocity_caution")
    limit = caution if speed > caution.value * (1 + 1e-9) else note
    fast = speed > note.value * (1 + 1e-9)
    sign: Mark | None = ("caution" if limit is caution else "note") if fast else None
    text = units.show_against_limit(speed, limit.value, "velocity", system)
    text = units.typeset(text.removesuffix(units.unit("velocity", system)).strip() if bare else text)
    why = f"{limit.meaning}: {units.typeset(units.show(limit.value, 'velocity', system))} ({limit.status})" if fast else ""
    return Cell(text, token="ink" if fast else "ink2", bold=fast, mark=sign, note=why)


def segment_lines(session: Session, name: str, flow: float) -> list[Line]:
    """The segments of one pipe; what it takes from every pipe is shown in grey."""
    lines = []
    for i, segment in enumerate(segments_of(session.document, name)):
        own = own_segment(session.document, name, i)
        cells = [Cell(str(i + 1), token="ink2")]
        for key in KEYS:
            text = str(own.raw(key)) if own is not None and own.given(key) else ""
            cells.append(_part(key, text, segment))
        cells.append(_speed_in(segment, flow, session.system))
        lines.append(Line(str(i), f"segment {i + 1}", tuple(cells)))
    return lines


def _part(key: str, text: str, segment: PipeSegment) -> Cell:
    stands = str(segment.raw(key))
    if key == "material":
        choices = (("", "as every pipe"), *((name, _material(name)) for name in pipe_sizes()))
        return Cell(_material(text) if text else "", text, True, choices, hint=_material(stands))
    if key == "size":
        made = [size.label.rpartition(", ")[2] for size in pipe_sizes().get(segment.word("material"), ())]
        return Cell(units.typeset(text), text, True, tuple((size, size) for size in made), free=True, hint=units.typeset(stands))
    return Cell(units.typeset(text), text, True, hint=units.typeset(stands))


def _material(name: str) -> str:
    sizes = pipe_sizes().get(name)
    return sizes[0].label.rpartition(", ")[0] if sizes else name


def _speed_in(segment: PipeSegment, flow: float, system: units.System) -> Cell:
    if flow <= 0.0:
        return Cell()
    bore = pipe_size(segment.word("material"), segment.value("size")).bore
    return speed_cell(flow / (0.25 * math.pi * bore * bore), system)


def fitting_lines(session: Session, name: str, index: int) -> list[Line]:
    """How many of each fitting a segment has."""
    segments = segments_of(session.document, name)
    counts = segments[min(index, len(segments) - 1)].fitting_counts
    own = own_segment(session.document, name, min(index, len(segments) - 1))
    given = own is not None and own.given("fittings")
    lines = []
    for key in fitting_kinds():
        label, count = load_toml("hydraulics/fittings.toml")[key]["label"], counts.get(key, 0)
        shown = Cell(str(count) if count and given else "", str(count) if count else "", True, hint=str(count), bold=bool(count and given))
        lines.append(Line(key, label, (Cell(label, token="ink" if count else "ink2"), shown)))
    return lines
