"""What is to happen, in order of time."""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from itertools import count

import numpy as np


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that is to happen: s since the start, what, at which stage, and its key."""

    time: float
    kind: str
    stage: str = ""
    key: str = ""


class Agenda:
    """Events in order of time; of one time, in the order in which they were added."""

    def __init__(self) -> None:
        self._heap: list[tuple[float, int, Event]] = []
        self._count = count()

    @property
    def next(self) -> float:
        """s of the next event, infinite where there is none."""
        return self._heap[0][0] if self._heap else np.inf

    def add(self, event: Event) -> None:
        """Put an event in its place."""
        heapq.heappush(self._heap, (event.time, next(self._count), event))

    def pop(self) -> Event:
        """Take the next event."""
        return heapq.heappop(self._heap)[2]

    def drop(self, kind: str, stage: str, key: str = "") -> None:
        """Take every event of a kind out that a stage has."""
        self._heap = [row for row in self._heap if (row[2].kind, row[2].stage, row[2].key) != (kind, stage, key)]
        heapq.heapify(self._heap)

    def shift(self, kind: str, by: float, now: float, period: float) -> None:
        """Move every event of a kind by some seconds; what would then lie before now comes `period` s later."""
        rows = []
        for time, number, event in self._heap:
            if event.kind == kind:
                time += by
                while time < now:
                    time += period
                event = Event(time, event.kind, event.stage, event.key)
            rows.append((time, number, event))
        self._heap = rows
        heapq.heapify(self._heap)
