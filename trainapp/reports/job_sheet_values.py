"""Figures that standing lines of the job sheet name: of the pressure tank, the bypasses, the metal at a chamber, the overhead run."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from trainapp import units
from trainapp.checks.blends import share_of
from trainapp.checks.context import Context
from trainapp.checks.policy import rule
from trainapp.hydraulics.supply import Well
from trainapp.hydraulics.tank import PressureTank
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.pipes import levels, run_height, step_height
from trainapp.reports.job_sheet_picture import length_text
from trainapp.stages.working import FLOWS, PEAK
from trainapp.train.evaluation import Evaluation
from trainapp.train.routes import route
from trainapp.units import System


@dataclass(frozen=True, slots=True)
class LineValues:
    """Writes the figures of one train. `names`: of every node, as the sheet calls it."""

    evaluation: Evaluation
    model: BenchModel
    names: Mapping[str, str]
    system: System

    def all(self) -> dict[str, str]:
        """By the word that lines put in braces; "" for what this train has not."""
        return {
            "metal_run": self._show(metal_run(self.evaluation), "length"),
            "overhead": self.overhead(),
            "blends": "; ".join(self.blends()),
            "blend_checks": "; ".join(self.blend_checks()) or "no figure: hardness was not measured",
            "shut_bypasses": ", ".join(self.names[node] for node in shut_bypasses(self.evaluation)),
            "shut_off": self.shut_off(),
            **self.tank(),
        }

    def _show(self, value: float, dimension: str) -> str:
        return units.typeset(units.show(value, dimension, self.system))

    def overhead(self) -> str:
        """How high the run over the vessels is drawn, and the headers over it."""
        way = route([stage.id for stage in self.model.stages], self.model.links, [end.id for end in self.model.ends])
        top = levels(way, self.model)
        told = length_text(run_height(self.model, top), self.system)
        return f"{told}, what crosses it {length_text(step_height(self.model, top), self.system)} higher" if top else told

    def shut_off(self) -> str:
        supply = self.evaluation.plan.sources.get("supply")
        return self._show(supply.shut_off, "pressure") if isinstance(supply, Well) else ""

    def tank(self) -> dict[str, str]:
        """Volume, air and switch of the pressure tank."""
        tank = pressure_tank(self.evaluation)
        if tank is None:
            return {"tank": "", "precharge": "", "cut_in": "", "cut_out": ""}
        known = "" if self.evaluation.plan.document.supply.given("precharge") else " (by default)"
        gauged = {key: self._show(getattr(tank, key), "pressure") for key in ("precharge", "cut_in", "cut_out")}
        return {**gauged, "tank": self._show(tank.volume, "volume"), "precharge": gauged["precharge"] + known}

    def blends(self) -> Iterator[str]:
        """What each open bypass is set to at the peak."""
        for node in open_bypasses(self.evaluation):
            result = self.evaluation.stages[node]
            flow, share = float(result.flow[PEAK]), share_of(self.evaluation, Context(self.evaluation, self.system), node)
            told = f"{self.names[node]}: {self._show(flow, 'flow')}"
            if share is not None and share[PEAK] > 0:
                told += f" of {self._show(flow / float(share[PEAK]), 'flow')}, {self._show(float(share[PEAK]), 'fraction')}"
            yield told

    def blend_checks(self) -> Iterator[str]:
        """Hardness where each open bypass joins, at the peak and over the day."""
        for node in open_bypasses(self.evaluation):
            joins = self._joins(node)
            water = self.evaluation.stages[joins].inlet if joins in self.evaluation.stages else self.evaluation.points[joins].water
            if water.is_known("hardness")[0]:
                hard = water.high("hardness")[:, 0]
                at_peak, over_day = (self._show(float(hard[i]), "hardness") for i in (PEAK, FLOWS.index("average")))
                yield f"ahead of {self.names.get(joins, joins)} {at_peak} at the peak, {over_day} at the day's average flow"

    def _joins(self, node: str) -> str:
        """The first place behind a bypass that other water reaches as well, else the end of its pipe."""
        graph = self.evaluation.plan.graph
        while (onward := [target for source, target in self.evaluation.links if source == node]) and (node := onward[0]):
            if graph.in_degree(node) > 1:
                break
        return node


def pressure_tank(evaluation: Evaluation) -> PressureTank | None:
    """The tank of a well on a switch, None without one."""
    supply = evaluation.plan.sources.get("supply")
    return supply.tank if isinstance(supply, Well) else None


def open_bypasses(evaluation: Evaluation) -> list[str]:
    """Bypasses that water passes at the peak."""
    return [
        node for node, result in evaluation.stages.items()
        if "bypass" in result.stage.spec.tags and node not in evaluation.plan.shut and result.flow[PEAK] > 0
    ]  # fmt: skip


def shut_bypasses(evaluation: Evaluation) -> list[str]:
    """Bypasses whose valve is closed."""
    return [node for node in evaluation.plan.shut if "bypass" in evaluation.plan.stages[node].spec.tags]


def metal_run(evaluation: Evaluation, node: str = "") -> float:
    """m of metal at each port of a chamber, of the most at any without `node`: what it is set to, no less than what is asked for."""
    stages = evaluation.plan.stages
    found = [stage for key, stage in stages.items() if "disinfection" in stage.spec.tags and node in ("", key)]
    return max((max(float(stage.settings.get("metal_run") or 0.0), rule("metal_run").value) for stage in found), default=0.0)
