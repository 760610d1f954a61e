"""The standing lines of the job sheet (resources/reports/job_sheet.toml): those that hold for a train, each with its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from trainapp.checks.context import Context
from trainapp.checks.pressure import wants_relief
from trainapp.checks.uv_pipes import PLASTICS
from trainapp.data import load_toml
from trainapp.reports.job_sheet_values import open_bypasses, pressure_tank, shut_bypasses
from trainapp.spelling import spelt
from trainapp.train.evaluation import Evaluation

Section = Literal["work", "drain", "electrical", "start", "tap", "upkeep", "notice", "service"]


@dataclass(frozen=True, slots=True)
class Line:
    """One line: its row in the resource, where it comes from and how sure that is. Its text may hold words in braces."""

    row: Mapping[str, Any]
    source: str
    status: str

    @property
    def text(self) -> str:
        """The sentence, as its reader spells it."""
        return spelt(str(self.row["text"]))

    @property
    def words(self) -> frozenset[str]:
        """Words of which one has to hold; none for every train."""
        return frozenset(str(self.row["when"]).split("|")) if "when" in self.row else frozenset()


@cache
def all_lines(section: Section) -> tuple[Line, ...]:
    """Every line of a section, in order."""
    return tuple(Line(row, row["source"], row["status"]) for row in load_toml("reports/job_sheet.toml")[section])


def lines(section: Section, evaluation: Evaluation) -> tuple[Line, ...]:
    """The lines of a section that hold for a train."""
    said = facts(evaluation)
    return tuple(line for line in all_lines(section) if not line.words or line.words & said)


def facts(evaluation: Evaluation) -> frozenset[str]:
    """What a train is made of, in the words of the resource."""
    context, plan = Context(evaluation), evaluation.plan
    stages = [result.stage for result in evaluation.stages.values()]
    said = {str(plan.document.supply.kind), *(tag for stage in stages for tag in stage.spec.tags)}
    said |= {str(word) for stage in stages if (word := stage.settings.get("oxidant")) not in (None, "none")}
    said |= {"shutoff" for stage in stages if stage.settings.get("shutoff") == "valve"}
    said |= {"flow_control" for stage in stages if stage.flow_cap is not None}
    said |= {"cleans" for result in evaluation.stages.values() if result.cleaning is not None}
    said |= {"raw_outlet" for demand in plan.demands.values() if not demand.drinking}
    said |= _of_pipes(evaluation)
    said |= {"germs"} if context.coliform == "present" else set()
    materials = {part.word("material") for link in plan.document.links for part in plan.document.pipe_of(link)}
    return frozenset(said | {"plastic" if material in PLASTICS else "metal" for material in materials})


def _of_pipes(evaluation: Evaluation) -> set[str]:
    """What has to be put in, set or disinfected beside the stages."""
    stages = evaluation.plan.stages.values()
    said = {"relief"} if wants_relief(evaluation) else set()
    said |= {"pressure_tank"} if pressure_tank(evaluation) is not None else set()
    said |= {"blend"} if open_bypasses(evaluation) else set()
    said |= {"shut_bypass"} if shut_bypasses(evaluation) else set()
    return said | (set() if any("disinfection" in stage.spec.tags for stage in stages) else {"no_chamber"})
