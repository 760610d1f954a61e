"""Time along the axis of a chart: months by name, days, hours of the day, or months of use where a date would promise too much."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from trainapp.dimensions import HOUR, YEAR
from trainapp.reports.year_words import date_of
from trainapp.studies.year import Year

#: Hours of a month of use.
MONTH_HOURS = YEAR / 12 / HOUR
_MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
#: Hours, and days, that ticks may be apart.
_HOURS = (1, 2, 3, 6, 12)
_DAYS = (1, 2, 5, 7, 14)
_DAYS_MOST = 62.0
#: Hours of a stretch that is marked by them, at the most.
_HOURS_MOST = 3 * 24.0
#: Months from which on only whole ones are marked.
_BY_PARTS = 6.0


class Tick(NamedTuple):
    """A mark on the axis: hours since the start of the run, and its text, "" for none."""

    hour: float
    text: str


def ticks_of(year: Year, span: tuple[float, float], room: int, undated: bool) -> list[Tick]:
    """Marks for a stretch of a run.

    Args:
        span: hours since the start at both ends. room: how many texts find room. undated: no dates, time of use instead.
    """
    start, end = span
    if undated:
        return ticks_of_use(span, room)
    if end - start <= _HOURS_MOST:
        return _hours(start, end, room, [_short(year, day) for day in _days_in(start, end)])
    if end - start <= _DAYS_MOST * 24.0:
        return _days(year, start, end, room)
    return _named(year, start, end, room)


def ticks_of_use(span: tuple[float, float], room: int) -> list[Tick]:
    """Marks without a date: months of use, "month 0", "3", "6"; hours of the day in a stretch too short for them."""
    start, end = span
    if end - start <= _HOURS_MOST:
        return _hours(start, end, room, [f"day {day + 1}" for day in _days_in(start, end)])
    low, high = start / MONTH_HOURS, end / MONTH_HOURS
    steps = (0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0)
    step = next((s for s in steps if (high - low) / s <= room and (s >= 1.0 or high - low < _BY_PARTS)), steps[-1])
    first, last = math.ceil(low / step - 1e-6), math.floor(high / step + 0.02)
    texts = [f"{i * step:g}" for i in range(first, last + 1)]
    return [Tick(min((first + i) * step * MONTH_HOURS, end), f"month {text}" if i == 0 else text) for i, text in enumerate(texts)]


def _days_in(start: float, end: float) -> range:
    """Days that a stretch touches, counted from 0."""
    return range(int(start // 24), int(end // 24) + 1)


def _hours(start: float, end: float, room: int, days: Sequence[str]) -> list[Tick]:
    """Hours of the day; midnight is the name of its day."""
    first = int(start // 24)
    step = next((s for s in _HOURS if (end - start) / s <= room), 24)
    hours = range(math.ceil(start / step) * step, math.floor(end) + 1, step)
    return [Tick(float(h), days[h // 24 - first] if h % 24 == 0 else f"{h % 24:02d}:00") for h in hours]


def _days(year: Year, start: float, end: float, room: int) -> list[Tick]:
    step = next((s for s in _DAYS if (end - start) / 24.0 / s <= 0.8 * room), _DAYS[-1])
    first = round(start / 24.0)
    return [Tick(day * 24.0, _short(year, day)) for day in range(first, math.floor(end / 24.0) + 1, step)]


def _short(year: Year, day: int) -> str:
    """ "5 Mar"."""
    number, month = date_of(year, day).split(",")[0].split(" ")
    return f"{number} {month[:3]}"


def _named(year: Year, start: float, end: float, room: int) -> list[Tick]:
    """The first of every month, named where there is room."""
    found: list[tuple[float, int]] = []
    day, month = 0, 0
    at = -year.options.start_day
    while at * 24.0 <= end:
        if at * 24.0 >= start - 1e-6:
            found.append((at * 24.0, month % 12))
        at += _MONTH_DAYS[month % 12]
        month += 1
        day += 1
    every = max(1, math.ceil(len(found) / room))
    every = next((n for n in (1, 2, 3, 6, 12) if n >= every), 12)
    return [Tick(hour, _MONTHS[m] if m % every == 0 else "") for hour, m in found]


__all__ = ["MONTH_HOURS", "Tick", "ticks_of", "ticks_of_use"]
