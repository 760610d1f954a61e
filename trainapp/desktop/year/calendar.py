"""Dates of a run: its hours as words, and the ticks of its axis."""

from __future__ import annotations

from trainapp.desktop.year.settings import MONTHS, date_text
from trainapp.reports.year_axis import ticks_of_use
from trainapp.studies.year.options import YEAR_DAYS

DAY_HOURS = 24
MONTH_HOURS = 730.5
#: Hours that a step of a month takes, whole ones.
MONTH_STEP = 730
#: Days up to which an axis is marked by days, and by months.
_BY_DAYS, _BY_MONTHS = 45, 800
#: Marks of an axis without dates, at the most.
_ROOM = 13


def day_text(hour: int) -> str:
    """The day of a run, counted from 1."""
    return f"day {hour // DAY_HOURS + 1}"


def ticks(start_day: int, days: int, undated: bool = False) -> list[tuple[float, str]]:
    """Hours and words of the marks under an axis, at the beginning of days, months or years; months of use where no date is shown."""
    if undated:
        return [(tick.hour, tick.text) for tick in ticks_of_use((0.0, float(days * DAY_HOURS)), _ROOM)]
    if days <= _BY_DAYS:
        step = 1 if days <= 10 else 5
        return [(day * DAY_HOURS, date_text(start_day + day)) for day in range(0, days, step)]
    found = []
    first = 0
    while first < start_day + days:
        for name, length in MONTHS:
            at = first - start_day
            yearly = days > _BY_MONTHS
            if 0 <= at < days and (not yearly or name == MONTHS[0][0]):
                found.append((at * DAY_HOURS, f"year {first // YEAR_DAYS + 1}" if yearly else name[:3]))
            first += length
    return found
