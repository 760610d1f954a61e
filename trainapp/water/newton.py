"""Newton's method on the logarithms of free ions, pH and ionic strength, for many waters at once.

The unknowns of every question are the three free metals and a *rest*: sulfate, carbonate, where it is open the proton, the amount that
dissolves, and the ionic strength. Metals bind only to what is in the rest, so that they are eliminated first and one by one.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from trainapp.water.thermodynamics import LN10, MASTERS, SPECIES, Array, debye_hueckel, functions, table

Question = Literal["ph", "carbon", "calcite", "dose"]

#: mol/L that stands for none at all where a logarithm needs something.
TRACE = 1e-25
#: What a mole of calcite brings: calcium, magnesium, sodium, carbon, alkalinity.
CALCITE_DOSE = (1.0, 0.0, 0.0, 1.0, 2.0)
#: Once no unknown moves by more than this (relative), Newton's next step is below 1e-12.
_SETTLED = 3e-7
_LONGEST_STEP = 2.0
_GRID = np.linspace(2.0, 13.0, 45)

# Balances, and at the same time what a water must hold of each.
_SULFATE, _CARBON, _ALKALINITY, _STRENGTH = 3, 4, 5, 6
_SATURATION = 7
# Logarithms: the proton, then the masters.
_PROTON, _METALS, _LOG_SULFATE, _LOG_CARBONATE = 0, slice(1, 4), 4, 5
_CALCITE_SLOPES = {_PROTON: 0.0, _LOG_SULFATE: 0.0, _LOG_CARBONATE: 1.0}


@cache
def balances() -> Array:
    """Weight of each species in calcium, magnesium, sodium, sulfate, carbon, alkalinity and (negative) ionic strength; (7, 21)."""
    t = table()
    alkalinity = 2.0 * t.parts[:, MASTERS.index("carbonate")] - t.protons
    return np.vstack([t.parts.T, alkalinity, -0.5 * t.charges**2])


@dataclass(slots=True)
class Totals:
    """What a water holds, mol/L (alkalinity eq/L), flat over the waters.

    Attributes:
        metals: calcium, magnesium, sodium, shape (3, waters).
        sulfate, carbon, alkalinity: totals; carbon is all dissolved inorganic carbon.
        others: cations and anions of one charge that bind to nothing here, added (potassium, chloride, nitrate).
        temperature: degC.
    """

    metals: Array
    sulfate: Array
    carbon: Array
    alkalinity: Array
    others: Array
    temperature: Array

    def take(self, which: slice | NDArray[np.intp]) -> Totals:
        """Some of the waters."""
        return Totals(*(getattr(self, f.name)[..., which] for f in fields(self)))


@cache
def _scales() -> Array:
    """As :func:`balances`, but alkalinity split into what is not carbonate (in the place of carbon) and what is."""
    rows = balances().copy()
    carbonic = table().parts[:, MASTERS.index("carbonate")] > 0.0
    rows[_CARBON] = np.where(carbonic, 0.0, rows[_ALKALINITY])
    rows[_ALKALINITY] = np.where(carbonic, rows[_ALKALINITY], 0.0)
    rows[_STRENGTH] *= -1.0
    return rows


@dataclass(frozen=True, slots=True)
class _Plan:
    """How a question is answered.

    Attributes:
        rows: the balances beside the metals', each in the place of the unknown that it fixes; ionic strength last.
        logs: the open ones of proton, sulfate and carbonate.
        amount: whether an amount is open; its column stands between the logarithms and the ionic strength.
        slopes: gives from concentrations: the metals' diagonal (3), metals by logs, rows by metals, rows by logs.
    """

    rows: tuple[int, ...]
    logs: tuple[int, ...]
    amount: bool
    slopes: Array


_QUESTIONS: dict[Question, tuple[tuple[int, ...], tuple[int, ...], bool]] = {
    "ph": ((_SULFATE, _ALKALINITY, _STRENGTH), (_LOG_SULFATE, _LOG_CARBONATE), False),
    "carbon": ((_SULFATE, _CARBON, _ALKALINITY, _STRENGTH), (_LOG_SULFATE, _LOG_CARBONATE, _PROTON), False),
    "calcite": ((_SULFATE, _CARBON, _ALKALINITY, _SATURATION, _STRENGTH), (_LOG_SULFATE, _LOG_CARBONATE, _PROTON), True),
    "dose": ((_SULFATE, _CARBON, _ALKALINITY, _STRENGTH), (_LOG_SULFATE, _LOG_CARBONATE), True),
}


@cache
def _plan(question: Question) -> _Plan:
    rows, logs, amount = _QUESTIONS[question]
    t = table()
    powers = np.column_stack([t.protons, t.parts])
    weights = np.vstack([balances(), np.zeros(len(SPECIES))])
    slopes = [weights[i] * powers[:, 1 + i] for i in range(3)]
    slopes += [weights[i] * powers[:, j] for i in range(3) for j in logs]
    slopes += [weights[i] * powers[:, 1 + j] for i in rows for j in range(3)]
    slopes += [weights[i] * powers[:, j] for i in rows for j in logs]
    return _Plan(rows, logs, amount, np.array(slopes))


class Newton:
    """One batch of waters on its way to the answer of one question. Attributes are flat over the waters, in mol/L."""

    def __init__(self, question: Question, totals: Totals, dose: Array, start: Array | None) -> None:
        self.question, self.plan, t, n = question, _plan(question), table(), totals.temperature.size
        self._k, self._terms = t.sizes.size, t.terms
        self._log_k = t.log_k @ functions(totals.temperature)
        self._a, b = debye_hueckel(totals.temperature)
        # f = sqrt(I)/(1 + B a sqrt(I)); that of Davies has B a = 1.
        self._davies = int(np.flatnonzero(t.sizes == 0.0)[0])
        self._reach = t.sizes[:, None] * b
        self._reach[self._davies] = 1.0
        self._want = np.vstack([totals.metals, totals.sulfate, totals.carbon, totals.alkalinity, 0.5 * totals.others])
        np.maximum(self._want[: _CARBON + 1], TRACE, out=self._want[: _CARBON + 1])
        self._dose = np.array([*dose[:3], 0.0, *dose[3:], 0.0])
        # Terms of the table; `_slopes` are those of its first rows by the logarithm of the ionic strength.
        self._g, self._slopes = np.empty((self._terms.shape[1], n)), np.empty((self._k + 1, n))
        self._logs = self._g[self._k + 1 :]
        self._log_strength, self.amount = np.empty(n), np.zeros(n)
        self.species, self.strength = np.empty((len(SPECIES), n)), np.empty(n)
        self._begin(start)

    @property
    def log_proton(self) -> Array:
        return np.asarray(self._logs[_PROTON])

    @property
    def log_ratio(self) -> Array:
        return np.asarray(self._out[-1])

    def run(self, rounds: int) -> NDArray[np.bool_]:
        """Iterate until every water has settled; tells which have not after so many rounds."""
        moved = np.ones(self.amount.size)
        for _ in range(rounds):
            moved = self._step()
            self._evaluate()
            if not (moved > _SETTLED).any():
                break
        return np.asarray(moved > _SETTLED)

    # Start ------------------------------------------------------------------------------------------------------------------

    def _begin(self, start: Array | None) -> None:
        """A first guess: no pairs, ionic strength of the totals; the pH, where it is asked for, from a coarse table."""
        w, logs = self._want, self._logs
        ions = 2.0 * (w[0] + w[1] + w[3]) + 0.5 * (w[2] + np.abs(w[_ALKALINITY])) + w[_STRENGTH] + 1e-9
        self._log_strength[:] = np.log(ions)
        constant = self._without_pairs(ions)
        logs[_PROTON] = self._first_proton(constant) if start is None else start
        proton = np.exp(logs[_PROTON])
        bicarbonate, dioxide = constant["bicarbonate"] * proton, constant["carbon_dioxide"] * proton**2
        logs[1:5] = np.log(0.85 * w[:4])
        if self.question == "ph":
            base = constant["hydroxide"] / proton - constant["hydrogen"] * proton
            carbonate = (w[_ALKALINITY] - base) / (2.0 + bicarbonate)
        else:
            carbonate = (w[_CARBON] + self._dose[_CARBON] * self.amount) / (1.0 + bicarbonate + dioxide)
        logs[_LOG_CARBONATE] = np.log(np.maximum(carbonate, TRACE))
        if self.question == "calcite":
            logs[1] = np.log(np.maximum(0.85 * (w[0] + self.amount), TRACE))
            self._log_strength[:] = np.log(np.maximum(ions + 3.0 * self.amount, 0.1 * ions))
        self._evaluate()
        if self.question == "ph":
            self._approach()

    def _approach(self) -> None:
        """Scale every free ion by what its balance lacks, once: cheaper than a step, and as good as one so far away."""
        held, want = _scales() @ self.species, self._want
        ratio = want[:_CARBON] / held[:_CARBON]
        lacking = want[_ALKALINITY] - held[_CARBON]
        self._logs[1:5] += np.log(ratio)
        self._logs[_LOG_CARBONATE] = np.where(
            lacking > TRACE, self._logs[_LOG_CARBONATE] + np.log(lacking / held[_ALKALINITY]), np.log(TRACE)
        )
        np.log(held[_STRENGTH] + want[_STRENGTH], out=self._log_strength)
        self._evaluate()

    def _without_pairs(self, ions: Array) -> dict[str, Array]:
        """Conditional constants at a rough ionic strength: the coefficient of Davies for charge 1, and 4 times its logarithm for 2."""
        root = np.sqrt(ions)
        gamma = -LN10 * self._a * (root / (1.0 + root) - 0.3 * ions)
        gains = {"hydroxide": -1.0, "bicarbonate": 3.0, "carbon_dioxide": 4.0}
        constant = {name: np.exp(self._log_k[SPECIES.index(name)] + gain * gamma) for name, gain in gains.items()}
        return constant | {"hydrogen": np.exp(-gamma), "calcite": np.exp(self._log_k[-1] + 8.0 * gamma)}

    def _first_proton(self, constant: dict[str, Array]) -> Array:
        """Logarithm of the proton where alkalinity is met, without ion pairs, from a table over pH; sets a first amount of calcite."""
        proton = 10.0 ** -_GRID[:, None]
        a1, a2 = constant["bicarbonate"] * proton, constant["carbon_dioxide"] * proton**2
        base = constant["hydroxide"] / proton - constant["hydrogen"] * proton
        carbon, share = self._want[_CARBON], 1.0 + a1 + a2
        if self.question == "calcite":
            carbon = _carbon_at_saturation(self._want[0], carbon, share / constant["calcite"])
        amount = carbon - self._want[_CARBON]
        off = carbon * (2.0 + a1) / share + base - self._want[_ALKALINITY] - 2.0 * amount
        above = np.clip((off < 0.0).sum(axis=0), 1, _GRID.size - 1)
        columns = np.arange(above.size)
        low, high = off[above - 1, columns], off[above, columns]
        part = np.clip(low / (low - high), 0.0, 1.0)
        if self.question == "calcite":
            self.amount = (1.0 - part) * amount[above - 1, columns] + part * amount[above, columns]
        return np.asarray(-LN10 * (_GRID[above - 1] + part * (_GRID[1] - _GRID[0])))

    # One round --------------------------------------------------------------------------------------------------------------

    def _evaluate(self) -> None:
        """Concentrations and saturation at the unknowns as they stand."""
        g, k, slope = self._g, self._k, self._slopes
        np.exp(self._log_strength, out=self.strength)
        root = np.sqrt(self.strength)
        below = self._reach * root
        below += 1.0
        f = np.divide(root, below, out=g[:k])
        np.divide(f, below, out=slope[:k])
        slope[:k] *= 0.5
        f[self._davies] -= 0.3 * self.strength
        slope[self._davies] -= 0.3 * self.strength
        f *= self._a
        slope[:k] *= self._a
        g[k] = slope[k] = self.strength
        self._out = self._terms @ g
        self._out += self._log_k
        np.exp(self._out[:-1], out=self.species)

    def _step(self) -> Array:
        """Move every unknown once; the largest move of each water, relative."""
        plan = self.plan
        diagonal, of_metals, of_rest, by_metals = self._system()
        of_metals /= diagonal[:, None]
        for k in range(3):
            of_rest -= by_metals[:, k, None] * of_metals[k]
        moves = np.empty((3 + len(plan.rows), self.amount.size))
        rest = eliminate(of_rest, moves[3:])
        np.subtract(of_metals[:, -1], np.einsum("mcn,cn->mn", of_metals[:, :-1], rest), out=moves[:3])
        if plan.amount:
            scale = np.abs(self._want[_CARBON]) + np.abs(self._want[_ALKALINITY]) + np.abs(self.amount)
            rest[-2] /= scale
        largest = np.abs(moves).max(axis=0)
        if (largest > _LONGEST_STEP).any():
            moves *= np.minimum(1.0, _LONGEST_STEP / largest)
        if plan.amount:
            self.amount = self.amount + rest[-2] * scale
        self._logs[_METALS] += moves[:3]
        for column, log in enumerate(plan.logs):
            self._logs[log] += moves[3 + column]
        self._log_strength += moves[-1]
        return np.asarray(largest)

    def _system(self) -> tuple[Array, Array, Array, Array]:
        """Linear equations of a step: the metals' diagonal, the metals' and the rest's rows by [logs, amount, strength | off], the rest's
        rows by the metals."""
        plan, n, logs, rows = self.plan, self.amount.size, len(self.plan.logs), len(self.plan.rows)
        slopes, held = plan.slopes @ self.species, balances() @ self.species
        log_slopes = self._terms[:, : self._k + 1] @ self._slopes
        by_strength = balances() @ np.multiply(log_slopes[:-1], self.species)
        by_strength[_STRENGTH] += self.strength
        off = np.subtract(self._want, held, out=held)
        off[_STRENGTH] -= self.strength
        if plan.amount:
            off += self._dose[:, None] * self.amount
        ends = 3, 3 + 3 * logs, 3 + 3 * logs + 3 * rows
        of_metals, of_rest = np.empty((3, rows + 1, n)), np.empty((rows, rows + 1, n))
        of_metals[:, :logs], of_rest[:, :logs] = slopes[3 : ends[1]].reshape(3, logs, n), slopes[ends[2] :].reshape(rows, logs, n)
        by_metals = slopes[ends[1] : ends[2]].reshape(rows, 3, n)
        if plan.amount:
            of_metals[:, logs] = -self._dose[:3, None]
        of_metals[:, -2], of_metals[:, -1] = by_strength[:3], off[:3]
        for i, balance in enumerate(plan.rows):
            if balance == _SATURATION:
                self._saturation(i, log_slopes[-1], of_rest, by_metals)
                continue
            if plan.amount:
                of_rest[i, logs] = -self._dose[balance]
            of_rest[i, -2], of_rest[i, -1] = by_strength[balance], off[balance]
        if self.question == "ph":
            self._without_carbonate(off[_ALKALINITY], of_rest, by_metals)
        return slopes[:3], of_metals, of_rest, by_metals

    def _saturation(self, row: int, by_strength: Array, of_rest: Array, by_metals: Array) -> None:
        """The row that asks for saturation with calcite."""
        by_metals[row], of_rest[row] = 0.0, 0.0
        by_metals[row, 0] = 1.0
        for column, log in enumerate(self.plan.logs):
            of_rest[row, column] = _CALCITE_SLOPES[log]
        of_rest[row, -2], of_rest[row, -1] = by_strength, -self.log_ratio

    def _without_carbonate(self, off: Array, of_rest: Array, by_metals: Array) -> None:
        """Where hydroxide alone makes more than the alkalinity there is no carbonate to find: keep it at a trace."""
        dry = (off < 0.0) & (self._logs[_LOG_CARBONATE] < np.log(2.0 * TRACE))
        if dry.any():
            row, column = self.plan.rows.index(_ALKALINITY), self.plan.logs.index(_LOG_CARBONATE)
            by_metals[row][:, dry], of_rest[row][:, dry] = 0.0, 0.0
            of_rest[row, column, dry] = 1.0


def _carbon_at_saturation(calcium: Array, carbon: Array, product: Array) -> Array:
    """Root of u (u + calcium - carbon) = product: inorganic carbon after calcite has dissolved to saturation."""
    lead = calcium - carbon
    root = np.sqrt(lead * lead + 4.0 * product)
    return np.where(lead > 0.0, 2.0 * product / (np.abs(lead) + root), (root - lead) / 2.0)


def eliminate(system: Array, answer: Array) -> Array:
    """Solve linear equations by elimination in the given order.

    Args:
        system: (n, n + 1, waters), right side last; overwritten.
        answer: (n, waters), written and returned.
    """
    n = system.shape[0]
    for k in range(n - 1):
        factor = system[k + 1 :, k] / system[k, k]
        system[k + 1 :, k + 1 :] -= factor[:, None] * system[k, None, k + 1 :]
    for k in range(n - 1, -1, -1):
        right = system[k, n]
        for j in range(k + 1, n):
            right -= system[k, j] * answer[j]
        np.divide(right, system[k, k], out=answer[k])
    return answer
