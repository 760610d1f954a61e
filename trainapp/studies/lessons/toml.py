"""TOML beside what the standard library has: where in a text a key stands, and a plain tree back to text."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from typing import Any

from trainapp.train.errors import Place, number

_TABLE = re.compile(r"^\s*(\[\[?)\s*(.+?)\s*\]\]?\s*(#.*)?$")
_KEY = re.compile(r"""^\s*((?:"(?:[^"\\]|\\.)*"|'[^']*'|[A-Za-z0-9_-]+)(?:\s*\.\s*(?:"(?:[^"\\]|\\.)*"|'[^']*'|[A-Za-z0-9_-]+))*)\s*=""")
_STEP = re.compile(r"""("(?:[^"\\]|\\.)*"|'[^']*'|[A-Za-z0-9_-]+)""")
_BARE = re.compile(r"^[A-Za-z0-9_-]+$")


def line_of(text: str, place: Place) -> int | None:
    """The line, counted from 1, that comes nearest to a place (list members as "#2"); None where nothing of it is found."""
    best, line = 0, None
    table: Place = ()
    counts: dict[Place, int] = {}
    inside = ""
    for i, row in enumerate(text.splitlines(), 1):
        if inside:
            inside = "" if row.count(inside) % 2 else inside
            continue
        if found := _TABLE.match(row):
            table = _counted(_steps(found[2]), counts, found[1] == "[[")
            at: Place = table
        elif found := _KEY.match(row):
            at = (*table, *_steps(found[1]))
            inside = next((mark for mark in ('"""', "'''") if row.count(mark) % 2), "")
        else:
            continue
        if len(at) > best and tuple(place[: len(at)]) == at:
            best, line = len(at), i
    return line


def _steps(text: str) -> list[str]:
    return [step[1:-1] if step[:1] in "\"'" else step for step in _STEP.findall(text)]


def _counted(steps: list[str], counts: dict[Place, int], is_list: bool) -> Place:
    """A table's place with the number of each list member that it lies in."""
    at: Place = ()
    for i, step in enumerate(steps):
        at = (*at, step)
        if is_list and i == len(steps) - 1:
            counts[at] = counts.get(at, 0) + 1
        if at in counts:
            at = (*at, number(counts[at] - 1))
    return at


def written(tree: Mapping[str, Any]) -> str:
    """The text of a plain tree: values first, then tables, then lists of tables; None is left out.

    Raises:
        TypeError: something that TOML has no form for.
    """
    return "\n".join(_lines(tree, ())).strip() + "\n"


def _lines(tree: Mapping[str, Any], at: tuple[str, ...]) -> list[str]:
    plain = {key: value for key, value in tree.items() if value is not None and not _is_table(value)}
    lines = [f"{_key(key)} = {_value(value, is_top=True)}" for key, value in plain.items()]
    for key, value in tree.items():
        if not _is_table(value):
            continue
        head = ".".join(_key(step) for step in (*at, key))
        for part in value if isinstance(value, list) else [value]:
            below = _lines(part, (*at, key))
            lines += ["", f"[[{head}]]" if isinstance(value, list) else f"[{head}]", *below]
    return lines


def _is_table(value: object) -> bool:
    """Whether a value gets a head of its own: an object, or a list of nothing but objects that hold something."""
    if isinstance(value, Mapping):
        return True
    return isinstance(value, list) and bool(value) and all(isinstance(part, Mapping) for part in value)


def _key(key: str) -> str:
    return key if _BARE.match(key) else _text(key)


def _value(value: Any, is_top: bool = False) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _long(value) if is_top and "\n" in value else _text(value)
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items() if v is not None) + "}"
    if isinstance(value, Sequence):
        return "[" + ", ".join(_value(part) for part in value) + "]"
    raise TypeError(f"a {type(value).__name__} has no place in a lesson")


def _text(text: str) -> str:
    # JSON's escapes are TOML's, but for DEL, which TOML wants escaped and JSON leaves
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _long(text: str) -> str:
    """Several lines as several lines: a document as it is, prose with what must be escaped."""
    plain = all(c == "\n" or c.isprintable() for c in text)
    if plain and "'''" not in text and not text.endswith("'"):
        return f"'''\n{text}'''"
    return '"""\n' + "\n".join(_text(line)[1:-1] for line in text.split("\n")) + '"""'
