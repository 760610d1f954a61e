"""One finding in its train, as those who think of remedies see it: who stands where, which pipes a stage could go into, which items fit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import networkx as nx

from trainapp.checks.context import Context
from trainapp.checks.finding import Finding
from trainapp.stages import registry
from trainapp.stages.base import Spec
from trainapp.studies.remedies_sizing import Choice, Spot, best, fitting, spot_in
from trainapp.train import steps
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import Document
from trainapp.train.edits import Edit
from trainapp.train.evaluation import Evaluation
from trainapp.train.model import StageEntry
from trainapp.train.zones import HOUSE, SUPPLY, Link

#: Where a stage usually stands in a train, by the first of its roles that is listed: coarse before fine, oxidant before filter, filter
#: before softener, disinfection last (common practice).
_RANKS: tuple[tuple[str, int], ...] = (
    ("regulator", 5), ("storage", 8), ("fine", 80), ("sediment", 10), ("oxidant", 20), ("contact", 30), ("ph_up", 35), ("iron_removal", 40),
    ("bypass", 50), ("softening", 60), ("anion_exchange", 70), ("carbon", 75), ("declared", 78), ("flow_control", 85), ("disinfection", 90),
)  # fmt: skip
_FINE = 5e-6  # m, a cartridge of this rating or finer stands late


@dataclass(frozen=True, slots=True)
class Candidate:
    """Something that may help, not tried yet.

    Attributes:
        label: one sentence that says what is done.
        edits: edits of the document, to be made as one.
        tried: the same as a few words, without size ("a larger softener").
        works: what a fitter does and buys for it beside items of the catalogue, keys of resources/prices/works.toml.
    """

    label: str
    edits: tuple[Edit, ...]
    tried: str
    works: tuple[str, ...] = ()


class Site:
    """An evaluated train and the catalogue, shared by all of its findings."""

    def __init__(self, document: Document, evaluation: Evaluation, catalogue: Catalogue, context: Context) -> None:
        self.document, self.evaluation, self.catalogue, self.context = document, evaluation, catalogue, context
        self.plan = evaluation.plan
        self._spots: dict[Link, Spot] = {}

    def spot(self, link: Link) -> Spot:
        """The place in the middle of a pipe."""
        if link not in self._spots:
            self._spots[link] = spot_in(self.evaluation, link)
        return self._spots[link]

    @cached_property
    def dominators(self) -> Mapping[str, str | None]:
        """The last node that all water of a node has passed before it."""
        found: Mapping[str, str | None] = nx.immediate_dominators(self.plan.graph.subgraph(self.plan.order), SUPPLY)
        return found


class Case:
    """A finding and its site.

    Attributes:
        site, finding: what it is made of. document, evaluation, plan, catalogue, context: of the site.
    """

    def __init__(self, site: Site, finding: Finding) -> None:
        self.site, self.finding = site, finding
        self.document, self.evaluation, self.plan = site.document, site.evaluation, site.plan
        self.catalogue, self.context = site.catalogue, site.context

    # What stands where ------------------------------------------------------------------------------------------------------

    @property
    def place(self) -> str:
        """The node that the finding is about; the house where it names none."""
        return self.finding.stage if self.finding.stage in self.plan.order else HOUSE

    @property
    def is_stage(self) -> bool:
        """Whether the finding is about a stage that water passes."""
        return self.finding.stage in self.evaluation.stages

    def kind(self, stage: str) -> str:
        """Kind of a stage, "" for an end."""
        result = self.evaluation.stages.get(stage)
        return result.stage.spec.kind if result else ""

    def entry(self, stage: str) -> StageEntry:
        """A stage as it is written."""
        return self.document.stage(stage)

    def setting(self, stage: str, key: str) -> Any:
        """A setting in internal units."""
        return self.context.setting(stage, key)

    def twins(self, stage: str) -> list[str]:
        """Stages of its kind in lanes beside it, itself among them."""
        first = self.context.twin(stage)
        return [other for other in self.evaluation.stages if self.context.twin(other) == first]

    def ahead(self, place: str, *tags: str) -> list[str]:
        """Stages with any of these roles whose water comes here, in flow order."""
        return [stage for stage in self.context.having(*tags) if stage in self.context.before(place)]

    def name(self, place: str) -> str:
        """A place inside a sentence."""
        return self.context.name(place)

    # Where something could go -----------------------------------------------------------------------------------------------

    def mains(self, place: str) -> list[Link]:
        """Pipes that all water of a place passes, in flow order."""
        way = [place]
        while way[-1] != SUPPLY:
            above = self.site.dominators.get(way[-1])
            if above is None:
                return []
            way.append(above)
        links = []
        for node in reversed(way[:-1]):
            feeders = [n for n in self.plan.graph.predecessors(node) if n in self.plan.live]
            if len(feeders) == 1:
                links.append((feeders[0], node))
        return links

    def link_to(self, place: str) -> Link | None:
        """The last pipe on the only way to a place; for one of several lanes the pipe ahead of the split."""
        alone = len(self.twins(place)) == 1 if place in self.evaluation.stages else True
        links = [link for link in self.mains(place) if alone or link[1] != place]
        return links[-1] if links else None

    def slot(self, rank: int, place: str = HOUSE) -> Link | None:
        """The pipe that something of a rank goes into, ahead of a place at the latest."""
        links = self.mains(place)
        for link in links:
            if link[1] not in self.evaluation.stages or self.rank(link[1]) > rank:
                return link
        return links[-1] if links else None

    def rank(self, stage: str) -> int:
        """Where a stage usually stands in a train."""
        return rank_of(self.evaluation.stages[stage].stage.spec, self.setting(stage, "rating"))

    def items(self, kind: str, link: Link, most: int = 2, **same: Choice) -> tuple[str, ...]:
        """Items with these settings (internal units) that fit in the middle of a pipe, the smallest that does first."""
        return fitting(self.catalogue, kind, self.site.spot(link), same, most)

    def best(self, kind: str, link: Link, **same: Choice) -> tuple[str, int] | None:
        """The item with these settings that does best there, and how many of it stand side by side."""
        return best(self.catalogue, kind, self.site.spot(link), same)

    def new_id(self, wanted: str) -> str:
        """An id that nothing in the document has."""
        return steps.new_id(dict(self.document.tree), wanted)

    def show(self, value: float, dimension: str, analyte: str = "") -> str:
        """A value with its unit, in the units of this report."""
        return self.context.show(value, dimension, analyte)


def rank_of(spec: Spec, rating: object = None) -> int:
    """Where a kind usually stands in a train; a cartridge by its rating in m."""
    tags = set(spec.tags) | ({"fine"} if isinstance(rating, float) and rating <= _FINE * (1 + 1e-9) else set())
    return next((rank for tag, rank in _RANKS if tag in tags), 77)


def rank_of_item(catalogue: Catalogue, item: str) -> int:
    """The same for an item of the catalogue."""
    kind = registry.kind(catalogue.rows[item].kind)
    assert kind is not None  # a catalogue holds known kinds alone
    return rank_of(kind.spec, catalogue.settings(item).get("rating"))
