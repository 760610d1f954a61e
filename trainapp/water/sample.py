"""Results of a laboratory sheet as they were typed, and what they mean: a value, a non-detect, an over-range or a word, never mixed.

A bare number counts the analyte on the basis that :data:`trainapp.water.analytes.ANALYTES` names; "as NO3" and the like say otherwise.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from trainapp import units
from trainapp.dimensions import DIMENSIONS
from trainapp.water.analytes import BY_KEY, Analyte

Kind = Literal["value", "below", "above", "state"]

_BOUND = re.compile(r"\s*([<>])\s*=?\s*(.+)", re.DOTALL)
_BASIS = re.compile(r"(.+?)\s+as\s+([A-Za-z0-9]{1,6})\s*", re.DOTALL)
_AMOUNT = re.compile(r"\s*([0-9.,eE+-]+)\s*(mmol/L|mmol/l|meq/L|meq/l)\s*")
METHODS = ("field", "lab", "estimate")

#: mg/L on the analyte's own basis in one mg/L on another, from molar masses.
_BASES: dict[tuple[str, str], float] = {
    ("nitrate", "NO3"): 14.007 / 62.004,
    ("nitrite", "NO2"): 14.007 / 46.005,
    ("ammonia", "NH4"): 14.007 / 18.038,
    ("ammonia", "NH3"): 14.007 / 17.031,
    ("alkalinity", "HCO3"): 50.0435 / 61.0168,
    ("hardness", "Ca"): 100.087 / 40.078,
    ("calcium", "CaCO3"): 40.078 / 100.087,
    ("magnesium", "CaCO3"): 24.305 / 100.087,
    ("hydrogen_sulfide", "S"): 34.081 / 32.06,
    ("sulfate", "S"): 96.06 / 32.06,
    ("silica", "Si"): 60.084 / 28.086,
    ("total_chlorine", "Cl2"): 1.0,
    ("free_chlorine", "Cl2"): 1.0,
    ("sulfate", "SO4"): 1.0,
    ("chloride", "Cl"): 1.0,
    ("hydrogen_sulfide", "H2S"): 1.0,
    ("iron", "Fe"): 1.0,
    ("manganese", "Mn"): 1.0,
    ("calcium", "Ca"): 1.0,
    ("magnesium", "Mg"): 1.0,
}


class SampleError(ValueError):
    """A result that cannot be read; its text is the tail of a sentence that begins with the place."""


@dataclass(frozen=True, slots=True)
class Result:
    """One result of one analyte, in the analyte's JSON unit.

    Attributes:
        analyte: key.
        kind: value, below ("<0.5": low 0, high 0.5), above (">200": high infinite), or state.
        low, high: ends of what the result says; equal for a value. For a state of bacteria the count that it means.
        state: the word as the contract writes it, "" for a number.
        text: as typed. method: field, lab, estimate or "". note: free text.
        basis_given: whether the basis stood in the text.
    """

    analyte: str
    kind: Kind
    low: float
    high: float
    state: str = ""
    text: str = ""
    method: str = ""
    note: str = ""
    basis_given: bool = False


#: Counts per 100 mL that a word stands for; TNTC is read as at least 200 (membrane filter practice, from memory).
_STATE_COUNTS = {"absent": (0.0, 0.0), "present": (1.0, math.inf), "TNTC": (200.0, math.inf)}


def read_result(analyte: str, raw: object) -> Result:
    """One result from the document: a text, or {value, method, note}.

    Raises:
        SampleError: it is not a result of this analyte.
    """
    known = BY_KEY[analyte]
    if isinstance(raw, Mapping):
        return _from_object(known, raw)
    if isinstance(raw, int | float) and not isinstance(raw, bool):
        raw = f"{raw!r}"
    if not isinstance(raw, str):
        raise SampleError(f"{raw!r} is not a result: write it as text with its unit")
    state = _state(known, raw)
    if state:
        low, high = _STATE_COUNTS.get(state, (math.nan, math.nan))
        return Result(analyte, "state", low, high, state, raw)
    if known.dimension == "state":
        raise SampleError(f'"{raw[:40]}" is not one of {", ".join(known.states)}')
    bound = _BOUND.fullmatch(raw)
    text = bound[2] if bound else raw
    value, given = _amount(known, text, raw)
    if bound is None:
        return Result(analyte, "value", value, value, text=raw, basis_given=given)
    if bound[1] == "<":
        return Result(analyte, "below", 0.0 if known.dimension not in {"temperature"} else -math.inf, value, text=raw, basis_given=given)
    return Result(analyte, "above", value, 100.0 if known.dimension == "uvt" else math.inf, text=raw, basis_given=given)


def _from_object(known: Analyte, raw: Mapping[str, Any]) -> Result:
    if "value" not in raw:
        raise SampleError('"value" is missing')
    method = raw.get("method", "")
    if method not in ("", *METHODS):
        raise SampleError(f'method: "{method}" is not one of {", ".join(METHODS)}')
    note = raw.get("note", "")
    if isinstance(raw["value"], Mapping) or not isinstance(note, str):
        raise SampleError("a result is a text, or an object of value, method and note")
    return replace(read_result(known.key, raw["value"]), method=method, note=note)


def _state(known: Analyte, raw: str) -> str:
    word = raw.strip().casefold()
    return next((s for s in known.states if s.casefold() == word), "")


def _amount(known: Analyte, text: str, raw: str) -> tuple[float, bool]:
    """A number in the analyte's unit and basis, and whether a basis was given."""
    basis = _BASIS.fullmatch(text)
    factor = 1.0
    if basis:
        text = basis[1]
        if basis[2] == known.basis:
            factor = 1.0
        elif (known.key, basis[2]) in _BASES:
            factor = _BASES[known.key, basis[2]]
        else:
            raise SampleError(f'"{raw[:48]}": {known.label.lower()} is not reported as {basis[2]}')
    molar = _AMOUNT.fullmatch(text)
    if molar:
        return _from_molar(known, molar, raw), bool(basis)
    try:
        return units.parse(text, known.dimension) * factor, bool(basis)
    except units.UnitError as error:
        raise SampleError(str(error)) from None


def _from_molar(known: Analyte, found: re.Match[str], raw: str) -> float:
    per = known.molar if found[2].startswith("mmol") else known.equivalent
    if not per:
        raise SampleError(f'"{raw[:48]}": {known.label.lower()} is not counted in {found[2]}')
    try:
        value = float(found[1])
    except ValueError:
        value = math.nan
    if not (math.isfinite(value) and value >= 0.0):
        raise SampleError(f'"{raw[:48]}" is not {DIMENSIONS[known.dimension].name}')
    return value * per


def read_sheet(results: Mapping[str, object]) -> dict[str, Result]:
    """Every result of a sheet whose name is an analyte; names that are not are left to the caller.

    Raises:
        SampleError: its `analyte` attribute names the result.
    """
    sheet = {}
    for name, raw in results.items():
        if name in BY_KEY:
            try:
                sheet[name] = read_result(name, raw)
            except SampleError as error:
                problem = SampleError(str(error))
                problem.analyte = name  # type: ignore[attr-defined]
                raise problem from None
    return sheet


def worst(sheets: Iterable[Mapping[str, Result]]) -> dict[str, Result]:
    """The worst of several sheets, analyte by analyte: the highest where high is adverse, the lowest UVT, both ends for pH and what is
    neither good nor bad in itself; a finding of bacteria beats an absence."""
    found: dict[str, Result] = {}
    for sheet in sheets:
        for name, result in sheet.items():
            found[name] = _worse(BY_KEY[name], found[name], result) if name in found else result
    return found


def _worse(known: Analyte, a: Result, b: Result) -> Result:
    if known.dimension == "state":
        return a if a.state == "no" else b
    if known.adverse == "low":
        return a if a.low <= b.low else b
    if known.adverse == "high":
        return a if (a.high, a.low) >= (b.high, b.low) else b
    low, high = min(a.low, b.low), max(a.high, b.high)
    return Result(known.key, "value", low, high, text=f"{a.text} to {b.text}" if a.text != b.text else a.text)
