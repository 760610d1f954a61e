"""Which ways there are to treat what a water needs, and where each stage may stand: resources/options/treatments.toml as data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from trainapp import units
from trainapp.data import load_toml
from trainapp.stages.base import Settings, Spec
from trainapp.studies.cost.rows import Condition
from trainapp.water.analytes import BY_KEY


@dataclass(frozen=True)
class Place:
    """A place of a train.

    Attributes:
        key, label: its name, which is also the id of its stage, and its words.
        tag, kind, not_kind: which stages may be put there; "" for any.
        where: settings that an item must have; `if_set` the same where its kind has the setting.
        units: how many may stand side by side; `units_if_short` several only where one alone is too small.
        vary: settings that are tried beside the item's own, as documents write them.
        behind: places that come before it in the flow where both are there.
        tried_if: a fact by which it is tried though nothing asks for it; "" for none.
    """

    key: str
    label: str
    tag: str
    kind: str
    not_kind: str
    where: Mapping[str, Any]
    if_set: Mapping[str, Any]
    units: tuple[int, ...]
    units_if_short: bool
    vary: Mapping[str, tuple[str, ...]]
    behind: frozenset[str]
    tried_if: str = ""

    def takes(self, spec: Spec) -> bool:
        """Whether a kind may be put there."""
        return (not self.tag or self.tag in spec.tags) and self.kind in ("", spec.kind) and spec.kind != self.not_kind

    def fits(self, spec: Spec, settings: Settings) -> bool:
        """Whether an item of such a kind may."""
        if any(key not in spec.settings for key in self.where):
            return False
        asked = {**self.where, **{key: text for key, text in self.if_set.items() if key in spec.settings}}
        return all(Condition.of(spec.settings[key], text).holds(settings) for key, text in asked.items())


@dataclass(frozen=True, slots=True)
class Way:
    """Places that together answer a need; `unless` the value beyond which it is not tried, `only` a fact that it needs ("" for none)."""

    places: tuple[str, ...]
    unless: float | None
    only: str


@dataclass(frozen=True, slots=True)
class NeedRule:
    """Something that a water or a site may need.

    Attributes:
        key: name. analyte, above, below: what makes it a need, in the analyte's JSON unit; None where that side is open.
        limit_set, lamp: whether the limit set in force, and the guide of a lamp that will stand in the train, are asked too.
        when: a fact of the site that makes it one instead; "" for none. sources: of water that it is asked of, () for all.
        complaint: what people see. treats: what its ways are meant against. source, status: of its figure.
    """

    key: str
    analyte: str
    above: float | None
    below: float | None
    limit_set: bool
    lamp: bool
    when: str
    sources: tuple[str, ...]
    complaint: str
    treats: str
    ways: tuple[Way, ...]
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class Treatments:
    """The whole file: places and heads (stages ahead of all others) by key, places that exclude each other, needs.

    `unfit` holds codes of cautions that say that a piece of equipment is the wrong size or sort, `beside` those that no other equipment
    mends; `apart` is s between cleanings; `least_share` of what is over a limit is the least that a train has to take away;
    `medium_ph` is the pH below which a neutralizer is tried ahead of a medium, `scant_pressure` Pa that a supply has to have to spare.
    """

    places: Mapping[str, Place]
    heads: Mapping[str, Place]
    either: tuple[frozenset[str], ...]
    needs: tuple[NeedRule, ...]
    unfit: frozenset[str]
    beside: frozenset[str]
    apart: float
    least_share: float
    medium_ph: float
    scant_pressure: float


@cache
def treatments() -> Treatments:
    """The file, read once."""
    raw = load_toml("options/treatments.toml")
    fit = raw["fit"]
    return Treatments(
        places={row["key"]: _place(row) for row in raw["place"]},
        heads={row["key"]: _place(row) for row in raw["head"]},
        either=tuple(frozenset(row["places"]) for row in raw["either"]),
        needs=tuple(_need(row) for row in raw["need"]),
        unfit=frozenset(fit["unfit"]),
        beside=frozenset(fit["beside"]),
        apart=units.parse(fit["apart"], "duration"),
        least_share=float(fit["least_share"]),
        medium_ph=float(fit["medium_ph"]),
        scant_pressure=units.parse(fit["scant_pressure"], "pressure"),
    )


def _place(row: Mapping[str, Any]) -> Place:
    vary = {key: tuple(values) for key, values in row.get("vary", {}).items()}
    return Place(
        row["key"], row["label"], row.get("tag", ""), row.get("kind", ""), row.get("not_kind", ""), row.get("where", {}),
        row.get("if_set", {}), tuple(row.get("units", (1,))), row.get("units_if_short", False), vary, frozenset(row.get("behind", ())),
        row.get("tried_if", ""),
    )  # fmt: skip


def _need(row: Mapping[str, Any]) -> NeedRule:
    analyte = row.get("analyte", "")

    def amount(text: str | None) -> float | None:
        return None if text is None else units.parse(text, BY_KEY[analyte].dimension)

    ways = tuple(Way(tuple(way["places"]), amount(way.get("unless")), way.get("if", "")) for way in row["way"])
    return NeedRule(
        row["key"], analyte, amount(row.get("above")), amount(row.get("below")), row.get("limit_set", False), row.get("lamp", False),
        row.get("when", ""), tuple(row.get("sources", ())), row["complaint"], row["treats"], ways, row["source"], row["status"],
    )  # fmt: skip
