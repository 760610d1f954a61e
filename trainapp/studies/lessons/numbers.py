"""A lesson's number: one value, or the band of a teaching picture, and how it is shown."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainapp import units
from trainapp.studies.lessons.model import COUNTED
from trainapp.units import System

#: Three letters that stand between the ends of a band.
BETWEEN = " to "


@dataclass(frozen=True, slots=True)
class Number:
    """What a bench comes to.

    Attributes:
        value: internal unit of `dimension`, NaN where there is none.
        low, high: ends of its band; `value` twice where it is one number.
        dimension: key of DIMENSIONS or of :data:`trainapp.studies.lessons.model.COUNTED`.
        illustrative: whether a teaching picture decides it; it is then always shown as a band with that word. A range that is not
            illustrative lies between both readings of the sample.
        analyte: for the decimals of an analyte that has its own, else "".
    """

    value: float
    low: float
    high: float
    dimension: str
    illustrative: bool = False
    analyte: str = ""

    @classmethod
    def of(cls, value: float, dimension: str, analyte: str = "") -> Number:
        """One number without a band."""
        return cls(value, value, value, dimension, analyte=analyte)

    @property
    def is_known(self) -> bool:
        """Whether there is a number at all."""
        return math.isfinite(self.value)

    @property
    def is_range(self) -> bool:
        """Whether it is shown as a range."""
        return self.illustrative or self.low != self.high

    def text(self, system: System, limit: float | None = None) -> str:
        """The number without its unit ("17"; a band: "9 to 30"), never rounded onto or across the limit; "none" where there is none."""
        if not self.is_known:
            return "none"
        if not self.is_range:
            return shown(self.value, self.dimension, system, limit, self.analyte)
        ends = [_coarse(end, self.dimension, system, limit) for end in (self.low, self.high)]
        return ends[0] if ends[0] == ends[1] else BETWEEN.join(ends)

    def unit(self, system: System) -> str:
        """Its unit as it is set in print, "" where it has none."""
        return unit_of(self.dimension, system)


def unit_of(dimension: str, system: System) -> str:
    """The unit of a kind of quantity as it is set in print."""
    text = COUNTED[dimension] if dimension in COUNTED else units.unit(dimension, system)
    return units.typeset(f"1 {text}")[2:] if text else ""


def shown(value: float, dimension: str, system: System, limit: float | None = None, analyte: str = "") -> str:
    """An internal value without its unit, never rounded onto or across the limit."""
    if dimension in COUNTED:
        return f"{value:.0f}" if dimension == "pieces" or abs(value) >= 100.0 else f"{value:.1f}".removesuffix(".0")
    if limit is None:
        text = units.show(value, dimension, system, analyte=analyte)
    else:
        text = units.show_against_limit(value, limit, dimension, system, analyte=analyte)
    return text.removesuffix(units.unit(dimension, system)).strip()


def _coarse(value: float, dimension: str, system: System, limit: float | None) -> str:
    """An end of a range: no more figures than it can bear."""
    if dimension in COUNTED:
        return f"{value:.0f}"
    number = units.convert(value, dimension, system)
    text = f"{number:.0f}" if abs(number) >= 9.95 else f"{number:.1f}"
    if limit is None:
        return text
    edge = units.convert(limit, dimension, system)
    crossed = not math.isclose(number, edge, rel_tol=1e-9) and (float(text) - edge) * (number - edge) <= 0.0
    return shown(value, dimension, system, limit) if crossed else text


def parsed(text: str, dimension: str) -> float:
    """A quantity of a lesson in internal units.

    Raises:
        units.UnitError: it is none of that kind.
    """
    if dimension in COUNTED:
        number, _, unit = text.strip().partition(" ")
        if unit.strip() in (COUNTED[dimension], ""):
            try:
                value = float(number)
            except ValueError:
                value = math.nan
            if math.isfinite(value):
                return value
        raise units.UnitError(f'"{text}" is not a number of {COUNTED[dimension] or "pieces"}')
    return units.parse(text, dimension)


def with_unit(value: float, dimension: str, system: System) -> str:
    """An internal value with its unit, set as in print, without needless zeros ("40 mJ/cm²")."""
    text = shown(value, dimension, system)
    plain = text.rstrip("0").rstrip(".") if "." in text else text
    return units.typeset(f"{plain} {unit_of(dimension, system)}".rstrip())
