"""Which rows of figures no other row beats: less is better in every column."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Rows = NDArray[Any]
_BLOCK = 256


def thinned(rows: Rows, champions: int = 48) -> NDArray[np.bool_]:
    """Which rows are left when those beaten by a few good ones are gone; never drops one that nothing beats.

    A row is beaten by another that is nowhere greater and somewhere less. Of rows that are alike none beats the other.
    """
    keep = np.ones(len(rows), dtype=bool)
    if len(rows) < 2:
        return keep
    spread = rows.max(axis=0) - rows.min(axis=0)
    scaled = (rows - rows.min(axis=0)) / np.where(spread > 0, spread, 1.0)
    weights = np.random.default_rng(20).dirichlet(np.full(rows.shape[1], 0.5), champions)
    for champion in dict.fromkeys((scaled @ weights.T).argmin(axis=0).tolist()):
        if keep[champion]:
            keep &= ~beaten_by(rows, rows[champion])
    return keep


def beaten_by(rows: Rows, row: Rows) -> NDArray[np.bool_]:
    """Which rows one row beats."""
    return np.asarray((rows >= row).all(axis=1) & (rows > row).any(axis=1))


def front(rows: Rows) -> NDArray[np.intp]:
    """Indices of the rows that no other beats, ascending; of rows that are alike the first."""
    if not len(rows):
        return np.zeros(0, dtype=np.intp)
    left = np.flatnonzero(thinned(rows))
    _, first = np.unique(rows[left], axis=0, return_index=True)
    left = left[np.sort(first)]
    # in the order of their sums a row is only ever beaten by one before it
    order = left[np.argsort(_sums(rows[left]), kind="stable")]
    kept: list[Rows] = []
    found: list[int] = []
    for start in range(0, len(order), _BLOCK):
        block = order[start : start + _BLOCK]
        part = rows[block]
        alive = ~_beaten(part, np.concatenate(kept)) if kept else np.ones(len(part), dtype=bool)
        block, part = block[alive], part[alive]
        alive = ~_beaten(part, part)
        kept.append(part[alive])
        found += block[alive].tolist()
    return np.array(sorted(found), dtype=np.intp)


def _sums(rows: Rows) -> Rows:
    """Sums of ranks in each column: a row that beats another has the lesser sum."""
    ranks = np.empty(rows.shape, dtype=np.int64)
    for column in range(rows.shape[1]):
        ranks[:, column] = np.unique(rows[:, column], return_inverse=True)[1]
    return np.asarray(ranks.sum(axis=1))


def _beaten(rows: Rows, others: Rows) -> NDArray[np.bool_]:
    """Which rows any of the others beats."""
    nowhere = (others[None, :, 0] <= rows[:, None, 0]).copy()
    some = others[None, :, 0] < rows[:, None, 0]
    for column in range(1, rows.shape[1]):
        a, b = others[None, :, column], rows[:, None, column]
        nowhere &= a <= b
        some |= a < b
    return np.asarray((nowhere & some).any(axis=1))
