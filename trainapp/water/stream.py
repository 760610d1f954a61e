"""The water that flows: every row of it, for both readings of the sample, at every flow, for one water or a million."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trainapp.water import blocks
from trainapp.water.analytes import PARTICLE_ROWS, ROW_INDEX, ROWS

Array = NDArray[np.float64]

#: The first axis of a row: the favourable and the adverse reading of the sample's intervals and assumptions.
FAVOURABLE, ADVERSE = 0, 1

_PARTICLES = slice(ROW_INDEX[PARTICLE_ROWS[0]], ROW_INDEX[PARTICLE_ROWS[-1]] + 1)
_BELOW_5UM = slice(ROW_INDEX["colloid"], ROW_INDEX["class_2"] + 1)
_SUMS = {"iron": ("iron_dissolved", "iron_particulate"), "manganese": ("manganese_dissolved", "manganese_particulate")}
_KNOWN_BY = {"iron": "iron_particulate", "manganese": "manganese_particulate", "turbidity": "colloid",
             "turbidity_filtered_5um": "colloid", "uvt": "absorbance", "uvt_filtered": "absorbance"}  # fmt: skip


def zero_where_unknown(values: Array) -> Array:
    """The same with nothing where nothing is known, for what counts only as far as it was measured."""
    return np.where(np.isnan(values), 0.0, values)


@dataclass(slots=True)
class Stream:
    """Water at one point of the train.

    A *reading* is one coherent way to read the sample: index 0 takes every interval, missing split and unproven credit at its
    favourable end, index 1 at its adverse end. The two ends of any analyte at this point are the least and greatest of the two.

    Attributes:
        values: float64 of shape (rows, 2 readings, flows, waters), each row in the JSON unit of its analyte. NaN is unknown.
        known: bool of shape (rows, waters): False where the value is an assumption and must be reported as unknown.
    """

    values: Array
    known: NDArray[np.bool_]

    @classmethod
    def unknown(cls, flows: int, waters: int) -> Stream:
        """A stream of which nothing is known."""
        return cls(np.full((len(ROWS), 2, flows, waters), np.nan), np.zeros((len(ROWS), waters), dtype=bool))

    @property
    def flows(self) -> int:
        return int(self.values.shape[2])

    @property
    def waters(self) -> int:
        return int(self.values.shape[3])

    def copy(self) -> Stream:
        return Stream(blocks.copy(self.values), self.known.copy())

    def part(self, waters: slice) -> Stream:
        """A view of some of the waters."""
        return Stream(self.values[..., waters], self.known[:, waters])

    def row(self, name: str) -> Array:
        """A view of one carried row, shape (2, flows, waters)."""
        view: Array = self.values[ROW_INDEX[name]]
        return view

    @property
    def particles(self) -> Array:
        """A view of turbidity by class, shape (7, 2, flows, waters): colloid, then finest to coarsest; NTU."""
        view: Array = self.values[_PARTICLES]
        return view

    def get(self, name: str) -> Array:
        """A row or a derived analyte (iron, manganese, turbidity, turbidity_filtered_5um, uvt, uvt_filtered), shape (2, flows, waters)."""
        if name in ROW_INDEX:
            return self.row(name)
        if name in _SUMS:
            dissolved, particulate = _SUMS[name]
            return self.row(dissolved) + self.row(particulate)
        if name == "turbidity":
            return np.asarray(self.particles.sum(axis=0))
        if name == "turbidity_filtered_5um":
            return np.asarray(self.values[_BELOW_5UM].sum(axis=0))
        if name == "uvt":
            return np.asarray(100.0 * 10.0 ** -self.row("absorbance"))
        if name == "uvt_filtered":
            return np.asarray(100.0 * 10.0 ** -(self.row("absorbance") - self.row("absorbance_particles")))
        raise KeyError(name)

    def is_known(self, name: str) -> NDArray[np.bool_]:
        """Whether the analyte was measured, or follows from what was, per water; shape (waters,)."""
        known: NDArray[np.bool_] = self.known[ROW_INDEX[_KNOWN_BY.get(name, name)]]
        return known

    def set(self, name: str, value: Array | float, known: bool | NDArray[np.bool_] | None = None) -> None:
        """Overwrite one carried row; `known` replaces its mark where given."""
        self.values[ROW_INDEX[name]] = value
        if known is not None:
            self.known[ROW_INDEX[name]] = known

    def low(self, name: str) -> Array:
        """The lower end of the analyte over the two readings, shape (flows, waters)."""
        return np.asarray(self.get(name).min(axis=0))

    def high(self, name: str) -> Array:
        """The upper end of the analyte over the two readings, shape (flows, waters)."""
        return np.asarray(self.get(name).max(axis=0))

    def add(self, name: str, amount: Array | float) -> None:
        """Add to a row where it is known or assumed; an unknown row stays unknown."""
        self.values[ROW_INDEX[name]] += amount

    def scale(self, names: Sequence[str], factor: Array | float) -> None:
        """Multiply several rows by what is left of them (0 to 1)."""
        for name in names:
            self.values[ROW_INDEX[name]] *= factor
