"""What an iron filter has to say of its duty: too little oxidant, a medium asked for what it cannot do, nothing to do at all."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainapp.dimensions import DAY
from trainapp.stages._iron_budget import Reach
from trainapp.stages.base import Remark
from trainapp.stages.working import pick
from trainapp.water.stream import Stream

if TYPE_CHECKING:
    from trainapp.stages.iron_filter import IronFilter


@dataclass(frozen=True, slots=True)
class Facts:
    """What the treatment of water 0 came to, adverse reading.

    Attributes:
        missed: mg/L of iron that the pH allows and the oxidants did not reach, at the peak.
        store_days: days that a batch regeneration lasts, infinite without one.
        run_days: days until the bed is full.
        every: s between backwashes.
        permanganate: mg/L leaving.
    """

    missed: float
    store_days: float
    run_days: float
    every: float
    permanganate: float


def remarks_of(stage: IronFilter, water: Stream, reach: Reach, facts: Facts) -> Iterator[Remark]:
    """All of them, for water 0."""
    c = stage.spec.constants
    metals = {name: pick(water.get(name)) for name in ("iron", "manganese")}
    sulfide = pick(water.row("hydrogen_sulfide"))
    if metals["iron"] < c["iron_nothing"] and metals["manganese"] < c["manganese_nothing"] and sulfide < c["sulfide_nothing"]:
        yield Remark(
            "no-effect",
            "caution",
            "The iron filter has nothing to do",
            "There is next to no iron, manganese or sulfide in the water that reaches the iron filter.",
            "iron",
            metals["iron"],
            c["iron_nothing"],
            "concentration",
            source="health-canada-fe",
            status="secondary",
        )
        return
    yield from _oxidant(stage, facts)
    # without any oxidant that is the one cause: no medium works without
    bare = stage.oxidant == "none" and facts.missed > c["iron_least"] and not stage.batch
    if not bare:
        yield from _manganese(stage, water, reach)
    yield from _medium(stage, water, bare)
    yield from _batch(stage, facts)
    if facts.run_days * DAY < facts.every:
        yield Remark(
            "capacity-short",
            "caution",
            "The iron filter is full before it is washed",
            "So much iron reaches this bed that it is full before its clock washes it: a larger bed, or a wash more often.",
            "iron",
            facts.run_days * DAY,
            facts.every,
            "time",
            source="bruins-2014",
            status="published",
        )


def _oxidant(stage: IronFilter, facts: Facts) -> Iterator[Remark]:
    least = stage.spec.constants["iron_least"]
    if facts.missed > least and not stage.batch:
        told = {
            "none": "Nothing in the water or ahead of the filter oxidises all of its iron: it needs air, chlorine or permanganate.",
            "air": "Air cannot bring enough oxygen for what this water holds: it needs chlorine or permanganate.",
        }
        yield Remark(
            "oxidant-short",
            "caution",
            "Too little oxidant for the iron filter",
            told.get(stage.oxidant, "The dose as set is less than the water asks for: iron stays dissolved and passes."),
            "iron_dissolved",
            facts.missed,
            least,
            "concentration",
            source="stoichiometry",
            status="computed",
        )
    pink = stage.spec.constants["pink"]
    if facts.permanganate > pink:
        yield Remark(
            "pink-water",
            "caution",
            "Permanganate passes the iron filter",
            "More permanganate is fed than the water uses up: the water turns pink, and a UV lamp behind it is dimmed.",
            value=facts.permanganate,
            limit=pink,
            dimension="concentration",
            source="common-practice",
            status="common practice",
        )


def _manganese(stage: IronFilter, water: Stream, reach: Reach) -> Iterator[Remark]:
    """Manganese that oxygen alone cannot take at this pH."""
    c = stage.spec.constants
    # below the level that stains no one asks for it, and what was not measured is asked for where it weighs
    told = bool(water.is_known("manganese")[0]) and pick(water.get("manganese")) > c["manganese_told"]
    chemical = stage.oxidant in ("chlorine", "permanganate") or pick(water.row("free_chlorine")) > c["manganese_nothing"]
    if chemical or not told or pick(water.row("manganese_dissolved")) < c["manganese_nothing"] or pick(reach.manganese_by_air) >= 1.0:
        return
    yield Remark(
        "media-limit",
        "caution",
        "Air does not take the manganese at this pH",
        "Oxygen alone takes manganese only from a higher pH on: chlorine or permanganate does it here, or the pH must go up first.",
        "ph",
        pick(water.row("ph")),
        max(c["air_manganese_ph"], float(stage.medium["ph_manganese"])),
        "ph",
        source="from-memory",
        status="from memory",
    )


def _medium(stage: IronFilter, water: Stream, bare: bool) -> Iterator[Remark]:
    c = stage.spec.constants
    without = stage.oxidant in ("air", "none") and pick(water.row("free_chlorine")) < c["greensand_chlorine"]
    if not bare and stage.media == "manganese_greensand" and without:
        yield Remark(
            "media-limit",
            "caution",
            "Greensand wears out without chlorine or permanganate",
            "Manganese greensand lives on chlorine or permanganate; oxygen alone does not make its coating new.",
            source="from-memory",
            status="from memory",
            cause=f"greensand:{stage.id}",
        )
    if stage.media == "coated_silicate" and stage.oxidant == "chlorine":
        yield Remark(
            "media-limit",
            "caution",
            "Chlorine on a medium that wants none",
            "Manganese-coated silicate works with oxygen alone; a chlorine feed strips its coating.",
            source="from-memory",
            status="from memory",
            cause=f"silicate:{stage.id}",
        )
    bacteria = pick(water.row("iron_bacteria"))
    if bacteria > 0.0 and (stage.oxidant == "air" or stage.media == "manganese_greensand"):
        what = "An air pocket" if stage.oxidant == "air" else "Greensand"
        yield Remark(
            "iron-bacteria",
            "caution",
            "Iron bacteria reach the iron filter",
            f"{what} is soon overgrown by iron bacteria: shock the well with chlorine first, or feed chlorine all the time.",
            "iron_bacteria",
            bacteria,
            dimension="count",
        )


def _batch(stage: IronFilter, facts: Facts) -> Iterator[Remark]:
    if not stage.batch:
        return
    if facts.store_days * DAY < facts.every:
        yield Remark(
            "capacity-short",
            "caution",
            "The iron filter's regeneration does not last",
            "The medium is used up before it is regenerated again, and iron passes meanwhile: regenerate more often, or take a larger bed.",
            "iron",
            facts.store_days * DAY,
            facts.every,
            "time",
            source="from-memory",
            status="from memory",
        )
    yield Remark(
        "pink-water",
        "note",
        "Pink water after a poor rinse",
        "Where the rinse after a regeneration is cut short, the first water is pink with permanganate: it stains, do not drink it.",
        source="common-practice",
        status="common practice",
    )
