"""Text of a file to a plain JSON tree, refusing what no document can mean before anything else looks at it."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trainapp.spelling import inside
from trainapp.train.errors import DocumentError, Place, number

#: A long-lived document with years of log is below one tenth of this.
MOST_BYTES = 8_000_000
#: The schema is seven levels deep; unknown keys may go further, but not without end.
MOST_LEVELS = 32
MOST_VALUES = 400_000
_MOST_DIGITS = 18


@dataclass(frozen=True, slots=True)
class _Refused:
    """Stands in the tree for a number that cannot be used, until its place is known."""

    sentence: str


class _Twice(dict[str, Any]):
    """An object in which a key is written twice."""

    key = ""


def read_file(path: Path, what: str = "a train document") -> str:
    """The text of a file.

    Args:
        what: it is, for the sentence that it is too large.

    Raises:
        DocumentError: it cannot be read, is too large, or is not UTF-8.
    """
    try:
        if not path.is_file():
            raise DocumentError(path.name, "there is no such file" if not path.exists() else "this is not a file")
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise DocumentError(path.name, f"the file has {size / 1e6:.0f} MB; {what} has at most {MOST_BYTES / 1e6:.0f} MB")
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise DocumentError(path.name, f"cannot be read: {(error.strerror or 'unknown reason').lower()}") from None
    return decode(raw)


def decode(raw: bytes) -> str:
    """UTF-8 text, with or without a byte order mark.

    Raises:
        DocumentError: not UTF-8, naming the line.
    """
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise DocumentError(f"line {line}", "this is not UTF-8 text") from None


def parse_json(text: str) -> dict[str, Any]:
    """The tree of a JSON text whose top is an object. What JSON allows but no document can hold is left to :func:`inspect`.

    Raises:
        DocumentError: with line and column where it is not JSON.
    """
    if len(text) > MOST_BYTES:
        raise DocumentError("", f"the text is longer than {MOST_BYTES / 1e6:.0f} million characters")
    try:
        tree = json.loads(
            text.removeprefix("\ufeff"), object_pairs_hook=_object, parse_int=_whole, parse_float=_decimal, parse_constant=_constant
        )
    except json.JSONDecodeError as error:
        raise DocumentError(f"line {error.lineno}, column {error.colno}", f"this is not JSON: {inside(error.msg)}") from None
    except RecursionError:
        raise DocumentError("", "the document is nested too deeply") from None
    if not isinstance(tree, dict):
        raise DocumentError("", "a train document is one JSON object in { }")
    return tree


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    tree = dict(pairs)
    if len(tree) == len(pairs):
        return tree
    twice, seen = _Twice(tree), set[str]()
    for key, _ in pairs:
        if key in seen:
            twice.key = key
            break
        seen.add(key)
    return twice


def _whole(text: str) -> int | _Refused:
    return int(text) if len(text) <= _MOST_DIGITS else _Refused(f"a whole number of {len(text.lstrip('-'))} digits is too large")


def _decimal(text: str) -> float | _Refused:
    value = float(text)
    return value if math.isfinite(value) else _Refused("this number is too large")


def _constant(text: str) -> _Refused:
    return _Refused(f"{text} is not a number")


def inspect(tree: Mapping[str, Any]) -> None:
    """Refuse a tree that is not plain JSON: numbers that are not finite, a key written twice, text that UTF-8 cannot hold, endless depth.

    Raises:
        DocumentError: with the place.
    """
    # Without recursion, so that depth cannot hurt.
    pending: list[tuple[Any, Place]] = [(dict(tree) if not isinstance(tree, dict) else tree, ())]
    seen = 0
    while pending:
        value, place = pending.pop()
        seen += 1
        if seen > MOST_VALUES:
            raise DocumentError("", f"the document holds more than {MOST_VALUES} values")
        if isinstance(value, _Refused):
            raise DocumentError(place, value.sentence)
        if isinstance(value, str):
            _inspect_text(value, place)
        elif isinstance(value, float) and not math.isfinite(value):
            raise DocumentError(place, f"{value} is not a number")
        elif isinstance(value, dict | list):
            if len(place) >= MOST_LEVELS:
                raise DocumentError(place[:4], "the document is nested too deeply")
            pending.extend(_members(value, place))
        elif value is not None and not isinstance(value, bool | int | float):
            raise DocumentError(place, f"a {type(value).__name__} cannot be written to a file")


def _members(value: dict[str, Any] | list[Any], place: Place) -> Iterator[tuple[Any, Place]]:
    if isinstance(value, _Twice):
        raise DocumentError(place, f'"{value.key}" is written twice')
    if isinstance(value, dict):
        for key, child in value.items():
            if not isinstance(key, str):
                raise DocumentError(place, "a key is text")
            _inspect_text(key, place)
            yield child, (*place, key)
    else:
        for index, child in enumerate(value):
            own = child.get("id") if isinstance(child, dict) else None
            yield child, (*place, own if isinstance(own, str) and own else number(index))


def _inspect_text(text: str, place: Place) -> None:
    if not text.isascii():
        try:
            text.encode("utf-8")
        except UnicodeEncodeError:
            raise DocumentError(place, "half a character (a lone surrogate) cannot be written to a file") from None
