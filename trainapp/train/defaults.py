"""What a document may leave out: the defaults of resources/train/defaults.toml, each with its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

from trainapp.data import load_toml


@dataclass(frozen=True, slots=True)
class Default:
    """One default.

    Attributes:
        section, key: what it stands for ("supply", "lift").
        value: as a document would write it.
        when: facts under which it holds, such as {"kind": "mains"}; words joined by | are alternatives.
        meaning: one phrase.
        source, status: where it comes from.
    """

    section: str
    key: str
    value: Any
    when: Mapping[str, str]
    meaning: str
    source: str
    status: str


@cache
def all_defaults() -> tuple[Default, ...]:
    """Every default, in the order of the file; of several for one key the first whose facts hold counts."""
    rows = load_toml("train/defaults.toml")["default"]
    return tuple(
        Default(r["section"], r["key"], r["value"], MappingProxyType(r.get("when", {})), r["meaning"], r["source"], r["status"])
        for r in rows
    )


@cache
def _by_key() -> Mapping[tuple[str, str], tuple[Default, ...]]:
    table: dict[tuple[str, str], tuple[Default, ...]] = {}
    for row in all_defaults():
        table[row.section, row.key] = (*table.get((row.section, row.key), ()), row)
    return table


def default(section: str, key: str, facts: Mapping[str, str]) -> Default | None:
    """The default of a key under these facts, None where there is none."""
    for row in _by_key().get((section, key), ()):
        if all(facts.get(name) in words.split("|") for name, words in row.when.items()):
            return row
    return None
