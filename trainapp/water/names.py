"""What a laboratory calls an analyte: its name as printed, with a basis or a unit beside it, to the analyte's key."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from trainapp.data import load_toml
from trainapp.units import fits
from trainapp.water.analytes import ANALYTES, BY_KEY


@dataclass(frozen=True, slots=True)
class Printed:
    """A printed name: the analyte's key, and the unit and basis that stood in it ("" for none)."""

    analyte: str
    unit: str = ""
    basis: str = ""


_BRACKETS = re.compile(r"[(\[{]([^()\[\]{}]*)[)\]}]")
_AS = re.compile(r"[\s,_-]+as[\s_-]+([A-Za-z][A-Za-z0-9]{0,5})\s*$", re.IGNORECASE)
_NITROGEN = re.compile(r"[\s,_-]+(?:N|nitrogen)\s*$")
#: "mg N/L", "mg NO3/L": a unit with its basis inside.
_INSIDE = re.compile(r"\s*([mu]?g)[\s-]+([A-Z][A-Za-z0-9]{0,5})\s*/\s*([Ll])\s*")
_UNIT_AS = re.compile(r"\s*(.*?\S)(?:\s+as)?\s+([A-Z][A-Za-z0-9]{0,5})\s*")


@lru_cache(maxsize=1024)
def analyte_named(text: str) -> Printed | None:
    """The analyte of a printed name such as "Iron, total (mg/L)", "Nitrate as N", "Fe"; None where it is none that is known."""
    name, unit, basis = _without_brackets(text.strip())
    if found := _AS.search(name):
        name, basis = name[: found.start()], found[1]
    elif found := _NITROGEN.search(name):
        name, basis = name[: found.start()], "N"
    key = _lookup(name) or _lookup(_BRACKETS.sub(" ", name))
    if key is None and "," in name and _is_unit(name.rpartition(",")[2]):
        name, _, unit = (part.strip() for part in name.rpartition(","))
        key = _lookup(name)
    if key is None:
        return None
    if name.strip().casefold() in ("bicarbonate", "hco3") and not basis:
        basis = "HCO3"
    plain, inside = split_unit(unit)
    return Printed(key, plain, basis or inside)


def _without_brackets(name: str) -> tuple[str, str, str]:
    """A name without the brackets that hold a unit or a basis, and these."""
    unit = basis = ""
    for found in list(_BRACKETS.finditer(name)):
        inside = found[1].strip()
        words = re.sub(r"^as\s+", "", inside, flags=re.IGNORECASE)
        if words == inside and not _is_unit(inside):
            continue
        name = name.replace(found[0], " ")
        unit, basis = (unit, words) if words != inside else (inside, basis)
    return name.strip(), unit, basis


def split_unit(unit: str) -> tuple[str, str]:
    """A printed unit as unit and basis: "mg/L as N", "mg N/L" and "mg/L CaCO3" each give both."""
    unit = unit.strip()
    if found := _INSIDE.fullmatch(unit):
        return f"{found[1]}/{found[3]}", found[2]
    if (found := _UNIT_AS.fullmatch(unit)) and not _is_plain_unit(unit) and _is_plain_unit(found[1]):
        return found[1], found[2]
    return unit, ""


def is_unit(text: str) -> bool:
    """Whether a text is a unit of some analyte, alone or with a basis."""
    return bool(text.strip()) and len(text) < 24 and _is_unit(text)


def words(kind: str) -> frozenset[str]:
    """Words of a sheet that are no name: "result", "unit", "other", "nothing", "filler"."""
    return frozenset(load_toml("water/names.toml")["words"][kind])


@lru_cache(maxsize=256)
def _is_unit(text: str) -> bool:
    return _is_plain_unit(split_unit(text)[0])


@lru_cache(maxsize=256)
def _is_plain_unit(text: str) -> bool:
    text = text.strip()
    if not text or text[0].isdigit():
        return False
    return any(fits(f"1 {text}", dimension) for dimension in _dimensions())


@cache
def _dimensions() -> tuple[str, ...]:
    return tuple(dict.fromkeys((*(a.dimension for a in ANALYTES if a.dimension != "state"), "molar", "equivalents", "absorbance")))


def _lookup(name: str) -> str | None:
    tokens = _tokens(name)
    if not tokens:
        return None
    table = _table()
    return table.get(tokens) or table.get(tokens - words("filler"))


def _tokens(name: str) -> frozenset[str]:
    return frozenset(re.findall(r"[^\W_]+", name.casefold()))


@cache
def _table() -> Mapping[frozenset[str], str]:
    table: dict[frozenset[str], str] = {}
    for key, names in load_toml("water/names.toml")["names"].items():
        analyte = BY_KEY[key]
        for name in (key, analyte.label, *names):
            table.setdefault(_tokens(name), key)
    return table
