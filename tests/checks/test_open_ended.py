"""A result over the laboratory's range has one known end: nothing fails on the other (rules 21)."""

from __future__ import annotations

import math

import pytest

from tests.checks.build import stage, train
from tests.train.trains import WATER, full_train
from trainapp.checks import findings
from trainapp.reports.check_json import check_json
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan


def told(**water: str) -> dict[tuple[str, str], str]:
    found = findings(evaluate(open_plan(full_train(water={**WATER, **water}))))
    return {(f.code, f.stage): f.severity for f in found}


def test_resin_that_may_be_too_small_is_a_caution() -> None:
    assert told(hardness="300 gpg")["capacity-short", "softener"] == "fail"
    assert told(hardness=">30 gpg")["capacity-short", "softener"] == "caution"


def test_a_fail_that_rests_on_another_result_stands() -> None:
    plain, open_ended = told(dissolved_oxygen="4 mg/L"), told(dissolved_oxygen="4 mg/L", hardness=">20 gpg")
    assert plain["iron-on-resin", "softener"] == open_ended["iron-on-resin", "softener"] == "fail"


def test_a_wide_open_calcium_leaves_no_negative_solids_to_take_a_root_of() -> None:
    """Adverse calcium is ten times the range, adverse solids are those that were measured: exchange takes more than there is."""
    stages = [stage("n", "neutralizer"), stage("s", "softener"), stage("u", "uv_chamber")]
    water = {"calcium": ">3000 mg/L", "tds": "100 mg/L", "ph": "7.3", "alkalinity": "210 mg/L"}
    evaluation = train(stages, water, plumbing={"material": "copper_l", "size": "1 in"})
    # a warning is an error here
    assert all(f.value is None or f.value.low == f.value.low for f in findings(evaluation))


@pytest.mark.parametrize(
    "water",
    [
        {"ph": "10.65", "alkalinity": "210 mg/L", "hardness": "18 gpg"},
        {"ph": "<6.52", "alkalinity": "0 mg/L"},
        {"ph": "4.68", "alkalinity": "400 mg/L", "iron": "25 mg/L"},
    ],
)
def test_no_result_of_a_stage_is_a_magnitude_of_nothing(water: dict[str, str]) -> None:
    stages = [
        stage("f", "iron_filter", media="manganese_dioxide", oxidant="chlorine"),
        stage("n", "neutralizer", media="calcite_magnesia"),
        stage("c", "contact_tank"),
    ]
    evaluation = train(stages, water)
    answer = check_json(evaluation, findings(evaluation))
    results = {(s["id"], name): r["magnitude"] for s in answer["stages"] for name, r in s["results"].items()}
    assert results and all(isinstance(value, float) and math.isfinite(value) for value in results.values())


def test_ph_below_a_value_is_no_water_of_ph_nothing() -> None:
    evaluation = train([], {"ph": "<6.5"})
    low, high = (float(end[2, 0]) for end in (evaluation.points["supply"].water.low("ph"), evaluation.points["supply"].water.high("ph")))
    assert (low, high) == (4.0, 6.5)
