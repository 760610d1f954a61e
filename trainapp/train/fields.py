"""Kinds of value in a document: kept as they were typed, refused where they do not mean what their key asks for."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from trainapp import units
from trainapp.dimensions import DIMENSIONS
from trainapp.train.errors import Bad, number, quoted

Sign = Literal["positive", "zero", "any"]
Points = tuple[tuple[float, float], ...]


def read_quantity(value: object, dimension: str, sign: Sign = "positive") -> float:
    """A quantity in internal units.

    Args:
        value: text with its unit; a plain number too where the dimension has no unit.
        dimension: key of :data:`trainapp.dimensions.DIMENSIONS`.
        sign: "positive" refuses zero and below, "zero" what is below zero.

    Raises:
        Bad: with the sentence.
    """
    bare = DIMENSIONS[dimension].bare
    if isinstance(value, int | float) and not isinstance(value, bool):
        text = f"{value!r}"
        if not bare:
            raise Bad(f'{text} has no unit: write it as text, such as "{text} {units.unit(dimension, "us")}"')
    elif isinstance(value, str):
        text = value
    else:
        raise Bad(f"{quoted(value)} is not {DIMENSIONS[dimension].name}")
    try:
        amount = units.parse(text, dimension)
    except units.UnitError as error:
        raise Bad(str(error)) from None
    if sign == "positive" and amount <= 0:
        raise Bad(f"{quoted(value)} must be more than zero")
    if sign == "zero" and amount < 0:
        raise Bad(f"{quoted(value)} must not be below zero")
    return amount


def read_span(value: object, dimension: str) -> tuple[float, float]:
    """A least and a greatest value in internal units."""
    if not isinstance(value, list) or len(value) != 2:
        raise Bad(f"{quoted(value)} is not a list of two, the least and the greatest")
    low, high = (_member(value, i, dimension, "any") for i in range(2))
    if low > high:
        raise Bad(f"{quoted(value[0])} is above {quoted(value[1])}")
    return low, high


def _member(values: list[Any], index: int, dimension: str, sign: Sign) -> float:
    try:
        return read_quantity(values[index], dimension, sign)
    except Bad as bad:
        raise bad.under(number(index)) from None


def read_curve(value: object, direction: Literal["rising", "falling"]) -> Points:
    """Pairs of flow and pressure, m3/s and Pa, flow strictly rising.

    Args:
        direction: "rising" for a loss (strictly, and above zero wherever there is flow), "falling" for a pump (never rising).
    """
    if not isinstance(value, list) or len(value) < (1 if direction == "rising" else 2):
        raise Bad(f'{quoted(value)} is not a list of pairs such as [["0 gpm", "92 psi"], ["6 gpm", "78 psi"]]')
    points: list[tuple[float, float]] = []
    for index, pair in enumerate(value):
        if not isinstance(pair, list) or len(pair) != 2:
            raise Bad(f"{quoted(pair)} is not a pair of flow and pressure", (number(index),))
        try:
            points.append((read_quantity(pair[0], "flow", "zero"), read_quantity(pair[1], "pressure", "zero")))
        except Bad as bad:
            raise bad.under(number(index)) from None
        _check_order(points, pair, direction)
    if not any(flow > 0 for flow, _ in points):
        raise Bad("the curve needs a point with flow")
    return tuple(points)


def _check_order(points: list[tuple[float, float]], pair: list[Any], direction: str) -> None:
    flow, pressure = points[-1]
    at = (number(len(points) - 1),)
    if direction == "rising" and flow > 0 and pressure <= 0:
        raise Bad(f"a loss of {quoted(pair[1])} must be more than zero", at)
    if len(points) < 2:
        return
    before, pressure_before = points[-2]
    if flow <= before:
        raise Bad(f"the flow {quoted(pair[0])} does not rise from point to point", at)
    if direction == "rising" and pressure <= pressure_before:
        raise Bad(f"the pressure {quoted(pair[1])} does not rise with the flow", at)
    if direction == "falling" and pressure > pressure_before:
        raise Bad(f"the pressure {quoted(pair[1])} rises with the flow", at)


def read_whole(value: object, least: int = 1, most: int = 1000) -> int:
    """A whole number, written as one or as text."""
    digits = isinstance(value, str) and len(value) < 20 and value.isascii() and value.isdigit()
    if digits or (isinstance(value, float) and value.is_integer()):
        value = int(value)  # type: ignore[call-overload]
    if not isinstance(value, int) or isinstance(value, bool):
        raise Bad(f"{quoted(value)} is not a whole number")
    if not least <= value <= most:
        raise Bad(f"{value} is not between {least} and {most}")
    return value


def read_flag(value: object) -> bool:
    """true or false, as JSON or as text."""
    if isinstance(value, bool):
        return value
    if value in ("true", "false"):
        return value == "true"
    raise Bad(f"{quoted(value)} is not true or false")


def read_counts(value: object) -> dict[str, int]:
    """How many of each, by name."""
    if not isinstance(value, Mapping):
        raise Bad(f"{quoted(value)} is not an object of counts")
    counts = {}
    for name, count in value.items():
        try:
            counts[str(name)] = read_whole(count, 0)
        except Bad as bad:
            raise bad.under(str(name)) from None
    return counts


def read_date(value: object) -> date | None:
    """A calendar day, None for ""."""
    if value == "":
        return None
    try:
        if isinstance(value, str) and len(value) == 10 and value[7] == "-":
            return date.fromisoformat(value)
    except ValueError:
        pass
    raise Bad(f"{quoted(value)} is not a date, such as 2026-05-04")


class Kept(ABC):
    """An annotation that reads a value only to refuse it: what is kept is what was typed."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self._keep)

    def _keep(self, value: object) -> object:
        self.read(value)
        return value

    @abstractmethod
    def read(self, value: object) -> Any:
        """The value in internal units.

        Raises:
            Bad: it is not what the key asks for.
        """


@dataclass(frozen=True, slots=True)
class Quantity(Kept):
    """A quantity of one dimension; `read` gives a float."""

    dimension: str
    sign: Sign = "positive"

    def read(self, value: object) -> float:
        return read_quantity(value, self.dimension, self.sign)


@dataclass(frozen=True, slots=True)
class Span(Kept):
    """A list of a least and a greatest quantity; `read` gives two floats."""

    dimension: str

    def read(self, value: object) -> tuple[float, float]:
        return read_span(value, self.dimension)


@dataclass(frozen=True, slots=True)
class Curve(Kept):
    """Pairs of flow and pressure; `read` gives (m3/s, Pa) pairs."""

    direction: Literal["rising", "falling"]

    def read(self, value: object) -> Points:
        return read_curve(value, self.direction)


@dataclass(frozen=True, slots=True)
class Counts(Kept):
    """How many of each, by name."""

    def read(self, value: object) -> dict[str, int]:
        return read_counts(value)


@dataclass(frozen=True, slots=True)
class Day(Kept):
    """A date."""

    def read(self, value: object) -> date | None:
        return read_date(value)


@dataclass(frozen=True, slots=True)
class Whole(Kept):
    """A whole number."""

    least: int
    most: int

    def read(self, value: object) -> int:
        return read_whole(value, self.least, self.most)


@dataclass(frozen=True, slots=True)
class Price(Kept):
    """An amount of money, a plain number."""

    def read(self, value: object) -> float:
        return read_quantity(value, "none", "zero")
