"""What options are compared by: resources/options/criteria.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from trainapp import units
from trainapp.data import load_toml
from trainapp.stages.working import Array


@dataclass(frozen=True, slots=True)
class Criterion:
    """One thing that options are compared by.

    Attributes:
        key, label, name: in code, in words, and what the option that is best by it is called.
        more: whether more of it is better. dimension: of its values; "money" in the currency of the price list.
        step: differences of less are none. least, share: what makes a column of its own: an amount, or a share.
    """

    key: str
    label: str
    name: str
    more: bool
    dimension: str
    step: float
    least: float
    share: float


@cache
def criteria() -> tuple[Criterion, ...]:
    """All of them, in the order in which they are named."""
    return tuple(_criterion(row) for row in load_toml("options/criteria.toml")["criterion"])


@dataclass(frozen=True, slots=True)
class PickRules:
    """How options are picked: whose best is looked at first, how many there are, and how many times the least cost to own is too dear."""

    order: tuple[str, ...]
    least: int
    most: int
    dearest: float


@cache
def pick_rules() -> PickRules:
    """The rules of picking."""
    row = load_toml("options/criteria.toml")["picks"]
    return PickRules(tuple(row["order"]), int(row["least"]), int(row["most"]), float(row["dearest"]))


def criterion(key: str) -> Criterion:
    """One of them."""
    return criteria()[index_of(key)]


def index_of(key: str) -> int:
    """Place of a criterion in every row of values."""
    return next(i for i, criterion in enumerate(criteria()) if criterion.key == key)


def _criterion(row: Mapping[str, Any]) -> Criterion:
    dimension = row["dimension"]

    def amount(value: Any) -> float:
        return units.parse(value, dimension) if isinstance(value, str) else float(value)

    return Criterion(
        row["key"], row["label"], row["name"], row["better"] == "more", dimension, amount(row["step"]), amount(row.get("least", 0)),
        float(row.get("share", 0.0)),
    )  # fmt: skip


def steps_of(values: Array) -> NDArray[np.int64]:
    """Values (trains, criteria) in whole steps, turned so that less is better everywhere."""
    table = criteria()
    sign = np.array([-1.0 if criterion.more else 1.0 for criterion in table])
    step = np.array([criterion.step for criterion in table])
    return np.asarray(np.rint(sign * values / step), dtype=np.int64)
