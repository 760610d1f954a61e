"""One printed result of a laboratory as a document writes it: flags, "not detected", most probable numbers, printed units."""

from __future__ import annotations

import re
from dataclasses import dataclass

from trainapp.data import load_toml
from trainapp.water.analytes import BY_KEY, Analyte
from trainapp.water.names import words
from trainapp.water.sample import SampleError, read_result

#: Sign, number, the rest: a unit, a basis, a flag.
_PARTS = re.compile(r"\s*(<=?|>=?|≤|≥)?\s*=?\s*([+-]?[\d.,]*\d(?:[eE][+-]?\d+)?)\s*(.*?)\s*", re.DOTALL)
#: "/100 mL" in every spelling, with or without what is counted before it.
_PER_100 = re.compile(r"(?:(?:mpn|cfu|col(?:onies|ony)?|org(?:anisms)?|counts?|no\.?|#)\s*)?(?:/|per)\s*100\s*m[lL]s?\.?", re.IGNORECASE)
_COUNTED = re.compile(r"(?:mpn|cfu|col(?:onies|ony)?|org(?:anisms)?|counts?)\.?", re.IGNORECASE)
_BEFORE = re.compile(r"\s*(?:mpn|cfu)\s*:?\s*(?=[<>≤≥\d])", re.IGNORECASE)
#: Flags of United States laboratories: U was looked for and not found, J is an estimate (EPA functional guidelines, from memory).
_FLAG = re.compile(r"(.*?[\d%LlNUmn])\s*[\[(]?\b(U|UJ|J)\b[\])]?\s*")


@dataclass(frozen=True, slots=True)
class Printed:
    """What a document keeps of a printed result: its text, and a note ("" for none)."""

    text: str
    note: str = ""


def printed_result(analyte: str, text: str, least: str = "", flag: str = "") -> Printed:
    """A printed result as a document writes it.

    Args:
        analyte: key.
        text: as printed, with its unit where one stands anywhere ("<0.005 mg/L U", "ND", "Absent/100 mL").
        least: what the laboratory can still find, with its unit: what "not detected" is below of.
        flag: from a column of its own.

    Raises:
        SampleError: it is no result of this analyte; the tail of a sentence.
    """
    told = " ".join(text.split())
    told, flag = _flagged(told, flag)
    found = _germs(told) if BY_KEY[analyte].dimension == "count" else _amount(told, BY_KEY[analyte])
    if flag in ("U", "UJ") and not found.startswith("<"):
        found = f"<{found}" if re.match(r"\d", found) else found
    if _is_nothing_found(found) and not BY_KEY[analyte].states:
        if not least:
            raise SampleError(f'"{text.strip()}" does not say below what: ask the laboratory for its reporting limit')
        found = f"<{_amount(least.lstrip('< '), BY_KEY[analyte])}"
    result = read_result(analyte, found)
    return Printed(result.state or found, "flagged as an estimate by the laboratory" if flag in ("J", "UJ") else "")


def _flagged(text: str, flag: str) -> tuple[str, str]:
    """A text without its flag, and the flag in capitals."""
    if not flag.strip() and (found := _FLAG.fullmatch(text)):
        return found[1], found[2]
    return text, flag.strip().upper()


def _is_nothing_found(text: str) -> bool:
    return text.casefold().strip(" .") in {word.strip(" .") for word in words("not_detected")}


def _germs(text: str) -> str:
    """A count of germs, or the word for it: "<1 /100mL", "absent"."""
    plain = _PER_100.sub("/100mL", _BEFORE.sub("", text))
    word = plain.replace("/100mL", "").strip(" .:()")
    if found := _PARTS.fullmatch(plain):
        unit = "/100mL" if not found[3] or _COUNTED.fullmatch(found[3]) else found[3]
        return f"{found[1] or ''}{found[2]} {unit}"
    return "absent" if _is_nothing_found(word) else word.casefold() if word else text


def _amount(text: str, analyte: Analyte) -> str:
    """An amount with its unit by the name that a document uses."""
    found = _PARTS.fullmatch(text)
    if not found:
        return text
    unit, _, basis = found[3].partition(" as ")
    known = load_toml("water/names.toml")["units"].get(unit.strip().casefold())
    unit = unit if known is None else known
    if analyte.dimension == "ph":
        unit = ""
    return f"{found[1] or ''}{found[2]} {unit}".strip() + (f" as {basis}" if basis else "")
