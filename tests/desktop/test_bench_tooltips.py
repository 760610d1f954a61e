"""Tooltips of the bench go on in a new line where they are long; its ports stand at the ends of what is selected."""

from __future__ import annotations

from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.bench.pane import wrapped
from trainapp.desktop.fonts import measure
from trainapp.desktop.session import Session


def test_a_long_tooltip_is_wrapped() -> None:
    text = "Iron 2.37 mg/L to 2.39 mg/L, at most 10.00 mg/L: " + ", ".join(["more iron than the medium can clear"] * 4) + "\nSecond part."
    lines = wrapped(text).split("\n")
    assert len(lines) > 3 and lines[-1] == "Second part."
    assert all(measure(line, 12.0, False) <= 360.0 for line in lines)
    assert " ".join(lines) == " ".join(text.split())
    assert wrapped("") == "" and wrapped("short") == "short"


def test_pipes_are_drawn_from_both_ends_of_units_side_by_side(canvas: BenchCanvas, session: Session) -> None:
    """The farm has two iron filters side by side: a pipe begins right of the second."""
    session.select(("stage", "iron"))
    assert canvas.view is not None
    first, second = canvas.view.spread.units["iron"]
    ports = canvas.marks.port_boxes
    assert ports["in"].right < first < second < ports["out"].x
