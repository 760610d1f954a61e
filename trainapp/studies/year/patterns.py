"""How a house draws through its days: one of the patterns in resources/year, or a CSV of one's own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from trainapp import data, units
from trainapp.dimensions import HOUR
from trainapp.train.errors import DocumentError

BUILT_IN: tuple[str, ...] = ("household", "weekend_cabin", "shop")
PLACE = "demand.pattern"
WEEK = 7


class Draw(NamedTuple):
    """One draw of a day: s after midnight at which it begins, its length in s, its flow in m3/s."""

    start: float
    seconds: float
    flow: float


@dataclass(frozen=True, slots=True)
class Pattern:
    """A year of days.

    Attributes:
        label: name on screen.
        days: the draws of each kind of day, in time order, none over the next.
        week: kind of day from Monday to Sunday; a year begins on a Monday.
        away: (first day of the year, days) in which nobody is there.
        source, status: where it comes from.
    """

    label: str
    days: Mapping[str, tuple[Draw, ...]]
    week: tuple[str, ...]
    away: tuple[tuple[int, int], ...] = ()
    source: str = "common-practice"
    status: str = "common practice"

    def kind_of(self, day: int) -> str:
        """Kind of the day that is `day` days after 1 January of the first year; "" when nobody is there."""
        of_year = day % 365
        if any(start <= of_year < start + days for start, days in self.away):
            return ""
        return self.week[day % WEEK]

    def volume(self, kind: str) -> float:
        """m3 that a day of a kind draws."""
        return sum(draw.seconds * draw.flow for draw in self.days.get(kind, ()))


def pattern_of(name: str, peak: float, daily: float, folder: Path | None = None) -> Pattern:
    """The pattern that a document names.

    Args:
        name: one of :data:`BUILT_IN`, or the path of a CSV.
        peak: m3/s that the house gets at the most.
        daily: m3 that a day of full use draws; a CSV brings its own.
        folder: where the document lies, which a CSV's path starts from.

    Raises:
        DocumentError: no such pattern, or a CSV that cannot be used.
    """
    if name in BUILT_IN:
        return _built_in(name, peak, daily)
    if name.lower().endswith(".csv"):
        from trainapp.studies.year.pattern_csv import read_pattern

        return read_pattern((folder or Path()) / name)
    raise DocumentError(PLACE, f'"{name}" is not a pattern: {", ".join(BUILT_IN)}, or the path of a CSV file')


def _built_in(name: str, peak: float, daily: float) -> Pattern:
    table = data.load_toml(f"year/{name}.toml")
    days = {kind: _day(row, table["draws"], peak, daily) for kind, row in table["days"].items()}
    away = tuple((int(row["from"]), int(row["days"])) for row in table["away"])
    return Pattern(table["label"], days, tuple(table["week"]), away, table["source"], table["status"])


def _day(day: Mapping[str, Any], kinds: Sequence[Mapping[str, Any]], peak: float, daily: float) -> tuple[Draw, ...]:
    """Every kind of draw spreads its share of the volume over its hours by the weight of each."""
    hourly: list[list[tuple[float, float, float]]] = [[] for _ in range(24)]
    volume, weights = daily * float(day["volume"]), [float(w) for w in day["hours"]]
    for kind in kinds:
        first, last = kind["hours"]
        own = weights[first:last]
        first, own = (0, weights) if sum(own) <= 0.0 else (first, own)
        flow = units.parse(kind["flow"], "flow") if isinstance(kind["flow"], str) else float(kind["flow"]) * peak
        for hour, weight in enumerate(own, first):
            if weight > 0.0 and volume > 0.0:
                drawn = volume * float(kind["share"]) * weight / sum(own)
                hourly[hour].append((drawn / min(flow, peak), min(flow, peak), float(kind["seconds"])))
    return tuple(draw for hour, row in enumerate(hourly) for draw in _hour(hour * HOUR, row, peak))


def _hour(start: float, wanted: Sequence[tuple[float, float, float]], peak: float) -> list[Draw]:
    """Lay (seconds, flow, usual length) out over an hour: each kind in draws of about its length, kinds mixed, pauses even."""
    parts = _fitted(wanted, peak)
    pieces: list[tuple[float, float, float]] = []
    for seconds, flow, usual in parts:
        count = max(round(seconds / usual), 1)
        pieces += [((k + 0.5) / count, seconds / count, flow) for k in range(count)]
    pieces.sort(key=lambda piece: piece[0])
    pause = (HOUR - sum(seconds for _, seconds, _ in pieces)) / (len(pieces) + 1)
    draws, at = [], start + pause
    for _, seconds, flow in pieces:
        draws.append(Draw(at, seconds, flow))
        at += seconds + pause
    return draws


def _fitted(wanted: Sequence[tuple[float, float, float]], peak: float) -> list[tuple[float, float, float]]:
    """What an hour has room for: as much of it as must is drawn at the peak, and above the peak only where nothing else helps."""
    seconds, volume = sum(t for t, _, _ in wanted), sum(t * q for t, q, _ in wanted)
    if seconds <= HOUR:
        return list(wanted)
    if volume >= peak * HOUR:
        return [(HOUR, volume / HOUR, HOUR)]
    moved = (seconds - HOUR) / (seconds - volume / peak)
    return [*((t * (1.0 - moved), q, usual) for t, q, usual in wanted), (moved * volume / peak, peak, HOUR)]
