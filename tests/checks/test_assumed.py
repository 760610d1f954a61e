"""A remark that rests on a value nobody measured becomes the gap in the sample; what is said to be without weight is so at both ends."""

from __future__ import annotations

from typing import Any

import pytest

from tests.checks.build import FINE, found, one, severities, train, uv
from tests.train.trains import stage
from trainapp import units
from trainapp.checks import findings
from trainapp.train.evaluation import Evaluation
from trainapp.water.analytes import BY_KEY
from trainapp.water.plausible import plausible_of

RUST = {"iron": "2 mg/L", "iron_dissolved": "2 mg/L"}


def _chlorinated(**water: Any) -> Evaluation:
    """Chlorine fed ahead of a tank and carbon; ammonia turns it into chloramine, which takes carbon far longer."""
    stages = [
        stage("feed", "oxidant_feed", oxidant="chlorine", dose="3 mg/L"), stage("contact", "contact_tank", volume="80 gal"),
        stage("carbon", "carbon_bed", tank_diameter="12 in", bed_depth="36 in"), FINE, uv(),
    ]  # fmt: skip
    return train(stages, {**RUST, **water})


def test_a_caution_that_rests_on_ammonia_is_the_gap() -> None:
    evaluation = _chlorinated(ammonia=None)
    gap = one(evaluation, "sample-gap", analyte="ammonia")
    assert gap.severity == "caution" and "carbon" in (gap.stage, *gap.also_at)
    assert "too little contact for chloramine" in gap.message
    assert not found(evaluation, "contact-short", stage="carbon")
    rest = [f for f in findings(evaluation) if f.cause == "sample-gap:rest"]
    assert all("Ammonia" not in f.message for f in rest)


def test_measured_ammonia_leaves_no_gap() -> None:
    without = _chlorinated(ammonia="<0.01 mg/L")
    assert not found(without, "sample-gap", analyte="ammonia") and not found(without, "contact-short", stage="carbon")
    assert found(_chlorinated(ammonia="0.5 mg/L"), "contact-short", stage="carbon")


def test_what_is_sure_at_both_ends_is_said() -> None:
    """A bed of minutes is too small for what the sample itself has, whatever the rest of the chlorine is."""
    evaluation = _chlorinated(ammonia=None, hydrogen_sulfide=None)
    assert found(evaluation, "contact-short", stage="contact"), "the time in the tank rests on nothing that was not measured"


@pytest.mark.parametrize("missing", ["ammonia", "toc", "hydrogen_sulfide", "tds", "sulfate"])
@pytest.mark.parametrize("first", ["oxidant_feed", "softener", "iron_filter", "neutralizer", "carbon_bed"])
def test_what_is_without_weight_changes_nothing_at_either_end(first: str, missing: str) -> None:
    """Each analyte that the note lists, measured at either plausible end, leaves codes and severities of stages as they are."""
    stages = [stage("first", first), stage("carbon", "carbon_bed"), FINE, uv()]
    evaluation = train(stages, {**RUST, missing: None})
    told = [f.message for f in findings(evaluation) if f.cause == "sample-gap:rest"]
    if not told or BY_KEY[missing].label not in told[0]:
        return
    plausible = next(p for p in plausible_of("drilled_well") if p.analyte == missing)
    worst = []
    for value in (plausible.low, plausible.high):
        there = train(stages, {**RUST, missing: units.write(value, BY_KEY[missing].dimension)})
        worst.append({c: s for c, s in severities(there).items() if s != "note" and c not in ("sample-doubt", "sample-gap")})
    assert worst[0] == worst[1]
