"""Worked steps as print shows them: symbol, what it is, how it follows, value, and the number of its source."""

from __future__ import annotations

import math
from collections.abc import Iterable

from trainapp import units
from trainapp.dimensions import DIMENSIONS, GPM, PSI
from trainapp.reports.in_units import in_units
from trainapp.reports.print_sources import Citations
from trainapp.reports.print_table import PrintTable
from trainapp.stages.working import Step
from trainapp.units import System

#: How a loss goes with the flow: SI unit, unit shown instead, factor.
_L_MIN, _BAR = 1e-3 / 60.0, 1e5
_LOSSES: dict[str, dict[str, tuple[str, float]]] = {
    "us": {"Pa/(m3/s)": ("psi/gpm", GPM / PSI), "Pa/(m3/s)2": ("psi/gpm²", GPM**2 / PSI)},
    "metric": {"Pa/(m3/s)": ("bar/(L/min)", _L_MIN / _BAR), "Pa/(m3/s)2": ("bar/(L/min)²", _L_MIN**2 / _BAR)},
    "json": {},
}
_RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")

#: Two readings that differ by less than this fraction are printed as one.
_SAME = 5e-3


def steps_table(steps: Iterable[Step], system: System, citations: Citations) -> PrintTable:
    """The steps of one working, in calculation order; sources are numbered in `citations`."""
    rows = []
    for step in steps:
        meaning = in_units(step.meaning + (f" ({step.note})" if step.note else ""), system)
        formula = units.typeset(in_units(step.formula, system))
        rows.append((step.symbol, units.typeset(meaning), formula, value_of(step, system), citations.number(step.source)))
    return PrintTable(("", "what it is", "how it follows", "value", "source"), (10, 34, 30, 19, 7), rows, right=frozenset({3, 4}))


def value_of(step: Step, system: System) -> str:
    """The value of a step with its unit: the adverse reading, and from where to where the two reach where they differ."""
    if not math.isfinite(step.value):
        return "unknown" if math.isnan(step.value) else "no end"
    adverse = shown(step, step.value, system)
    if not math.isfinite(step.other) or abs(step.other - step.value) <= _SAME * max(abs(step.value), abs(step.other)):
        return adverse
    low, high = (shown(step, end, system) for end in sorted((step.value, step.other)))
    return adverse if low == high else f"{adverse} ({_number(low)}–{_number(high)})"


def shown(step: Step, value: float, system: System) -> str:
    """A value of the step's kind with its unit."""
    if step.dimension in DIMENSIONS and step.dimension != "none":
        return units.typeset(units.show(value, step.dimension, system))
    unit, factor = _LOSSES[system].get(step.unit, (step.unit, 1.0))
    return units.typeset(in_units(f"{_power_of_ten(f'{value * factor:.4g}')} {unit}".strip(), system))


def _power_of_ten(text: str) -> str:
    """A number with its power of ten as it is written: "2.045·10⁻⁴" for 2.045e-04."""
    mantissa, e, exponent = text.partition("e")
    return f"{mantissa}·10{str(int(exponent)).translate(_RAISED)}" if e else text


def _number(text: str) -> str:
    """A shown value without its unit."""
    return text.replace("\u202f", " ").split(" ")[0]
