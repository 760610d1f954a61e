"""What a run through time is asked to do: how long, how finely, what befalls the water and the power, and who looks after the train."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import Any, Literal

from trainapp import data, units
from trainapp.water.analytes import BY_KEY

Detail = Literal["minute", "hour"]
Upkeeping = Literal["on-time", "late", "never"]
Spiked = Literal["turbidity", "iron"]

YEAR_DAYS = 365
MOST_DAYS = 3650
#: Upkeep that comes later is none.
MOST_LATE_DAYS = 730
DETAILS: tuple[Detail, ...] = ("minute", "hour")
UPKEEP: tuple[Upkeeping, ...] = ("on-time", "late", "never")
SPIKED: tuple[Spiked, ...] = ("turbidity", "iron")


class YearError(ValueError):
    """Something asked of a run that cannot be; its text is the sentence."""


class Cancelled(Exception):
    """The run was stopped by its caller."""


def season(table: str) -> Any:
    """One table of resources/year/season.toml."""
    return data.load_toml("year/season.toml")[table]


@dataclass(frozen=True, slots=True)
class Spike:
    """A rise of one analyte of the raw water, after snow melt or a storm.

    Attributes:
        analyte: turbidity or iron.
        peak: height of it, in the analyte's JSON unit (NTU, mg/L).
        day: day of the year on which it begins, 0 is 1 January. days: how long it lasts; it goes on over New Year, as it does every year.
    """

    analyte: Spiked
    peak: float
    day: float = field(default_factory=lambda: float(season("spike")["day"]))
    days: float = field(default_factory=lambda: float(season("spike")["days"]))

    def height(self, day_of_year: int) -> float:
        """Share of its peak on a day, 0 to 1."""
        share = (day_of_year - self.day) % YEAR_DAYS / self.days
        if share >= 1.0:
            return 0.0
        return float([height for start, height in season("spike")["shape"] if start <= share][-1])

    def check(self) -> None:
        """Refuse a spike that no year has.

        Raises:
            YearError: one sentence.
        """
        if self.analyte not in SPIKED or not 0.0 <= self.peak < math.inf or not 0.0 < self.days <= YEAR_DAYS:
            raise YearError(f"a spike is of turbidity or iron, not below zero, and lasts for 1 to {YEAR_DAYS} days")
        if not 0.0 <= self.day < YEAR_DAYS:
            raise YearError(f"a spike begins on a day of the year, 0 to {YEAR_DAYS - 1}, not on day {self.day:g}")


@dataclass(frozen=True, slots=True)
class PowerCut:
    """One power cut of every year: day of the year from 0, hour of the day, length in hours."""

    day: float
    hour: float
    hours: float


@dataclass(frozen=True, slots=True)
class ExtraService:
    """One service more than planned: stage, key of the service (see the stage's ageing), day from the start."""

    stage: str
    service: str
    day: float


@dataclass(frozen=True, slots=True)
class Upkeep:
    """Who looks after the train.

    Attributes:
        kept: on time, late by `late_days`, or never.
        extra: services beyond the plan; they shift none of the planned ones.
    """

    kept: Upkeeping = "on-time"
    late_days: float = field(default_factory=lambda: float(season("upkeep")["late_days"]))
    extra: tuple[ExtraService, ...] = ()

    @property
    def delay(self) -> float:
        """Days by which services come after their time."""
        return self.late_days if self.kept == "late" else 0.0


def usual_cuts() -> tuple[PowerCut, ...]:
    """The power cuts of an ordinary year: invented."""
    return tuple(PowerCut(*row) for row in season("power")["cuts"])


@dataclass(frozen=True, slots=True)
class Options:
    """What a run is asked to do.

    Attributes:
        days: how long. start_day: day of the year on which it begins, 0 is 1 January.
        detail: draws told apart by the minute or by the hour.
        upkeep: who looks after it. spike: a rise of the raw water, None without. cuts: power cuts of each year.
        adverse: which reading of the sample runs: the adverse one, or the favourable.
    """

    days: int = YEAR_DAYS
    start_day: int = 0
    detail: Detail = "minute"
    upkeep: Upkeep = field(default_factory=Upkeep)
    spike: Spike | None = None
    cuts: tuple[PowerCut, ...] = field(default_factory=usual_cuts)
    adverse: bool = True

    def __post_init__(self) -> None:
        if not 1 <= self.days <= MOST_DAYS:
            raise YearError(f"{self.days} days: a run takes 1 to {MOST_DAYS} days")
        if not 0 <= self.start_day < YEAR_DAYS:
            raise YearError(f"{self.start_day} is not a day of the year: 0 is 1 January, 364 is 31 December")
        if self.detail not in DETAILS:
            raise YearError(f'detail "{self.detail}" is neither {DETAILS[0]} nor {DETAILS[1]}')
        if self.upkeep.kept not in UPKEEP:
            raise YearError(f'upkeep "{self.upkeep.kept}" is not one of {", ".join(UPKEEP)}')
        if not 0.0 <= self.upkeep.late_days <= MOST_LATE_DAYS:
            raise YearError(f"upkeep is late by 0 to {MOST_LATE_DAYS} days, not by {self.upkeep.late_days:g}")
        if self.spike is not None:
            self.spike.check()
        if any(not 0.0 <= cut.hour < 24.0 or not 0.0 < cut.hours < math.inf for cut in self.cuts):
            raise YearError("a power cut begins at an hour of the day and lasts for some hours")

    def reaches(self, spike: Spike) -> bool:
        """Whether a day of the run has some of a spike."""
        return any(spike.height((self.start_day + day) % YEAR_DAYS) > 0.0 for day in range(min(self.days, YEAR_DAYS)))


def days_told(days: int) -> str:
    """A number of days in words: "1 day", "30 days"."""
    return f"{days} day{'' if days == 1 else 's'}"


_SPIKE = re.compile(r"(?P<analyte>[a-z_]+)\s*=\s*(?P<peak>[^@]+?)\s*(@\s*(?P<day>\d+)\s*(\+\s*(?P<days>\d+)\s*)?)?$")


def read_spike(text: str) -> Spike:
    """A spike as it is written at the prompt: "turbidity=15 NTU", "iron=8 mg/L@95", "turbidity=15 NTU@95+14" (from day 95 for 14 days).

    Raises:
        YearError: with the sentence.
    """
    found = _SPIKE.match(text.strip())
    if found is None or found["analyte"] not in SPIKED:
        raise YearError(f'"{text}" is not a spike such as "turbidity=15 NTU@95+14" (analyte, peak, first day of the year, days)')
    analyte: Spiked = "turbidity" if found["analyte"] == "turbidity" else "iron"
    try:
        peak = units.parse(found["peak"], BY_KEY[analyte].dimension)
    except units.UnitError as error:
        raise YearError(str(error)) from None
    usual = season("spike")
    return Spike(analyte, peak, float(found["day"] or usual["day"]), float(found["days"] or usual["days"]))
