"""Limit sets: what an authority says of water that people drink, row by row, from resources/limits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from trainapp import data, units
from trainapp.stages.base import Severity
from trainapp.water.analytes import BY_KEY

Kind = Literal["health", "aesthetic", "advisory", "reference"]

#: The worst that a row of a kind may be; None: it is shown beside a value and never judged.
_WORST: Mapping[str, Severity | None] = {"health": "fail", "aesthetic": "fail", "advisory": "caution", "reference": None}


@dataclass(frozen=True, slots=True)
class WaterLimit:
    """One row of a limit set.

    Attributes:
        analyte: an analyte key.
        minimum, maximum: in the analyte's JSON unit; None where that side is open.
        kind: health, aesthetic (taste, stain, smell, pipes), advisory (advice for some), reference (a stricter municipal rule).
        most: the worst severity that it may have; None where it is never judged.
        reason: one clause a customer understands.
        year, source, status: the issue it stands in and how sure that is.
    """

    analyte: str
    minimum: float | None
    maximum: float | None
    kind: Kind
    most: Severity | None
    reason: str
    year: int
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class LimitSet:
    """The rows of one authority; `label` names the published source."""

    key: str
    label: str
    year: int
    rows: tuple[WaterLimit, ...]

    def of(self, analyte: str) -> tuple[WaterLimit, ...]:
        """Every row of an analyte, the one that bites first leading."""
        rows = [row for row in self.rows if row.analyte == analyte]
        return tuple(sorted(rows, key=lambda row: row.maximum if row.maximum is not None else float("inf")))


@cache
def limit_set(key: str) -> LimitSet:
    """The limit set of that key.

    Raises:
        KeyError: there is no such set.
    """
    if key not in limit_set_keys():
        raise KeyError(f"no limit set has the key {key!r}")
    raw = data.load_toml(f"limits/{key}.toml")
    return LimitSet(raw["key"], raw["label"], raw["year"], tuple(_row(row) for row in raw["limits"]))


@cache
def limit_set_keys() -> tuple[str, ...]:
    """The keys of all limit sets, in alphabetical order."""
    return tuple(sorted(path.stem for path in data.resources_path("limits").glob("[!_]*.toml")))


def _row(row: Mapping[str, Any]) -> WaterLimit:
    dimension = BY_KEY[row["analyte"]].dimension
    minimum, maximum = (units.parse(row[end], dimension) if end in row else None for end in ("minimum", "maximum"))
    most = row.get("most", _WORST[row["kind"]])
    return WaterLimit(row["analyte"], minimum, maximum, row["kind"], most, row["reason"], row["year"], row["source"], row["status"])
