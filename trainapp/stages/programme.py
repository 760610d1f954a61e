"""What the controller of a stage has to be told beyond its settings: numbers that follow from the water and the duty."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol, runtime_checkable

from trainapp.dimensions import DAY, YEAR
from trainapp.stages._oxidation import constants
from trainapp.stages.base import Duty, Settings
from trainapp.water.stream import Stream


@dataclass(frozen=True, slots=True)
class Entry:
    """One number to enter, of one unit.

    Attributes:
        what: what it is, as a controller or its book calls it.
        value: in internal units of `dimension`.
        note: what it rests on, or when it holds; "" for nothing.
    """

    what: str
    value: float
    dimension: str
    note: str = ""


@runtime_checkable
class Programmed(Protocol):
    """A stage whose controller asks for numbers."""

    def programme(self, water: Stream, duty: Duty) -> tuple[Entry, ...]:
        """Every number to enter for one unit, fed with this water in this duty."""
        ...


def regeneration(minutes: Mapping[str, float]) -> tuple[Entry, ...]:
    """The parts of a regeneration as the model counts them; `minutes`: constants of a kind with resin, s."""
    return (
        Entry("backwash", minutes["backwash_minutes"], "duration"),
        Entry("brine and slow rinse", minutes["brine_minutes"], "duration"),
        Entry("fast rinse", minutes["rinse_minutes"], "duration", "the maker's times go before these, and set the refill"),
    )


def solution_of(settings: Settings, oxidant: str) -> float:
    """Strength of the solution that an oxidant is fed from, mg/L: as set, else as such solutions usually are."""
    given = settings.get("solution")
    return float(given) if given is not None else constants()[f"solution_{oxidant}"]


def fed(settings: Settings, oxidant: str, dose: float, flow: float, when: str, daily: float) -> tuple[Entry, ...]:
    """What a feed pump has to give.

    Args:
        dose: mg/L. flow: m3/s that it doses at the setting. when: what it follows. daily: m3 of water a day.
    """
    strength = solution_of(settings, oxidant)
    usual = "" if settings.get("solution") is not None else "; common practice, no source"
    asked = () if "dose" in settings.given else (Entry("dose", dose, "concentration", f"of {oxidant}, as the water asks"),)
    return (
        *asked,
        Entry("solution", strength, "concentration", f"of {oxidant} in it{usual}"),
        # dose x flow / strength: as much oxidant goes in as the water asks for
        Entry("pump setting", dose * flow / strength, "feed_rate", when),
        Entry("solution a month", dose * daily * (YEAR / DAY / 12.0) / strength, "solution_volume"),
    )
