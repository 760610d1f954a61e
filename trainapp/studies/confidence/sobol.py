"""Sobol points, scrambled: numbers that fill the unit cube more evenly than chance does, the same for the same seed.

Direction numbers are those of Joe and Kuo (2008), the scrambling is Matousek's (1998): a random lower triangular matrix over each
dimension's bits, then a random digital shift.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from trainapp.data import load_toml
from trainapp.stages.working import Array

BITS = 32
Bits = NDArray[np.uint64]


@cache
def most_dimensions() -> int:
    """How many dimensions there are numbers for."""
    return 1 + len(load_toml("options/sobol.toml")["rows"])


def points(count: int, dimensions: int, seed: int | None = None, start: int = 0) -> Array:
    """Points `start` to `start + count` of the sequence, shape (count, dimensions), each number in [0, 1).

    Args:
        seed: of the scrambling; None for the plain sequence, whose first point is the origin.

    Raises:
        ValueError: more dimensions, or points, than the sequence has.
    """
    if not 1 <= dimensions <= most_dimensions():
        raise ValueError(f"Sobol points have 1 to {most_dimensions()} dimensions here, not {dimensions}")
    if count < 0 or start + count > 1 << BITS:
        raise ValueError("more points than the sequence has")
    columns, shift = _columns(dimensions, seed)
    which = np.arange(start, start + count, dtype=np.uint64)
    gray = which ^ (which >> np.uint64(1))
    numbers = np.broadcast_to(shift, (count, dimensions)).copy()
    for bit in range(int(start + count).bit_length()):
        on = ((gray >> np.uint64(bit)) & np.uint64(1)).astype(bool)
        numbers[on] ^= columns[bit]
    # a scrambled number stands in the middle of its last digit: none is 0, which no normal number answers to
    half = 0.5 if seed is not None else 0.0
    return np.asarray((numbers.astype(np.float64) + half) / float(1 << BITS))


@cache
def _columns(dimensions: int, seed: int | None) -> tuple[Bits, Bits]:
    """Direction numbers by bit, shape (bits, dimensions), and the shift, shape (dimensions,)."""
    plain = np.stack([_direction(dimension) for dimension in range(dimensions)], axis=1)
    if seed is None:
        return plain, np.zeros(dimensions, dtype=np.uint64)
    dice = np.random.default_rng(seed)
    scrambled = np.stack([_scrambled(plain[:, d], dice) for d in range(dimensions)], axis=1)
    return scrambled, dice.integers(0, 1 << BITS, dimensions, dtype=np.uint64)


def _direction(dimension: int) -> Bits:
    """Direction numbers of one dimension, the highest bit leading."""
    if dimension == 0:
        return np.array([1 << (BITS - 1 - i) for i in range(BITS)], dtype=np.uint64)
    polynomial, *first = load_toml("options/sobol.toml")["rows"][dimension - 1]
    degree = int(polynomial).bit_length() - 1
    numbers = list(first)
    for i in range(degree, BITS):
        new = numbers[i - degree] ^ (numbers[i - degree] << degree)
        for k in range(1, degree):
            if (polynomial >> (degree - k)) & 1:
                new ^= numbers[i - k] << k
        numbers.append(new)
    return np.array([number << (BITS - 1 - i) for i, number in enumerate(numbers)], dtype=np.uint64)


def _scrambled(numbers: Bits, dice: np.random.Generator) -> Bits:
    """Direction numbers under a random lower triangular matrix with ones on its diagonal."""
    matrix = np.tril(dice.integers(0, 2, (BITS, BITS)), -1) | np.eye(BITS, dtype=np.int64)
    shifts = np.arange(BITS - 1, -1, -1, dtype=np.uint64)
    digits = ((numbers[:, None] >> shifts) & np.uint64(1)).astype(np.int64)
    mixed = (digits @ matrix.T) & 1
    return np.asarray((mixed.astype(np.uint64) << shifts).sum(axis=1, dtype=np.uint64))
