"""Trains in the making: tables of which choices were made so far, and what they add up to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trainapp.stages.working import Array
from trainapp.studies.options.front import thinned

#: Columns of sums. Money is in whole units of its last decimal; floor is m with a gap for each body; clean and dirty are Pa at the peak,
#: the four behind them the same as a and b of a Q + b Q².
COLUMNS = (
    "buy", "own", "chores", "drain", "salt", "cautions", "unfit", "floor", "clean", "dirty", "clean_a", "clean_b", "dirty_a", "dirty_b",
)  # fmt: skip
INDEX = {name: i for i, name in enumerate(COLUMNS)}
#: Columns that only tell trains apart that stand up, not whether one does.
_MERITS = ("buy", "own", "chores", "drain", "salt", "cautions")
#: A table with more rows is thinned.
_MANY = 200


@dataclass(frozen=True, slots=True)
class Labels:
    """Rows of trains in the making that all bring the same water.

    Attributes:
        chosen: index of the choice made at each place so far, shape (rows, places so far).
        sums: shape (rows, :data:`COLUMNS`).
        held: least flow that a control ahead may let through, m3/s, infinite without one; shape (rows,).
    """

    chosen: NDArray[np.int16]
    sums: Array
    held: Array

    @classmethod
    def start(cls, sums: Array) -> Labels:
        """One train without a choice made."""
        return cls(np.zeros((1, 0), dtype=np.int16), sums[None, :].copy(), np.full(1, np.inf))

    def __len__(self) -> int:
        return len(self.sums)

    def column(self, name: str) -> Array:
        """One column of sums."""
        return np.asarray(self.sums[:, INDEX[name]])

    def where(self, mask: NDArray[np.bool_]) -> Labels:
        """Some of the rows."""
        return self if mask.all() else Labels(self.chosen[mask], self.sums[mask], self.held[mask])

    def extended(self, choice: int, added: Array, held: float) -> Labels:
        """The rows with one more choice made."""
        chosen = np.concatenate([self.chosen, np.full((len(self), 1), choice, dtype=np.int16)], axis=1)
        return Labels(chosen, self.sums + added, np.minimum(self.held, held))

    def thinned(self, mere: bool = False) -> Labels:
        """Without rows that another beats in all that can still matter: it does as well behind whatever follows.

        Args:
            mere: it only matters whether any train stands up, not what it costs.
        """
        if len(self) <= (_MANY // 10 if mere else _MANY):
            return self
        drop = [INDEX[name] for name in ("clean", "dirty", *(_MERITS if mere else ()))]
        rows = np.concatenate([np.delete(self.sums, drop, axis=1), self.held[:, None]], axis=1)
        return self.where(thinned(np.where(np.isinf(rows), 1e30, rows)))


def joined(parts: Iterable[Labels]) -> Labels:
    """Several tables as one."""
    listed = list(parts)
    if len(listed) == 1:
        return listed[0]
    return Labels(*(np.concatenate([getattr(part, name) for part in listed]) for name in ("chosen", "sums", "held")))


def promising(rows: dict[int, Labels], most: int) -> list[int]:
    """Waters that a search follows that does not follow all: by turns one that is good and one that is cheap."""
    filled = [water for water in rows if len(rows[water])]

    def ranked(by: str) -> list[int]:
        # how little of the equipment ahead is unfit comes first
        return sorted(filled, key=lambda water: (float(rows[water].column("unfit").min()), float(rows[water].column(by).min())))

    good, cheap = ranked("dirty"), ranked("buy")
    return list(dict.fromkeys(water for pair in zip(good, cheap, strict=True) for water in pair))[:most]
