"""Constants inside the formulas of worked steps, so that a formula says what was reckoned with."""

from __future__ import annotations

from trainapp import units


def constant(value: float, dimension: str, system: units.System = "us") -> str:
    """A constant with its unit, to four figures: "10 gpm/ft3"."""
    return f"{units.convert(value, dimension, system):.4g} {units.unit(dimension, system)}"
