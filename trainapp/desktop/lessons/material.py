"""What the player is given of a lesson, and what it asks of one that was worked out. Plain data and calls: no Qt, no engine."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from trainapp.desktop.background import Cancelled, Progress
from trainapp.desktop.lessons.board import Figure
from trainapp.desktop.lessons.tries import Change
from trainapp.reports.drawing.display import Box, Display
from trainapp.reports.print_pages import Placed


@dataclass(frozen=True, slots=True)
class Side:
    """One train of a lesson: its letter, "" for the only one, and its name."""

    letter: str
    title: str


@dataclass(frozen=True, slots=True)
class Hint:
    """Something to try: what is said of it, and the index of the value of each change by its key."""

    text: str
    chosen: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Material:
    """The texts of a lesson as they are shown.

    Attributes:
        key: what its guesses are kept by. counted: "Lesson 1 of 8", "" for a lesson that stands alone.
        changes: what the class may change, `hints` what is worth trying. runs: whether a clock runs.
    """

    key: str
    counted: str
    title: str
    scene: str
    question: str
    answers: tuple[str, ...]
    watch: str
    point: str
    caution: str
    sides: tuple[Side, ...]
    changes: tuple[Change, ...] = ()
    hints: tuple[Hint, ...] = ()
    runs: bool = True


class Still(Protocol):
    """The trains before their clock starts."""

    def bench(self, side: int, hour: float, boxes: Sequence[Box]) -> tuple[Placed, ...]:
        """A train at an hour, in the one of the boxes that is its own, px at 100 %."""


class Worked(Still, Protocol):
    """A lesson that was worked out.

    Attributes:
        hours: how long its clock runs, 0 without one. asked: the hour that the question asks for.
        right: index of the right answer, None where it stays open. answer: the same in words. point: with its numbers.
    """

    hours: float
    asked: float
    right: int | None
    answer: str
    point: str

    def figures(self, hour: float) -> tuple[Figure, ...]:
        """The big number of each train at an hour."""

    def chart(self, hour: float, width: float, height: float) -> Display:
        """The chart up to an hour, px at 100 %."""

    def clock(self, hour: float) -> str:
        """The time in words, "month 6 of 12"."""


@dataclass(frozen=True, slots=True)
class Ask:
    """What is to be worked out: a lesson with its changes, by key the index of the value that was chosen.

    Attributes:
        still: whether only the trains as they stand are wanted, which takes no time.
    """

    chosen: Mapping[str, int]
    still: bool = False
    meter: Progress = field(default_factory=Progress)


#: Works a lesson out, on another thread.
Work = Callable[[Ask, Cancelled], "Still | Worked"]
