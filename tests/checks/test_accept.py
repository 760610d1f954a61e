"""Accepting a finding writes a reason beside it and changes nothing."""

from __future__ import annotations

from typing import Any

import pytest

from tests.checks.build import FINE, found, one, reopened, train, uv
from trainapp.checks import findings, verdict
from trainapp.checks.accept import with_acceptances
from trainapp.checks.finding import Amount, Finding
from trainapp.train.model import Acceptance, validated

MANGANESE = {"manganese": "0.12 mg/L", "manganese_dissolved": "0.12 mg/L"}


def entry(**changes: Any) -> dict[str, Any]:
    """An acceptance of manganese at the chamber."""
    usual = {
        "code": "inlet-limit", "stage": "uv", "analyte": "manganese", "value": "0.12 mg/L", "reason": "sleeve cleaned monthly",
        "by": "R. Alder", "date": "2026-05-05",
    }  # fmt: skip
    return {**usual, **changes}


def test_it_stands_beside_the_finding_and_changes_neither_severity_nor_verdict() -> None:
    before = train(water=MANGANESE)
    after = reopened(before, accepted=[entry()])
    told = one(after, "inlet-limit", analyte="manganese")
    assert told.accepted == entry() and told.severity == one(before, "inlet-limit", analyte="manganese").severity == "fail"
    assert verdict(findings(after)) == verdict(findings(before)) == "fail"
    assert not found(after, "acceptance-lapsed")


def test_it_lapses_when_the_value_gets_worse_and_holds_when_it_gets_better() -> None:
    worse = reopened(train(water={"manganese": "0.15 mg/L", "manganese_dissolved": "0.15 mg/L"}), accepted=[entry()])
    assert one(worse, "inlet-limit", analyte="manganese").accepted is None
    assert one(worse, "acceptance-lapsed").severity == "note"
    better = reopened(train(water={"manganese": "0.11 mg/L", "manganese_dissolved": "0.11 mg/L"}), accepted=[entry()])
    assert one(better, "inlet-limit", analyte="manganese").accepted is not None


def test_worse_is_lower_where_the_limit_is_a_least() -> None:
    goals = {"outlet_pressure": "60 psi"}
    base = train([FINE], goals=goals)
    (low,) = found(base, "low-pressure")
    assert low.value is not None
    psi = low.value.low / 6894.757
    held = reopened(base, accepted=[entry(code="low-pressure", stage="house", analyte="", value=f"{psi:.2f} psi")])
    assert one(held, "low-pressure").accepted
    lapsed = reopened(base, accepted=[entry(code="low-pressure", stage="house", analyte="", value=f"{psi + 3:.2f} psi")])
    assert one(lapsed, "low-pressure").accepted is None and found(lapsed, "acceptance-lapsed")


def test_without_a_value_it_does_not_hold_for_a_number() -> None:
    bare = {key: value for key, value in entry().items() if key != "value"}
    told = reopened(train(water=MANGANESE), accepted=[bare])
    assert one(told, "inlet-limit", analyte="manganese").accepted is None


@pytest.mark.parametrize(
    ("code", "stage", "analyte", "more"),
    [
        ("health", "house", "nitrate", {"water": {"nitrate": "20 mg/L as N"}}),
        ("outside-rating", "uv", "uvt", {"water": {"uvt": "60 %/cm", "uvt_filtered": "60 %/cm"}}),
        ("uv-class", "uv", "", {"stages": [FINE, uv(device_class="B")], "water": {"total_coliform": "present"}}),
        ("dose-short", "uv", "", {"stages": [FINE, uv(rated_dose="30 mJ/cm2")], "water": {"total_coliform": "present"}}),
        ("unprotected-path", "house", "", {"stages": [FINE], "water": {"total_coliform": "present"}}),
    ],
)  # fmt: skip
def test_what_nobody_can_accept(code: str, stage: str, analyte: str, more: dict[str, Any]) -> None:
    base = train(**more)
    told = reopened(base, accepted=[entry(code=code, stage=stage, analyte=analyte, value="99 mg/L")])
    assert one(told, code, stage=stage, analyte=analyte).accepted is None
    assert "cannot be accepted" in one(told, "acceptance-lapsed").message


def test_a_value_without_an_end_is_accepted_without_an_end() -> None:
    high = Finding(
        "inlet-limit", "fail", "uv", "Manganese into the UV chamber", "It is too much.", analyte="manganese",
        value=Amount(0.12, None, "concentration"), limit=Amount.of(0.05, "concentration"),
    )  # fmt: skip
    for value, holds in ((">0.12 mg/L", True), ("0.12 mg/L", False)):
        acceptance = validated(Acceptance, entry(value=value))
        first, *lapsed = with_acceptances([high], [acceptance], ["uv"])
        assert (first.accepted is not None) == holds == (not lapsed)


@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "1e999"])
def test_a_value_that_is_no_number_accepts_nothing(value: str) -> None:
    eaten, limit = Amount.of(-1.6, "none"), Amount.of(-1.0, "none")
    index = Finding("corrosion", "caution", "house", "It eats copper", "It does.", value=eaten, limit=limit)
    told = with_acceptances([index], [validated(Acceptance, entry(code="corrosion", stage="house", analyte="", value=value))])
    assert told[0].accepted is None and "does not say which value" in told[1].message
