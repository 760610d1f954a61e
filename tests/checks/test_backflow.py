"""A pipe laid against the pressures is told, and invents no water (mass balance)."""

from __future__ import annotations

import numpy as np

from tests.train.trains import chain, document, stage
from trainapp.checks import findings
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan


def backwards() -> Evaluation:
    """A tight lane whose outlet also leads into a free lane ahead of its bed: pressure drives that bridge back."""
    stages = [
        stage("free", "sediment_cartridge", rating="50 um"), stage("tight", "softener", resin_volume="0.75 ft3", tank_diameter="8 in"),
        stage("late", "softener", resin_volume="0.75 ft3", tank_diameter="8 in"), stage("end", "sediment_cartridge", rating="50 um"),
    ]  # fmt: skip
    links = [*chain("supply", "free", "late", "end", "house"), *chain("supply", "tight", "late"), {"from": "tight", "to": "end"}]
    return evaluate(open_plan(document(stages, links)))


def test_it_is_told() -> None:
    evaluation = backwards()
    assert evaluation.links["tight", "late"].flow.min() < 0.0
    told = [f for f in findings(evaluation) if f.code == "backflow"]
    assert [f.stage for f in told] == ["late"] and told[0].severity == "fail"
    most = max(float(np.nanmax(evaluation.points[n].water.row("chloride"))) for n in ("late", "end", "house"))
    assert most <= float(np.nanmax(evaluation.points["supply"].water.row("chloride"))) + 1e-9
