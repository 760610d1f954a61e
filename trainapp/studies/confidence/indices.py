"""Which of several uncertain things makes a result vary: variance-based indices, after Saltelli et al. (2010)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from trainapp.stages.working import Array
from trainapp.studies.confidence.sobol import points

#: From numbers between 0 and 1, shape (draws, things), to results, shape (draws, results).
Model = Callable[[Array], Array]


@dataclass(frozen=True, slots=True)
class Indices:
    """Shares of the variance of each result.

    Attributes:
        first: by each thing alone. total: by each with all that it does together with others. Both of shape (things, results), NaN where
            a result does not vary.
        variance, mean: of each result, shape (results,).
    """

    first: Array
    total: Array
    variance: Array
    mean: Array


def indices(model: Model, things: int, draws: int, seed: int) -> Indices:
    """Indices from (things + 2) · draws runs of a model.

    A and B are the two halves of one set of points in twice as many dimensions; A_i is A with column i of B. First order is
    mean((f_B − f₀) (f_Ai − f_A))/Var, total is mean((f_A − f_Ai)²)/(2 Var), the estimator of Jansen.
    """
    both = points(draws, 2 * things, seed)
    a, b = both[:, :things], both[:, things:]
    at_a, at_b = model(a), model(b)
    together = np.concatenate([at_a, at_b])
    mean, variance = together.mean(axis=0), together.var(axis=0)
    first, total = (np.full((things, at_a.shape[1]), np.nan) for _ in range(2))
    varies = variance > 0.0
    for i in range(things if varies.any() else 0):
        mixed = a.copy()
        mixed[:, i] = b[:, i]
        change = model(mixed) - at_a
        first[i, varies] = np.mean((at_b - mean) * change, axis=0)[varies] / variance[varies]
        total[i, varies] = np.mean(change**2, axis=0)[varies] / (2.0 * variance[varies])
    return Indices(first, total, variance, mean)
