"""What several checks share about one evaluation: who stands before whom, what needs disinfection, what water reaches where."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from trainapp import units
from trainapp.checks.judge import RANK
from trainapp.checks.limits import LimitSet, limit_set
from trainapp.checks.policy import amount
from trainapp.checks.readings import Readings, readable
from trainapp.checks.table import Table, build
from trainapp.spelling import inside
from trainapp.stages.base import Figure, Rating, Stage
from trainapp.stages.working import PEAK
from trainapp.train.document import Document
from trainapp.train.evaluation import Evaluation, StageResult
from trainapp.train.graph import HOUSE as HOUSE
from trainapp.train.graph import SUPPLY as SUPPLY
from trainapp.train.hydraulics import hydraulics_of
from trainapp.train.naming import Names
from trainapp.train.plan import Plan
from trainapp.train.raw import AT_RISK
from trainapp.units import System
from trainapp.water.analytes import BY_KEY
from trainapp.water.sample import Result as SampleResult

Need = Literal["unsafe", "at risk", "unknown", "none"]
Germs = Literal["present", "absent", "unknown"]

#: Analytes that checks ask about beside those of limits.
_ASKED = (
    "iron", "iron_dissolved", "manganese", "hardness", "hydrogen_sulfide", "free_chlorine", "total_chlorine", "turbidity", "ph",
    "dissolved_oxygen", "tannin", "uvt", "sodium", "toc", "colour",
)  # fmt: skip


class Context:
    """One evaluation as the checks see it. Everything is found once and kept.

    Attributes:
        evaluation, plan, document: what is checked.
        system: units of the messages.
    """

    def __init__(self, evaluation: Evaluation, system: System = "us") -> None:
        self.evaluation = evaluation
        self.plan: Plan = evaluation.plan
        self.document: Document = evaluation.plan.document
        self.system: System = system
        self._having: dict[tuple[str, ...], list[str]] = {}

    # Stages and their places ------------------------------------------------------------------------------------------------

    @property
    def stages(self) -> dict[str, StageResult]:
        """Stages that water passes, in flow order."""
        return self.evaluation.stages

    def stage(self, place: str) -> Stage:
        """The stage of that id."""
        return self.evaluation.stages[place].stage

    def tags(self, place: str) -> frozenset[str]:
        """Roles of a stage; none for an end."""
        result = self.evaluation.stages.get(place)
        return result.stage.spec.tags if result else frozenset()

    def having(self, *tags: str) -> list[str]:
        """Stages with any of these roles, in flow order. Shared: not to be changed."""
        found = self._having.get(tags)
        if found is None:
            wanted = frozenset(tags)
            found = [stage for stage, result in self.evaluation.stages.items() if wanted & result.stage.spec.tags]
            self._having[tags] = found
        return found

    @cached_property
    def figures(self) -> dict[str, Figure]:
        """How each stage stands in the room."""
        return self.plan.once_for("figures", lambda: {stage: result.stage.figure() for stage, result in self.evaluation.stages.items()})

    @cached_property
    def ratings(self) -> dict[str, Rating]:
        """What flow each stage is made for."""
        return self.plan.once_for("ratings", lambda: {stage: result.stage.rating() for stage, result in self.evaluation.stages.items()})

    @cached_property
    def ranks(self) -> NDArray[np.int8]:
        """The worst severity of each row of the table over the flows, shape (rows, waters): 0 none, 1 note, 2 caution, 3 fail."""
        outcome = self.table.outcome
        return RANK[outcome].max(axis=1) if len(outcome) else np.zeros((0, outcome.shape[-1]), dtype=np.int8)

    @cached_property
    def ultraviolet(self) -> list[str]:
        """The chambers, in flow order."""
        return self.having("disinfection")

    @cached_property
    def _before(self) -> dict[str, frozenset[str]]:
        return self.plan.once(_ahead)

    @cached_property
    def _after(self) -> dict[str, frozenset[str]]:
        return self.plan.once(_behind)

    def before(self, place: str) -> frozenset[str]:
        """Nodes whose water may come here."""
        return self._before.get(place, frozenset())

    def after(self, place: str) -> frozenset[str]:
        """Nodes that water from here may reach."""
        return self._after.get(place, frozenset())

    def twin(self, stage: str) -> str:
        """The first stage of the same kind that is fed by the same pipes and feeds the same: units in parallel lanes are twins."""
        return self._twins.get(stage, stage)

    @cached_property
    def _twins(self) -> dict[str, str]:
        return self.plan.once_for("twins", self._find_twins)

    def _find_twins(self) -> dict[str, str]:
        first: dict[tuple[str, frozenset[str], frozenset[str]], str] = {}
        return {stage: first.setdefault(self._lane(stage), stage) for stage in self.evaluation.stages}

    def _lane(self, stage: str) -> tuple[str, frozenset[str], frozenset[str]]:
        return self.stage(stage).spec.kind, self.before(stage), self.after(stage)

    def reached_without(self, avoided: frozenset[str], start: str = SUPPLY) -> frozenset[str]:
        """Nodes that water reaches from `start` round all of `avoided`; closed valves let nothing through."""
        avoided = avoided | self.plan.shut
        live, seen, pending = set(self.plan.order), {start}, [start]
        while pending:
            for target in self.plan.graph.successors(pending.pop()):
                if target in live and target not in seen and target not in avoided:
                    seen.add(target)
                    pending.append(target)
        return frozenset(seen)

    @cached_property
    def rank(self) -> dict[str, int]:
        """Place in flow order."""
        return {node: i for i, node in enumerate(self.plan.order)}

    @cached_property
    def ends(self) -> list[str]:
        """Ends that water reaches, the house first."""
        return [end for end in self.plan.demands if end in self.evaluation.points]

    @cached_property
    def drinking_ends(self) -> list[str]:
        """Ends from which someone drinks."""
        return [end for end in self.ends if self.plan.demands[end].drinking]

    def peak(self, place: str) -> float:
        """m3/s through a stage (all its units) or to an end at the peak."""
        result = self.evaluation.stages.get(place)
        return float((result or self.evaluation.points[place]).flow[PEAK])

    # Water ------------------------------------------------------------------------------------------------------------------

    @cached_property
    def limits(self) -> LimitSet:
        """The limit set in force."""
        return limit_set(self.document.goals.word("limits") or "us")

    @cached_property
    def readings(self) -> Readings:
        """Ends of every analyte that a limit or a check asks about, at every place."""
        judged = [limit.analyte for limits in self.plan.limits.values() for limit in limits]
        names = [*_ASKED, *judged, *(row.analyte for row in self.limits.rows)]
        return Readings(self.evaluation, [name for name in names if readable(name)])

    @cached_property
    def table(self) -> Table:
        """Every limit judged."""
        return build(self)

    def result(self, stage: str, name: str) -> NDArray[np.float64] | None:
        """A named result of a stage, broadcastable to (2 readings, flows, waters); None where it has no such result."""
        found = self.evaluation.stages[stage].working.result(name)
        return found.value if found else None

    def sleeve_scales(self, stage: str, shape: tuple[int, ...], above: float = 0.0) -> NDArray[np.bool_]:
        """Where scale forms on the warm sleeve of a chamber; shape (flows, waters). True where its index is not known.

        `above` is the index from which on it counts.
        """
        index = self.result(stage, "sleeve_index")
        if index is None:
            return np.ones(shape, dtype=bool)
        worst = np.atleast_3d(index).max(axis=0) if index.ndim else np.asarray(index)
        return np.broadcast_to(~(worst <= above), shape)

    # Disinfection -----------------------------------------------------------------------------------------------------------

    def germs(self, name: str) -> Germs:
        """What is known of total_coliform or e_coli in this water: present wherever a sample found them.

        Absent is what the design sample says, or one behind stages that kill nothing: behind a chamber or an oxidant it would say nothing
        of the water.
        """
        found = {at: sheet[name] for at, sheet in self.tests.items() if name in sheet}
        own = self.plan.raw.sheet.get(name)
        if any(result.low > 0 for result in (*found.values(), *([own] if own else []))):
            return "present"
        killing = frozenset(self.having("disinfection", "oxidant")) | {s for s in self.stages if self.oxidises(s)}
        told = [own] if own else [result for at, result in found.items() if not killing & (self.before(at) | {at})]
        # "<1" is how a laboratory writes absent
        return "absent" if told and all(result.high <= 1 for result in told) else "unknown"

    @cached_property
    def tests(self) -> dict[str, Mapping[str, SampleResult]]:
        """The worst result of each analyte of samples of treated water, by the place in the train whose water they are."""
        return {at: sheet for at, sheet in self.plan.raw.behind.items() if at in self.evaluation.points}

    def tested(self, place: str, name: str) -> bool:
        """Whether an analyte was measured in the water that enters a stage or comes out at an end, or ahead of what leaves it alone."""
        if (place in self.plan.demands or place in self.ultraviolet) and name in self.tests.get(place, {}):
            return True
        feeders = list(self.plan.graph.predecessors(place))
        if len(feeders) != 1 or feeders[0] == SUPPLY:
            return False
        if name in self.tests.get(feeders[0], {}):
            return True
        here, ahead = (self.readings.most(at, name) for at in (place, feeders[0]))
        return abs(here - ahead) <= amount("raw_reaches") * abs(ahead) and self.tested(feeders[0], name)

    @cached_property
    def open_source(self) -> bool:
        """Whether the source stands open to the surface: by its kind, or because the document says that the surface reaches it."""
        return self.plan.source in AT_RISK or self.influence == "yes"

    @cached_property
    def influence(self) -> str:
        """Surface influence: yes, no, unknown."""
        return self.document.supply.word("surface_influence")

    @cached_property
    def coliform(self) -> Germs:
        """Total coliform or E. coli in this water."""
        found = {self.germs("total_coliform"), self.germs("e_coli")}
        return "present" if "present" in found else self.germs("total_coliform")

    @property
    def coliform_gap(self) -> str:
        """What is missing where coliform is unknown: "coliform was not measured", or that a test that begins higher found none."""
        own = self.plan.raw.sheet.get("total_coliform")
        if own is None or not own.high > 1:
            return "coliform was not measured"
        return f"the test of coliform begins at {self.show(own.high, 'count')} and says nothing of what lies below"

    @cached_property
    def need(self) -> Need:
        """How far the water needs disinfection.

        "unsafe": coliform or E. coli is present. "at risk": the source is open, or the document asks for disinfection. "unknown": a
        private source whose coliform was not measured. "none" otherwise.
        """
        if self.coliform == "present":
            return "unsafe"
        if self.plan.unsafe:
            return "at risk"
        if self.coliform == "unknown" and self.plan.source != "mains":
            return "unknown"
        return "none"

    @property
    def needs_disinfection(self) -> bool:
        """Whether coliform is present, the source at risk, or the document asks for it."""
        return self.plan.unsafe

    def device_class(self, uv: str) -> str:
        """A, B or none."""
        return str(self.stage(uv).settings.get("device_class") or "none")

    # What checks ask of other stages ----------------------------------------------------------------------------------------

    def is_fine(self, stage: str) -> bool:
        """A cartridge of 5 µm or finer."""
        rating = self.stage(stage).settings.get("rating") if "sediment" in self.tags(stage) else None
        return isinstance(rating, float) and rating <= amount("fine_rating") * (1 + 1e-9)

    def oxidises(self, place: str) -> bool:
        """Whether a stage puts oxygen or an oxidant into the water."""
        if place not in self.evaluation.stages:
            return False
        word = self.stage(place).settings.get("oxidant")
        return "storage" in self.tags(place) or ("oxidant" in self.tags(place)) or word in ("air", "chlorine", "permanganate", "peroxide")

    # Words ------------------------------------------------------------------------------------------------------------------

    def name(self, place: str) -> str:
        """A place inside a sentence: "the softener", "softener 3a" where there are several, "the house", 'the outlet "garden"'."""
        return self.plan.once(names_of).inside(place)

    def names(self, places: list[str]) -> str:
        """Several places: "the softener, the iron filter and the house"."""
        return listed([self.name(place) for place in places])

    def show(self, value: float, dimension: str, analyte: str = "") -> str:
        """A value with its unit, in the units of this report."""
        return units.show(value, dimension, self.system, analyte=analyte)

    def show_against(self, value: float, limit: float, dimension: str, analyte: str = "") -> str:
        """A value beside a limit that it may break: never rounded onto or across it."""
        return units.show_against_limit(value, limit, dimension, self.system, analyte=analyte)

    def setting(self, stage: str, key: str) -> Any:
        """A setting in internal units, None where it is not given and has no default."""
        return self.stage(stage).settings.get(key)


def _ahead(plan: Plan) -> dict[str, frozenset[str]]:
    """The nodes whose water may come to each node."""
    ahead: dict[str, frozenset[str]] = {}
    for node in plan.order:
        feeders = [s for s in plan.graph.predecessors(node) if s in ahead]
        ahead[node] = frozenset(feeders).union(*(ahead[s] for s in feeders))
    return ahead


def _behind(plan: Plan) -> dict[str, frozenset[str]]:
    """The nodes that the water of each node may reach."""
    behind: dict[str, set[str]] = {node: set() for node in plan.order}
    for node, ahead in plan.once(_ahead).items():
        for other in ahead:
            behind[other].add(node)
    return {node: frozenset(others) for node, others in behind.items()}


def names_of(plan: Plan) -> Names:
    """Names of the nodes of a plan, numbered as its bench is."""
    return Names(plan.document, {link: float(flow[PEAK]) for link, flow in plan.once(hydraulics_of).flows.items()})


def start(text: str) -> str:
    """A text as a sentence begins."""
    return text[:1].upper() + text[1:]


def listed(words: list[str]) -> str:
    """Words as a sentence lists them: "a, b and c"."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def analyte_label(key: str) -> str:
    """The analyte's name as a sentence begins with it."""
    return BY_KEY[key].label if key in BY_KEY else key


def analyte_inside(key: str) -> str:
    """The analyte's name inside a sentence: "iron", but "UVT", "pH" and "E. coli"."""
    return inside(analyte_label(key))


__all__ = ["HOUSE", "SUPPLY", "Context", "Germs", "Need", "analyte_inside", "analyte_label", "inside", "listed", "start"]
