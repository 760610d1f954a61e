"""One hour of a year of service in words and shares: what every stage looks like, what flows, what is going wrong just then.

What a film takes from the light is a teaching picture: it is told as a band and marked illustrative, and a picture that shows one tells
months of use instead of a date (:attr:`Moment.clock`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from trainapp.dimensions import DAY, HOUR, YEAR
from trainapp.reports.year_words import date_of
from trainapp.stages.base import Severity
from trainapp.studies.year import GoneWrong, Hour, Year, hour_of
from trainapp.studies.year.inlet import read_code
from trainapp.train.zones import HOUSE, SUPPLY

#: The word that stands in every picture of an illustrative quantity.
ILLUSTRATIVE_WORD = "illustrative"
#: s of an hour below which nothing lasted.
_LEAST = 1e-6
#: Share of an hour from which on something counts as having been so in it.
_SOME = 1e-9

#: What is left in a stage, by the texture of what fills it, and whether the bed itself shrinks as it is used.
_LEFT = {
    "resin": "of the resin left",
    "carbon": "of the carbon left",
    "calcite": "of the bed left",
    "iron": "of the oxidant in the bed left",
}
#: Names in results of water that no light reached.
_UNTREATED = ("unlit", "untreated")
#: What calls for what, by the shape that holds dirt.
_DIRT = {"cartridge": "of the dirt that calls for a change", "tank": "of the dirt that calls for a wash"}


@dataclass(frozen=True, slots=True)
class StageMoment:
    """What one stage looks like at an hour; shares are 0 to 1, None where a stage has no such thing.

    Attributes:
        fill: share of its capacity or bed that is left. clog: dirt on the way to when it is due, above 1 beyond it.
        film: (least, most) share of the light that a film takes, illustrative. store: share of its salt or chemical left.
        lit: whether its lamp burned at the end of the hour, None without one. cleaning: whether it cleaned itself in the hour.
        mode: name of its mode. words: the same as phrases, each with its unit and its caution ("42 % of the resin left").
    """

    stage: str
    fill: float | None = None
    clog: float | None = None
    film: tuple[float, float] | None = None
    store: float | None = None
    lit: bool | None = None
    cleaning: bool = False
    mode: str = ""
    words: tuple[str, ...] = ()

    @property
    def illustrative(self) -> bool:
        """Whether a teaching picture is in it."""
        return self.film is not None


@dataclass(frozen=True, slots=True)
class Wrong:
    """Something that is going wrong at an hour: its number in the list `year.gone_wrong` from 1, and the entry."""

    number: int
    told: GoneWrong


@dataclass(frozen=True, slots=True)
class Moment:
    """A run at an hour.

    Attributes:
        slot: the hour, 0 the first; values are those of that hour. hours: of the whole run.
        stages: by stage id, in flow order, of those that change in use.
        wrong: what goes wrong in this hour, in the order of the list; a film from where the fast end of its band is beyond the rating.
        flow: m3/s to the house, mean of the hour. draw: m3/s of the draw that left the least pressure. pressure: Pa then, at the house.
        temperature: degC of the water. volume: m3 to the house in the hour. power: whether there was any at its end.
        hour: the water, flows and pressures everywhere.
    """

    slot: int
    hours: int
    stages: Mapping[str, StageMoment]
    wrong: tuple[Wrong, ...]
    flow: float
    draw: float
    pressure: float
    temperature: float
    volume: float
    power: bool
    day: int
    date: str
    hour: Hour

    @property
    def time(self) -> str:
        """Time of the day, "07:00"."""
        return f"{self.slot % 24:02d}:00"

    @property
    def worst_first(self) -> tuple[Wrong, ...]:
        """What goes wrong in this hour, for a line without room for all: water that nothing treats, then the worst first."""
        rank = {"fail": 0, "caution": 1}
        order = sorted(self.wrong, key=lambda wrong: (rank.get(wrong.told.severity, 2), wrong.told.code not in _UNTREATED))
        return tuple(order)

    @property
    def months(self) -> float:
        """Months since the start."""
        return self.slot * HOUR / (YEAR / 12)

    @property
    def illustrative(self) -> bool:
        """Whether a picture of it shows a teaching picture, or a power cut, which is invented: then it shows no date."""
        return not self.power or any(stage.illustrative for stage in self.stages.values()) or any(w.told.invented for w in self.wrong)

    @property
    def clock(self) -> str:
        """When it is: "5 March, 07:00", or "month 2.1, 07:00" beside a teaching picture."""
        return f"month {self.months:.1f}, {self.time}" if self.illustrative else f"{self.date}, {self.time}"


def moment(year: Year, hour: float) -> Moment:
    """A run at an hour since its start; an hour before its start or beyond its end is its first or last."""
    slots = year.pieces.slots
    slot = min(max(int(hour), 0), slots - 1)
    read, seen = year.once(_Reader), hour_of(year, slot)
    flow = float(year.course(HOUSE, "flow")[slot])
    return Moment(
        slot=slot,
        hours=slots,
        stages={node: read.stage(node, slot) for node in year.machine.ageings},
        wrong=tuple(Wrong(i + 1, told) for i, told in enumerate(year.gone_wrong) if read.is_wrong(i, slot)),
        flow=flow,
        draw=seen.through[HOUSE],
        pressure=seen.outlet[HOUSE].lowest,
        temperature=float(year.course(SUPPLY, "temperature")[slot]),
        volume=flow * HOUR,
        power=bool(read.power[slot]),
        day=slot // 24,
        date=date_of(year, slot / 24),
        hour=seen,
    )


def undated(years: Iterable[Year]) -> bool:
    """Whether pictures of these runs show a teaching picture in every hour, so that what stands beside them shows no date either."""
    return any(year.lights for year in years)


def of_clock(moments: Sequence[Moment]) -> Moment:
    """The moment whose clock holds for several pictures of one hour: one without a date leaves it out of all."""
    return next((now for now in moments if now.illustrative), moments[0])


def percent(share: float) -> str:
    """A share as it is written: whole percents, never rounded to all or nothing."""
    whole = round(100.0 * share)
    if whole == 0 and share > 1e-6:
        return "<1"
    return ">99" if whole == 100 and share < 1.0 - 1e-6 else f"{whole}"


class _Reader:
    """What is read of a run again and again."""

    def __init__(self, year: Year) -> None:
        self.year = year
        self.courses = {node: year.stage(node) for node in year.machine.ageings}
        self.figures = {node: ageing.stage.figure() for node, ageing in year.machine.ageings.items()}
        self.bands = {node: (year.course(node, "film_slow"), year.course(node, "film_fast")) for node in year.lights}
        self.burns = {node: year.pieces.last_of_slot(light.lit.astype(np.float64)) > 0.5 for node, light in year.lights.items()}

    @cached_property
    def power(self) -> NDArray[np.bool_]:
        """Whether there was power at the end of each hour."""
        pieces = self.year.pieces
        on = np.array([regime.situation.power for regime in pieces.regimes])[pieces.regime]
        return pieces.last_of_slot(on.astype(np.float64)) > 0.5

    # Stages ---------------------------------------------------------------------------------------------------------------------------

    def stage(self, node: str, slot: int) -> StageMoment:
        course = self.courses[node]
        fill, clog, store = (None if values is None else float(values[slot]) for values in (course.fill, course.clog, course.store))
        film = None
        if node in self.bands:
            slow, fast = (1.0 - float(values[slot]) for values in self.bands[node])
            film = (slow, fast)
        lit = bool(self.burns[node][slot]) if node in self.burns else None
        cleaning = bool(course.cleaning[slot] > _SOME)
        mode = course.modes[int(course.mode[slot])]
        made = StageMoment(node, fill, clog, film, store, lit, cleaning, mode)
        return StageMoment(node, fill, clog, film, store, lit, cleaning, mode, tuple(self._words(made)))

    def _words(self, at: StageMoment) -> list[str]:
        figure, words = self.figures[at.stage], []
        if at.cleaning:
            washing = self.year.machine.ageings[at.stage].washing
            words.append("regenerating" if washing is not None and washing.cleaning.name == "regeneration" else "washing")
        if at.lit is not None:
            words.append("lamp lit" if at.lit else "lamp unlit")
        if at.fill is not None:
            words.append(f"{percent(at.fill)} % {_LEFT.get(figure.texture, 'of its capacity left')}")
        if at.clog is not None:
            past = self.overdue(at)
            words.append(" ".join(past) if past else f"{percent(at.clog)} % {_DIRT.get(figure.shape, _DIRT['tank'])}")
        if at.film is not None:
            words.append(f"film on the sleeve takes {_band(at.film)} % of the light, {ILLUSTRATIVE_WORD}")
        if at.store is not None:
            words.append(f"{self.stored(at.stage)}: {percent(at.store)} % left")
        return words

    def overdue(self, at: StageMoment) -> tuple[str, ...]:
        """Dirt beyond what calls for a change or a wash, in two short lines; () where there is less."""
        if at.clog is None or at.clog <= 1.0 + 1e-6:
            return ()
        cartridge = self.figures[at.stage].shape == "cartridge"
        modes = {mode.key: mode.code for mode in self.year.machine.ageings[at.stage].modes}
        state = "blocked:" if modes.get(at.mode) == "cartridge-blocked" else "dirt"
        return f"{state} past", f"its {'change' if cartridge else 'wash'}"

    def stored(self, node: str) -> str:
        """What a stage has in store: salt, permanganate, or the solution of a feed."""
        ageing = self.year.machine.ageings[node]
        keys = {stock.key for stock in ageing.stocks if stock.role == "store"}
        return "salt" if "salt" in keys else "permanganate" if "pot" in keys else "solution"

    # What goes wrong ------------------------------------------------------------------------------------------------------------------

    def is_wrong(self, index: int, slot: int) -> bool:
        return bool(self._going[index][slot])

    @cached_property
    def _going(self) -> list[NDArray[np.bool_]]:
        """Of each entry of the list of what goes wrong: the hours in which it does, shape (slots,)."""
        return [self._hours(wrong) for wrong in self.year.gone_wrong]

    def _hours(self, wrong: GoneWrong) -> NDArray[np.bool_]:
        year, pieces = self.year, self.year.pieces
        seconds = self._seconds(wrong)
        if seconds is not None:
            return np.asarray(pieces.by_slot(seconds) > _LEAST)
        found = np.zeros(pieces.slots, dtype=bool)
        place = "" if wrong.stage == HOUSE else wrong.stage
        for happening in year.happenings:
            if happening.code == wrong.code and happening.stage == place:
                found[min(int(happening.time // HOUR), pieces.slots - 1)] = True
        ageing = year.machine.ageings.get(wrong.stage)
        if ageing is not None:
            modes = [i for i, mode in enumerate(ageing.modes) if mode.code == wrong.code]
            found |= np.isin(self.courses[wrong.stage].mode.astype(np.intp), modes)
        return found

    def _seconds(self, wrong: GoneWrong) -> NDArray[np.float64] | None:
        """Seconds of each piece in which it goes wrong, where the run counts them."""
        judged, light = self.year.judged, self.year.lights.get(wrong.stage)
        if wrong.stage == HOUSE:
            found = judged.at_house.of(wrong.code)
            if found is not None:
                return found.failing if wrong.severity == "fail" else found.beyond
            own = {
                "untreated": judged.untreated,
                "low-pressure": judged.low_pressure,
                "no-water": judged.dry - judged.starved,
                "flow-starved": judged.starved,
            }
            return own.get(wrong.code)
        if light is not None and (wrong.code == "unlit" or wrong.code.startswith("outside-rating-")):
            # a film counts from where the fast end of its band passes: the picture that shows it has no date
            band = light.ageing.band[1] if wrong.code == "outside-rating-film" else 1.0
            return light.outside(wrong.code.removeprefix("outside-rating-"), band)
        entered = read_code(wrong.code)
        if light is not None and entered is not None:
            found = judged.at_light[wrong.stage].by_analyte[entered[0]]
            return found.failing if wrong.severity == "fail" else found.beyond
        return None


def overdue(year: Year, at: StageMoment) -> tuple[str, ...]:
    """Dirt beyond what calls for a change or a wash, in two short lines; () where there is less."""
    return year.once(_Reader).overdue(at)


def stored(year: Year, node: str) -> str:
    """What a stage has in store, in a word."""
    return year.once(_Reader).stored(node)


def _band(band: tuple[float, float]) -> str:
    low, high = (percent(share) for share in band)
    return low if low == high else f"{low} to {high}"


#: Days of a month of use, for axes that carry no date.
MONTH_DAYS = YEAR / DAY / 12

__all__ = [
    "ILLUSTRATIVE_WORD", "MONTH_DAYS", "Moment", "Severity", "StageMoment", "Wrong", "moment", "of_clock", "overdue",
    "percent", "stored", "undated",
]  # fmt: skip
