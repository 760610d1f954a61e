"""What is typed into a field, as a document writes it: decimal signs of the locale, a little arithmetic, a unit where none was typed."""

from __future__ import annotations

import re
from collections.abc import Callable

from PySide6.QtCore import QLocale

from trainapp import units
from trainapp.dimensions import DIMENSIONS
from trainapp.train.document import Document, DocumentError
from trainapp.train.naming import in_words

_LONGEST = 48
_SIGNS = str.maketrans({"×": "*", "÷": "/", "−": "-", "·": "*", "\u00a0": " ", "\u202f": " "})
#: A number, or a sum of numbers, and what follows it: the unit.
_SPLIT = re.compile(
    r"\s*(?P<sum>[-+(]*[\d.,][\d.,\s*/+()eE-]*?)\s*(?P<unit>(?![eE][+-]?\d)[^\W\d_].*|[°%'\"µ].*|/(?=100|[A-Za-z]).*)?",
    re.DOTALL,
)
_NUMBER = re.compile(r"\d[\d.,]*(?:\s\d{3}(?!\d)[\d.,]*)*(?:[eE][+-]?\d{1,3})?|[.,]\d+(?:[eE][+-]?\d{1,3})?")
_PIPE_SIZE = re.compile(r"(?:\d+[ -])?\d+/\d+")
#: A thousand and more, or one and a part of it, where a point groups thousands.
_UNCLEAR = re.compile(r"(?<![\d.,])[1-9]\d{0,2}\.\d{3}(?![\d.,eE])")
_GROUPED = re.compile(r"\d{1,3}(?:[., ]\d{3})+")


def document_text(text: str, dimension: str, unit: str = "", locale: QLocale | None = None) -> str:
    """A typed quantity as a document writes it.

    Args:
        text: "18 gpg", "1,5 bar", "3*1.2 in", or a number alone.
        dimension: key of the dimensions.
        unit: taken where none was typed; empty for the unit of US screens.
        locale: whose decimal sign is read, the application's by default.

    Raises:
        UnitError: it is not a quantity of that dimension; str() is the tail of a sentence.
    """
    text = text.strip()
    locale = locale or QLocale()
    found = _SPLIT.fullmatch(text.translate(_SIGNS)) if len(text) <= _LONGEST else None
    if found is None:
        return _checked(text, dimension)
    number, unit_text = found["sum"], (found["unit"] or "").strip()
    if not unit_text:
        unit_text = unit or units.unit(dimension, "us")
    if doubt := _doubt(number, locale):
        raise units.UnitError(f'"{text}" is not {DIMENSIONS[dimension].name}{doubt}')
    plain = _plain(number, locale)
    if plain is None:
        # A pipe size such as 1-1/4 in, or words only: the reader of documents knows best.
        return _checked(text if found["unit"] else f"{text} {unit_text}".strip(), dimension)
    if found["unit"] and plain == number and units.fits(text, dimension):
        return text
    return _checked(f"{plain} {unit_text}".strip(), dimension)


def amount_text(text: str, locale: QLocale | None = None) -> str:
    """A typed number without a unit as C writes it; what is none stays as it is, for its reader to refuse.

    Raises:
        ValueError: it can be read in two ways; str() is a sentence.
    """
    locale = locale or QLocale()
    if doubt := _doubt(text, locale):
        raise ValueError(f'"{text}" is not an amount{doubt}')
    return _plain(text.translate(_SIGNS), locale) or text


def _doubt(text: str, locale: QLocale) -> str:
    """Why a number is not read: its point may group thousands or begin a part; "" where it is clear."""
    if locale.groupSeparator() != "." or not (unclear := _UNCLEAR.search(text)):
        return ""
    return f": a point can mean two things, write {unclear[0].replace('.', '')} or {unclear[0].replace('.', locale.decimalPoint())}"


def _checked(text: str, dimension: str) -> str:
    units.parse(text, dimension)
    return text


def unit_of(text: str) -> str:
    """The unit that a text of a document ends with, "" for none."""
    found = _SPLIT.fullmatch(text.strip().translate(_SIGNS))
    return (found["unit"] or "").strip() if found else ""


def understood(text: str, dimension: str, system: units.System) -> str:
    """What a document's text was understood as: in the unit shown, and in the unit that files are compared in where that is another."""
    value = units.parse(text, dimension)
    shown = dict.fromkeys(units.show(value, dimension, each) for each in (system, "json"))
    return units.typeset(" = ".join(shown)) if DIMENSIONS[dimension].json.text else units.typeset(next(iter(shown)))


# Numbers ----------------------------------------------------------------------------------------------------------------------


def _plain(text: str, locale: QLocale) -> str | None:
    """A number or a sum as C writes a number; None where it is neither."""
    text = text.strip()
    whole = _NUMBER.fullmatch(text.lstrip("+-"))
    if whole is not None:
        value = _number(text, locale)
        return None if value is None else text if _is_c(text) and value == float(text) else _written(value)
    if _PIPE_SIZE.fullmatch(text):
        return None
    try:
        value = _Sum(text, lambda word: _number(word, locale)).value()
    except (ValueError, ZeroDivisionError, OverflowError):
        return None
    return _written(value)


def _is_c(text: str) -> bool:
    return re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?", text) is not None


def _number(text: str, locale: QLocale) -> float | None:
    """A number by the locale's signs without its digit groups, else by those of C, else with groups of three."""
    for reader in (locale, QLocale.c()):
        strict = QLocale(reader)
        strict.setNumberOptions(QLocale.NumberOption.RejectGroupSeparator)
        value, ok = strict.toDouble(text)
        if ok:
            return float(value)
    body = text.lstrip("+-")
    point = "," if locale.decimalPoint() == "," else "."
    head, _, tail = body.partition(point)
    if _GROUPED.fullmatch(head) and (not tail or tail.isdigit()) and len({c for c in head if not c.isdigit()}) == 1:
        value = float(re.sub(r"\D", "", head) + (f".{tail}" if tail else ""))
        return -value if text.startswith("-") else value
    return None


def _written(value: float) -> str:
    return f"{value:.12g}"


class _Sum:
    """A sum of numbers with + - * / and brackets; nothing else is arithmetic here."""

    def __init__(self, text: str, number: Callable[[str], float | None]) -> None:
        self.words = re.findall(rf"{_NUMBER.pattern}|[-+*/()]|\S", text)
        self.number = number

    def value(self) -> float:
        total = self._terms()
        if self.words:
            raise ValueError(self.words[0])
        return total

    def _take(self, signs: str) -> str:
        return self.words.pop(0) if self.words and self.words[0] in signs else ""

    def _terms(self) -> float:
        total = self._factors()
        while sign := self._take("+-"):
            more = self._factors()
            total = total + more if sign == "+" else total - more
        return total

    def _factors(self) -> float:
        product = self._one()
        while sign := self._take("*/"):
            more = self._one()
            product = product * more if sign == "*" else product / more
        return product

    def _one(self) -> float:
        if self._take("("):
            inside = self._terms()
            if not self._take(")"):
                raise ValueError(")")
            return inside
        if not self.words:
            raise ValueError("")
        value = self.number(self.words.pop(0))
        if value is None:
            raise ValueError
        return value


class Refusal(str):
    """Why an edit was not done: place and sentence, as the screen calls things."""

    sentence: str

    @classmethod
    def of(cls, document: Document, error: DocumentError) -> Refusal:
        """What a document error says, in the words of the bench."""
        place, sentence = in_words(document, error)
        made = cls(f"{place}: {sentence}" if place else sentence)
        made.sentence = sentence
        return made


def tail(reason: str | None) -> str:
    """A refusal without the place, which the field itself shows; "" for none."""
    return reason.sentence if isinstance(reason, Refusal) else reason or ""
