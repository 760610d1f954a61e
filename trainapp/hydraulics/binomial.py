"""Peak flow of fixtures that run by chance: the 99th percentile of a sum of binomials, by three formulas.

mu = sum n p q, var = sum n p (1-p) q^2, P0 = product (1-p)^n, H = sum n p. Wistort: mu + z sqrt(var). Modified Wistort, given that
something runs: [mu + z sqrt((1-P0) var - P0 mu^2)]/(1-P0). Enumeration: the percentile of the exact distribution, given that something
runs. H chooses: Wistort from 5, modified from 1.25, enumeration below (thresholds from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

#: The share of time that the peak covers, and the standard normal quantile of it.
COVERED = 0.99
Z = 2.3263479

#: Published flows are whole tenths, so the exact distribution lives on this grid.
_GRID = 0.1


class Group(NamedTuple):
    """Fixtures of one kind: how many, the chance that one runs, and its flow in any unit with one decimal."""

    number: int
    chance: float
    flow: float


@dataclass(frozen=True, slots=True)
class Busy:
    """What a set of groups comes to; flows in the groups' unit.

    Attributes:
        expected: H, fixtures running on average.
        mean, variance: of the flow.
        idle: P0, the chance that nothing runs.
    """

    expected: float
    mean: float
    variance: float
    idle: float

    @classmethod
    def of(cls, groups: Sequence[Group]) -> Busy:
        """Sum the groups."""
        return cls(
            sum(n * p for n, p, _ in groups),
            sum(n * p * q for n, p, q in groups),
            sum(n * p * (1.0 - p) * q * q for n, p, q in groups),
            math.prod((1.0 - p) ** n for n, p, _ in groups),
        )

    def wistort(self) -> float:
        """The normal approximation."""
        return self.mean + Z * math.sqrt(self.variance)

    def modified(self) -> float:
        """The normal approximation given that something runs; where P0 leaves it no variance, the mean alone."""
        spread = (1.0 - self.idle) * self.variance - self.idle * self.mean**2
        return (self.mean + Z * math.sqrt(max(spread, 0.0))) / (1.0 - self.idle)


def distribution(groups: Sequence[Group]) -> NDArray[np.float64]:
    """Chance of each total flow 0, 0.1, 0.2 ... of the groups' unit."""
    total = np.ones(1)
    for n, p, q in groups:
        stride = round(q / _GRID)
        one = np.zeros(n * stride + 1)
        one[::stride] = [math.comb(n, k) * p**k * (1.0 - p) ** (n - k) for k in range(n + 1)]
        total = np.convolve(total, one)
    return total


def enumerated(groups: Sequence[Group], running: bool = True) -> float:
    """The least flow that the exact distribution stays within for 99 % of the time (`running`: of the time that anything runs)."""
    chances = distribution(groups)
    if running:
        chances[0] = 0.0
        chances /= chances.sum()
    reached = np.cumsum(chances) >= COVERED - 1e-12
    return float(np.argmax(reached)) * _GRID
