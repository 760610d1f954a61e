"""Quantities as people write them: text to internal numbers and back.

There is one pint registry, which knows the trade's units, and it is loaded only when a unit turns up that
:mod:`trainapp.dimensions` does not list: loading it takes longer than evaluating a train. Only this module knows pint.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any, Literal, TypeVar

from trainapp.dimensions import CLARK_DEGREE, DIMENSIONS, FRENCH_DEGREE, GERMAN_DEGREE, Dimension, Scale
from trainapp.spelling import american, spelt_in

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from pint import UnitRegistry

    T = TypeVar("T", float, NDArray[np.float64])
else:
    T = TypeVar("T")

System = Literal["json", "us", "metric"]


class UnitError(ValueError):
    """A text that is not a quantity of the wanted kind; str() is the tail of a sentence ('"3 furlongs" is not a concentration')."""


# Reading ----------------------------------------------------------------------------------------------------------------------

_LONGEST = 48
_PLAIN = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?)\s*(\D.*)?", re.ASCII)
#: Files group thousands by blanks only: a comma means thousands to some and a decimal to others, a factor of a thousand apart.
_GROUPED = re.compile(r"([+-]?\d{1,3}(?: \d{3})+)(?![\d,])(\.\d+)?\s*(\D.*)?", re.ASCII)
_PIPE_SIZE = re.compile(r"(?:(\d{1,3})[ -])?(\d{1,2})/(\d{1,2})\s*(\D.*)?", re.ASCII)
#: One unit: names of letters with a small power, joined by / * or a dot. Nothing else ever reaches pint.
_UNIT = re.compile(r"1?/?[A-Za-z]{1,24}(?:\^?-?[1-4])?(?:[/*.][A-Za-z]{1,24}(?:\^?-?[1-4])?){0,3}", re.ASCII)
_POWER = re.compile(r"(?<=[A-Za-z])\^?(-?[1-4])")

_LETTERS = str.maketrans({
    "µ": "u", "μ": "u", "²": "2", "³": "3", "¹": "1", "⁻": "-", "−": "-", "·": "*", "⋅": "*", "×": "*",
    "°": "deg", "º": "deg", "℃": "degC", "℉": "degF", "″": '"', "′": "'", "”": '"', "’": "'",
    "\u00a0": " ", "\u202f": " ", "\u2009": " ", "\u2007": " ", "¼": " 1/4", "½": " 1/2", "¾": " 3/4",
})  # fmt: skip

_SPELLED = (
    (re.compile(r"\b(?:sq|square)\.? ?(ft|in|foot|feet|inch)\b"), r"\g<1>2"),
    (re.compile(r"\b(?:cu|cubic)\.? ?(ft|in|foot|feet|inch)\b"), r"\g<1>3"),
    (re.compile(r"\s+per\s+|^per\s+"), "/"),
    (re.compile(r"\s*([/*^])\s*"), r"\1"),
)
_ALIASES = {
    '"': "in", "inch": "in", "inches": "in", "'": "ft", "foot": "ft", "feet": "ft", "micron": "um", "microns": "um",
    "gallon": "gal", "gallons": "gal", "liter": "L", "liters": "L", "litre": "L", "litres": "L", "lpm": "L/min", "LPM": "L/min",
    "gal/min": "gpm", "gal/d": "gpd", "gal/day": "gpd", "m3/hr": "m3/h", "lbs": "lb", "lbs/ft3": "lb/ft3", "grain": "gr", "grains": "gr",
    "grains/gallon": "gpg", "grains/gal": "gpg", "degdH": "dH", "dGH": "dH", "degfH": "fH", "degf": "fH", "degClark": "Clark",
    "dege": "Clark", "percent": "%", "%T": "%", "%T/cm": "%/cm", "mg/LPt": "mg/L Pt", "PtCo": "Pt-Co", "NFU": "FNU",
    "mW*s/cm2": "mWs/cm2", "uW*s/cm2": "uWs/cm2", "mW.s/cm2": "mWs/cm2", "uW.s/cm2": "uWs/cm2",
    "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "day": "d", "week": "weeks", "month": "months", "year": "years", "yr": "years",
    "mins": "min", "minute": "min", "minutes": "min", "F": "degF", "celsius": "degC", "fahrenheit": "degF", "kelvin": "K",
}  # fmt: skip

#: Texts that mean the same in capitals; a change of case elsewhere may change a prefix (mS, MS) and is not forgiven.
_CAPITALS = {
    t.casefold(): t
    for t in (
        "psi", "psig", "bar", "gpm", "gpd", "gph", "gpg", "ppm", "ppb", "NTU", "FNU", "FTU", "gal", "in", "ft", "ft3", "lb", "lb/ft3",
        "gpm/ft2", "degC", "degF", "C", "F", "/100mL", "cfu/100mL", "mpn/100mL", "cfu/mL", "mpn/mL", "mg/L", "ug/L", "L/min", "L",
        "m3/h", "Clark", "CU", "PCU", "TCU", "pH",
    )
}  # fmt: skip


def parse(text: str, dimension: str) -> float:
    """A quantity in the internal unit of its dimension.

    Args:
        text: number and unit ("18 gpg", "54 °F", "1 200 gal", "3/4 in"); a bare number only where the dimension has no unit.
        dimension: key of :data:`DIMENSIONS`.

    Raises:
        UnitError: not a number with a known unit of that dimension, not finite, or outside what is possible.
    """
    kind = DIMENSIONS[dimension]
    try:
        number, (factor, offset) = _read(text, dimension)
    except UnitError:
        raise UnitError(_refusal(text, kind)) from None
    value = number * factor + offset
    if not math.isfinite(value):
        raise UnitError(_refusal(text, kind))
    if kind.least is not None and value < kind.least:
        raise UnitError(_refusal(text, kind) + (", it is below zero" if kind.least == 0 and not kind.bare else ""))
    if kind.most is not None and value > kind.most:
        beyond = f", it is more than {convert(kind.most, dimension, 'json'):.0f} {kind.json.text}" if kind.json.text else ""
        raise UnitError(_refusal(text, kind) + beyond)
    return value


def fits(text: str, dimension: str) -> bool:
    """Whether the text is a quantity of that dimension."""
    try:
        parse(text, dimension)
    except UnitError:
        return False
    return True


def _read(text: str, dimension: str) -> tuple[float, tuple[float, float]]:
    """Number, and factor and offset of its unit."""
    if len(text) > _LONGEST:
        raise UnitError
    if found := _PLAIN.fullmatch(text):
        try:
            return float(found[1]), _scale(found[2] or "", dimension)
        except UnitError:
            pass  # "1 200 gal" and "3/4 in" begin as a plain number, too
    number, unit_text = _unusual_number(text.translate(_LETTERS).strip())
    return number, _scale(unit_text or "", dimension)


def _unusual_number(text: str) -> tuple[float, str | None]:
    """Number and unit of a text with other signs, digit groups or a fraction."""
    if found := _GROUPED.fullmatch(text):
        return float(found[1].replace(" ", "") + (found[2] or "")), found[3]
    if (found := _PIPE_SIZE.fullmatch(re.sub(r"\s+", " ", text))) and int(found[3]):
        return int(found[1] or 0) + int(found[2]) / int(found[3]), found[4]
    if found := _PLAIN.fullmatch(text):
        return float(found[1]), found[2]
    raise UnitError


def _refusal(text: str, kind: Dimension) -> str:
    shown = "".join(c if c.isprintable() else "?" for c in text[:_LONGEST]) + ("…" if len(text) > _LONGEST else "")
    number_alone = _PLAIN.fullmatch(text) if len(text) <= _LONGEST else None
    if number_alone and not number_alone[2] and not kind.bare and kind.json.text:
        return f'"{shown}" is not {kind.name}: it has no unit, such as {kind.json.text}'
    if (comma := re.search(r"\d+,\d+", text)) and text.count(",") == 1 and "." not in text:
        ways = f"{comma[0].replace(',', '')} or {comma[0].replace(',', '.')}"
        return f'"{shown}" is not {kind.name}: a comma can mean two things, write {ways}'
    if comma:
        return f'"{shown}" is not {kind.name}: a comma can mean two things, write the number without it'
    return f'"{shown}" is not {kind.name}'


@lru_cache(maxsize=2048)
def _scale(unit_text: str, dimension: str) -> tuple[float, float]:
    """Factor and offset from a unit as written to the internal unit."""
    kind = DIMENSIONS[dimension]
    if not unit_text:
        if kind.bare:
            return 1.0, 0.0
        raise UnitError
    tidy = unit_text.translate(_LETTERS).strip().replace("**", "^")
    for pattern, by in _SPELLED:
        tidy = pattern.sub(by, tidy)
    for name in (tidy, tidy.replace(" ", "")):
        for candidate in (name, _ALIASES.get(name, ""), _CAPITALS.get(name.casefold(), "")):
            listed = _listed(_ALIASES.get(candidate, candidate), kind)
            if listed:
                return listed
    return _ask_registry(_ALIASES.get(tidy, tidy), kind)


def _listed(name: str, kind: Dimension) -> tuple[float, float] | None:
    for scale in (kind.json, kind.us, kind.metric):
        if name and scale.text == name:
            return scale.factor, scale.offset
    return (kind.also[name], 0.0) if name in kind.also else None


def _ask_registry(name: str, kind: Dimension) -> tuple[float, float]:
    if not kind.roots or not _UNIT.fullmatch(name):
        raise UnitError
    import pint

    name = _POWER.sub(r"**\1", name).replace(".", "*")
    known = registry()
    try:
        unit = known.parse_units("1" + name if name.startswith("/") else name)
        for root, factor in kind.roots:
            target = known.parse_units(root)
            if unit.dimensionality == target.dimensionality:
                zero = float(known.Quantity(0.0, unit).to(target).magnitude)
                return factor * (float(known.Quantity(1.0, unit).to(target).magnitude) - zero), factor * zero
    except (pint.errors.PintError, AttributeError, ValueError, TypeError, ArithmeticError):
        raise UnitError from None
    raise UnitError


@cache
def registry() -> UnitRegistry[Any]:
    """The one pint registry, with the trade's units; built at the first call (about a quarter of a second)."""
    import pint

    known: UnitRegistry[Any] = pint.UnitRegistry()
    for line in (
        "gallon_per_minute = gallon / minute = gpm",
        "gallon_per_hour = gallon / hour = gph",
        "gallon_per_day = gallon / day = gpd",
        "grain_per_gallon = grain / gallon = gpg",
        f"german_degree = {GERMAN_DEGREE!r} * milligram / liter = dH",
        f"french_degree = {FRENCH_DEGREE!r} * milligram / liter = fH",
        f"clark_degree = {CLARK_DEGREE!r} * milligram / liter = Clark",
        "nephelometric_unit = [turbidity] = NTU = FNU = FTU",
        "colour_unit = [colour] = CU = PCU = TCU",
        "equivalent = [equivalents] = eq",
        "bed_volume = [] = BV",
        "psig = psi",
        "umho = microsiemens",
    ):
        known.define(line)
    return known


# Writing ----------------------------------------------------------------------------------------------------------------------


def scale(dimension: str, system: System) -> Scale:
    """The unit that a system shows a dimension in."""
    kind = DIMENSIONS[dimension]
    return kind.json if system == "json" else kind.us if system == "us" else kind.metric


def unit(dimension: str, system: System) -> str:
    """The text of that unit, "" where there is none."""
    return scale(dimension, system).text


def convert(value: T, dimension: str, system: System) -> T:
    """An internal value, or an array of them, in the unit of a system."""
    to = scale(dimension, system)
    return (value - to.offset) / to.factor


def internal(value: T, dimension: str, system: System) -> T:
    """A value in the unit of a system, or an array of them, in the internal unit."""
    to = scale(dimension, system)
    return value * to.factor + to.offset


def to_json(value: float, dimension: str) -> dict[str, Any]:
    """{magnitude, unit} of an internal value; 12 digits, so that 7 gpm comes back as 7.

    Raises:
        ValueError: not finite, which JSON cannot say.
    """
    if not math.isfinite(value):
        raise ValueError(f"{value} is not a finite {dimension}")
    return {"magnitude": float(f"{convert(float(value), dimension, 'json'):.12g}"), "unit": unit(dimension, "json")}


def write(value: float, dimension: str, system: System = "json") -> str:
    """A document's text of an internal value, to six digits and without needless zeros ("9 gpm")."""
    return f"{convert(float(value), dimension, system) + 0.0:.6g} {unit(dimension, system)}".rstrip()


_MOST_DECIMALS = 4
_TWO_DECIMALS = frozenset({"iron", "iron_dissolved", "manganese", "manganese_dissolved", "hydrogen_sulfide"})


def show(value: float, dimension: str, system: System = "us", *, analyte: str = "", limit: float | None = None) -> str:
    """An internal value with its unit, rounded as the look of the program asks ("3.10 mg/L", "18 gpg").

    Args:
        value: internal unit.
        dimension, system: what to show it in.
        analyte: iron, manganese and sulfide have decimals of their own.
        limit: internal; only chooses decimals. Beside a limit that the value may break, use :func:`show_against_limit`.

    A NaN, which is how arrays hold what is not known, reads "unknown".
    """
    if math.isnan(value):
        return "unknown"
    return _with_unit(_round(*_shown(value, dimension, system, analyte, limit)), dimension, system)


def show_against_limit(value: float, limit: float, dimension: str, system: System = "us", *, analyte: str = "") -> str:
    """Like :func:`show`, but never rounded onto or across its limit, nor onto what :func:`show` makes of it: decimals are added up to four,
    then "just over" or "just under"."""
    if math.isnan(value):
        return "unknown"
    number, decimals = _shown(value, dimension, system, analyte, limit)
    edge = convert(float(limit), dimension, system)
    if math.isclose(number, edge, rel_tol=1e-9, abs_tol=1e-12):
        return _with_unit(_round(number, decimals), dimension, system)
    told = float(_round(*_shown(limit, dimension, system, analyte, None)))
    for places in range(decimals, max(decimals, _MOST_DECIMALS) + 1):
        text = _round(number, places)
        if all(_on_side(float(text), one, number > edge) for one in (edge, told)):
            return _with_unit(text, dimension, system)
    side = "just over" if number > edge else "just under"
    return f"{side} {_with_unit(_round(edge, decimals), dimension, system)}"


def _on_side(number: float, edge: float, above: bool) -> bool:
    return (number > edge) == above and not math.isclose(number, edge, rel_tol=1e-9, abs_tol=1e-12)


def _shown(value: float, dimension: str, system: System, analyte: str, limit: float | None) -> tuple[float, int]:
    """The number in the unit shown, and its decimals."""
    to = scale(dimension, system)
    number = convert(float(value), dimension, system)
    edge = None if limit is None else convert(float(limit), dimension, system)
    if dimension == "concentration" and analyte in _TWO_DECIMALS:
        decimals = 3 if edge is not None and edge < 0.05 else 2
    elif dimension == "turbidity" and abs(number) < 1 and edge is not None and edge < 1:
        decimals = 2
    elif to.decimals:
        decimals = next((places for least, places in to.decimals if abs(number) >= least), 0)
    else:
        decimals = _significant(number)
    # What is there must not read as nothing, unless it is far below anything that matters.
    while decimals < _MOST_DECIMALS and 0.5 * 10.0**-_MOST_DECIMALS <= abs(number) < 0.5 * 10.0**-decimals:
        decimals += 1
    return number, decimals


def _significant(number: float) -> int:
    """Decimals for three significant digits without trailing zeros."""
    if number == 0 or not math.isfinite(number):
        return 0
    decimals = min(max(2 - math.floor(math.log10(abs(number))), 0), _MOST_DECIMALS)
    return len(f"{number:.{decimals}f}".rstrip("0").partition(".")[2])


def _round(number: float, decimals: int) -> str:
    return f"{round(number, decimals) + 0.0:.{decimals}f}"


def _with_unit(number: str, dimension: str, system: System) -> str:
    text = unit(dimension, system)
    return f"{number} {text}" if text else number


_PRETTY: tuple[tuple[re.Pattern[str], str | Callable[[re.Match[str]], str]], ...] = (
    (re.compile(r"(?<![\w.])-(?=[\d.])"), "\u2212"),
    (re.compile(r"\bdeg(?=[CF]\b)"), "°"),
    (re.compile(r"\bu(?=[mSgW]\b)"), "µ"),
    (re.compile(r"(?<=[a-z])\*(?=[a-z])"), "·"),
    (re.compile(r"(?<=\b(?:cm|ft|in))[23]\b|(?<=\bm)[23]\b"), lambda found: "²" if found[0] == "2" else "³"),
    (re.compile(r"(?<=/100)mL\b"), "\u202fmL"),
    # long numbers of a quantity, or of a range of it, in groups of three
    (
        re.compile(r"(?<![\w.,])\d{5,}(?=(?:\.\d+)?(?:\u202f|(?:–| to | and )[\d.]+\u202f))"),
        lambda found: f"{int(found[0]):,}".replace(",", "\u202f"),
    ),
)


@cache
def _before_unit() -> re.Pattern[str]:
    """The space between a number and a unit of the program."""
    texts = {t for kind in DIMENSIONS.values() for t in (kind.json.text, kind.us.text, kind.metric.text, *kind.also) if t}
    return re.compile(rf"(?<=\d) (?=(?:{'|'.join(map(re.escape, sorted(texts)))})(?![\w/]))")


def typeset(text: str) -> str:
    """A shown text for screen and paper, spelt as the reader does: true minus, narrow no-break space before a unit, long
    numbers of a unit in groups, ², ³, µ, °, ·."""
    return _typeset(text, american())


@lru_cache(maxsize=8192)
def _typeset(text: str, as_american: bool) -> str:
    """The same texts come again with every edit."""
    text = _before_unit().sub("\u202f", spelt_in(text, as_american))
    for pattern, by in _PRETTY:
        text = pattern.sub(by, text)
    return text
