"""What stands in the way where no train is found: what most trains fail by, and which demand, let down, would let one through."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from trainapp import units
from trainapp.checks.policy import amount
from trainapp.dimensions import PSI
from trainapp.spelling import inside
from trainapp.studies.options.choices import Choice
from trainapp.studies.options.layouts import Layout, Layouts
from trainapp.studies.options.reasons import about, is_in_the_way, share_of, why
from trainapp.studies.options.site import Site
from trainapp.studies.options.trains import Tally
from trainapp.train.document import Document
from trainapp.train.overrides import limits_in_force
from trainapp.train.zones import HOUSE
from trainapp.water.analytes import BY_KEY, Analyte

#: How many reasons are told.
_TOLD = 4
_PEAKS = (0.75, 0.5)


@dataclass(frozen=True, slots=True)
class Obstacle:
    """One thing that stands in the way: a sentence, and how many of the trains it takes away (0: a demand that was tried)."""

    sentence: str
    trains: int = 0


def obstacles(site: Site, layouts: Sequence[Layout], tally: Tally, finds: Callable[[Document], bool]) -> list[Obstacle]:
    """What stands in the way.

    Args:
        finds: whether any train is found for another document.
    """
    return [*_reasons(site, layouts, tally), *_let_down(site, finds)]


def beyond_obstacles(site: Site, layouts: Layouts) -> Iterator[Obstacle]:
    """What equipment against needs that were given up takes at the most, beside the raw water."""
    for need in site.beyond:
        for key in dict.fromkeys(place for way in need.rule.ways for place in way.places):
            limits = [_most(choice, need.rule.analyte) for choice in layouts.choices(key)]
            known = [limit for limit in limits if limit is not None]
            if known and len(known) == len(limits) and need.value is not None and max(known) < need.value:
                yield Obstacle(_beyond(site, key, need.value, max(known), BY_KEY[need.rule.analyte]))


def _most(choice: Choice, analyte: str) -> float | None:
    bounds = (limit.maximum for limit in limits_in_force(choice.stage) if limit.analyte == analyte)
    return min((bound for bound in bounds if bound is not None), default=None)


def _beyond(site: Site, key: str, value: float, most: float, known: Analyte) -> str:
    place = site.rules.places.get(key) or site.rules.heads[key]
    raw, taken = (units.show(v, known.dimension, site.system, analyte=known.key) for v in (value, most))
    label = f"{place.label[:1].upper()}{place.label[1:]}"
    return f"{label}: it takes {taken} of {inside(known.label)} at the most, and the raw water holds {raw}."


def room_obstacles(site: Site, layouts: Sequence[Layout]) -> Iterator[Obstacle]:
    """The room, where no train of the catalogue stands in it: how large it would have to be at the least."""
    room, system = site.document.room, site.system
    gap = amount("room_gap")

    def told(needed: float, given: float | None, sentence: str) -> Iterator[Obstacle]:
        if given is not None and needed > given * (1 + 1e-9):
            least = units.show_against_limit(needed, given, "distance", system)
            yield Obstacle(sentence.format(units.show(given, "distance", system), least))

    tops = [max((min(choice.top for choice in slot) for slot in layout.slots), default=0.0) for layout in layouts]
    floors = [
        sum(min(sum(body + gap for body in choice.bodies) for choice in slot) for slot in layout.slots) - gap for layout in layouts
    ]  # fmt: skip
    yield from told(min(tops, default=0.0), room.get("height"), "The room is too low: it is {} high, and the lowest train takes {}.")
    yield from told(min(floors, default=0.0), room.get("width"), "The room is too narrow: it is {} wide, and the narrowest train takes {}.")


def _reasons(site: Site, layouts: Sequence[Layout], tally: Tally) -> Iterator[Obstacle]:
    """What takes most trains away."""
    rules = site.rules
    found = sorted(tally.left_out.items(), key=lambda item: (-item[1], item[0]))
    # equipment that is too small is in nobody's way, where there is larger
    found = [item for item in found if is_in_the_way(site, layouts, item[0])]
    for said, trains in found[:_TOLD]:
        known = said[0] in rules.places or said[0] in rules.heads
        label = f"{about(site, said)}: " if known else ""
        yield Obstacle(f"{label}{why(site, layouts, said)} ({share_of(trains, tally)}).", trains)


def _let_down(site: Site, finds: Callable[[Document], bool]) -> Iterator[Obstacle]:
    """Demands that, let down, let a train through: of one demand the least that it has to give."""
    answered: set[str] = set()
    for demand, sentence, document in _tries(site):
        if demand not in answered and finds(document):
            answered.add(demand)
            yield Obstacle(sentence)


def _tries(site: Site) -> Iterator[tuple[str, str, Document]]:
    """A demand, what is said if it helps, and the document with it let down."""
    tree, system = site.document.tree, site.system
    peak = float(site.bare.plan.demands[HOUSE].flows[2])

    def shown(value: float, dimension: str) -> str:
        return units.show(value, dimension, system)

    for share in _PEAKS:
        less = _changed(tree, {"demand": {"peak": units.write(peak * share, "flow")}})
        yield "peak", f"With a peak of {shown(peak * share, 'flow')} instead of {shown(peak, 'flow')} there are trains.", less
    wanted = site.bare.plan.goal_pressure
    if wanted > 15.0 * PSI:
        lower = _changed(tree, {"goals": {"outlet_pressure": "15 psi"}})
        told = f"With {shown(15.0 * PSI, 'pressure')} at the house instead of {shown(wanted, 'pressure')} there are trains."
        yield "pressure", told, lower
    if site.document.room.get("height") is not None or site.document.room.get("width") is not None:
        yield "room", "In a larger room there are trains.", _changed({**tree, "room": {}}, {})


def _changed(tree: Mapping[str, Any], changes: Mapping[str, Mapping[str, Any]]) -> Document:
    new = copy.deepcopy(dict(tree))
    for section, values in changes.items():
        new[section] = {**new.get(section, {}), **values}
    return Document.of(new)
