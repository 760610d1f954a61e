"""How a stage changes in use: what it fills up with, how that shows in the water and in the pressure, and what makes it new again.

A stage answers :meth:`trainapp.stages.base.Stage.ageing` with one of these, or with None where nothing about it ages. An ageing is a
few *stocks*, amounts that only grow while the stage is used, and a few *modes*, the ways the stage then works: mode 0 is as designed.
The study of a year moves the stocks on, asks for the mode they put the stage in, and lets it be washed and served. Stocks are of one
unit of the stage.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal, NamedTuple

import numpy as np

from trainapp import data, units
from trainapp.stages.base import Cleaning, Duty, Severity, Stage
from trainapp.stages.working import Array, Working
from trainapp.water.stream import Stream

#: What a stock is in a picture: resin or carbon used up, dirt that takes pressure, a film that takes light, age, a store that runs out.
Role = Literal["fill", "clog", "film", "age", "store"]


@dataclass(frozen=True, slots=True)
class Stock:
    """One amount that grows while a stage is used.

    Attributes:
        key, label: name in results, name on screen.
        dimension: key into :data:`trainapp.dimensions.DIMENSIONS`; the amount is in its internal unit.
        full: amount that a picture shows as full.
        role: what it is in a picture.
        illustrative: whether its growth is a teaching picture, not data.
    """

    key: str
    label: str
    dimension: str
    full: float
    role: Role
    illustrative: bool = False


@dataclass(frozen=True, slots=True)
class Service:
    """One thing that upkeep does to a stage.

    Attributes:
        key, label: name in results, what is done.
        every_days: at the latest this long after the last time; infinite where only need decides.
        stock, at: or as soon as this stock comes to this amount; "" where only the calendar decides.
        item: what it uses, "" for nothing.
        dimension: of the amount used; "none" counts pieces.
    """

    key: str
    label: str
    every_days: float = np.inf
    stock: str = ""
    at: float = np.inf
    item: str = ""
    dimension: str = "none"


@dataclass(frozen=True, slots=True)
class Mode:
    """One way a stage works.

    Attributes:
        key: name in results.
        code, severity, sentence: what is told when it comes to this; no code where there is nothing to tell.
        passes: whether water leaves as it came.
        unlit: whether no light reaches the water, as it does when the power fails.
        illustrative: whether its coming is a teaching picture.
    """

    key: str
    code: str = ""
    severity: Severity = "caution"
    sentence: str = ""
    passes: bool = False
    unlit: bool = False
    illustrative: bool = False


@dataclass(frozen=True, slots=True)
class Washing:
    """When a stage cleans itself.

    Attributes:
        cleaning: how one unit does it.
        every_days: days between by its clock, at the latest where a meter calls it; infinite without a clock.
        metered: whether :meth:`Ageing.calls` decides, at the next clean hour.
        at_once: whether it does not wait for that hour: another tank takes over.
        shortest: s from one to the next at the least.
    """

    cleaning: Cleaning
    every_days: float
    metered: bool = False
    at_once: bool = False
    shortest: float = 0.0


class Served(NamedTuple):
    """What a service leaves: the stocks, the share of what the stage holds that was thrown out, and the amount of its item used."""

    state: Array
    thrown: float = 0.0
    amount: float = 1.0


class Washed(NamedTuple):
    """What a wash leaves: the stocks, the share of what the stage holds that went to drain, and what is told where something ran out."""

    state: Array
    drained: float = 0.0
    short: Mode | None = None


class Ageing:
    """The base: a stage that neither fills up nor is served. Subclasses set `stocks`, `services`, `modes` and `washing`.

    Args:
        stage: the stage.
        water: what enters it on an ordinary day, three flows.
        duty: what one unit of it has to do.
    """

    stocks: tuple[Stock, ...] = ()
    services: tuple[Service, ...] = ()
    modes: tuple[Mode, ...] = (Mode("as designed"),)
    washing: Washing | None = None
    #: How many times faster each stock grows by the second while water stands warm in the stage; () for no difference.
    when_warm: tuple[float, ...] = ()
    #: Seconds of standing from which water in the stage counts as warm.
    warm_after: float = np.inf

    def __init__(self, stage: Stage, water: Stream, duty: Duty) -> None:
        self.stage, self.duty = stage, duty

    def index(self, key: str) -> int:
        """Where a stock stands in the state."""
        return next(i for i, stock in enumerate(self.stocks) if stock.key == key)

    def set_by(self, water: Stream, volumes: Array, reading: int) -> None:
        """Set what is set once, at start-up, by the water of an ordinary day with everything new.

        Args:
            water: what enters in each way that water is drawn, at flow 0, the way on the waters axis.
            volumes: m3 in each way, shape (ways,). reading: the one that runs.
        """

    # What the stocks do -----------------------------------------------------------------------------------------------------------

    def mode(self, state: Array) -> int:
        """The mode that these stocks put the stage in."""
        return 0

    def limits(self, state: Array) -> Array:
        """Amount of each stock above the present at which the mode changes or a meter calls next; infinite where none is. (stocks,)"""
        return np.full(len(self.stocks), np.inf)

    def leaving(self, mode: int, water: Stream, duty: Duty) -> Stream:
        """The water that leaves one unit in a mode; shapes as in :meth:`Stage.treat`."""
        return water.copy() if self.modes[mode].passes else treated(self.stage, water, duty)

    def per_volume(self, mode: int, water: Stream, out: Stream) -> Array:
        """Growth of each stock for a m3 through one unit, shape (stocks, 2 readings, 3 flows, waters); only the first flow is read."""
        return np.zeros((len(self.stocks), *water.values.shape[1:]))

    def per_second(self, mode: int, water: Stream) -> Array:
        """Growth of each stock in a second in which this water flows or stands, same shape."""
        return np.zeros((len(self.stocks), *water.values.shape[1:]))

    def added_loss(self, states: Array, temperature: float) -> tuple[Array, Array]:
        """What the stocks add to the clean resistance of one unit: a in Pa s/m3 and b in Pa s2/m6 of a Q + b Q2.

        Args:
            states: shape (stocks, times). temperature: degC.
        """
        nothing = np.zeros(states.shape[1])
        return nothing, nothing

    # What makes it new --------------------------------------------------------------------------------------------------------------

    def calls(self, state: Array) -> bool:
        """Whether its meter asks for a wash."""
        return False

    def wanted_flow(self, temperature: float) -> float:
        """m3/s that a wash of one unit asks at this water temperature (degC)."""
        return self.washing.cleaning.flow if self.washing else 0.0

    def wash(self, state: Array, cleaned: float) -> Washed:
        """The stocks after a wash that reached `cleaned` (0 to 1) of what a full one does."""
        return Washed(state)

    def serve(self, state: Array, key: str) -> Served:
        """The stocks after a service."""
        return Served(state)


class LampAgeing(Ageing, ABC):
    """The base of what disinfects by light: it needs power, and its dose follows from lamp, film, flow and water.

    Times are along an axis of their own; flows (m3/s of one unit) and absorbances (1/cm) are arrays that broadcast.

    Attributes:
        shuts: whether a valve closes when power or lamp fails.
        rated_flow, rated_absorbance, rated_dose: m3/s of one unit, 1/cm, mJ/cm2 of its rating.
        assumed: share of the rated dose that a design counts on from lamp and sleeve; less than that is outside the rating.
        lamp_end: share of a new lamp's light at which it is to be changed.
        watts: W that one unit draws.
    """

    shuts: bool
    rated_flow: float
    rated_absorbance: float
    rated_dose: float
    assumed: float
    lamp_end: float
    watts: float

    @abstractmethod
    def scales(self, water: Stream, above: float = 0.0) -> Array:
        """1 where scale forms on the warm sleeve, or where nobody can know and the water is hard, else 0; shape (readings, flows, waters).

        `above` is the saturation index from which on it counts.
        """

    @abstractmethod
    def lamp_output(self, states: Array) -> Array:
        """Share of a new lamp's light while it burns, shape (times,)."""

    @abstractmethod
    def film(self, states: Array, band: float = 1.0) -> Array:
        """Share of light that the film lets through, shape (times,); `band` times the middle rate of growth. Illustrative."""

    @abstractmethod
    def standing(self, lamp: Array, film: Array) -> Array:
        """Light over that of the state the rating holds for, never above 1: what the rating leaves."""

    @abstractmethod
    def credited(self, flow: Array, absorbance: Array) -> Array:
        """mJ/cm2 that the rating leaves, lamp and sleeve being as the rating holds."""

    @abstractmethod
    def estimated(self, flow: Array, absorbance: Array, temperature: float) -> Array:
        """mJ/cm2 by optics for a new lamp and a clean sleeve, for teaching; `temperature` of the water in degC."""

    @abstractmethod
    def warmth(self, idle: Array) -> Array:
        """K by which water is warmer after standing `idle` seconds in the lit chamber."""

    @property
    @abstractmethod
    def band(self) -> tuple[float, float]:
        """Slowest and fastest growth of the film over the middle."""


def treated(stage: Stage, water: Stream, duty: Duty) -> Stream:
    """What the stage's own model makes of a water, nothing recorded."""
    return stage.treat(water, duty, Working(False), [])


@cache
def constants(table: str) -> Mapping[str, float]:
    """The numbers of one table of resources/year/ageing.toml in internal units."""
    rows = data.load_toml("year/ageing.toml")[table]
    return {k: units.parse(row["value"], row["dimension"]) if "dimension" in row else float(row["value"]) for k, row in rows.items()}


def starved(available: float, wanted: float) -> float:
    """Share of a full wash that a flow achieves: none up to a share of what is wanted, all at what is wanted, in proportion between."""
    least = constants("washing")["starved"]
    ratio = available / wanted if wanted > 0.0 else 1.0
    return float(np.clip((ratio - least) / (1.0 - least), 0.0, 1.0))


def stacked(water: Stream, *rows: Array | float) -> Array:
    """Rows of growth, one a stock, each broadcast to the shape of the water: (stocks, 2, 3, waters)."""
    return np.stack([np.broadcast_to(np.asarray(row, dtype=np.float64), water.values.shape[1:]) for row in rows])
