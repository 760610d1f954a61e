"""A bypass is held to its share: at the peak by its valve, at less by the blend that it makes."""

from __future__ import annotations

from typing import Any

import pytest

from tests.checks.build import found, one, train
from tests.train.trains import chain, stage
from trainapp.train.evaluation import Evaluation

HARD = {"hardness": "25 gpg", "alkalinity": "300 mg/L", "ph": "7.2"}
LANES = [*chain("supply", "softener", "house"), *chain("supply", "by", "house")]


def _blended(share: str, water: dict[str, Any] | None = None, **more: Any) -> Evaluation:
    softener = stage("softener", "softener", resin_volume="2 ft3", tank_diameter="12 in")
    return train([softener, stage("by", "bypass", share=share, **more)], {**HARD, **(water or {})}, links=LANES, peak="12 gpm")


@pytest.mark.parametrize("share", ["1", "100 %", "97 %"])
def test_a_share_that_the_valve_cannot_take_is_told(share: str) -> None:
    evaluation = _blended(share)
    finding = one(evaluation, "blend", stage="by")
    assert finding.severity == "caution" and finding.value is not None and finding.limit is not None
    taken = evaluation.links["supply", "by"].flow[2] / (12.0 * 6.30902e-5)
    assert finding.value.low == pytest.approx(taken, rel=1e-4) and finding.value.low < finding.limit.low
    assert "with its valve wide open" in finding.message


@pytest.mark.parametrize("share", ["10 %", "50 %"])
def test_a_share_that_it_takes_is_not_told(share: str) -> None:
    assert not found(_blended(share), "blend", stage="by")


def test_a_blend_that_is_hard_when_less_is_drawn_is_told() -> None:
    """The bed loses pressure with the flow, the valve with its square: below the peak ever more goes round."""
    evaluation = _blended("18 %")
    finding = one(evaluation, "blend", stage="house")
    water = evaluation.points["house"].water.high("hardness")[:, 0]
    assert finding.severity == "caution" and finding.analyte == "hardness" and finding.also_at == ("by",)
    assert finding.value is not None and finding.value.low == pytest.approx(max(water[:2])) and water[2] < 120.0 < max(water[:2])


def test_a_blend_of_soft_water_and_a_closed_valve_are_silent() -> None:
    assert not found(_blended("18 %", {"hardness": "5 gpg"}), "blend")
    assert not found(_blended("18 %", position="closed"), "blend")
