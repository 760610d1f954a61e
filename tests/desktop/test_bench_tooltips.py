"""Tooltips of the bench go on in a new line where they are long."""

from __future__ import annotations

from trainapp.desktop.bench.pane import wrapped
from trainapp.desktop.fonts import measure


def test_a_long_tooltip_is_wrapped() -> None:
    text = "Iron 2.37 mg/L to 2.39 mg/L, at most 10.00 mg/L: " + ", ".join(["more iron than the medium can clear"] * 4) + "\nSecond part."
    lines = wrapped(text).split("\n")
    assert len(lines) > 3 and lines[-1] == "Second part."
    assert all(measure(line, 12.0, False) <= 360.0 for line in lines)
    assert " ".join(lines) == " ".join(text.split())
    assert wrapped("") == "" and wrapped("short") == "short"
