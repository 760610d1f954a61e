"""Layouts: which places a train has, in which order, behind which heads. Legal orders follow from the rules of places and of the checks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import product

from trainapp.checks import order, order_at_uv
from trainapp.checks.context import Context
from trainapp.studies.options.choices import Choice, choices
from trainapp.studies.options.hydraulics import Line
from trainapp.studies.options.site import Need, Site
from trainapp.studies.options.treatments import Place, Way
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan
from trainapp.train.scenarios import scenarios_of
from trainapp.train.zones import SUPPLY
from trainapp.water.stream import Stream

Slots = tuple[tuple[Choice, ...], ...]


@dataclass(frozen=True, eq=False)
class Layout:
    """Places in the order of flow, each with what may stand there; all choices of a place are of one kind.

    Attributes:
        site: where. heads: stages ahead of all places, of no choice. slots: choices by place.
    """

    site: Site
    heads: tuple[Choice, ...]
    slots: Slots

    @property
    def places(self) -> tuple[str, ...]:
        """Keys of its places in the order of flow."""
        return tuple(slot[0].place for slot in self.slots)

    @property
    def lamps(self) -> list[int]:
        """Numbers of its places where a chamber stands."""
        return [place for place, slot in enumerate(self.slots) if "disinfection" in slot[0].stage.spec.tags]

    @property
    def trains(self) -> int:
        """How many trains it holds."""
        count = 1
        for slot in self.slots:
            count *= len(slot)
        return count

    def document(self, chosen: Iterable[Choice], own_ids: bool = True) -> Document:
        """The document of one train, heads included. Stages that clean themselves do it one after the other.

        Args:
            own_ids: what exists keeps its id; else every stage has the id of its place.
        """
        stages = [*self.heads, *chosen]
        taken = {choice.place for choice in stages}
        entries, items, hour = [], {}, 0
        for choice in stages:
            entry = dict(choice.entry)
            if not own_ids or entry["id"] in taken - {choice.place}:
                entry["id"] = choice.place
            if choice.stage.during_cleaning is not None and not choice.exists:
                entry["settings"] = {**entry.get("settings", {}), "clean_at": f"{1 + hour * self._apart:g} h"}
                hour += 1
            if choice.item and choice.row is not None:
                items[choice.item] = choice.row
            entries.append(entry)
        return self.site.build(entries, items)

    @property
    def _apart(self) -> float:
        return self.site.rules.apart / 3600.0

    @cached_property
    def sample(self) -> Evaluation:
        """One train of it, evaluated: its flows, its pressure ahead of the first place, its pipes and its raw water are those of all."""
        return evaluate(open_plan(self.document((_ordinary(slot, self.site) for slot in self.slots), own_ids=False)))

    @cached_property
    def line(self) -> Line:
        """Its hydraulics."""
        return Line(self.sample, [choice.place for choice in self.heads], list(self.places))

    @cached_property
    def raw(self) -> Stream:
        """The water at the supply, what no one measured assumed; one column."""
        water = self.sample.plan.once(scenarios_of).water
        return water.part(slice(1))

    @cached_property
    def start(self) -> Stream:
        """The water that enters its first place: that at the supply, or what its heads make of it; one column."""
        at = self.heads[-1].place if self.heads else SUPPLY
        water = self.sample.points[at].water
        return water.part(slice(1))


def _ordinary(slot: tuple[Choice, ...], site: Site) -> Choice:
    """A choice that lets the peak through and is made for it, where there is one: the first of the ladder."""
    flows = site.bare.plan.demands["house"].flows
    height = site.document.room.get("height")

    def merit(choice: Choice) -> tuple[bool, bool, bool]:
        cap = choice.stage.flow_cap
        held = cap is not None and cap * choice.stage.count < drawn(site)
        return held, choice.is_over_rated(flows), choice.is_too_tall(height)

    return min(slot, key=merit)


def drawn(site: Site) -> float:
    """m3/s that the house and the outlets beside it draw at the peak."""
    return sum(float(demand.flows[2]) for demand in site.bare.plan.demands.values() if demand.drinking)


# Which layouts there are ----------------------------------------------------------------------------------------------------------


class Layouts:
    """All layouts of a site; `missing` names places that no item of the catalogue may stand at."""

    def __init__(self, site: Site) -> None:
        self.site = site
        self._choices: dict[str, list[Choice]] = {}
        self.missing: dict[str, Place] = {}

    def choices(self, key: str) -> list[Choice]:
        """Everything that may stand at a place."""
        if key not in self._choices:
            rules = self.site.rules
            self._choices[key] = choices(self.site, rules.places.get(key) or rules.heads[key])
        return self._choices[key]

    def all(self) -> list[Layout]:
        """Every layout, in an order that depends on the files alone."""
        found = []
        for heads in self._heads():
            for places in self.place_sets():
                found += self._best_orders(heads, places)
        return found

    def place_sets(self) -> list[frozenset[str]]:
        """Sets of places that answer all needs, one way for each."""
        needs = [need for need in self.site.needs if not _is_head(need, self.site)]
        ways = [list(self._ways(need)) for need in needs]
        sets: dict[frozenset[str], None] = {}
        for chosen in product(*ways):
            wanted = self._wanted(needs, chosen)
            if all([self._is_there(place) for place in sorted(wanted)]) and not self._excluded(wanted):
                sets[wanted] = None
        return sorted(sets, key=lambda places: (len(places), sorted(places)))

    def _wanted(self, needs: list[Need], chosen: tuple[Way, ...]) -> frozenset[str]:
        """Places of one way for each need; grit is only a need where a stage has a valve that it wears."""
        others = {place for need, way in zip(needs, chosen, strict=True) for place in way.places if need in self.site.asks}
        every = {place for way in chosen for place in way.places}
        return frozenset(every if any(self._washes(place) for place in others) else others)

    def _excluded(self, wanted: frozenset[str]) -> bool:
        """Whether two of the places do the same work."""
        return any(len(pair & wanted) > 1 for pair in self.site.rules.either)

    def _ways(self, need: Need) -> Iterator[Way]:
        """Ways of a need that its value and the site's facts leave."""
        for way in need.rule.ways:
            beyond = way.unless is not None and need.value is not None and need.value > way.unless
            if not beyond and (not way.only or way.only in self.site.facts):
                yield way

    def _is_there(self, place: str) -> bool:
        if not self.choices(place):
            self.missing[place] = self.site.rules.places[place]
        return bool(self._choices[place])

    def _washes(self, place: str) -> bool:
        return any(choice.stage.during_cleaning is not None for choice in self.choices(place))

    def _heads(self) -> list[tuple[Choice, ...]]:
        """What may stand ahead of all: a tank with its own pump where the supply is weak, a regulator where it is too strong."""
        wanted = [key for need in self.site.needs if _is_head(need, self.site) for key in need.rule.ways[0].places]
        each: list[list[Choice | None]] = []
        for key, head in self.site.rules.heads.items():
            tried = head.tried_if in self.site.facts and key not in wanted
            if key in wanted or tried:
                each.append([*([None] if tried else []), *self.choices(key)])
        # without a tank of the catalogue the weak supply stands as it is, and what is found of it says so
        return [tuple(choice for choice in heads if choice is not None) for heads in product(*(found for found in each if found))]

    def _best_orders(self, heads: tuple[Choice, ...], places: frozenset[str]) -> list[Layout]:
        """Layouts of a set of places, in those of the legal orders in which the checks find least."""
        layouts = [
            Layout(self.site, heads, slots) for ordered in orders(self.site.rules.places, places) for slots in self._by_kind(ordered)
        ]
        if len(layouts) < 2:
            return layouts
        misplaced = [_misplaced(layout.sample) for layout in layouts]
        return [layout for layout, count in zip(layouts, misplaced, strict=True) if count == min(misplaced)]

    def _by_kind(self, ordered: tuple[str, ...]) -> Iterator[Slots]:
        """Choices of each place, one kind at a time: kinds may need analytes of their own."""
        kinds = []
        for place in ordered:
            found: dict[str, list[Choice]] = {}
            for choice in self.choices(place):
                found.setdefault(choice.kind, []).append(choice)
            kinds.append([tuple(same) for same in found.values()])
        yield from product(*kinds)


def _is_head(need: Need, site: Site) -> bool:
    return all(place in site.rules.heads for way in need.rule.ways for place in way.places)


def orders(rules: Mapping[str, Place], places: frozenset[str]) -> Iterator[tuple[str, ...]]:
    """Every order in which each place stands behind those that it has to stand behind."""
    if not places:
        yield ()
        return
    for first in (key for key in rules if key in places):
        rest = places - {first}
        if not rules[first].behind & rest:
            for others in orders(rules, rest):
                yield (first, *others)


def _misplaced(evaluation: Evaluation) -> int:
    """How many cautions the order of stages brings."""
    context = Context(evaluation)
    found = [f for module in (order, order_at_uv) for f in module.check(evaluation, context)]
    return sum(1 for f in found if f.severity != "note")
