"""Both ends of every analyte at the supply, into every stage and at every end, read once for all checks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

from trainapp.train.evaluation import Evaluation
from trainapp.water.analytes import BY_KEY, PARTICLE_ROWS, ROW_INDEX
from trainapp.water.stream import Stream

Array = NDArray[np.float64]

SUPPLY = "supply"

#: Rows of which an analyte is the sum; UVT follows from absorbance.
_PARTS: Mapping[str, tuple[str, ...]] = {
    "iron": ("iron_dissolved", "iron_particulate"),
    "manganese": ("manganese_dissolved", "manganese_particulate"),
    "turbidity": PARTICLE_ROWS,
    "turbidity_filtered_5um": PARTICLE_ROWS[:3],
    "uvt": ("absorbance",),
}
#: The row whose mark says whether the analyte was measured.
_KNOWN_BY: Mapping[str, str] = {
    "iron": "iron_particulate",
    "manganese": "manganese_particulate",
    "turbidity": "colloid",
    "turbidity_filtered_5um": "colloid",
    "uvt": "absorbance",
}


class Readings:
    """Ends of analytes at places: "supply" is the raw water, a stage's id the water that enters it, an end's id the water there.

    Attributes:
        places, names: index of each along the first and second axis of the arrays.
        low, high: float64 of shape (places, names, flows, waters), JSON units, NaN where nothing is known.
        known: bool of shape (places, names): measured, or following from what was, in the design sample.
    """

    def __init__(self, evaluation: Evaluation, names: Iterable[str]) -> None:
        streams = _streams(evaluation)
        self.places: dict[str, int] = {place: i for i, place in enumerate(streams)}
        self.names: dict[str, int] = {name: i for i, name in enumerate(dict.fromkeys(names))}
        values = _values(list(streams.values()), list(self.names))
        # A stream of one flow stands for all three.
        self.low: Array = np.minimum(values[:, :, 0], values[:, :, 1])
        self.high: Array = np.maximum(values[:, :, 0], values[:, :, 1])
        marks = [ROW_INDEX[_KNOWN_BY.get(name, name)] for name in self.names]
        self.known: NDArray[np.bool_] = np.stack([stream.known[marks, 0] for stream in streams.values()])
        self._low = self.low[..., 0].min(axis=2).tolist()
        self._high = self.high[..., 0].max(axis=2).tolist()
        self._known = self.known.tolist()

    def least(self, place: str, name: str) -> float:
        """The lower end over all flows in the design sample; NaN where nothing is known or the place is not one that water passes."""
        return self._pick(self._low, place, name)

    def most(self, place: str, name: str) -> float:
        """The upper end over all flows in the design sample; NaN likewise."""
        return self._pick(self._high, place, name)

    def measured(self, place: str, name: str) -> bool:
        """Whether it was measured, or follows from what was."""
        at, which = self.places.get(place), self.names.get(name)
        return at is not None and which is not None and bool(self._known[at][which])

    def above(self, place: str, name: str, limit: float) -> bool:
        """Measured, and its upper end above `limit`."""
        return self.measured(place, name) and self.most(place, name) > limit

    def _pick(self, table: list[list[float]], place: str, name: str) -> float:
        at = self.places.get(place)
        return float("nan") if at is None else table[at][self.names[name]]


def _streams(evaluation: Evaluation) -> dict[str, Stream]:
    streams = {SUPPLY: evaluation.points[SUPPLY].water}
    streams.update({stage: result.inlet for stage, result in evaluation.stages.items()})
    streams.update({at: point.water for at, point in evaluation.points.items() if at not in streams})
    return streams


def _values(streams: list[Stream], names: list[str]) -> Array:
    """Shape (places, names, 2, flows, waters)."""
    needed = list(dict.fromkeys(part for name in names for part in _PARTS.get(name, (name,))))
    at = {name: i for i, name in enumerate(needed)}
    rows = [ROW_INDEX[name] for name in needed]
    shape = np.broadcast_shapes(*(stream.values.shape[1:] for stream in streams))
    block = np.stack([np.broadcast_to(stream.values[rows], (len(rows), *shape)) for stream in streams])
    values = np.empty((len(streams), len(names), *shape))
    for i, name in enumerate(names):
        parts = _PARTS.get(name)
        if parts is None:
            values[:, i] = block[:, at[name]]
        elif name == "uvt":
            values[:, i] = 100.0 * 10.0 ** -block[:, at["absorbance"]]
        else:
            values[:, i] = sum(block[:, at[part]] for part in parts)
    return values


def readable(name: str) -> bool:
    """Whether an analyte has a number in a stream (a jar test or a word has none)."""
    return name in BY_KEY and (name in ROW_INDEX or name in _PARTS)
