"""Memory that is used again: only once nothing looks at it, only where it is large, and never more than is allowed."""

from __future__ import annotations

import gc
import threading

import numpy as np

from trainapp.water import blocks
from trainapp.water.stream import Stream

SHAPE = (64, 2, 3, 200)


def address(values: np.ndarray) -> int:
    return int(values.__array_interface__["data"][0])


def test_what_is_dropped_is_taken_again() -> None:
    first = blocks.empty(SHAPE)
    at = address(first)
    del first
    assert address(blocks.empty(SHAPE)) == at
    # another shape of as many numbers may have it, too
    assert address(blocks.empty(SHAPE[::-1])) == at


def test_what_any_view_looks_at_is_left_alone() -> None:
    whole = blocks.empty(SHAPE)
    whole[...] = 7.0
    view = whole[3, 1]
    del whole
    gc.collect()
    others = [blocks.empty(SHAPE) for _ in range(8)]
    for other in others:
        other[...] = 1.0
    assert (view == 7.0).all() and not any(np.shares_memory(view, other) for other in others)


def test_a_copy_of_a_stream_is_its_own() -> None:
    stream = Stream.unknown(3, 500)
    stream.values[...] = np.arange(stream.values.size).reshape(stream.values.shape)
    copies = [stream.copy() for _ in range(5)]
    copies[0].values[...] = -1.0
    for other in copies[1:]:
        assert (other.values == stream.values).all() and not np.shares_memory(other.values, stream.values)
    assert copies[0].values.flags.c_contiguous and copies[0].values.flags.writeable


def test_little_arrays_come_from_the_allocator_and_little_is_kept() -> None:
    assert blocks.empty((3, 2)).base is None
    large = [blocks.empty((1 << 21,)) for _ in range(20)]
    del large
    assert sum(memory.nbytes for kept in blocks._free.values() for memory in kept) <= blocks._MOST_KEPT


def test_a_new_size_is_kept_and_the_oldest_goes() -> None:
    """After many sizes the last ones are still taken again: of the old none stays for life."""
    sizes = [(1 << 20) + 1000 * i for i in range(40)]
    for size in sizes:
        blocks.empty((size,))
    assert sizes[-1] in blocks._free and sizes[0] not in blocks._free
    kept = [memory for memories in blocks._free.values() for memory in memories]
    assert sum(memory.nbytes for memory in kept) == blocks._kept[0] <= blocks._MOST_KEPT and all(blocks._free.values())
    last = blocks.empty((sizes[-1],))
    assert address(last) in {address(memory) for memory in kept}


def test_what_is_dropped_while_memory_is_handed_out_is_let_go() -> None:
    """A collection of rubbish may drop an array in the middle of the pool's own work: nothing waits for it."""
    held = blocks.empty((1 << 19,))
    with blocks._lock:
        del held
        other = blocks.empty((1 << 19,))
    assert other.size == 1 << 19


def test_threads_take_each_their_own() -> None:
    wrong: list[int] = []

    def work(mark: int) -> None:
        for _ in range(200):
            mine = blocks.empty(SHAPE)
            mine[...] = mark
            if not (mine == mark).all():
                wrong.append(mark)

    threads = [threading.Thread(target=work, args=(mark,)) for mark in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert wrong == []
