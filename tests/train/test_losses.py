"""The terms of a stage's loss stand in its worked steps, and the loss follows from them."""

from __future__ import annotations

import pytest

from tests.train.trains import chain, document, stage, twelve_stages
from trainapp.dimensions import GPM
from trainapp.hydraulics.elements import Resistance
from trainapp.stages.working import Working
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import StageResult
from trainapp.train.plan import open_plan


def steps(result: StageResult) -> dict[str, tuple[float, str]]:
    """Value and formula by symbol, the last of each."""
    return {step.symbol: (step.value, step.formula) for step in result.working.steps}


def test_both_terms_and_the_growth_of_the_bed_are_shown() -> None:
    evaluation = evaluate(open_plan(twelve_stages()))
    result = evaluation.stages["softener"]
    told, (clean, dirty) = steps(result), result.stage.losses(evaluation.plan.cold)
    assert isinstance(clean, Resistance) and isinstance(dirty, Resistance)
    assert (told["R_1"][0], told["R_2"][0]) == (clean.linear, clean.quadratic)
    assert told["Δp"][1] == "R_1 · Q + R_2 · Q^2" and told["Δp_d"][1] == "R_1d · Q + R_2d · Q^2"
    assert told["R_1d"][0] == pytest.approx(clean.linear * told["f_d"][0]) and told["f_d"][0] > 1.0
    flow = told["Q"][0]
    assert told["R_1"][0] * flow + told["R_2"][0] * flow**2 == pytest.approx(result.headloss_clean, rel=1e-9)
    assert result.working.results["dirty_factor"].shown == told["f_d"][0]


def test_lanes_that_share_otherwise_when_dirty_say_so() -> None:
    lanes = [stage("left", "sediment_bed"), stage("right", "carbon_bed")]
    evaluation = evaluate(open_plan(document(lanes, [*chain("supply", "left", "house"), *chain("supply", "right", "house")])))
    for result in evaluation.stages.values():
        told = steps(result)
        assert told["Q_d"][0] != pytest.approx(told["Q"][0], rel=1e-3) and told["Δp_d"][1] == "R_1d · Q_d + R_2d · Q_d^2"
        assert told["R_1d"][0] * told["Q_d"][0] + told["R_2d"][0] * told["Q_d"][0] ** 2 == pytest.approx(result.headloss_dirty, rel=1e-6)


def test_what_follows_another_law_says_which() -> None:
    parts = [
        stage("hold", "pressure_regulator", set_pressure="50 psi"),
        stage("pair", "softener", count=2),
        stage("made", "carbon_bed", head_loss=[["3 gpm", "2 psi"], ["9 gpm", "9 psi"]]),
    ]
    evaluation = evaluate(open_plan(document(parts, peak="10 gpm")))
    regulator, pair, made = (steps(evaluation.stages[name]) for name in ("hold", "pair", "made"))
    assert regulator["Δp"][1] == "what it holds back, and its own loss" and "R_1" not in regulator
    assert made["Δp"][1] == "the maker's curve at Q" and "R_1" not in made
    (one, _), both = evaluation.stages["pair"].stage.losses(evaluation.plan.cold), pair["R_1"][0]
    assert isinstance(one, Resistance) and both == pytest.approx(one.linear / 2)


def test_what_no_water_changes_is_worked_out_once() -> None:
    plan = open_plan(twelve_stages())
    first, second = evaluate(plan), evaluate(plan)
    for name, result in first.stages.items():
        again = second.stages[name]
        assert result.flow is again.flow and result.inlet_pressure is again.inlet_pressure
        assert result.backwash_available == again.backwash_available
        assert isinstance(result.working, Working) and result.working is not again.working
    assert {link: pipe.velocity for link, pipe in first.links.items()} == {link: pipe.velocity for link, pipe in second.links.items()}
    assert float(first.stages["softener"].flow[2]) > GPM
