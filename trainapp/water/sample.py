"""What a laboratory sheet says of one analyte: a value, "less than", "more than", or a word; kept apart to the end.

``"<0.5 mg/L"`` is the interval from 0 to 0.5, never 0.5 and never 0. ``">200 /100mL"`` has no upper end. ``"absent"`` is a word.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from trainapp.spelling import inside
from trainapp.units import UnitError, fits, parse
from trainapp.water.analytes import BY_KEY, Analyte

Kind = Literal["value", "below", "above", "range", "state"]
METHODS = ("field", "lab", "estimate")


class SampleError(ValueError):
    """A result that cannot be read; str() is the tail of a sentence that begins with its place, `analyte` its name on a sheet."""

    def __init__(self, message: str, analyte: str = "") -> None:
        super().__init__(message)
        self.analyte = analyte


@dataclass(frozen=True, slots=True)
class Result:
    """One result of one analyte, in the analyte's JSON unit and basis.

    Attributes:
        analyte: key.
        kind: value, below ("<0.5"), above (">200"), state, or range: two ends of its own, as the pH of several samples has.
        low, high: ends of what it may be; equal for a value; `high` is infinite where nothing bounds it. Of a word: the count that it
            means (absent none, present 1 upward, TNTC 200 upward), 1 for yes and 0 for no.
        state: the word as the contract writes it, "" for a number.
        text: as typed. method: field, lab, estimate or "". note: free text.
        basis: what the text said that the number counts ("N", "NO3", "CaCO3"), "" where it did not say.
    """

    analyte: str
    kind: Kind
    low: float
    high: float
    state: str = ""
    text: str = ""
    method: str = ""
    note: str = ""
    basis: str = ""

    @property
    def basis_given(self) -> bool:
        """Whether the basis stood in the text, or a unit that needs none."""
        return bool(self.basis) or bool(_MOLES.search(self.text))

    @property
    def measured(self) -> bool:
        """Whether it was found by a test, not estimated."""
        return self.method != "estimate"


_WORDS = {
    "absent": "absent", "not detected": "absent", "nd": "absent", "negative": "absent",
    "present": "present", "detected": "present", "positive": "present",
    "tntc": "TNTC", "too numerous to count": "TNTC", "yes": "yes", "no": "no",
}  # fmt: skip
#: TNTC is read as at least 200 colonies (membrane filter practice, from memory).
_MEANING = {"absent": (0.0, 0.0), "present": (1.0, math.inf), "TNTC": (200.0, math.inf), "yes": (1.0, 1.0), "no": (0.0, 0.0)}

_SHAPE = re.compile(r"\s*(<=?|>=?|≤|≥)?\s*(.*?)(?:\s+as\s+([A-Za-z][\w ]{0,15}))?\s*", re.IGNORECASE | re.DOTALL)
_TRAILING = re.compile(r"(.*[/ ]\S*[Ll])\s+([A-Z][A-Za-z0-9]{0,5})")
_MOLES = re.compile(r"(?:m|u|µ)(?:mol|eq)/[Ll]")

#: Grams, of each thing that laboratories count the analyte as, per mole of the first, which is the contract's.
_PER_MOLE: dict[str, dict[str, float]] = {
    "nitrate": {"N": 14.007, "NO3": 62.004},
    "nitrite": {"N": 14.007, "NO2": 46.005},
    "ammonia": {"N": 14.007, "NH4": 18.039, "NH3": 17.031},
    "sulfate": {"SO4": 96.06, "S": 32.06},
    "hydrogen_sulfide": {"H2S": 34.081, "S": 32.06},
    "silica": {"SIO2": 60.084, "SI": 28.085},
    "alkalinity": {"CACO3": 100.087, "HCO3": 122.034, "CO3": 60.009},
    "hardness": {"CACO3": 100.087, "CA": 40.078, "CAO": 56.077},
}
_SYMBOLS = {
    "calcium": "CA", "magnesium": "MG", "iron": "FE", "iron_dissolved": "FE", "manganese": "MN", "manganese_dissolved": "MN", "toc": "C",
    "chloride": "CL", "sodium": "NA", "potassium": "K", "fluoride": "F", "arsenic": "AS", "lead": "PB", "copper": "CU", "uranium": "U",
    "barium": "BA", "boron": "B", "aluminium": "AL", "free_chlorine": "CL2", "total_chlorine": "CL2", "dissolved_oxygen": "O2",
    "carbon_dioxide": "CO2", "tannin": "TANNIC ACID",
}  # fmt: skip
_CACO3_EQUIVALENT = BY_KEY["hardness"].equivalent


def read_sheet(results: Mapping[str, object]) -> dict[str, Result]:
    """Every result of a sheet whose name is an analyte; names that are not are left to the caller.

    Raises:
        SampleError: its `analyte` names the result.
    """
    sheet = {}
    for name, raw in results.items():
        if name in BY_KEY:
            try:
                sheet[name] = read_result(name, raw)
            except SampleError as error:
                raise SampleError(str(error), name) from None
    return sheet


def read_result(analyte: str, raw: object) -> Result:
    """One result from a document: a text, or {value, method, note}.

    Raises:
        SampleError: it is not a result of this analyte.
    """
    if isinstance(raw, Mapping):
        return _from_object(analyte, raw)
    if isinstance(raw, bool) or not isinstance(raw, str | int | float):
        raise SampleError('a result is a text such as "3.1 mg/L"')
    text = raw if isinstance(raw, str) else f"{raw!r}"
    try:
        kind, low, high, state, basis = _read(BY_KEY[analyte], text)
    except UnitError as error:
        raise SampleError(str(error)) from None
    return Result(analyte, kind, low, high, state, text, basis=basis)


def _from_object(analyte: str, raw: Mapping[str, Any]) -> Result:
    method, note = raw.get("method", ""), raw.get("note", "")
    if method not in ("", *METHODS):
        raise SampleError(f'method: "{str(method)[:40]}" is not one of {", ".join(METHODS)}')
    if "value" not in raw:
        raise SampleError('"value" is missing')
    if isinstance(raw["value"], Mapping) or not isinstance(note, str):
        raise SampleError("a result is a text, or an object of value, method and note")
    return replace(read_result(analyte, raw["value"]), method=method, note=note)


def worst(sheets: Iterable[Mapping[str, Result]]) -> dict[str, Result]:
    """The worst of several sheets, analyte by analyte.

    Of an analyte that harms when it is high, the greater; when low, the lesser; of pH, temperature and others whose adverse end depends
    on the use, the span from the least to the greatest. Of words, present beats absent and no beats yes.
    """
    found: dict[str, list[Result]] = {}
    for sheet in sheets:
        for name, result in sheet.items():
            found.setdefault(name, []).append(result)
    return {name: results[0] if len(results) == 1 else _worst(name, results) for name, results in found.items()}


#: pH below which no well or spring runs (common practice, no source): "<6.5" is 4 to 6.5, and no water of pH 0.
_LEAST_PH = 4.0


def _worst(name: str, results: list[Result]) -> Result:
    analyte = BY_KEY[name]
    if analyte.dimension == "state":
        return min(results, key=lambda r: r.low)
    if analyte.states:
        return max(results, key=lambda r: (min(r.low, 1.0), r.high, r.low))
    pick_low, pick_high = {"high": (max, max), "low": (min, min)}.get(analyte.adverse, (min, max))
    low, high = pick_low(r.low for r in results), pick_high(r.high for r in results)
    for result in results:
        if (result.low, result.high) == (low, high):
            return result
    texts = " and ".join(dict.fromkeys(r.text.strip() for r in results))
    kind: Kind = "value" if low == high else "above" if math.isinf(high) else "below" if low == 0.0 else "range"
    methods, bases = {r.method for r in results}, [r.basis for r in results if r.basis]
    method = methods.pop() if len(methods) == 1 else ""
    return Result(name, kind, low, high, "", texts, method, basis=bases[0] if bases else "")


def _read(analyte: Analyte, text: str) -> tuple[Kind, float, float, str, str]:
    """Kind, low, high, word, basis of a text."""
    shown = "".join(c if c.isprintable() else "?" for c in text[:48])
    if shown != text:
        raise UnitError(f'"{shown}" is not a result')
    word = _WORDS.get(text.strip().casefold(), "")
    if word and word in analyte.states:
        return "state", *_MEANING[word], word, ""
    if analyte.dimension == "state":
        raise UnitError(f'"{text}" is not one of {", ".join(analyte.states)}')
    if word == "absent":
        raise UnitError(f'"{text}" does not say below what: write "<" and the reporting limit')
    found = _SHAPE.fullmatch(text)
    sign, number, basis = (found[1] or "", found[2], (found[3] or "").strip()) if found else ("", text, "")
    if not basis and (split := _TRAILING.fullmatch(number)) and _factor(analyte, split[2]) is not None:
        number, basis = split[1], split[2]
    value, falls = _amount(analyte, number, basis, text)
    if not sign:
        return "value", value, value, "", basis
    below = (sign[0] in "<≤") != falls
    most = {"ph": 14.0, "uvt": 100.0, "temperature": 100.0}.get(analyte.dimension, math.inf)
    least = min(_LEAST_PH, value) if analyte.dimension == "ph" else 0.0
    return ("below", least, value, "", basis) if below else ("above", value, most, "", basis)


def _factor(analyte: Analyte, basis: str) -> float | None:
    """What to multiply a mass in a basis with; None where the basis means nothing for the analyte."""
    key = basis.upper().strip()
    masses = _PER_MOLE.get(analyte.key, {})
    if key in masses:
        return next(iter(masses.values())) / masses[key]
    if key == _SYMBOLS.get(analyte.key):
        return 1.0
    if key == "CACO3" and analyte.equivalent:
        return analyte.equivalent / _CACO3_EQUIVALENT
    return None


def _amount(analyte: Analyte, number: str, basis: str, text: str) -> tuple[float, bool]:
    """Value in the analyte's unit and basis, and whether it falls as the number written rises (an absorbance given for UVT)."""
    factor = _factor(analyte, basis) if basis else 1.0
    if factor is None:
        raise UnitError(f'"{text}": {inside(analyte.label)} is not counted as {basis}')
    if (moles := _in_moles(analyte, number, basis, text)) is not None:
        return moles, False
    if analyte.dimension == "uvt" and fits(number, "absorbance"):
        return 100.0 * 10.0 ** -parse(number, "absorbance"), True
    try:
        value = parse(number, analyte.dimension)
    except UnitError as error:
        # the sentence quotes what was written, not what was left of it
        raise UnitError(str(error).replace(f'"{number}"', f'"{text.strip()}"')) from None
    if analyte.dimension == "temperature" and not 0.0 <= value <= 100.0:
        raise UnitError(f'"{text}" is not a temperature of water')
    return value * factor, False


def _in_moles(analyte: Analyte, number: str, basis: str, text: str) -> float | None:
    """Value of an amount in mmol/L or meq/L, None where it is no such amount."""
    found = re.search(r"\S+\s*$", number)
    if not found or not _MOLES.fullmatch(found[0]) or analyte.dimension not in ("concentration", "hardness"):
        return None
    equivalents = "eq" in found[0]
    gram = analyte.equivalent if equivalents else analyte.molar
    if analyte.key == "alkalinity" and not equivalents and basis.upper() != "CACO3":
        # a millimole of acid capacity, or of bicarbonate, is one of charge
        gram = analyte.equivalent
    if not gram:
        raise UnitError(f'"{text}": {inside(analyte.label)} has no amount in {found[0].strip()}')
    return gram * parse(number, "equivalents" if equivalents else "molar")
