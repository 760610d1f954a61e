"""Plausible ends of what was not measured, so that a model can run and the verdict can be tried at both ends."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

import numpy as np

from trainapp.data import load_toml
from trainapp.units import parse
from trainapp.water.analytes import BY_KEY, ROW_INDEX
from trainapp.water.rows import KNOWN_ROWS, Rows, readings
from trainapp.water.stream import Stream


@dataclass(frozen=True, slots=True)
class Plausible:
    """What an analyte may be where no one measured it, in its JSON unit.

    Attributes:
        analyte: key.
        low, high: ends of the plausible range for this kind of source; `assumed` what a model runs with.
        source, status: where the range comes from.
    """

    analyte: str
    low: float
    assumed: float
    high: float
    source: str
    status: str


def plausible_of(source: str) -> tuple[Plausible, ...]:
    """Ranges for a kind of source (drilled_well, mains, ...), "" for one that is not known."""
    return plausible_beside(source, {})


def plausible_beside(source: str, lowest: Mapping[str, float]) -> tuple[Plausible, ...]:
    """The same beside what was measured: a row is passed over where another analyte rules it out, or is not as the row asks.

    Args:
        lowest: lower ends of what was measured, JSON units.
    """
    ruled_out = frozenset(
        i
        for i in range(len(_rows()))
        if any(lowest.get(key, 0.0) >= most for key, most in _amounts(i, "never_with").items())
        or any(lowest.get(key, math.inf) >= most for key, most in _amounts(i, "below").items())
    )
    return _plausible(source, ruled_out)


def _rows() -> list[Mapping[str, Any]]:
    rows: list[Mapping[str, Any]] = load_toml("water/plausible.toml")["plausible"]
    return rows


@cache
def _amounts(index: int, condition: str) -> Mapping[str, float]:
    """What a condition of a row names, by analyte in its JSON unit."""
    return {key: parse(text, BY_KEY[key].dimension) for key, text in _rows()[index].get(condition, {}).items()}


@cache
def _plausible(source: str, ruled_out: frozenset[int]) -> tuple[Plausible, ...]:
    found: dict[str, Plausible] = {}
    for i, row in enumerate(_rows()):
        if i not in ruled_out and source in row.get("sources", [source]) and row["analyte"] not in found:
            low, assumed, high = (parse(row[key], BY_KEY[row["analyte"]].dimension) for key in ("low", "assumed", "high"))
            found[row["analyte"]] = Plausible(row["analyte"], low, assumed, high, row["source"], row["status"])
    return tuple(found.values())


@cache
def assumed(analyte: str, source: str = "") -> float:
    """What a model runs with where the analyte is not known; KeyError where nothing may be assumed."""
    return {p.analyte: p.assumed for p in plausible_of(source)}[analyte]


#: Rows that a value of an analyte sets.
_CARRIERS = KNOWN_ROWS | {
    "iron": ("iron_dissolved", "iron_particulate"),
    "manganese": ("manganese_dissolved", "manganese_particulate"),
    "hardness": ("hardness", "calcium", "magnesium"),
    "calcium": ("calcium", "magnesium"),
    "magnesium": ("calcium", "magnesium"),
}
#: Analytes whose parts hang on what else is known of a water: light transmittance, and these three on each other.
_HARDNESS = ("hardness", "calcium", "magnesium")


def fill(water: Stream, missing: Iterable[Plausible]) -> None:
    """Put the assumed value where nothing stands yet, in every case; it stays marked as unknown."""
    for plausible in missing:
        rows = _rows_beside(water, plausible.analyte, plausible.assumed)
        for name in _CARRIERS.get(plausible.analyte, (plausible.analyte,)):
            target = water.row(name)
            np.copyto(target, rows.get(name)[:, None, :], where=np.isnan(target))


def set_plausible(water: Stream, plausible: Plausible, *, low: int, high: int) -> None:
    """Put the low and the high end of one analyte into two cases, in both readings.

    Where the sample leaves it open but narrows it (calcium by hardness, dissolved solids by conductivity), the ends are the sample's.
    """
    for case, value, upper in ((low, plausible.low, False), (high, plausible.high, True)):
        part = water.part(slice(case, case + 1))
        ends = part.get(plausible.analyte)[:, 0, 0]
        narrowed = bool(ends[0] != ends[1]) and not np.isnan(ends).any()
        reading = int(ends.argmax() if upper else ends.argmin())
        rows = None if narrowed else _rows_beside(part, plausible.analyte, value)
        for name in _CARRIERS.get(plausible.analyte, (plausible.analyte,)):
            if not part.known[ROW_INDEX[name], 0]:
                part.row(name)[...] = part.row(name)[reading].copy() if rows is None else rows.get(name)[:, None, :]


def _rows_beside(water: Stream, analyte: str, value: float) -> Rows:
    """Rows of waters that name the analyte beside what its parts hang on: one rule splits a sample and a guess."""
    if analyte != "uvt" and analyte not in _HARDNESS:
        return _rows_alone(analyte, value)
    ends = {analyte: np.repeat(readings(analyte, value, value), water.waters, axis=1)}
    if analyte == "uvt":
        ends |= {name: water.get(name)[:, 0] for name in ("iron", "turbidity")}
    else:
        for name in _HARDNESS:
            if name != analyte:
                ends[name] = np.where(water.is_known(name), water.row(name)[:, 0], np.nan)
    return Rows(ends, water.waters).fill()


@lru_cache(maxsize=256)
def _rows_alone(analyte: str, value: float) -> Rows:
    """Rows of one water, good beside any; only to be read."""
    return Rows({analyte: readings(analyte, value, value)}, 1).fill()
