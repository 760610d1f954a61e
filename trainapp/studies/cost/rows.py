"""Rows of a price list: what each prices, and which columns it has."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Literal

from trainapp import units
from trainapp.stages.base import Settings, SettingSpec
from trainapp.train.settings import read_setting

Section = Literal["equipment", "fittings", "labour", "part", "use", "power", "visit"]

#: Columns of each section beside `note`; the first ones have to be there.
COLUMNS: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "equipment": (("price",), ("item", "kind", "where", "rental")),
    "fittings": (("kind", "price"), ("where",)),
    "labour": (("kind", "hours"), ("where",)),
    "part": (("item", "price", "per"), ("kind", "where")),
    "use": (("item", "price", "per"), ()),
    "power": (("kind", "watts"), ("where",)),
    "visit": (("item", "price", "per"), ()),
}
#: What a `per` may be, with the dimension it counts: "each" counts pieces of every unit, "time" one for all that is due side by side on
#: one day.
PER: Mapping[str, str] = {
    "each": "none", "time": "none", "lb": "mass", "kg": "mass", "ft3": "bulk_volume", "L": "bulk_volume", "1000 gal": "volume",
    "m3": "volume", "kWh": "energy", "once": "visit", "year": "visit",
}  # fmt: skip
_PER_OF: Mapping[str, tuple[str, ...]] = {
    "part": ("each", "time", "lb", "kg", "ft3", "L"), "use": ("1000 gal", "m3", "kWh"), "visit": ("once", "year"),
}  # fmt: skip
_UP_TO = "up to "
#: What a row of the section `use` may price.
USES = ("water", "well_water", "sewer", "power")


def units_of(section: str) -> tuple[str, ...]:
    """What `per` may be in a section."""
    return _PER_OF.get(section, ())


@dataclass(frozen=True, slots=True)
class Condition:
    """A setting that a row asks for: one of several values (internal units), or a number up to `most`."""

    key: str
    values: tuple[Any, ...] = ()
    most: float | None = None

    @classmethod
    def of(cls, spec: SettingSpec, text: object) -> Condition:
        """A condition as files write it: "up to 3 in", "5 um|1 um", or one value.

        Raises:
            Bad, UnitError: it is no value of that setting.
        """
        if isinstance(text, str) and text.startswith(_UP_TO):
            return cls(spec.key, most=units.parse(text.removeprefix(_UP_TO), spec.dimension))
        alternatives = text.split("|") if isinstance(text, str) else [text]
        return cls(spec.key, tuple(read_setting(spec, part.strip() if isinstance(part, str) else part) for part in alternatives))

    def holds(self, settings: Settings) -> bool:
        """Whether a stage is set so."""
        here = settings.get(self.key)
        if here is None:
            return False
        if self.most is not None:
            return float(here) <= self.most * (1 + 1e-6)
        return any(_same(here, value) for value in self.values)


def _same(here: object, wanted: object) -> bool:
    if isinstance(here, float) and isinstance(wanted, float):
        return math.isclose(here, wanted, rel_tol=1e-6)
    return here == wanted


@dataclass(frozen=True, slots=True)
class Row:
    """One row.

    Attributes:
        section: which list it stands in. item: an item of the catalogue, a part of upkeep, a use, or what a visit is for.
        kind: of stage; "" for any. where: conditions on its settings. per: what a price counts, one of :data:`PER`.
        price: money for each `per`; hours, watts: of a kind. rental: money a month, None where it is not given.
        place: where it stands in its file. note, source, status: as for any figure of the program.
    """

    section: Section
    place: str
    item: str = ""
    kind: str = ""
    where: tuple[Condition, ...] = ()
    per: str = "each"
    price: Decimal = Decimal(0)
    hours: Decimal = Decimal(0)
    watts: Decimal = Decimal(0)
    rental: Decimal | None = None
    note: str = ""
    source: str = "document"
    status: str = "common practice"
    raw: Mapping[str, Any] = field(default_factory=dict, compare=False)

    def fits(self, kind: str, settings: Settings) -> bool:
        """Whether it speaks of a stage."""
        return (not self.kind or self.kind == kind) and all(condition.holds(settings) for condition in self.where)
