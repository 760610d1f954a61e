"""The numbers of judgement that are neither a stage's limit nor a limit of drinking water: resources/limits/_policy.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from trainapp import data, units


@dataclass(frozen=True, slots=True)
class Rule:
    """One number that is judged by, in internal units, with its meaning, its source and how sure that is."""

    key: str
    value: float
    dimension: str
    meaning: str
    source: str
    status: str


@cache
def rules() -> Mapping[str, Rule]:
    """Every rule by key."""
    table = {}
    for row in data.load_toml("limits/_policy.toml")["rule"]:
        dimension = row.get("dimension", "none")
        value = units.parse(row["value"], dimension) if isinstance(row["value"], str) else float(row["value"])
        table[row["key"]] = Rule(row["key"], value, dimension, row["meaning"], row["source"], row["status"])
    return table


def rule(key: str) -> Rule:
    """The rule of that key.

    Raises:
        KeyError: there is no such rule.
    """
    return rules()[key]


def amount(key: str) -> float:
    """Its number, in internal units."""
    return rules()[key].value
