"""Both ends of every analyte at the supply, into every stage and at every end, read once for all checks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from trainapp.train.evaluation import Evaluation
from trainapp.train.graph import SUPPLY as SUPPLY
from trainapp.water import blocks
from trainapp.water.analytes import BY_KEY, PARTICLE_ROWS, ROW_INDEX
from trainapp.water.stream import Stream

Array = NDArray[np.float64]


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
        low, high: of the design sample, float64 of shape (places, names, flows), JSON units, NaN where nothing is known.
        known: bool of shape (places, names): measured, or following from what was, in the design sample.
    """

    def __init__(self, evaluation: Evaluation, names: Iterable[str]) -> None:
        self._streams = streams = _streams(evaluation)
        self.places: dict[str, int] = {place: i for i, place in enumerate(streams)}
        self.names: dict[str, int] = {name: i for i, name in enumerate(dict.fromkeys(names))}
        low, high = _ends(list(streams.values()), self.names)
        self.low: Array = low
        self.high: Array = high
        marks = [ROW_INDEX[_KNOWN_BY.get(name, name)] for name in self.names]
        self.known: NDArray[np.bool_] = np.stack([stream.known[marks, 0] for stream in streams.values()])
        self._low = low.min(axis=2).tolist()
        self._high = high.max(axis=2).tolist()
        self._known = self.known.tolist()

    def ends(self, wanted: Sequence[tuple[str, str]]) -> tuple[Array, Array]:
        """Lower and upper ends at pairs of place and analyte, in every water: float64 of shape (pairs, flows, waters), JSON units, NaN
        where nothing is known."""
        shape = np.broadcast_shapes(*(stream.values.shape[2:] for stream in self._streams.values()))
        low, high = (blocks.empty((len(wanted), *shape)) for _ in range(2))
        for i, (place, name) in enumerate(wanted):
            stream = self._streams[place]
            read = stream.values[ROW_INDEX[name]] if name in ROW_INDEX else stream.get(name)
            np.minimum(read[0], read[1], out=low[i])
            np.maximum(read[0], read[1], out=high[i])
        return low, high

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


def _ends(streams: list[Stream], names: Mapping[str, int]) -> tuple[Array, Array]:
    """Lower and upper ends in the design sample, shape (places, names, flows) each. A stream of one flow stands for all three."""
    flows = max(stream.flows for stream in streams)
    values = np.empty((len(streams), len(ROW_INDEX), 2, flows))
    for i, stream in enumerate(streams):
        values[i] = stream.values[..., 0]
    low, high = (np.empty((len(streams), len(names), flows)) for _ in range(2))
    plain = [name for name in names if name not in _PARTS]
    rows, columns = [ROW_INDEX[name] for name in plain], [names[name] for name in plain]
    read = values[:, rows]
    low[:, columns], high[:, columns] = np.minimum(read[:, :, 0], read[:, :, 1]), np.maximum(read[:, :, 0], read[:, :, 1])
    for name in names.keys() & _PARTS.keys():
        derived = _derived(values, name)
        low[:, names[name]], high[:, names[name]] = np.minimum(derived[:, 0], derived[:, 1]), np.maximum(derived[:, 0], derived[:, 1])
    return low, high


def _derived(values: Array, name: str) -> Array:
    """A sum of rows, or UVT, at every place; shape (places, 2, flows)."""
    parts = values[:, [ROW_INDEX[part] for part in _PARTS[name]]]
    return np.asarray(100.0 * 10.0 ** -parts[:, 0] if name == "uvt" else parts.sum(axis=1))


def readable(name: str) -> bool:
    """Whether an analyte has a number in a stream (a jar test or a word has none)."""
    return name in BY_KEY and (name in ROW_INDEX or name in _PARTS)
