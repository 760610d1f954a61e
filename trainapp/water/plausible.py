"""Plausible ends of what was not measured, so that a model can run and the verdict can be tried at both ends."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

import numpy as np

from trainapp.data import load_toml
from trainapp.units import parse
from trainapp.water.analytes import BY_KEY, PARTICLE_ROWS, ROW_INDEX
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


@cache
def plausible_of(source: str) -> tuple[Plausible, ...]:
    """Ranges for a kind of source (drilled_well, mains, ...)."""
    found = {}
    for row in load_toml("water/plausible.toml")["plausible"]:
        if source in row.get("sources", [source]) and row["analyte"] not in found:
            low, assumed, high = (parse(row[key], BY_KEY[row["analyte"]].dimension) for key in ("low", "assumed", "high"))
            found[row["analyte"]] = Plausible(row["analyte"], low, assumed, high, row["source"], row["status"])
    return tuple(found.values())


def fill(water: Stream, missing: Iterable[Plausible]) -> None:
    """Put the assumed value where a row is unknown, in every case; it stays marked as unknown."""
    for plausible in missing:
        _put(water, plausible.analyte, plausible.assumed, slice(None))


def set_plausible(water: Stream, plausible: Plausible, *, low: int, high: int) -> None:
    """Put the low and the high end of one analyte into two cases."""
    _put(water, plausible.analyte, plausible.low, low)
    _put(water, plausible.analyte, plausible.high, high)


def _put(water: Stream, analyte: str, value: float, case: int | slice) -> None:
    for row, part in _rows(water, analyte, value):
        water.values[ROW_INDEX[row], :, :, case] = part


def _rows(water: Stream, analyte: str, value: float) -> list[tuple[str, float]]:
    """Rows that make an analyte up, and what each takes of its value."""
    if analyte in ("iron", "manganese"):
        return [(f"{analyte}_dissolved", value), (f"{analyte}_particulate", 0.0)]
    if analyte == "uvt":
        absorbance = -float(np.log10(value / 100.0))
        return [("absorbance", absorbance), ("absorbance_particles", 0.0), ("absorbance_iron", 0.0)]
    if analyte == "turbidity":
        shares = [0.5, *(0.5 * share for share in load_toml("water/particles.toml")["classes"]["value"])]
        solids = sum(load_toml("water/particles.toml")["solids_per_ntu"]["value"]) / 2.0
        return [*((row, share * value) for row, share in zip(PARTICLE_ROWS, shares, strict=True)), ("suspended_solids", solids * value)]
    if analyte == "hardness":
        share = sum(load_toml("water/particles.toml")["calcium_share"]["value"]) / 2.0
        return [("hardness", value), ("calcium", share * value / 2.4973), ("magnesium", (1.0 - share) * value / 4.1180)]
    return [(analyte, value)]
