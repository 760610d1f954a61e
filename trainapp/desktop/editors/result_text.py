"""A result as it is typed, as a document writes it; and what a result was read as."""

from __future__ import annotations

import re

from PySide6.QtCore import QLocale

from trainapp import units
from trainapp.desktop.typed import document_text
from trainapp.water.analytes import Analyte
from trainapp.water.sample import Result

_SHAPE = re.compile(r"(?P<sign>[<>≤≥]=?)?\s*(?P<body>.*?)(?P<basis>\s+as\s+\S.*)?", re.DOTALL | re.IGNORECASE)


def result_text(analyte: Analyte, text: str, unit: str, locale: QLocale | None = None) -> str:
    """A typed result: the locale's decimal sign, arithmetic, and `unit` where none was typed. What is no number is left as it is."""
    text = text.strip()
    found = _SHAPE.fullmatch(text)
    if found is None or not found["body"] or not re.search(r"\d", found["body"]) or analyte.dimension == "state":
        return text
    for dimension in (analyte.dimension, "molar", "equivalents", "absorbance"):
        try:
            number = document_text(found["body"], dimension, unit if dimension == analyte.dimension else "", locale)
        except units.UnitError:
            continue
        return f"{found['sign'] or ''}{number}{found['basis'] or ''}"
    return text


def usual_unit(analyte: Analyte, system: units.System) -> str:
    """The unit of a number that is typed alone: of laboratory sheets, which count hardness in mg/L everywhere."""
    return units.unit(analyte.dimension, "json" if analyte.dimension == "hardness" else system)


def hint_of(analyte: Analyte, system: units.System) -> str:
    """What an empty result shows: the unit that a number alone would take, and its basis."""
    basis = f" as {analyte.basis}" if analyte.basis else ""
    return units.typeset(f"{usual_unit(analyte, system)}{basis}") if analyte.dimension != "state" else " or ".join(analyte.states)


def read_as(result: Result, analyte: Analyte, system: units.System) -> str:
    """What a result was read as, in the units shown, and in those of files where they are others."""
    return interval(result.low, result.high, analyte, system) if not result.state else result.state


def interval(low: float, high: float, analyte: Analyte, system: units.System) -> str:
    """Two ends of an analyte as words: "0 to 0.50 mg/L", "200 /100mL or more", or one value."""
    if high == float("inf"):
        return f"{_shown(low, analyte, system)} or more"
    ends = _shown(low, analyte, system), _shown(high, analyte, system)
    if ends[0] == ends[1]:
        twice = _shown(high, analyte, "json")
        return ends[1] if twice == ends[1] or analyte.dimension != "hardness" else f"{ends[1]} = {twice}"
    unit = units.typeset(f"1 {units.unit(analyte.dimension, system)}")[1:]
    return f"{'0' if low == 0 else ends[0].removesuffix(unit)} to {ends[1]}"


def _shown(value: float, analyte: Analyte, system: units.System) -> str:
    return units.typeset(units.show(value, analyte.dimension, system, analyte=analyte.key))
