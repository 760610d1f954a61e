"""The parts of a train document. Quantities stay as they were typed; accessors read them in internal units, with documented defaults."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, ClassVar, Literal, TypeVar, cast, get_args

from pydantic import BaseModel, ConfigDict, Field, PrivateAttr, ValidationError

from trainapp.hydraulics.demand import default_table
from trainapp.train.defaults import Default, default
from trainapp.train.errors import Bad, Place, number, quoted
from trainapp.train.fields import Counts, Curve, Day, Kept, Points, Price, Quantity, Span, Whole

Length = Annotated[str, Quantity("length")]
Height = Annotated[str, Quantity("length", "any")]
Flow = Annotated[str, Quantity("flow")]
Pressure = Annotated[str, Quantity("pressure")]
AnyPressure = Annotated[str, Quantity("pressure", "zero")]
Volume = Annotated[str, Quantity("volume")]
AnyVolume = Annotated[str, Quantity("volume", "zero")]
Dose = Annotated[str, Quantity("dose")]
Temperatures = Annotated[list[str], Span("temperature")]
PumpCurve = Annotated[list[list[str]], Curve("falling")]
Fittings = Annotated[dict[str, int], Counts()]
People = Annotated[int | str, Whole(0, 100_000)]
Date = Annotated[str, Day()]

Use = Literal["household", "rental", "food", "public"]
Source = Literal["drilled_well", "driven_well", "dug_well", "spring", "surface", "rain", "mains"]
LimitSet = Literal["us", "canada", "who", "eu"]
Table = Literal["well_allowance", "ipc_tank", "ipc_valve", "nspc", "binomial", "en806", "din1988"]


S = TypeVar("S", bound="Section")


class Section(BaseModel):
    """A part of a document. Unknown keys are kept; only what was given is written."""

    model_config = ConfigDict(extra="allow", frozen=True, strict=True, arbitrary_types_allowed=True)

    #: Name in the table of defaults.
    section: ClassVar[str] = ""
    _facts: Mapping[str, str] = PrivateAttr(default_factory=dict)

    def given(self, key: str) -> bool:
        """Whether the document says it."""
        return _names(type(self)).get(key, key) in self.model_fields_set

    def raw(self, key: str) -> Any:
        """As the document says it, else as its default would be written, else None."""
        name = _names(type(self))[key]
        if name in self.model_fields_set:
            return getattr(self, name)
        row = self.default_of(key)
        return None if row is None else row.value

    def default_of(self, key: str) -> Default | None:
        """The default that holds here, with its source; None where there is none."""
        return default(self.section, key, {**self._own_facts(), **self._facts})

    def get(self, key: str) -> float | None:
        """A quantity in internal units, None where it is neither given nor has a default."""
        raw = self.raw(key)
        return None if raw is None else float(_reader(type(self), key).read(raw))

    def value(self, key: str) -> float:
        """A quantity in internal units.

        Raises:
            KeyError: it is neither given nor has a default.
        """
        amount = self.get(key)
        if amount is None:
            raise KeyError(f"{self.section}.{key}")
        return amount

    def word(self, key: str) -> str:
        """A word or a text, "" where it is neither given nor has a default."""
        raw = self.raw(key)
        return "" if raw is None else str(raw)

    def flag(self, key: str) -> bool:
        """A yes or no; no where it is neither given nor has a default."""
        return bool(self.raw(key))

    def _own_facts(self) -> dict[str, str]:
        kind = getattr(self, "kind", None)
        return {"kind": kind} if isinstance(kind, str) else {}

    def _read(self, key: str) -> Any:
        raw = self.raw(key)
        return None if raw is None else _reader(type(self), key).read(raw)


@cache
def _names(section: type[Section]) -> dict[str, str]:
    """Attribute by key in files."""
    return {field.alias or name: name for name, field in section.model_fields.items()}


@cache
def _reader(section: type[Section], key: str) -> Kept:
    """The annotation that reads a key."""
    field = section.model_fields[_names(section)[key]]
    for candidate in (*field.metadata, *_annotations(field.annotation)):
        if isinstance(candidate, Kept):
            return candidate
    raise KeyError(f"{section.section}.{key} is not a quantity")


def _annotations(annotation: Any) -> list[Any]:
    return [part for arg in get_args(annotation) for part in (arg, *_annotations(arg))]


class MadeWith(Section):
    """What wrote the document first: program version and limit set."""

    section = "made_with"
    program: str | None = None
    limits: str | None = None


class Site(Section):
    """Whose water it is and what it is used for; the story of a sample site stands in `notes`."""

    section = "site"
    name: str | None = None
    use: Use | None = None
    people: People | None = None
    notes: str | None = None


class Room(Section):
    """Free width and height for the train; m by `get`."""

    section = "room"
    width: Length | None = None
    height: Length | None = None


class Standing(Section):
    """Where something stands on the floor of the room: `x`, m from the left wall to the middle of its vessels."""

    section = "place"
    x: Annotated[str, Quantity("length", "zero")]


class Supply(Section):
    """What pushes the water in: a well with its pump and tank, or a main.

    `value` gives yield and at_flow in m3/s, pressures in Pa gauge, tank_volume in m3, lift in m.
    """

    section = "supply"
    kind: Literal["well", "mains"]
    source: Source | None = None
    surface_influence: Literal["yes", "no", "unknown"] | None = None
    yield_: Flow | None = Field(None, alias="yield")
    temperature: Temperatures | None = None
    pump_curve: PumpCurve | None = None
    control: Literal["switch", "constant"] | None = None
    cut_in: Pressure | None = None
    cut_out: Pressure | None = None
    set_pressure: Pressure | None = None
    tank_volume: Volume | None = None
    precharge: AnyPressure | None = None
    static: Pressure | None = None
    residual: AnyPressure | None = None
    at_flow: Flow | None = None
    lift: Height | None = None
    place: Standing | None = None

    @property
    def temperatures(self) -> tuple[float, float]:
        """Coldest and warmest water of the year, degC."""
        low, high = self._read("temperature")
        return float(low), float(high)

    @property
    def curve(self) -> Points:
        """The pump's (flow m3/s, pressure Pa) pairs, least flow first; () for a main."""
        points: Points = self._read("pump_curve") or ()
        return points

    @property
    def precharge_pressure(self) -> float:
        """Air pressure in the empty tank, Pa: as given, else what is usual below the cut-in."""
        given = self.get("precharge")
        if given is not None:
            return given
        row = default("supply", "precharge_below_cut_in", {})
        below = 0.0 if row is None else float(Quantity("pressure").read(row.value))
        return max(self.value("cut_in") - below, 0.0)

    def _own_facts(self) -> dict[str, str]:
        source = self.source or ("mains" if self.kind == "mains" else "drilled_well")
        return {"kind": self.kind, "source": source}


class Demand(Section):
    """What the house draws: peak (m3/s) and daily (m3), or fixtures by a table."""

    section = "demand"
    peak: Flow | None = None
    daily: Volume | None = None
    fixtures: Fittings | None = None
    people: People | None = None
    table: Table | None = None
    pattern: str | None = None

    @property
    def fixture_counts(self) -> dict[str, int]:
        """How many of each fixture."""
        counts: dict[str, int] = self._read("fixtures") or {}
        return counts

    def default_of(self, key: str) -> Default | None:
        """As elsewhere; the table follows from the use of the site and from its fixtures."""
        if key != "table":
            return super().default_of(key)
        table = default_table(cast(Use, self._facts.get("use", "household")), self.fixture_counts)
        return Default(self.section, key, table, {}, "how fixtures become a peak", "common-practice", "common practice")


class Outlet(Section):
    """A further end beside the house; peak m3/s, daily m3, lift m, pressure Pa."""

    section = "outlet"
    peak: Flow
    daily: AnyVolume | None = None
    lift: Height | None = None
    pressure: AnyPressure | None = None
    drinking: bool | None = None
    with_house: bool | None = None


class Goals(Section):
    """What the train is held to: pressures in Pa, dose in mJ/cm2."""

    section = "goals"
    outlet_pressure: AnyPressure | None = None
    house_loss: AnyPressure | None = None
    limits: LimitSet | None = None
    disinfect: Literal["auto", "yes", "no"] | None = None
    uv_dose: Dose | None = None


class Sample(Section):
    """One sheet of results; what a result means is read by :mod:`trainapp.water.sample`."""

    section = "sample"
    id: str
    date: Date | None = None
    at: str | None = None
    lab: str | None = None
    results: dict[str, Any] = Field(default_factory=dict)


class PipeSegment(Section):
    """A run of pipe of one material and nominal size (m) over a length (m), with counted fittings."""

    section = "plumbing"
    material: str | None = None
    size: Length | None = None
    length: Annotated[str, Quantity("length", "zero")] | None = None
    fittings: Fittings | None = None

    @property
    def fitting_counts(self) -> dict[str, int]:
        """How many of each fitting."""
        counts: dict[str, int] = self._read("fittings") or {}
        return counts


#: The document's own word for what holds on every link.
Plumbing = PipeSegment


class StageEntry(Section):
    """One stage as it is written: kind, item of the catalogue, place, settings. What any stage may carry may also stand beside these."""

    section = "stage"
    id: str
    kind: str
    item: str | None = None
    place: Standing | None = None
    settings: dict[str, Any] = Field(default_factory=dict)

    @property
    def beside(self) -> dict[str, Any]:
        """What stands beside `settings`, unknown keys included."""
        return dict(self.model_extra or {})


class _PipeRead(Kept):
    """One segment or a list of them."""

    def read(self, value: object) -> PipeSegment | list[PipeSegment]:
        if isinstance(value, list):
            if not value:
                raise Bad("a list of pipe segments needs at least one")
            return [validated(PipeSegment, part, (number(i),)) for i, part in enumerate(value)]
        return validated(PipeSegment, value)

    def _keep(self, value: object) -> object:
        return self.read(value)


class LinkEntry(Section):
    """A pipe from one node to another."""

    section = "link"
    from_: str = Field(alias="from")
    to: str
    pipe: Annotated[PipeSegment | list[PipeSegment], _PipeRead()] | None = None

    @property
    def ends(self) -> tuple[str, str]:
        """The nodes it joins, upstream first."""
        return self.from_, self.to


class Acceptance(Section):
    """A finding that someone has accepted, and why."""

    section = "accepted"
    code: str
    stage: str | None = None
    analyte: str | None = None
    value_: Any = Field(None, alias="value")
    reason: str
    by: str | None = None
    date: Date | None = None


class ItemRow(Section):
    """A row of the catalogue as it was when the document was saved."""

    section = "item"
    kind: str
    label: str | None = None
    price: Annotated[str | float, Price()] | None = None
    note: str | None = None
    settings: dict[str, Any] = Field(default_factory=dict)

    @property
    def amount(self) -> float | None:
        """Price in the currency of the price list, None where it has none."""
        price: float | None = self._read("price")
        return price


# Sentences --------------------------------------------------------------------------------------------------------------------


def validated(section: type[S], value: object, at: Place = ()) -> S:
    """A section from a plain object.

    Raises:
        Bad: the first thing wrong, in a sentence.
    """
    try:
        return section.model_validate(value)
    except ValidationError as error:
        raise first_problem(error).under(*at) from None


def first_problem(error: ValidationError) -> Bad:
    """The first thing that pydantic found wrong, in this program's words; its place counts list members from 1."""
    problem = error.errors(include_url=False)[0]
    at = tuple(number(step) if isinstance(step, int) else step for step in problem["loc"])
    found, shown = problem["type"], quoted(problem["input"])
    cause = problem.get("ctx", {}).get("error")
    if isinstance(cause, Bad):
        return cause.under(*at)
    if found == "missing":
        return Bad(f'"{at[-1]}" is missing', at[:-1])
    if found == "literal_error":
        words = str(problem["ctx"]["expected"]).replace("'", "").replace(" or ", ", ")
        return Bad(f"{shown} is not one of {words}", at)
    return Bad(_PLAIN.get(found, "{} cannot stand here").format(shown), at)


_PLAIN = {
    "string_type": "{} is not a text",
    "bool_type": "{} is not true or false",
    "list_type": "{} is not a list",
    "dict_type": "{} is not an object",
    "model_type": "{} is not an object",
    "model_attributes_type": "{} is not an object",
}
