"""Large arrays out of memory that was used before.

A batch of waters makes and drops an array of megabytes for every stage. Memory of that size goes back to the system each time, and the
system clears it page by page before it gives it out anew, which takes longer than the arithmetic: so what is dropped is kept for the next.
"""

from __future__ import annotations

import math
import threading
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Arrays of fewer numbers come from the allocator, which keeps small memory itself.
_LEAST = 1 << 15
#: Bytes that are kept for reuse at the most.
_MOST_KEPT = 1 << 27

#: By size, the one that was longest not asked for leading.
_free: dict[int, list[Array]] = {}
_kept = [0]
#: Never waited for: an array may be dropped in the middle of what holds it, and then its memory is simply not kept.
_lock = threading.Lock()


class _Block:
    """Owns memory while any array looks at it, and puts it back when none does."""

    __slots__ = ("__array_interface__", "_memory")

    def __init__(self, memory: Array, shape: tuple[int, ...]) -> None:
        self._memory = memory
        self.__array_interface__: dict[str, Any] = {**memory.__array_interface__, "shape": shape}

    def __del__(self) -> None:
        if _lock.acquire(blocking=False):
            try:
                _keep(self._memory)
            finally:
                _lock.release()


def _keep(memory: Array) -> None:
    """Take memory in, the oldest of other sizes going for it where there is too much."""
    own = _free.pop(memory.size, [])
    while _free and _kept[0] + memory.nbytes > _MOST_KEPT:
        oldest = next(iter(_free))
        _kept[0] -= _free[oldest].pop().nbytes
        if not _free[oldest]:
            del _free[oldest]
    if _kept[0] + memory.nbytes <= _MOST_KEPT:
        own.append(memory)
        _kept[0] += memory.nbytes
    if own:
        _free[memory.size] = own


def _taken(size: int) -> Array | None:
    """Memory of so many numbers that was kept."""
    if not _lock.acquire(blocking=False):
        return None
    try:
        kept = _free.pop(size, None)
        if kept is None:
            return None
        memory = kept.pop()
        _kept[0] -= memory.nbytes
        if kept:
            _free[size] = kept
        return memory
    finally:
        _lock.release()


def empty(shape: tuple[int, ...]) -> Array:
    """An array of that shape with anything in it."""
    size = math.prod(shape)
    if size < _LEAST:
        return np.empty(shape)
    kept = _taken(size)
    return np.asarray(_Block(np.empty(size) if kept is None else kept, shape))


def copy(values: Array) -> Array:
    """The same numbers in an array of their own."""
    made = empty(values.shape)
    made[...] = values
    return made
