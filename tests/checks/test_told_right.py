"""What a finding says fits what stands in the train: no wrong word, no unrelated analyte, one cause told once."""

from __future__ import annotations

import json
import math
import subprocess
import sys
import warnings
from pathlib import Path
from typing import Any

import pytest

from tests.checks.build import FINE, GOOD_WELL, chain, found, one, reopened, stage, train, uv
from trainapp.checks import findings, not_judged
from trainapp.checks.finding import Finding
from trainapp.checks.merge import merged
from trainapp.checks.policy import rule
from trainapp.reports.check_json import check_json
from trainapp.reports.picture import write_picture
from trainapp.sources import source
from trainapp.train.evaluation import Evaluation

RUST = {
    "iron": "3 mg/L", "iron_dissolved": "3 mg/L", "manganese": "0.2 mg/L", "manganese_dissolved": "0.2 mg/L", "dissolved_oxygen": "0 mg/L",
}  # fmt: skip
IRON = {"tank_diameter": "12 in", "bed_depth": "36 in", "media": "manganese_greensand"}


def saved(evaluation: Evaluation, folder: Path) -> Path:
    path = folder / "t.train.json"
    path.write_text(json.dumps(evaluation.plan.document.tree), "utf-8")
    return path


def test_a_filter_without_any_oxidant_has_one_cause() -> None:
    evaluation = train([stage("iron", "iron_filter", **IRON, oxidant="none"), FINE, uv()], RUST, peak="3.5 gpm")
    assert [f.code for f in findings(evaluation) if f.stage == "iron" and f.severity == "caution"] == ["oxidant-short"]
    assert not any("nothing ahead takes it out" in f.message for f in findings(evaluation))
    assert any("the iron filter ahead takes none of it" in f.message for f in found(evaluation, "inlet-limit", stage="uv"))


def test_a_softener_behind_an_iron_filter_asks_for_no_other() -> None:
    weak = stage("iron", "iron_filter", **IRON, oxidant="none")
    told = one(train([weak, stage("softener", "softener")], RUST), "iron-on-resin")
    assert "iron filter ahead of the softener" not in told.message and "has to leave less" in told.message
    assert "an iron filter ahead" in one(train([stage("softener", "softener")], RUST), "iron-on-resin").message


def hard(ph: str, hardness: str = "200 mg/L") -> Evaluation:
    calcium = f"{float(hardness.split()[0]) / 2.497:.0f} mg/L"
    return train(water={"hardness": hardness, "calcium": calcium, "magnesium": "1 mg/L", "alkalinity": "150 mg/L", "ph": ph})


@pytest.mark.parametrize("hardness", ["200 mg/L", "300 mg/L"])
def test_hardness_at_a_chamber_never_leaps_from_nothing_to_a_fail(hardness: str) -> None:
    """Rule 21: over 120 mg/L and a positive index at the sleeve a caution; a fail at twice the guide, where scale is sure."""
    told = [[f.severity for f in found(hard(f"{6.8 + i / 50:.2f}", hardness), "inlet-limit", analyte="hardness", stage="uv")]
            for i in range(60)]  # fmt: skip
    ranks = [{"note": 1, "caution": 2, "fail": 3}[severities[0]] if severities else 0 for severities in told]
    assert ranks == sorted(ranks) and ranks[0] <= 1 and ranks[-1] == (3 if hardness == "300 mg/L" else 2)
    assert {2} <= set(ranks)


def test_a_control_shared_by_two_chambers_is_named() -> None:
    links = [*chain("supply", "fine", "fc", "a", "house"), *chain("fc", "b", "house")]
    small = {"flow_control": None, "rated_flow": "5 gpm"}
    stages = [FINE, stage("fc", "flow_control", flow="28 gpm"), uv("a", **small), uv("b", **small)]
    told = found(train(stages, links=links), "no-flow-control")
    assert told and all("no flow control stands in line" not in f.message and "flow control" in f.message for f in told)


def test_words_fit() -> None:
    clear = train([stage("c", "sediment_cartridge", rating="50 um"), FINE, uv()])
    assert not any("limit" in f.message for f in found(clear, "no-effect", stage="c"))
    high = [f.message for f in findings(train(water={"ph": ">9"})) if f.analyte == "ph"]
    assert high and not any("lower reporting limit" in text for text in high)
    elsewhere = {"id": "lost", "at": "nowhere", "results": {}}
    lost = reopened(clear, samples=[*clear.plan.document.tree["samples"], elsewhere], design_sample="s")
    assert one(lost, "gone").title == "A sample from a place that is not here"
    assert "%/cm" not in one(train(water={"uvt": None, "uvt_filtered": None}), "sample-gap", analyte="uvt").message
    warm = train(water={"temperature": None}, supply={**GOOD_WELL, "temperature": ["9 degC", "13 degC"]})
    assert "temperature was not measured" not in not_judged(warm)


def test_an_inlet_limit_at_a_chamber_leads_its_cause() -> None:
    at_uv = Finding("inlet-limit", "caution", "uv", "Iron into the UV chamber", "At the chamber.", "iron", cause="iron:high")
    at_house = Finding("outlet-goal", "fail", "house", "Iron at the house", "At the house.", "iron", cause="iron:high")
    (told,) = merged([at_house, at_uv], {"uv": 1, "house": 2}, ["uv"])
    assert (told.code, told.stage, told.severity, told.also_at) == ("inlet-limit", "uv", "fail", ("house",))
    assert told.message == "At the chamber. At the house."


def test_a_pump_that_never_reaches_its_cut_out() -> None:
    weak = [["0 gpm", "65 psi"], ["20 gpm", "60 psi"], ["30 gpm", "45 psi"]]
    told = one(train(supply={**GOOD_WELL, "pump_curve": weak}), "pump-runs-on")
    assert told.severity == "fail" and not found(train(), "pump-runs-on")


def test_a_day_that_does_not_fit_into_its_peak() -> None:
    """2 gpm for 1440 minutes are 2880 gal."""
    told = one(reopened(train(), demand={"peak": "2 gpm", "daily": "20000 gal"}), "demand-doubt")
    assert told.limit is not None and told.limit.low == pytest.approx(2880 * 3.785411784e-3) and not found(train(), "demand-doubt")


def test_the_speed_of_pipes_names_where_it_is_read() -> None:
    assert "Appendix P" in source(rule("velocity_note").source).label


@pytest.mark.parametrize("water", [{"magnesium": ">1780 mg/L"}, {"ph": None, "hardness": ">900 mg/L"}])
def test_an_answer_is_json_whatever_is_not_known(water: dict[str, Any]) -> None:
    evaluation = train([stage("s", "softener"), FINE, uv()], water)
    answer = json.loads(json.dumps(check_json(evaluation, findings(evaluation)), allow_nan=False))
    assert all(math.isfinite(v.get("magnitude", 0.0)) for p in answer["points"] for v in p["water"].values())


def test_a_full_disk_is_one_sentence(tmp_path: Path) -> None:
    path = saved(train(), tmp_path)
    with open("/dev/full", "w") as full:
        words = [sys.executable, "-m", "trainapp", "check", str(path)]
        answer = subprocess.run(words, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert answer.returncode == 2 and answer.stderr.count("\n") == 1 and "cannot be written" in answer.stderr


def test_remedies_are_told_where_they_are_asked_for(tmp_path: Path) -> None:
    path = saved(train([FINE, uv(shutoff="none")], {"total_coliform": "5 /100mL"}), tmp_path)
    run = [sys.executable, "-m", "trainapp", "check", str(path), "--json"]
    answers = [subprocess.run(words, capture_output=True, text=True, check=False).stdout for words in (run, [*run, "--remedies"])]
    plain, asked = ([r for f in json.loads(answer)["findings"] for r in f["remedies"]] for answer in answers)
    assert not plain and any(r["label"] and r["edits"] for r in asked)


def test_a_picture_with_letters_that_the_font_lacks_warns_nobody(tmp_path: Path) -> None:
    evaluation = reopened(train(), site={"name": "井戸"})
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        write_picture(evaluation, findings(evaluation), tmp_path / "p.png")


def test_results_of_units_side_by_side_are_of_one_and_say_so() -> None:
    one_unit, two = (train([{**stage("s", "softener"), "count": count}, FINE, uv()], {"hardness": "300 mg/L"}) for count in (1, 2))
    told = [check_json(evaluation, [])["stages"][0] for evaluation in (one_unit, two)]
    assert [stage_["units"] for stage_ in told] == [1, 2] and told[0]["flow"] == told[1]["flow"]


def test_a_pump_that_runs_nearly_a_minute_is_a_note() -> None:
    def severity(gallons: float) -> str:
        told = found(train(supply={**GOOD_WELL, "tank_volume": f"{gallons} gal"}), "tank-cycling")
        return told[0].severity if told else ""

    seen = [severity(gallons) for gallons in range(20, 140, 4)]
    assert list(dict.fromkeys(seen)) == ["caution", "note", ""]
