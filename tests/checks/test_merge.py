"""One cause, one finding; worst first."""

from __future__ import annotations

from trainapp.checks.finding import Finding
from trainapp.checks.merge import merged, ordered

RANK = {"supply": 0, "screen": 1, "softener": 2, "uv": 3, "house": 4}


def finding(code: str, severity: str, stage: str, cause: str = "", **more: object) -> Finding:
    return Finding(code, severity, stage, "title", "message", cause=cause, **more)  # type: ignore[arg-type]


def test_downstream_repeats_stand_in_also_at() -> None:
    found = merged([finding("outlet-goal", "caution", "house", "iron:high"), finding("inlet-limit", "caution", "uv", "iron:high")], RANK)
    assert [(f.code, f.stage, f.also_at) for f in found] == [("inlet-limit", "uv", ("house",))]


def test_the_worst_of_a_cause_leads() -> None:
    found = merged([finding("inlet-limit", "caution", "softener", "iron:high"), finding("inlet-limit", "fail", "uv", "iron:high")], RANK)
    assert [(f.severity, f.stage, f.also_at) for f in found] == [("fail", "uv", ("softener",))]


def test_what_names_the_cause_leads_what_names_the_place() -> None:
    found = merged([finding("inlet-limit", "caution", "uv", "ph:low"), finding("corrosion", "caution", "house", "ph:low")], RANK)
    assert [(f.code, f.also_at) for f in found] == [("corrosion", ("uv",))]


def test_without_a_cause_code_stage_and_analyte_are_the_cause() -> None:
    twice = [finding("velocity", "note", "uv"), finding("velocity", "note", "uv"), finding("velocity", "note", "screen")]
    assert len(merged(twice, RANK)) == 2


def test_cautions_of_a_cause_are_kept_once() -> None:
    pair = [finding("order", "fail", "uv", "x", cautions=("a", "b")), finding("order", "note", "house", "x", cautions=("b", "c"))]
    found = merged(pair, RANK)
    assert found[0].cautions == ("a", "b", "c")


def test_worst_first_then_what_hurts_people() -> None:
    found = ordered(
        [
            finding("velocity", "caution", "screen"), finding("inlet-limit", "fail", "softener"), finding("low-pressure", "fail", "house"),
            finding("uv-class", "fail", "uv"), finding("health", "fail", "house", analyte="nitrate"),
            finding("health", "fail", "house", analyte="e_coli"),
        ],
        RANK,
    )  # fmt: skip
    assert [f.code + f.analyte for f in found] == ["healthe_coli", "healthnitrate", "uv-class", "inlet-limit", "low-pressure", "velocity"]
