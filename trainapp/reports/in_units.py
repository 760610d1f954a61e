"""Quantities in a text, told in the units that are shown: "32 to 36 in are usual" reads "813 to 914 mm" on a metric screen.

Texts of stages, tables and pipes name quantities as their sources do. What a user typed, and names of items, are never changed.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache, partial

from trainapp import units
from trainapp.dimensions import FOOT, GALLON, GRAIN, INCH, POUND
from trainapp.hydraulics.pipes import pipe_inches, pipe_sizes
from trainapp.units import System

#: Units that belong to one system only, with what they measure.
_OF: dict[str, dict[str, str]] = {
    "us": {
        "gpm": "flow", "gpd": "flow", "psi": "pressure", "psig": "pressure", "gpg": "hardness", "gal": "volume", "ft3": "bulk_volume",
        "ft2": "area", "in": "length", "ft": "distance", "lb": "mass", "oz": "mass", "lb/ft3": "density", "oz/ft3": "density",
        "kgr/ft3": "exchange_capacity", "gpm/ft2": "rate", "gpm/ft3": "specific_flow", "degF": "temperature", "ft/s": "velocity",
        "psi/ft": "pressure_gradient", "pCi/L": "activity",
    },
    "metric": {
        "L/min": "flow", "m3/h": "flow", "L/d": "flow", "bar": "pressure", "kPa": "pressure", "L": "volume", "m3": "volume", "m2": "area",
        "mm": "length", "cm": "length", "m": "distance", "kg": "mass", "g/L": "density", "m/h": "rate", "degC": "temperature",
        "m/s": "velocity", "kPa/m": "pressure_gradient", "Bq/L": "activity",
    },
}  # fmt: skip

#: Ratios of the trade: unit, unit shown instead, factor.
_KILOGRAIN = 1e3 * GRAIN
_RATIOS: dict[str, tuple[tuple[str, str, float], ...]] = {
    "us": (("L/kgr", "gal/kgr", 1e-3 / GALLON),),
    "metric": (
        ("gal/ft[3³]", "L/L", GALLON / FOOT**3), ("gal/kgr", "L/kg", 1e3 * GALLON / _KILOGRAIN), ("L/kgr", "L/kg", 1.0 / _KILOGRAIN),
        ("gr/lb", "g/kg", 1e3 * GRAIN / POUND),
    ),
}  # fmt: skip

#: As they are set on the screen.
_SET = {"ft3": "ft³", "ft2": "ft²", "m3": "m³", "m2": "m²", "degF": "°F", "degC": "°C"}

#: Nominal sizes of pipe: inches of the trade and millimetres of ISO 6708, "DN". From memory.
_DN = {
    "1/4": 8, "3/8": 10, "1/2": 15, "3/4": 20, "1": 25, "1-1/4": 32, "1-1/2": 40, "2": 50, "2-1/2": 65, "3": 80, "4": 100, "6": 150,
}  # fmt: skip

#: How near a length has to be to a nominal size to be meant as one.
_SAME_SIZE = 0.005

_NUMBER = r"(?:\d+[ -])?\d+/\d+|\d+(?:\.\d+)?"
#: Numbers of which only the last has its unit: "10 to 15 psi", "10 x 54 in". What stands before a comma may be something else.
_NUMBERS = rf"(?:{_NUMBER})(?:(?: to | and | or | x | × |–)(?:{_NUMBER}))*"
#: "0.086 in all" has no inches in it.
_NO_INCHES = r"(?! (?:all|the|an?|its?|this|that|which|each|one|total|turn|use|use;|line|place|series|parallel|flow|full|front|service)\b)"


@cache
def _pattern(system: str) -> re.Pattern[str]:
    texts = {text for unit in _OF[system] for text in _spellings(unit)}
    unit = "|".join(re.escape(text) + (_NO_INCHES if text == "in" else "") for text in sorted(texts, key=len, reverse=True))
    return re.compile(rf"(?<![\w.^₀-₉])(?<!SDR )({_NUMBERS})([ \u00a0\u202f])({unit})(?![\w²³°%])")


def _spellings(unit: str) -> set[str]:
    """A unit as files and as screens write it."""
    pretty = unit
    for plain, made in _SET.items():
        pretty = pretty.replace(plain, made)
    return {unit, pretty}


@lru_cache(maxsize=4096)
def in_units(text: str, system: System) -> str:
    """A text in which every quantity of the other system is told in this one, with this one's decimals."""
    other = "us" if system == "metric" else "metric"
    dimensions = {spelling: dimension for unit, dimension in _OF[other].items() for spelling in _spellings(unit)}
    plain = {spelling: unit for unit in _OF[other] for spelling in _spellings(unit)}

    def told(found: re.Match[str]) -> str:
        unit, dimension = plain[found[3]], dimensions[found[3]]
        shown = units.unit(dimension, system)
        numbers = re.sub(_NUMBER, lambda number: _number(number[0], unit, dimension, system), found[1])
        return f"{numbers}{found[2]}{shown if found[3] == unit else units.typeset(shown)}" if shown else numbers

    return _pattern(other).sub(told, _ratios(_pipes(text) if system == "metric" else text, system))


def nominal(text: str, system: System) -> str:
    """A nominal size of pipe, such as "1-1/4 in", as a screen shows it; any other text is told in the units shown."""
    size = _DN.get(text.removesuffix(" in").removesuffix("\u202fin").strip()) if system == "metric" and text.endswith("in") else None
    return f"DN {size}" if size else in_units(text, system)


def nominal_size(metres: float, system: System) -> str:
    """A nominal size of pipe given in m: "3/4 in" or "DN 20"; what is no size of the trade is a length like any other."""
    inches = next((size for size in _DN if abs(pipe_inches(size) - metres / INCH) < _SAME_SIZE * metres / INCH), "")
    return nominal(f"{inches} in", system) if inches else units.show(metres, "length", system)


def trade_size(text: str, system: System) -> str:
    """A typed size of pipe as documents write it: "DN 25", and on a metric screen "25" alone, are "1 in"; any other text as it is."""
    found = re.fullmatch(r"(DN ?)?(\d+)", text.strip(), re.IGNORECASE)
    inches = next((size for size, dn in _DN.items() if found is not None and dn == int(found[2])), "")
    return f"{inches} in" if found is not None and inches and (found[1] or system == "metric") else text


def pipes_in(text: str, system: System) -> str:
    """A text in which sizes of pipe alone are told in the units shown: "PEX, SDR 9, 1 in", "1-1/4 in pipe"."""
    return _pipes(text) if system == "metric" else text


def _pipes(text: str) -> str:
    return _pipe_names().sub(lambda found: f"{found[1] or ''}{nominal(f'{found[2]} in', 'metric')}", text)


@cache
def _pipe_names() -> re.Pattern[str]:
    names = "|".join(re.escape(name) for name in sorted({s.label.rpartition(", ")[0] for sizes in pipe_sizes().values() for s in sizes}))
    return re.compile(rf"((?:{names}), )?(?<![\d-])({_NUMBER})[ \u202f]in(?(1)\b|(?= pipe\b))")


def _number(text: str, unit: str, dimension: str, system: System) -> str:
    """One number in the shown unit, without it."""
    value = units.parse(f"{text} {unit}", dimension)
    return units.show(value, dimension, system).removesuffix(units.unit(dimension, system)).strip()


def _ratios(text: str, system: System) -> str:
    """What is told for each foot of bed or each kilograin of hardness."""
    for unit, shown, factor in _RATIOS[system]:
        text = re.sub(rf"(\d+(?:\.\d+)?)([ \u202f]){unit}", partial(_times, factor, shown), text)
    return text


def _times(factor: float, shown: str, found: re.Match[str]) -> str:
    return f"{float(found[1]) * factor:.3g}{found[2]}{shown}"
