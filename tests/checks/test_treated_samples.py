"""Samples of treated water count like any measurement (rules 4, 6 and 9)."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.checks.build import CLEAN, FINE, found, one, stage, train, uv
from trainapp.checks import findings, headline, not_judged, verdict
from trainapp.checks.drinking import warning
from trainapp.reports.check_json import check_json
from trainapp.reports.check_text import check_lines
from trainapp.train.evaluation import Evaluation


def taken(at: str, results: dict[str, Any], raw: dict[str, Any] | None = None, stages: Any = (), **more: Any) -> Evaluation:
    """The usual train with a sample of its water taken at `at`; None takes a result out of the raw water."""
    sheet = {key: value for key, value in {**CLEAN, **(raw or {})}.items() if value is not None}
    samples = [{"id": "raw", "at": "supply", "results": sheet}, {"id": "after", "at": at, "results": results}]
    return train(stages, samples=samples, design_sample="raw", **more)


@pytest.mark.parametrize("at", ["uv", "house"])
@pytest.mark.parametrize(
    ("germs", "analyte"),
    [({"e_coli": "present"}, "e_coli"), ({"total_coliform": "TNTC"}, "total_coliform"), ({"e_coli": "3 /100mL"}, "e_coli")],
)
def test_germs_behind_the_disinfection_are_a_fail_with_what_to_do_now(at: str, germs: dict[str, str], analyte: str) -> None:
    evaluation = taken(at, germs)
    told = one(evaluation, "health", analyte=analyte)
    assert told.severity == "fail" and warning([told])
    assert headline(evaluation, findings(evaluation)).startswith("Do not drink this water now")


def test_germs_ahead_of_the_chamber_are_the_raw_waters() -> None:
    evaluation = taken("fine", {"total_coliform": "12 /100mL", "e_coli": "absent"}, {"total_coliform": None, "e_coli": None})
    assert evaluation.plan.unsafe and one(evaluation, "after-start-up").severity == "caution"
    weak = taken("fine", {"total_coliform": "12 /100mL"}, {"total_coliform": None}, [FINE, uv(device_class="B")])
    assert one(weak, "uv-class").severity == "fail"


def test_coliform_at_the_house_counts_as_tested() -> None:
    blind = {"total_coliform": None, "e_coli": None}
    evaluation = taken("house", {"total_coliform": "absent", "e_coli": "absent"}, blind)
    text = " ".join([headline(evaluation, findings(evaluation)), *not_judged(evaluation)])
    assert "E. coli was not tested" not in text and "Not tested: total coliform" not in text
    # clear behind a chamber says nothing of the water ahead of it; without one it does
    assert found(evaluation, "sample-gap", analyte="total_coliform")
    assert not found(taken("house", {"total_coliform": "absent"}, blind, [FINE]), "sample-gap", analyte="total_coliform")


@pytest.mark.parametrize("at", ["fine", "uv", "house"])
@pytest.mark.parametrize(
    ("analyte", "value"), [("arsenic", "0.5 mg/L"), ("lead", "0.2 mg/L"), ("nitrate", "12 mg/L as N"), ("manganese", "0.4 mg/L")]
)
def test_a_metal_over_its_health_limit_behind_a_stage_is_a_fail(at: str, analyte: str, value: str) -> None:
    """40 CFR 141.62: arsenic 0.010, nitrate 10 mg/L as N; 141.80: lead 0.015; EPA health advisory (2004): manganese 0.3 mg/L."""
    evaluation = taken(at, {analyte: value})
    assert [f.severity for f in found(evaluation, "health", analyte=analyte)] == ["fail"]
    assert verdict(findings(evaluation)) == "fail"


def test_the_reviewed_train_fails() -> None:
    bad = {"e_coli": "present", "total_coliform": "TNTC", "arsenic": "0.5 mg/L", "lead": "0.2 mg/L", "ph": "4", "uvt": "40 %/cm"}
    evaluation = taken("uv", bad)
    told = {(f.code, f.analyte, f.severity) for f in findings(evaluation)}
    assert {("health", "e_coli", "fail"), ("health", "arsenic", "fail"), ("health", "lead", "fail")} <= told
    assert ("outside-rating", "uvt", "fail") in told
    assert any(f.analyte == "ph" and f.severity == "fail" for f in findings(evaluation))


def test_a_transmittance_measured_behind_the_cartridge_is_proven() -> None:
    """Rule 6: less only what is proven, by a filtered sample or a sample taken there."""
    dark = {"uvt": "70 %/cm", "uvt_filtered": None}
    assert not found(taken("fine", {"uvt": "90 %/cm"}, dark), "outside-rating")
    assert one(train(water=dark), "outside-rating").severity == "fail"
    clear = {"uvt": "90 %/cm", "uvt_filtered": None}
    told = one(taken("fine", {"uvt": "60 %/cm"}, clear), "outside-rating")
    assert told.severity == "fail" and told.value is not None and told.value.low == pytest.approx(60.0)


def test_an_estimate_behind_a_stage_proves_nothing() -> None:
    guessed = {"uvt": {"value": "90 %/cm", "method": "estimate"}}
    assert one(taken("fine", guessed, {"uvt": "70 %/cm", "uvt_filtered": None}), "outside-rating").severity == "fail"


def test_a_good_sample_in_service_says_nothing_of_cleaning() -> None:
    dark = {"uvt": "70 %/cm", "uvt_filtered": None, "total_coliform": "5 /100mL"}
    bed = stage("bed", "sediment_bed", tank_diameter="12 in")
    told = one(taken("bed", {"uvt": "90 %/cm"}, dark, [bed, uv()]), "raw-while-cleaning")
    assert (told.severity, told.analyte) == ("fail", "uvt")
    assert not found(taken("bed", {"uvt": "90 %/cm"}, dark, [bed, uv()]), "outside-rating")


def test_a_good_sample_never_hides_a_worse_prediction_of_a_health_limit() -> None:
    assert [f.severity for f in found(taken("house", {"nitrate": "1 mg/L as N"}, {"nitrate": "20 mg/L as N"}), "health")] == ["fail"]


def test_a_sample_behind_a_stage_judges_what_stands_next() -> None:
    told = one(taken("fine", {"turbidity": "4 NTU"}), "inlet-limit", analyte="turbidity")
    assert (told.severity, told.stage) == ("fail", "uv")


def test_the_prediction_stands_beside_the_measurement() -> None:
    evaluation = taken("fine", {"iron": "0.9 mg/L", "lead": "<0.001 mg/L", "e_coli": "absent", "total_coliform": "TNTC"})
    told = check_json(evaluation, findings(evaluation))
    json.dumps(told, allow_nan=False)
    point = next(p for p in told["points"] if p["at"] == "fine")
    assert point["measured"]["iron"] == {"magnitude": 0.9, "unit": "mg/L"} and point["water"]["iron"]["high"] < 0.1
    assert point["measured"]["lead"] == {"low": 0.0, "high": 0.001, "unit": "mg/L"} and point["measured"]["e_coli"] == {"state": "absent"}
    assert point["measured"]["total_coliform"] == {"low": 200.0, "high": None, "unit": "/100mL"}
    assert "lead" in point["unknown"] and "measured" not in told["points"][0]
    assert any(step["symbol"] == "Fe_m" and "predicted" in step["note"] for step in point["working"])
    text = " ".join(" ".join(check_lines(evaluation, findings(evaluation), "us")).split())
    assert "iron 0.9 mg/L (predicted 0.0" in text and "lead <0.001 mg/L (not predicted)" in text
