"""The oxidant of a stage in words: what is fed belongs to what is bought, and chlorine that stays is tasted."""

from __future__ import annotations

from trainapp import units
from trainapp.stages.base import Stage
from trainapp.stages.working import AVERAGE
from trainapp.train.evaluation import Evaluation
from trainapp.train.zones import HOUSE
from trainapp.units import System

_FED = {"chlorine": "chlorine fed", "permanganate": "permanganate fed", "peroxide": "peroxide fed", "air": "air drawn in"}
#: mg/L of free chlorine from which on people taste it; WHO, Guidelines for drinking-water quality, 2017, 10.1 (0.3; from memory).
_TASTED = 0.3


def with_oxidant(label: str, stage: Stage) -> str:
    """A label with what is fed ahead of the stage or in it, where the label does not say so."""
    word = str(stage.settings.get("oxidant") or "")
    return f"{label}, {_FED[word]}" if word in _FED and word not in label.lower() else label


def taste(evaluation: Evaluation, system: System) -> str:
    """What people taste where a stage feeds chlorine and nothing behind it takes the rest out; "" where they taste nothing."""
    stages = [result.stage for result in evaluation.stages.values()]
    if not any(stage.settings.get("oxidant") == "chlorine" for stage in stages):
        return ""
    left = float(evaluation.points[HOUSE].water.high("free_chlorine")[AVERAGE, 0])
    if not left >= _TASTED:
        return ""
    shown = units.show(left, "concentration", system, analyte="free_chlorine")
    return f"Tastes and smells of chlorine: {shown} of it reaches the house, no carbon stands behind the feed"


__all__ = ["taste", "with_oxidant"]
