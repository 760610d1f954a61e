"""What the Year view asks of a run: what stands in its controls, and how it is read from what is typed."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from trainapp import units
from trainapp.desktop.typed import document_text
from trainapp.studies.year.options import MOST_DAYS, YEAR_DAYS, Options, Spike, Spiked, Upkeep, Upkeeping, YearError, season, usual_cuts
from trainapp.water.analytes import BY_KEY

MONTHS: tuple[tuple[str, int], ...] = (
    ("January", 31), ("February", 28), ("March", 31), ("April", 30), ("May", 31), ("June", 30), ("July", 31), ("August", 31),
    ("September", 30), ("October", 31), ("November", 30), ("December", 31),
)  # fmt: skip
#: Meteorological seasons of the north begin with these months.
SEASONS: tuple[tuple[str, str], ...] = (("winter", "December"), ("spring", "March"), ("summer", "June"), ("autumn", "September"))
#: Peaks that are offered first: for teaching, nobody's data.
PEAKS: dict[Spiked, float] = {"turbidity": 15.0, "iron": 8.0}
_TIMES = {"day": 1, "week": 7, "month": 365 / 12, "year": YEAR_DAYS}


@dataclass(frozen=True, slots=True)
class RunSettings:
    """What the controls say.

    Attributes:
        days, start_day: length and first day of the year, 0 is 1 January.
        kept: whether upkeep comes on time, late or never. adverse: which reading of the sample runs.
        cuts: how many of the usual power cuts come each year.
        spike: what rises in spring, "" for nothing; peak (JSON unit), first day of the year and days of it.
    """

    days: int = YEAR_DAYS
    start_day: int = 0
    kept: Upkeeping = "on-time"
    adverse: bool = True
    cuts: int = 3
    spike: Spiked | None = None
    peak: float = 0.0
    spike_day: int = 0
    spike_days: int = 0

    @property
    def options(self) -> Options:
        """What a run is asked.

        Raises:
            YearError: it cannot be.
        """
        spike = None if self.spike is None else Spike(self.spike, self.peak, float(self.spike_day), float(self.spike_days))
        return Options(
            days=self.days,
            start_day=self.start_day,
            upkeep=Upkeep(self.kept),
            spike=spike,
            cuts=usual_cuts()[: self.cuts],
            adverse=self.adverse,
        )

    def with_spike(self, analyte: Spiked | None) -> RunSettings:
        """The same with another spike, as it is offered first."""
        if analyte is None:
            return replace(self, spike=None)
        usual = season("spike")
        return replace(self, spike=analyte, peak=PEAKS[analyte], spike_day=int(usual["day"]), spike_days=int(usual["days"]))


# Words ------------------------------------------------------------------------------------------------------------------------


def date_text(day_of_year: int) -> str:
    """A day of the year as "6 April"."""
    left = day_of_year % YEAR_DAYS
    for name, length in MONTHS:
        if left < length:
            return f"{left + 1} {name}"
        left -= length
    raise AssertionError(day_of_year)


def first_of(month: str) -> int:
    """Day of the year on which a month begins."""
    names = [name for name, _ in MONTHS]
    return sum(length for _, length in MONTHS[: names.index(month)])


def read_date(text: str) -> int:
    """A day of the year from "5 March", "March 5", "Mar", a season, or a number from 1.

    Raises:
        YearError: none of these; the text is the sentence.
    """
    words = re.findall(r"[^\W\d_]+|\d+", text.lower())
    seasons = {name: first_of(month) for name, month in SEASONS}
    if len(words) == 1 and words[0] in seasons:
        return seasons[words[0]]
    if len(words) == 1 and words[0].isdigit() and 1 <= int(words[0]) <= YEAR_DAYS:
        return int(words[0]) - 1
    months = [(name, length) for word in words for name, length in MONTHS if len(word) > 2 and name.lower().startswith(word)]
    days = [int(word) for word in words if word.isdigit()]
    if len(months) == 1 and len(words) == len(months) + len(days) and len(days) <= 1:
        (name, length), day = months[0], (days or [1])[0]
        if 1 <= day <= length:
            return first_of(name) + day - 1
    raise YearError(f'"{text}" is not a day of the year such as 5 March, nor a season')


def read_days(text: str) -> int:
    """The days of a run from "365", "90 days", "18 months", "2 years".

    Raises:
        YearError: it is not, or it is too long.
    """
    days = _length(text)
    if not 1 <= days <= MOST_DAYS:
        raise YearError(f"{days} days: a run takes 1 to {MOST_DAYS} days")
    return days


def read_spike_days(text: str) -> int:
    """The days of a spike, likewise.

    Raises:
        YearError: it is not, or no year has it.
    """
    days = _length(text)
    if not 1 <= days <= YEAR_DAYS:
        raise YearError(f"{days} days: a spike lasts for 1 to {YEAR_DAYS} days")
    return days


def _length(text: str) -> int:
    found = re.fullmatch(r"\s*(\d+)\s*(day|week|month|year)?s?\s*", text.lower())
    if found is None:
        raise YearError(f'"{text}" is not a length of time such as 365 days or 2 years')
    return round(int(found[1]) * _TIMES[found[2] or "day"])


def days_text(days: int) -> str:
    """A length of time."""
    years = days / YEAR_DAYS
    return f"{days} day{'' if days == 1 else 's'}" if years != round(years) or years < 2 else f"{round(years)} years"


def peak_text(settings: RunSettings, system: units.System) -> str:
    """The height of a spike."""
    return "" if settings.spike is None else units.show(settings.peak, BY_KEY[settings.spike].dimension, system)


def read_peak(text: str, analyte: Spiked) -> float:
    """The height of a spike in its JSON unit; a bare number is in that unit.

    Raises:
        YearError: it is not one.
    """
    dimension = BY_KEY[analyte].dimension
    try:
        peak = units.parse(document_text(text, dimension, units.unit(dimension, "json")), dimension)
    except units.UnitError as error:
        raise YearError(str(error)) from None
    if peak < 0.0:
        raise YearError("a spike is not below zero")
    return peak
