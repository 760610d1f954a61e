"""Which rows of a water a stage looks at: a stream that notes what is read of it and what is written.

A stage that finds the same in all rows that it looked at before does the same again. So one run answers for every water that is alike in
those rows, whatever else they bring.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from trainapp.stages.working import Array
from trainapp.water.analytes import PARTICLE_ROWS, ROW_INDEX
from trainapp.water.stream import Stream

_ALL = range(len(ROW_INDEX))
#: Rows that make up what a stream derives, with that of the mark that says whether it was measured.
_PARTS = {
    "iron": ("iron_dissolved", "iron_particulate"),
    "manganese": ("manganese_dissolved", "manganese_particulate"),
    "turbidity": PARTICLE_ROWS,
    "turbidity_filtered_5um": PARTICLE_ROWS,
    "uvt": ("absorbance",),
    "uvt_filtered": ("absorbance", "absorbance_particles"),
}


def rows_of(name: str) -> list[int]:
    """The rows behind an analyte."""
    return [ROW_INDEX[row] for row in _PARTS.get(name, (name,))]


class Trace:
    """What was looked at.

    Attributes:
        read: rows whose values or marks were read as they came. written: rows whose values were replaced, `marked` whose marks were.
    """

    def __init__(self) -> None:
        self.read: set[int] = set()
        self.written: set[int] = set()
        self.marked: set[int] = set()


class _Values:
    """The array of a traced stream: who takes lists of rows out of it reads those, anyone else all."""

    def __init__(self, stream: Traced) -> None:
        self._stream = stream
        self.shape = stream.plain.values.shape

    def __getitem__(self, key: Any) -> Any:
        self._stream.note([key] if isinstance(key, int) else key if isinstance(key, list) else _ALL)
        return self._stream.plain.values[key]

    def __array__(self, dtype: Any = None, copy: Any = None) -> Any:
        self._stream.note(_ALL)
        return np.array(self._stream.plain.values, dtype=dtype)


class Traced(Stream):
    """A stream of which a trace is kept. Its copies keep the same trace, but what is written to one says nothing of another.

    Attributes:
        plain: the water itself. trace: what was looked at.
    """

    __slots__ = ("_marked", "_written", "plain", "trace")

    def __init__(self, plain: Stream, trace: Trace) -> None:
        self.plain, self.trace = plain, trace
        self._written: set[int] = set()
        self._marked: set[int] = set()

    def note(self, rows: Iterable[int]) -> None:
        """Values of these rows are read: of those that were replaced they are no longer those that came."""
        self.trace.read.update(row for row in rows if row not in self._written)

    @property
    def values(self) -> Any:  # type: ignore[override]
        return _Values(self)

    @property
    def known(self) -> NDArray[np.bool_]:  # type: ignore[override]
        # who holds the marks may change them
        self.trace.read.update(_ALL)
        self.trace.marked.update(_ALL)
        return self.plain.known

    @property
    def flows(self) -> int:
        return self.plain.flows

    @property
    def waters(self) -> int:
        return self.plain.waters

    def copy(self) -> Stream:
        twin = Traced(self.plain.copy(), self.trace)
        twin._written.update(self._written)
        twin._marked.update(self._marked)
        return twin

    def part(self, waters: slice) -> Stream:
        self.note(_ALL)
        self.trace.read.update(_ALL)
        return self.plain.part(waters)

    def row(self, name: str) -> Array:
        self.note(rows_of(name))
        return self.plain.row(name)

    @property
    def particles(self) -> Array:
        self.note(rows_of("turbidity"))
        return self.plain.particles

    def get(self, name: str) -> Array:
        self.note(rows_of(name))
        return self.plain.get(name)

    def is_known(self, name: str) -> NDArray[np.bool_]:
        self.trace.read.update(row for row in rows_of(name) if row not in self._marked)
        return self.plain.is_known(name)

    def set(self, name: str, value: Array | float, known: bool | NDArray[np.bool_] | None = None) -> None:
        row = ROW_INDEX[name]
        self.plain.set(name, value, known)
        self._written.add(row)
        self.trace.written.add(row)
        if known is not None:
            self._marked.add(row)
            self.trace.marked.add(row)

    def add(self, name: str, amount: Array | float) -> None:
        self.note([ROW_INDEX[name]])
        self.plain.add(name, amount)

    def scale(self, names: Sequence[str], factor: Array | float) -> None:
        self.note([ROW_INDEX[name] for name in names])
        self.plain.scale(names, factor)


__all__ = ["Trace", "Traced", "rows_of"]
