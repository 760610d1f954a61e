"""What each stage is set to, as the job sheet tells it: what was chosen, what stays at its default, and what its controller asks for."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from trainapp import units
from trainapp.reports.in_units import nominal
from trainapp.reports.job_sheet_clocks import clock
from trainapp.reports.print_table import PrintTable, Row
from trainapp.stages.base import SettingSpec, Stage
from trainapp.stages.programme import Entry, Programmed
from trainapp.studies.cost.use import duty_of
from trainapp.train.evaluation import Evaluation
from trainapp.train.settings import common_settings
from trainapp.units import System

#: Settings that have tables of their own, or are what a design aims at and no setting of a valve or a vessel.
_ELSEWHERE = frozenset({"drain", "inlet_limits", "width", "height", "head_loss", "goal_days"})


def counts(spec: SettingSpec, stage: Stage) -> bool:
    """Whether a setting has a say beside the others of its stage."""
    return all(str(stage.settings.get(key)) in words.split("|") for key, words in spec.when.items())


class StageSettings:
    """Tells the settings of the stages of one evaluation.

    Args:
        evaluation: of the design sample. system: units of the texts.
    """

    def __init__(self, evaluation: Evaluation, system: System) -> None:
        self.evaluation, self.system = evaluation, system

    def lines(self, stage: Stage) -> Iterator[str]:
        """What was chosen, then what stays at its default, with how sure that is."""
        common = common_settings()
        given: list[str] = []
        defaults: dict[str, list[str]] = {}
        for key, spec in stage.spec.settings.items():
            value = stage.settings.get(key)
            if value is None or value == "" or key in _ELSEWHERE or spec.dimension in ("table", "curve") or not counts(spec, stage):
                continue
            text = f"{_words(key)} {self._value(spec, value)}"
            if key in stage.settings.given:
                given.append(text)
            elif key not in common and spec.dimension != "none":
                defaults.setdefault(spec.status, []).append(text)
        if given:
            yield "; ".join(given)
        for status, texts in defaults.items():
            yield f"by default ({status}): {'; '.join(texts)}"

    def entries(self, stage: Stage) -> tuple[Entry, ...]:
        """Every number that its controller asks for; none where no water passes it."""
        result = self.evaluation.stages.get(stage.id)
        if result is None or not isinstance(stage, Programmed):
            return ()
        return stage.programme(result.inlet, duty_of(self.evaluation.plan, result.flow, result.daily, stage.count))

    def entered(self, name: Callable[[str], str]) -> PrintTable | None:
        """The numbers that controllers and feeds ask for; None where none does. `name`: what the sheet calls a node."""
        rows: list[Row] = []
        for node, result in self.evaluation.stages.items():
            place = name(node) + (", each unit" if result.stage.count > 1 else "")
            for entry in self.entries(result.stage):
                rows.append((place, entry.what, units.typeset(units.show(entry.value, entry.dimension, self.system)), entry.note))
                place = ""
        return PrintTable(("controller or feed of", "to enter", "value", "note"), (25, 26, 15, 34), rows) if rows else None

    def _value(self, spec: SettingSpec, value: Any) -> str:
        if isinstance(value, bool):
            return "yes" if value else "no"
        if spec.key == "clean_at":
            return clock(float(value) / 3600.0)
        if isinstance(value, float | int) and spec.dimension not in ("integer", "choice", "text"):
            return units.typeset(units.show(float(value), spec.dimension, self.system))
        word = str(value).replace("_", " ")
        return nominal(word, self.system) if spec.dimension == "choice" else word


def _words(key: str) -> str:
    return key.replace("uvt", "UVT").replace("goal_ph", "goal pH").replace("_", " ")
