"""Large arrays out of memory that was used before.

A batch of waters makes and drops an array of megabytes for every stage. Memory of that size goes back to the system each time, and the
system clears it page by page before it gives it out anew, which takes longer than the arithmetic: so what is dropped is kept for the next.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Arrays of fewer numbers come from the allocator, which keeps small memory itself.
_LEAST = 1 << 15
#: Bytes that are kept for reuse at the most.
_MOST_KEPT = 1 << 27

_free: dict[int, list[Array]] = {}
_kept = [0]


class _Block:
    """Owns memory while any array looks at it, and puts it back when none does."""

    __slots__ = ("__array_interface__", "_memory")

    def __init__(self, memory: Array, shape: tuple[int, ...]) -> None:
        self._memory = memory
        self.__array_interface__: dict[str, Any] = {**memory.__array_interface__, "shape": shape}

    def __del__(self) -> None:
        if _kept[0] + self._memory.nbytes <= _MOST_KEPT:
            _kept[0] += self._memory.nbytes
            # threads append and pop whole entries; at the worst a block is not found again
            _free.setdefault(self._memory.size, []).append(self._memory)


def empty(shape: tuple[int, ...]) -> Array:
    """An array of that shape with anything in it."""
    size = math.prod(shape)
    if size < _LEAST:
        return np.empty(shape)
    try:
        memory = _free[size].pop()
        _kept[0] -= memory.nbytes
    except (KeyError, IndexError):
        memory = np.empty(size)
    return np.asarray(_Block(memory, shape))


def copy(values: Array) -> Array:
    """The same numbers in an array of their own."""
    made = empty(values.shape)
    made[...] = values
    return made
