"""Trains that a search found, and what became of the others."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from trainapp.checks.finding import Finding
from trainapp.studies.options.choices import Choice
from trainapp.studies.options.criteria import index_of, steps_of
from trainapp.studies.options.front import front
from trainapp.studies.options.layouts import Layout
from trainapp.train.document import Document

#: Why trains were left out: place, code and title of the finding.
Reason = tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class Train:
    """A train: its layout, the index of the choice at each place, its figures by criterion, and how much of it is unfit."""

    layout: Layout
    chosen: tuple[int, ...]
    values: tuple[float, ...]
    unfit: int

    @property
    def choices(self) -> tuple[Choice, ...]:
        """What stands at each place."""
        return tuple(slot[index] for slot, index in zip(self.layout.slots, self.chosen, strict=True))

    @property
    def document(self) -> Document:
        """Its document."""
        return self.layout.document(self.choices)

    def value(self, key: str) -> float:
        """Its figure by one criterion."""
        return self.values[index_of(key)]

    @property
    def merit(self) -> tuple[object, ...]:
        """What ranks trains that no criterion tells apart: cost to own, cost to buy, then the rest, then its place in the files."""
        own, buy = self.value("own"), self.value("buy")
        return (own, buy, self.value("chores"), -self.value("pressure"), *self.values, self.layout.places, self.chosen)


@dataclass
class Tally:
    """How many trains there are, how many were judged to the end, and by reason how many were left out on the way.

    `followed`: how many waters were followed behind each place where there was too much to look at, 0 where all were: then some of the best
    trains may be missing, and none of those that were found is worse for it.

    Trains that another beats whatever follows are not followed, so the reasons count only those that were not beaten by then.
    """

    considered: int = 0
    followed: int = 0
    weighed: int = 0
    left_out: dict[Reason, int] = field(default_factory=dict)

    def leave(self, place: str, finding: Finding, trains: int) -> None:
        """Count trains that are left out for a finding."""
        if trains:
            key = (place, finding.code, finding.title)
            self.left_out[key] = self.left_out.get(key, 0) + trains


def not_all(tally: Tally) -> str:
    """What to say where not every train was looked at, "" where all were."""
    if not tally.followed:
        return ""
    return (
        f"There was too much to look at for every train: the {tally.followed} most promising waters were followed behind each place, and "
        "trains that were not looked at may do better."
    )


def best_of(trains: Iterable[Train]) -> list[Train]:
    """Those that no other beats; of trains that no criterion tells apart the cheapest to own stands for all."""
    ranked = sorted(trains, key=lambda train: train.merit)
    if len(ranked) < 2:
        return ranked
    return [ranked[i] for i in front(steps_of(np.array([train.values for train in ranked])))]
