"""The bare site that options are sought for: its water, demand and room without the stages of its document, and what it needs."""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import networkx as nx

from trainapp import units
from trainapp.checks import findings as check_all
from trainapp.checks.context import Context
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.flow_short import SHORT_SUPPLY
from trainapp.checks.policy import amount
from trainapp.hydraulics.supply import Well
from trainapp.stages import registry
from trainapp.stages.base import Limit
from trainapp.stages.working import PEAK
from trainapp.studies.options.treatments import NeedRule, Treatments, treatments
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.graph import graph_of
from trainapp.train.model import ItemRow
from trainapp.train.plan import open_plan
from trainapp.train.raw import SURFACE
from trainapp.train.writing import canonical
from trainapp.train.zones import HOUSE, SUPPLY
from trainapp.units import System
from trainapp.water.analytes import BY_KEY
from trainapp.water.stream import Stream

#: Unit conversions leave the last digits of a limit open.
_EDGE = 1e-9
_WITH_VALVES = "valves on a well"
#: Failures that a chamber behind a fine cartridge is there for.
_GERMS = frozenset({"unprotected-path", "uv-class"})
_GERM_ANALYTES = frozenset({"total_coliform", "e_coli"})


@dataclass(frozen=True, slots=True)
class Need:
    """Something that this site needs.

    Attributes:
        rule: of the file. value: of the raw water at its adverse end, `limit` what it passes; None where it follows from a fact.
    """

    rule: NeedRule
    value: float | None = None
    limit: float | None = None

    def is_met(self, value: float) -> bool:
        """Whether a value is within the limit."""
        assert self.limit is not None
        return value >= self.limit * (1 - _EDGE) if self.rule.below is not None else value <= self.limit * (1 + _EDGE)

    def is_left(self, value: float, least: float) -> bool:
        """Whether a value is as good as that of the raw water: less than a share of what is beyond the limit is gone."""
        assert self.limit is not None and self.value is not None
        return not self.is_met(value) and (self.value - value) / (self.value - self.limit) < least


class Site:
    """A document without its stages.

    Attributes:
        document: as given. catalogue: where items come from. system: units of sentences.
        rules: what is known of treatments. given_up: keys of needs that no train of the catalogue does anything for.
    """

    def __init__(
        self, document: Document, catalogue: Catalogue | None = None, system: System = "us", given_up: frozenset[str] = frozenset()
    ) -> None:
        self.given_up = given_up
        self.document, self.system = document, system
        self.catalogue = catalogue or Catalogue.load()
        self.rules: Treatments = treatments()
        self._frame = _Frame(document)

    def giving_up(self, keys: frozenset[str]) -> Site:
        """The same site without these needs."""
        return self if keys == self.given_up else Site(self.document, self.catalogue, self.system, keys)

    # The bare site ------------------------------------------------------------------------------------------------------------

    @cached_property
    def bare(self) -> Evaluation:
        """Raw water straight to the house."""
        return evaluate(open_plan(self.build((), {})))

    @cached_property
    def context(self) -> Context:
        """What checks see of the bare site."""
        return Context(self.bare, self.system)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """All that is found in it."""
        return tuple(check_all(self.bare, system=self.system))

    def build(self, entries: Sequence[Mapping[str, Any]], items: Mapping[str, ItemRow]) -> Document:
        """The document of a train: these stages one behind the other between supply and house.

        Taps that nobody drinks from stay on raw water, others hang where the house does.
        """
        return Document.of(self._frame.tree(entries, {name: canonical(row) for name, row in items.items()}))

    # What it needs ------------------------------------------------------------------------------------------------------------

    @cached_property
    def facts(self) -> frozenset[str]:
        """Facts that rules speak of, by the words of the file."""
        context, plan = self.context, self.bare.plan
        surface = context.influence == "yes" or plan.source in SURFACE
        asked = context.needs_disinfection or (context.need == "unknown" and self.document.goals.word("disinfect") != "no")
        clean = context.coliform == "absent" and not context.open_source and context.influence == "no"
        hard = context.readings.most(SUPPLY, "hardness") > amount("tannin_hardness")
        weak = any(f.cause in (SHORT_SUPPLY, f"low-pressure:{HOUSE}") and f.severity == "fail" for f in self.findings)
        high = any(f.code == "high-pressure" and f.severity != "note" for f in self.findings)
        found = {
            "disinfect": asked, "surface": surface, "not surface": not surface, "no germs found": clean, "hard for a resin": hard,
            "soft for a resin": not hard, "weak supply": weak, "high pressure": high, _WITH_VALVES: plan.source != "mains",
            "scant supply": self.is_scant, "acid for a medium": self._is_acid_for_a_medium,
            "cloudy": context.readings.above(SUPPLY, "turbidity", amount("cloudy")),
        }  # fmt: skip
        return frozenset(name for name, holds in found.items() if holds)

    @property
    def _is_acid_for_a_medium(self) -> bool:
        readings = self.context.readings
        return readings.measured(SUPPLY, "ph") and readings.least(SUPPLY, "ph") < self.rules.medium_ph

    @property
    def is_scant(self) -> bool:
        """Whether the supply leaves so little at the house that hardly any equipment could stand before it, or its well yields less than
        the peak: what it then gives does not last."""
        plan = self.bare.plan
        supply, house = plan.sources[SUPPLY], plan.demands[HOUSE]
        short = isinstance(supply, Well) and supply.yield_flow is not None and supply.yield_flow < float(house.flows[PEAK])
        return short or self.bare.points[HOUSE].pressure.clean - plan.goal_pressure < self.rules.scant_pressure

    @cached_property
    def needs(self) -> tuple[Need, ...]:
        """What the water and the site need, and some train of the catalogue does something for."""
        return tuple(need for need in self._all_needs if need.rule.key not in self.given_up)

    @property
    def beyond(self) -> tuple[Need, ...]:
        """What they need and no train of the catalogue does anything for."""
        return tuple(need for need in self._all_needs if need.rule.key in self.given_up)

    @cached_property
    def _all_needs(self) -> tuple[Need, ...]:
        return tuple(need for rule in self.rules.needs if (need := self._need(rule)) is not None)

    @property
    def asks(self) -> tuple[Need, ...]:
        """What they ask for of themselves: without those there is nothing to treat. Grit is only asked about where a valve can wear."""
        return tuple(need for need in self.needs if need.rule.when != _WITH_VALVES)

    def _need(self, rule: NeedRule) -> Need | None:
        if rule.sources and self.bare.plan.source not in rule.sources:
            return None
        if rule.when:
            return Need(rule) if rule.when in self.facts else None
        readings = self.context.readings
        if rule.analyte not in readings.names or not readings.measured(SUPPLY, rule.analyte):
            return None
        high = min(self._bounds(rule, upper=True), default=None)
        low = max(self._bounds(rule, upper=False), default=None)
        if high is not None and rule.above is not None and readings.most(SUPPLY, rule.analyte) > high:
            return Need(rule, readings.most(SUPPLY, rule.analyte), high)
        if low is not None and rule.below is not None and readings.least(SUPPLY, rule.analyte) < low:
            return Need(rule, readings.least(SUPPLY, rule.analyte), low)
        return None

    def _bounds(self, rule: NeedRule, upper: bool) -> Iterator[float]:
        """What its analyte should not pass: the rule's own figure, the limit set's, the lamp's."""
        own = rule.above if upper else rule.below
        if own is not None:
            yield own
        limits: list[Any] = [row for row in self.context.limits.of(rule.analyte) if row.most == "fail"] if rule.limit_set else []
        if rule.lamp and "disinfect" in self.facts:
            limits += [limit for limit in lamp_limits() if limit.analyte == rule.analyte]
        for limit in limits:
            bound = limit.maximum if upper else limit.minimum
            if bound is not None:
                yield bound

    # What nothing here can solve ------------------------------------------------------------------------------------------------

    @cached_property
    def unsolved(self) -> tuple[Finding, ...]:
        """Failures of the bare site, and cautions of its water, that no stage of the options acts on: they head every option."""
        grave = (f for f in self.findings if f.severity == "fail" or (f.code in ("health", "outlet-goal") and f.severity == "caution"))
        told = tuple(f for f in grave if not self._is_answered(f))
        return (*told, *(self._beyond(need) for need in self.beyond if not _is_told(need, told)))

    def _beyond(self, need: Need) -> Finding:
        """A need that no train of the catalogue does anything for, where no limit speaks of it."""
        assert need.value is not None and need.limit is not None
        rule, known = need.rule, BY_KEY[need.rule.analyte]
        value, limit = (units.show(v, known.dimension, self.system, analyte=rule.analyte) for v in (need.value, need.limit))
        return Finding(
            "outlet-goal", "caution", HOUSE, f"Nothing in the catalogue solves this: {rule.complaint}",
            f"{known.label} is {value}, and {limit} is wanted: every train of the catalogue leaves it as it is, or cannot bear this water.",
            rule.analyte, Amount.of(need.value, known.dimension), Amount.of(need.limit, known.dimension), rule.source, rule.status,
            cause=f"outlet-goal:{rule.analyte}",
        )  # fmt: skip

    def unmet(self, water: Stream) -> list[Need]:
        """Needs whose analyte is not within its limit in a water (of the first column), at its adverse end at any flow."""
        return [need for need in self.needs if need.limit is not None and not need.is_met(adverse_end(need.rule, water))]

    def left(self, water: Stream) -> list[Need]:
        """Needs that a water (of the first column) leaves as they were in the raw water: a train that ends so is no option."""
        least = self.rules.least_share
        return [need for need in self.unmet(water) if need.is_left(adverse_end(need.rule, water), least)]

    def is_own(self, finding: Finding) -> bool:
        """Whether a failure is a train's own, not one that nothing here can solve."""
        return _key(finding) not in self._unsolved_keys

    @cached_property
    def _unsolved_keys(self) -> frozenset[tuple[str, str, str]]:
        return frozenset(_key(f) for f in self.unsolved)

    def _is_answered(self, finding: Finding) -> bool:
        keys = {need.rule.key for need in self.needs}
        if finding.analyte:
            answered = {need.rule.analyte for need in self.needs}
            return finding.analyte in answered or ("germs" in keys and finding.analyte in _GERM_ANALYTES)
        if finding.code in _GERMS or finding.cause == "health:surface":
            return "germs" in keys
        if finding.cause in (SHORT_SUPPLY, f"low-pressure:{HOUSE}"):
            return True
        return finding.code == "high-pressure"


def _is_told(need: Need, told: Iterable[Finding]) -> bool:
    return any(finding.analyte == need.rule.analyte for finding in told)


def adverse_end(rule: NeedRule, water: Stream) -> float:
    """The worse end of a need's analyte in a water (of the first column) at any flow."""
    ends = water.get(rule.analyte)[..., 0]
    return float(ends.min() if rule.below is not None else ends.max())


def _key(finding: Finding) -> tuple[str, str, str]:
    return finding.code, finding.analyte, "" if finding.analyte else finding.stage


def lamp_limits() -> Iterable[Limit]:
    """The guide of every kind that disinfects."""
    return (limit for kind in registry.kinds().values() if "disinfection" in kind.spec.tags for limit, _ in kind.spec.limits)


class _Frame:
    """What of a document stays whatever train stands in it: the site, and the pipes at both ends and to the outlets."""

    def __init__(self, document: Document) -> None:
        tree = copy.deepcopy(dict(document.tree))
        links = {(row["from"], row["to"]): row for row in tree.get("links", [])}
        for section in ("stages", "links", "items", "accepted"):
            tree.pop(section, None)
        tree["samples"] = [row for row in tree.get("samples", []) if row.get("at", SUPPLY) == SUPPLY]
        self._tree = tree
        way = nx.shortest_path(graph_of(document), SUPPLY, HOUSE)
        ends = [links[pair].get("pipe") for pair in zip(way, way[1:], strict=False)]
        self._first, self._last = ends[0], ends[-1] if len(ends) > 1 else None
        self._outlets = {row["to"]: row.get("pipe") for row in links.values() if row["to"] in document.outlets}
        self._drinking = {name for name in self._outlets if document.outlets[name].flag("drinking")}

    def tree(self, entries: Sequence[Mapping[str, Any]], items: Mapping[str, Any]) -> dict[str, Any]:
        """A whole document as plain JSON."""
        nodes = [SUPPLY, *(entry["id"] for entry in entries), HOUSE]
        pipes: list[Any] = [None] * (len(nodes) - 1)
        pipes[-1] = self._last
        pipes[0] = self._first
        links = [_link(a, b, pipe) for a, b, pipe in zip(nodes, nodes[1:], pipes, strict=False)]
        links += [_link(nodes[-2] if name in self._drinking else SUPPLY, name, pipe) for name, pipe in self._outlets.items()]
        tree = copy.deepcopy(self._tree) | {"stages": copy.deepcopy(list(entries)), "links": links}
        return tree | ({"items": copy.deepcopy(dict(items))} if items else {})


def _link(source: str, target: str, pipe: Any) -> dict[str, Any]:
    return {"from": source, "to": target} | ({"pipe": copy.deepcopy(pipe)} if pipe is not None else {})
