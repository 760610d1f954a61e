"""How a value, or an interval of values, is set in a ledger cell: both ends with the same decimals, else its adverse end with a sign."""

from __future__ import annotations

import math
from functools import lru_cache

from trainapp import units
from trainapp.reports.drawing.measure import ELLIPSIS
from trainapp.units import System

#: Ends of an interval that differ by less than this fraction read as one value.
SAME = 5e-3

_MOST_DECIMALS = 4


def single(low: float, high: float) -> bool:
    """Whether the ends of an interval read as one value."""
    return abs(high - low) <= SAME * max(abs(high), 1e-12)


def interval(
    ends: tuple[float, float], adverse: float, dimension: str, system: System, key: str, limit: float | None = None, largest: float = 0.0
) -> tuple[str, ...]:
    """A value or an interval as text, the whole of it first, then a shorter form: "<0.5", ">200", "73–86" and then "73…" or "…86".

    Args:
        ends: least and most, internal unit; no upper end is infinite. adverse: which of them counts.
        limit: what neither end may read equal to or across. largest: the most of the whole row, which says how fine its intervals are.
    """
    low, high = ends
    if math.isinf(high):
        return (f">{number(low, dimension, system, key, limit)}",)
    if single(low, high):
        return _shorter(number(adverse, dimension, system, key, limit))
    texts = _both(low, high, dimension, system, key, limit, max(largest, high))
    if texts is None:
        # Nearer to the limit than can be printed: words say on which side.
        first, last = (number(value, dimension, system, key, limit) for value in (max(low, 0.0), high))
        texts = (first, last)
    first, last = texts
    if low <= 0.0 or first.strip("0.") == "":
        return _shorter(f"<{last if _listed(dimension, system, key) or '.' not in last else last.rstrip('0').rstrip('.')}")
    if first == last:
        return _shorter(last)
    return f"{first}–{last}", f"{first}{ELLIPSIS}" if adverse == low else f"{ELLIPSIS}{last}"


def _both(low: float, high: float, dimension: str, system: System, key: str, limit: float | None, largest: float) -> tuple[str, str] | None:
    """Both ends with the fewest decimals that the row has, more where one would read as its limit or as nothing; None beyond four."""
    ends = [units.convert(value, dimension, system) for value in (max(low, 0.0), high)]
    edge = None if limit is None else units.convert(limit, dimension, system)
    for places in range(_decimals(high, dimension, system, key, limit, largest), _MOST_DECIMALS + 1):
        texts = [f"{round(value, places) + 0.0:.{places}f}" for value in ends]
        if float(texts[1]) != 0.0 and (edge is None or all(_holds(value, text, edge) for value, text in zip(ends, texts, strict=True))):
            return units.typeset(texts[0]), units.typeset(texts[1])
    return None


def _holds(value: float, text: str, edge: float) -> bool:
    """Whether a rounded value stands on the side of a limit where it is."""
    if math.isclose(value, edge, rel_tol=1e-9, abs_tol=1e-12):
        return math.isclose(float(text), edge, rel_tol=1e-9, abs_tol=1e-12)
    return (float(text) > edge) == (value > edge) and not math.isclose(float(text), edge, rel_tol=1e-9, abs_tol=1e-12)


def _decimals(high: float, dimension: str, system: System, key: str, limit: float | None, largest: float) -> int:
    """Decimals of an interval: those of the look of the program; of what it does not list three digits of the largest in the row."""
    listed = units.show(high, dimension, system, analyte=key, limit=limit).removesuffix(units.unit(dimension, system)).strip()
    found = len(listed.partition(".")[2])
    if _listed(dimension, system, key):
        return found
    most = units.convert(largest, dimension, system)
    return 0 if most >= 100.0 else 1 if most >= 10.0 else 2


@lru_cache(maxsize=256)
def _listed(dimension: str, system: System, key: str) -> bool:
    """Whether the look of the program lists decimals for a quantity; of others zeros at the end say nothing."""
    ten = units.show(units.internal(10.0, dimension, system), dimension, system, analyte=key)
    return bool(units.scale(dimension, system).decimals) or "." in ten


@lru_cache(maxsize=4096)
def number(value: float, dimension: str, system: System, key: str, limit: float | None) -> str:
    """A shown value without its unit, never rounded onto or across its limit."""
    if limit is None:
        text = units.show(value, dimension, system, analyte=key)
    else:
        text = units.show_against_limit(value, limit, dimension, system, analyte=key)
    unit = units.unit(dimension, system)
    return units.typeset(text.removesuffix(f" {unit}") if unit else text)


def _shorter(text: str) -> tuple[str, ...]:
    """Texts that begin with words have a short form."""
    if text.startswith("just "):
        return " ".join(text.split(" ")[:2]), text.split(" ")[1]
    return (text,)
