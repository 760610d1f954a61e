"""Reads the formulas of worked steps and works them out again: products, quotients, sums, powers, lg, exp, min and max of symbols."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

_NUMBER = re.compile(r"\d+\.?\d*")
_CALLS = {"min": "min", "max": "max", "lg": "log10", "exp": "exp"}
_SIGNS = {"·": "*", "*": "*", "/": "/", "+": "+", "−": "-", "-": "-", ",": ",", "^": "**", "(": "(", ")": ")"}


class NotAFormula(ValueError):
    """Words, a unit or a symbol that no step has given."""


def worked_out(formula: str, symbols: Mapping[str, float]) -> float:
    """The value of a formula.

    Raises:
        NotAFormula: it holds anything but symbols, plain numbers and the usual signs.
    """
    parts: list[str] = []
    by_length = sorted(symbols, key=len, reverse=True)
    at = 0
    while at < len(formula):
        if formula[at].isspace():
            at += 1
            continue
        part, at = _next(formula, at, by_length)
        # two factors beside each other are a product
        if parts and part[0] in "s0123456789(" and (parts[-1][-1] in ")]" or parts[-1][0].isdigit()):
            parts.append("*")
        parts.append(part)
    names = {"s": symbols, "min": min, "max": max, "log10": math.log10, "exp": math.exp, "__builtins__": {}}
    try:
        return float(eval("".join(parts), names))
    except (SyntaxError, TypeError, ZeroDivisionError, ValueError, OverflowError) as error:
        raise NotAFormula(formula) from error


def _next(formula: str, at: int, by_length: list[str]) -> tuple[str, int]:
    """The next part as Python, and where it ends."""
    for name, call in _CALLS.items():
        if formula.startswith(f"{name}(", at):
            return call, at + len(name)
    number = _NUMBER.match(formula, at)
    if number:
        return number.group(), number.end()
    for symbol in by_length:
        end = at + len(symbol)
        if formula.startswith(symbol, at) and not re.match(r"\w|,\w", formula[end : end + 2]):
            return f"s[{symbol!r}]", end
    if formula[at] in _SIGNS:
        return _SIGNS[formula[at]], at + 1
    raise NotAFormula(formula)
