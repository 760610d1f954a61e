"""Who is bound to whom: free ions, ion pairs and carbonate species of many waters at once.

Four questions share one iteration (:mod:`trainapp.water.newton`): the water of a given pH (how much inorganic carbon?), of given inorganic
carbon (which pH?), in equilibrium with calcite (how much dissolves?), and brought to a pH by a reagent (how much of it?). Alkalinity is
what the species here consume down to the carbonic acid end point; phosphate, silica and ammonia are left out of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trainapp.water.newton import CALCITE_DOSE, Newton, Question, Totals, balances
from trainapp.water.thermodynamics import LN10, SPECIES, Array

# Small enough for the matrices to stay in cache, and to be multiplied by one thread.
_CHUNK = 512
_ROUNDS, _MOST_ROUNDS = 8, 80


@dataclass(slots=True)
class Solved:
    """A solved water; mol/L, flat over the waters.

    Attributes:
        species: concentrations in the order of SPECIES, shape (21, waters).
        log_proton: natural logarithm of the proton's activity.
        log_ratio: natural logarithm of the saturation ratio of calcite.
        ionic_strength: of all ions.
        amount: of the calcite or reagent that dissolved (negative where it falls out), 0 where none was asked for.
    """

    species: Array
    log_proton: Array
    log_ratio: Array
    ionic_strength: Array
    amount: Array

    @property
    def carbon(self) -> Array:
        """Inorganic carbon, summed over the species."""
        return np.asarray(balances()[4] @ self.species)

    @property
    def alkalinity(self) -> Array:
        """Alkalinity, summed over the species, eq/L."""
        return np.asarray(balances()[5] @ self.species)


def solve(question: Question, totals: Totals, ph: Array | None = None, dose: Sequence[float] = CALCITE_DOSE) -> Solved:
    """Answer a question for every water.

    Args:
        question: "ph" and "dose" want `ph`; "ph" does not read the totals' carbon.
        totals: what the waters hold.
        ph: flat over the waters.
        dose: what one mole of the reagent brings, mol of calcium, magnesium, sodium, carbon and eq of alkalinity.

    Returns:
        NaN where a total is NaN, or where no amount of the reagent leads to that pH.
    """
    n = totals.temperature.size
    out = Solved(np.empty((len(SPECIES), n)), *(np.empty(n) for _ in range(4)))
    start = None if ph is None else -LN10 * ph
    with np.errstate(all="ignore"):
        for first in range(0, n, _CHUNK):
            part = slice(first, min(first + _CHUNK, n))
            moving = _run(question, totals, part, start, dose, out, _ROUNDS)
            if moving.any():
                # the few that need longer go on by themselves
                late = np.flatnonzero(moving) + first
                failed = late[_run(question, totals, late, start, dose, out, _MOST_ROUNDS)]
                for array in (out.log_proton, out.log_ratio, out.ionic_strength, out.amount, out.species):
                    array[..., failed] = np.nan
    return out


def _run(
    question: Question,
    totals: Totals,
    which: slice | NDArray[np.intp],
    start: Array | None,
    dose: Sequence[float],
    out: Solved,
    rounds: int,
) -> NDArray[np.bool_]:
    """Iterate some waters, write them to `out`, tell which were still moving."""
    batch = Newton(question, totals.take(which), np.asarray(dose), None if start is None else start[which])
    moving = batch.run(rounds)
    out.species[:, which], out.log_proton[which], out.log_ratio[which] = batch.species, batch.log_proton, batch.log_ratio
    out.ionic_strength[which], out.amount[which] = batch.strength, batch.amount
    return moving
