"""What every stage of treatment is made of. A process is one module that subclasses :class:`Stage`, and one TOML of data.

The engine asks a stage the same questions whatever it is: what water it needs, what it does to the water, what pressure it takes,
what it needs to clean itself, what upkeep it wants, how big it stands. Nothing outside the module knows a kind by name.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, ClassVar, Literal, Self

from trainapp.dimensions import PSI
from trainapp.hydraulics.elements import Element, Resistance
from trainapp.hydraulics.supply import Supply
from trainapp.stages.working import Array, Law, Working
from trainapp.water.stream import Stream

if TYPE_CHECKING:
    from trainapp.stages.ageing import Ageing

Severity = Literal["fail", "caution", "note"]
DuringCleaning = Literal["raw_passes", "closed", "other_tank"]


@dataclass(frozen=True, slots=True)
class SettingSpec:
    """One setting of a kind.

    Attributes:
        key: name in the document.
        dimension: key into trainapp.units.DIMENSIONS, or "choice", "text", "flag", "integer", "curve" (flow, pressure pairs), "table".
        default: as a document would write it; None where there is none (then the stage works without).
        meaning: one phrase for the editor. choices: allowed words of a choice. positive: whether zero and below are refused.
        source, status: where the default comes from.
        when: words of other settings under which it counts ("a|b"); it always does where there is none.
    """

    key: str
    dimension: str
    default: str | None
    meaning: str
    choices: tuple[str, ...] = ()
    positive: bool = True
    source: str = "common-practice"
    status: str = "common practice"
    when: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Limit:
    """What may enter a stage, or should leave at the house.

    Attributes:
        analyte: an analyte key.
        minimum, maximum: in the analyte's JSON unit; None where that side is open.
        strict: beyond it is a fail; else a screening guide (rules 21: caution beyond it, fail at twice it).
        reason: one clause a customer understands ("iron coats the sleeve of the lamp").
        source, status: where it comes from. `override_of` is the guide that a document's own limit without a source leaves standing.
    """

    analyte: str
    minimum: float | None
    maximum: float | None
    source: str
    status: str
    strict: bool = False
    reason: str = ""
    code: str = "inlet-limit"
    override_of: Limit | None = None


@dataclass(frozen=True, slots=True)
class Remark:
    """Something a stage has to say of itself in this duty; the checks make a finding of it.

    `severity` is what the policy of rules 21-24 gives it; `cause` groups remarks of one cause (one cause, one finding).
    `value` and `limit` are in internal units of `dimension` ("none": in `unit`).
    """

    code: str
    severity: Severity
    title: str
    message: str
    analyte: str = ""
    value: float | None = None
    limit: float | None = None
    dimension: str = "none"
    unit: str = ""
    source: str = "common-practice"
    status: str = "common practice"
    cause: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Duty:
    """What one unit of a stage has to do here.

    Attributes:
        flows: m3/s through one unit at trickle, average, peak; shape (3, 1), or (3, waters) where the flow varies.
        daily: m3 a day through one unit.
        cold, warm: the coldest and warmest water of the year, degC.
        unsafe: the water needs disinfection (coliform present, or a source at risk).
        chlorinated: the supply carries a residual.
        source: the supply's source word (drilled_well, mains, ...).
        uv_dose: dose that the document wants of ultraviolet light, mJ/cm2.
        surface: surface water reaches it: no ultraviolet light alone answers that.
        most_flow: the most that the supply can push through one unit, m3/s; 0 where it is not known.
    """

    flows: Array
    daily: float
    cold: float
    warm: float
    unsafe: bool = False
    chlorinated: bool = False
    source: str = "drilled_well"
    uv_dose: float = 40.0
    surface: bool = False
    most_flow: float = 0.0

    @property
    def design_temperature(self) -> float:
        """Coldest water: most viscous, slowest chemistry; degC."""
        return self.cold


@dataclass(frozen=True, slots=True)
class Cleaning:
    """How one unit cleans itself.

    Attributes:
        name: "backwash" or "regeneration".
        flow: m3/s to drain that the model asks at the warmest water; `flow_cold` at the coldest (more loses media).
        published: least and most that published practice asks for this medium, m3/s, None where none is known.
        minutes: how long the highest flow runs; `total_minutes` how long raw water may pass.
        volume: m3 to drain a cleaning.
        every_days: days between cleanings in this duty.
        during: what the house gets meanwhile.
        hour: local hour it starts at.
        salt: kg a cleaning.
        pressure: Pa wanted at the unit's inlet meanwhile.
    """

    name: Literal["backwash", "regeneration"]
    flow: float
    flow_cold: float
    published: tuple[float, float] | None
    minutes: float
    total_minutes: float
    volume: float
    every_days: float
    during: DuringCleaning = "raw_passes"
    hour: float = 2.0
    salt: float = 0.0
    pressure: float = 25 * PSI


@dataclass(frozen=True, slots=True)
class Chore:
    """One thing that upkeep asks: what is done, how often, and what it uses (`amount` in internal units of `dimension` each time)."""

    what: str
    every_days: float
    item: str = ""
    amount: float = 1.0
    dimension: str = "none"
    source: str = "common-practice"
    status: str = "common practice"


@dataclass(frozen=True, slots=True)
class Figure:
    """How a stage stands in the room, for the to-scale picture; metres.

    Attributes:
        shape: "tank", "cartridge", "chamber", "box" stand or hang in the room; "inline" sits in the pipe.
        width, height: of one unit. `base` is the height of its underside above the floor.
        texture: what fills it ("resin", "iron", "sand", "carbon", "calcite", "pleat", "lamp", "water", "none"), to `fill` metres.
        beside: width and height of a brine or solution tank beside it, (0, 0) for none.
        clear_above: free height that service needs above it (lamp withdrawal, filling a tank).
        clear_below: free height below it (changing a cartridge).
    """

    shape: Literal["tank", "cartridge", "chamber", "box", "inline"]
    width: float
    height: float
    base: float = 0.0
    texture: str = "none"
    fill: float = 0.0
    beside: tuple[float, float] = (0.0, 0.0)
    clear_above: float = 0.0
    clear_below: float = 0.0


@dataclass(frozen=True, slots=True)
class Rating:
    """What flow one unit is made for, m3/s; None where it has no such rating. A UV has one rating: service == peak."""

    service: float | None = None
    peak: float | None = None
    source: str = "common-practice"
    status: str = "common practice"
    is_device_rating: bool = False


@dataclass(frozen=True, slots=True)
class Spec:
    """What is fixed about a kind, read from resources/stages/KIND.toml (or given in code by a new process).

    Attributes:
        kind, label, group, shelf, summary: name in files, name on screen, heading on the shelf, order there, one line of help.
        settings: by key, the kind's own and the common ones.
        limits: what may enter, with the condition on settings under which each holds.
        needs: rows that the model reads: unknown ones are assumed within plausible ends, and said so.
        constants: other numbers of the model, by name: (value in internal units or as named by `unit`), with source and status.
        media: tables by medium.
        tags: roles that order rules speak of: "sediment", "oxidant", "iron_removal", "hardness_up", "ph_up", "softening",
            "ion_exchange", "anion_exchange", "carbon", "disinfection", "contact", "flow_control", "bypass", "junction", "storage",
            "regulator", "declared".
    """

    kind: str
    label: str
    group: str
    shelf: int
    summary: str
    settings: Mapping[str, SettingSpec]
    limits: tuple[tuple[Limit, Mapping[str, str]], ...] = ()
    needs: tuple[str, ...] = ()
    constants: Mapping[str, float] = field(default_factory=dict)
    media: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    tags: frozenset[str] = frozenset()


class Settings:
    """The settings of one stage in internal units: typed ones, then the catalogue item's, then the kind's defaults."""

    __slots__ = ("_values", "given")

    def __init__(self, values: Mapping[str, Any], given: frozenset[str]) -> None:
        self._values = dict(values)
        #: keys that the document or its item gave; the rest are defaults.
        self.given = given

    def __getitem__(self, key: str) -> Any:
        return self._values[key]

    def get(self, key: str) -> Any:
        """The value, or None where the kind has no default."""
        return self._values.get(key)

    def number(self, key: str) -> float:
        """A setting that is a number, in internal units; KeyError where it has none."""
        return float(self._values[key])

    def word(self, key: str) -> str:
        """A setting that is a word."""
        return str(self._values[key])

    def but(self, **values: Any) -> Settings:
        """These settings with some others, in internal units."""
        return Settings({**self._values, **values}, self.given)


class Stage(ABC):
    """One stage of a train: a kind with its settings. Instances are immutable in use; everything they answer follows from the settings."""

    spec: ClassVar[Spec]
    #: By analyte that the kind changes: how what leaves follows, in the symbols of its working. See trainapp.stages.leaving.
    laws: Mapping[str, Law] = MappingProxyType({})

    def __init__(self, stage_id: str, settings: Settings) -> None:
        self.id = stage_id
        self.settings = settings

    # What it does -----------------------------------------------------------------------------------------------------------

    @abstractmethod
    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        """The water leaving one unit. Must not change `water`; start from ``water.copy()``.

        Records its steps in `w`, with ``result=`` naming each number that JSON shows, and appends to `remarks` (from water 0) what it has
        to say. Works elementwise on arrays of shape (2 readings, flows, waters). Never credits disinfection.
        """

    @abstractmethod
    def losses(self, cold: float) -> tuple[Element, Element]:
        """Clean and dirty resistance of one unit at the coldest water (degC). The base handles a maker's curve and `count`."""

    # What it needs ----------------------------------------------------------------------------------------------------------

    def limits(self) -> tuple[Limit, ...]:
        """What may enter, for these settings (overrides of the document applied by the engine)."""
        return tuple(
            limit for limit, when in self.spec.limits if all(str(self.settings.get(k)) in str(v).split("|") for k, v in when.items())
        )

    def rating(self) -> Rating:
        """The flow one unit is made for."""
        is_makers = bool({"service_flow", "peak_flow"} & self.settings.given)
        return Rating(self.settings.get("service_flow"), self.settings.get("peak_flow"), is_device_rating=is_makers)

    def cleaning(self, water: Stream, duty: Duty) -> Cleaning | None:
        """How it cleans itself in this duty, None where it does not."""
        return None

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        """What upkeep asks in this duty."""
        return ()

    def ageing(self, water: Stream, duty: Duty) -> Ageing | None:
        """How it changes in use, fed with this water in this duty; None where it does not."""
        return None

    def but(self, **settings: Any) -> Self:
        """The same stage with other settings, in internal units."""
        return type(self)(self.id, self.settings.but(**settings))

    # How it is built --------------------------------------------------------------------------------------------------------

    @abstractmethod
    def figure(self) -> Figure:
        """How one unit stands in the room."""

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        """What identifies its size under its name: (key, value, dimension) of few settings."""
        return ()

    @property
    def count(self) -> int:
        """Identical units in parallel."""
        return int(self.settings.get("count") or 1)

    @property
    def flow_cap(self) -> float | None:
        """Nominal m3/s that a flow control inside holds, None without one. `cap_band` is its tolerance as a fraction."""
        return None

    cap_band: float = 0.0

    #: A tank open to air with its own pump: the train's hydraulics begin again behind it.
    breaks_pressure: ClassVar[bool] = False

    @property
    def holds_pressure(self) -> float | None:
        """Pa that a regulator holds at its outlet, None elsewhere."""
        return None

    @property
    def is_shut(self) -> bool:
        """Whether no water passes it: a bypass that is closed."""
        return False

    @property
    def wanted_share(self) -> float | None:
        """Share of its split that an open bypass takes at the peak, None elsewhere."""
        return None

    def pump_supply(self) -> Supply:
        """The pump behind a tank open to air; only where `breaks_pressure`."""
        raise TypeError(f"{self.spec.kind} has no pump of its own")

    @property
    def during_cleaning(self) -> DuringCleaning | None:
        """What the house gets while the unit cleans itself; None where it does not clean itself."""
        if type(self).cleaning is Stage.cleaning:
            return None
        given: DuringCleaning | None = self.settings.get("during_cleaning")
        return given or "raw_passes"

    @property
    def passes_raw(self) -> bool:
        """Whether raw water goes by while it cleans itself, or while one of several units does: it comes by that unit's own valve."""
        return self.during_cleaning == "raw_passes"

    def side_by_side(self, count: int) -> dict[str, Any]:
        """Settings of so many units of it: where raw water would go by, the others serve while one of them cleans itself."""
        return {"count": count} | ({"during_cleaning": "other_tank"} if count > 1 and self.passes_raw else {})

    def elements(self, cold: float) -> tuple[Element, Element]:
        """Clean and dirty resistance of all units together, a maker's curve winning over the model."""
        curve = self.settings.get("head_loss")
        clean, dirty = self.losses(cold)
        if curve:
            last = curve[-1][0]
            dirt = (dirty.loss(last) - clean.loss(last)) / last
            clean, dirty = Resistance(curve=tuple(curve)), Resistance(linear=dirt, curve=tuple(curve))
        if self.count > 1 and isinstance(clean, Resistance) and isinstance(dirty, Resistance):
            return clean.shared(self.count), dirty.shared(self.count)
        return clean, dirty
