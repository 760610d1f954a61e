"""A result over the laboratory's range has one known end: nothing fails on the other (rules 21)."""

from __future__ import annotations

from tests.train.trains import WATER, full_train
from trainapp.checks import findings
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
