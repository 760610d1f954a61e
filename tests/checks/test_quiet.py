"""What is not worth a loud word: what other results rule out, guides that are no device's own limit, a trickle's pH, taste."""

from __future__ import annotations

import pytest

from tests.checks.build import CLEAN, FINE, found, one, reopened, stage, train, uv
from trainapp.water.plausible import plausible_beside, plausible_of

BLIND = {"hydrogen_sulfide": None}
SOFT = stage("softener", "softener")
FULL = [SOFT, FINE, uv()]


def _sulfide(lowest: dict[str, float]) -> float:
    return next(p.high for p in plausible_beside("drilled_well", lowest) if p.analyte == "hydrogen_sulfide")


def test_sulfide_is_not_asked_for_where_oxygen_or_nitrate_rules_it_out() -> None:
    """Water that holds oxygen or nitrate holds no sulfide (common practice, no source)."""
    assert _sulfide({}) == 0.05 == _sulfide({"dissolved_oxygen": 0.4, "nitrate": 0.2})
    assert _sulfide({"dissolved_oxygen": 4.0}) == 0.0 == _sulfide({"nitrate": 2.0})
    reduced = {**BLIND, "dissolved_oxygen": "0.2 mg/L", "nitrate": "<0.1 mg/L as N"}
    for told in ({}, {"dissolved_oxygen": "3 mg/L"}, {"nitrate": "2 mg/L as N"}):
        assert not found(train(FULL, {**reduced, **told}), "sample-gap", analyte="hydrogen_sulfide")


def test_sulfide_that_no_one_measured_is_taken_as_less_than_anyone_smells() -> None:
    """Taste and odour begin at 0.05 to 0.1 mg/L (WHO Guidelines, from memory): a sheet of eight analytes without it is a normal one."""
    eight = {key: None for key in CLEAN} | {
        "hardness": "220 mg/L", "alkalinity": "210 mg/L", "ph": "7.4", "iron": "0.1 mg/L", "manganese": "0.02 mg/L",
        "turbidity": "0.4 NTU", "uvt": "92 %/cm", "total_coliform": "absent",
    }  # fmt: skip
    iron = stage("iron", "iron_filter", tank_diameter="13 in", media="coated_silicate", oxidant="air")
    for stages in (FULL, [iron, *FULL]):
        told = found(train(stages, eight, peak="4 gpm"), "sample-gap")
        assert not [f for f in told if f.analyte == "hydrogen_sulfide"]
        assert any("rotten eggs" in f.message for f in told if f.severity == "note")


def test_what_nothing_rules_out_stays_as_it_is() -> None:
    assert plausible_beside("drilled_well", {}) == plausible_of("drilled_well")
    others = [p for p in plausible_beside("drilled_well", {"nitrate": 5.0}) if p.analyte != "hydrogen_sulfide"]
    assert others == [p for p in plausible_of("drilled_well") if p.analyte != "hydrogen_sulfide"]


@pytest.mark.parametrize("toc", ["6 mg/L", "60 mg/L"])
def test_a_guide_of_a_medium_is_a_caution_and_no_more(toc: str) -> None:
    iron = stage("iron", "iron_filter", media="manganese_greensand", oxidant="chlorine")
    told = one(train([iron], {"iron": "2 mg/L", "iron_dissolved": "1.9 mg/L", "toc": toc}), "inlet-limit", analyte="toc")
    assert told.severity == "caution"


def test_the_makers_own_limit_of_a_medium_still_fails() -> None:
    own = {"toc": {"max": "5 mg/L", "source": "the maker's sheet"}}
    iron = stage("iron", "iron_filter", media="manganese_greensand", oxidant="chlorine", inlet_limits=own)
    told = train([iron], {"iron": "2 mg/L", "iron_dissolved": "1.9 mg/L", "toc": "6 mg/L"})
    assert one(told, "inlet-limit", analyte="toc").severity == "fail"


def test_ph_is_judged_at_the_peak_and_the_bed_says_what_a_trickle_comes_to() -> None:
    bed = stage("bed", "neutralizer", media="calcite_magnesia", tank_diameter="16 in")
    told = train([bed], {"ph": "6.0", "alkalinity": "20 mg/L", "hardness": "20 mg/L"})
    assert one(told, "ph-overshoot").severity == "caution"
    assert not found(told, "outlet-goal", analyte="ph") and float(told.points["house"].water.high("ph").max()) > 9.0


def test_taste_is_no_reason_to_ask_for_a_test() -> None:
    bed = stage("bed", "neutralizer")
    told = train([bed], {"ph": "6.0", "alkalinity": "60 mg/L", "tds": None})
    assert not found(told, "sample-gap", analyte="tds")


def test_a_softener_in_brine_says_that_it_cannot_soften() -> None:
    brackish = {"hardness": "900 mg/L", "tds": "12000 mg/L", "sodium": "3900 mg/L", "chloride": "6500 mg/L"}
    told = one(train([stage("softener", "softener")], brackish), "no-effect")
    assert told.analyte == "tds" and "salt" in told.title


def test_a_ph_that_was_measured_in_service_says_nothing_of_water_that_is_passed_by() -> None:
    """A sample behind the neutralizer is of days on which it works; while it cleans itself raw water passes, and that is told."""
    stages = [stage("n", "neutralizer", tank_diameter="14 in"), FINE, uv()]
    told = train(stages, {"ph": "6.0", "alkalinity": "40 mg/L"})
    assert one(told, "raw-while-cleaning").analyte == "ph"
    samples = [*told.plan.document.tree["samples"], {"id": "kitchen", "at": "n", "results": {"ph": "7.2"}}]
    tested = reopened(told, samples=samples)
    assert one(tested, "raw-while-cleaning").analyte == "ph"
    assert float(tested.stages["uv"].inlet.get("ph")[..., 0].max()) == pytest.approx(7.2)


def test_calcite_behind_a_softener_counts_for_copper() -> None:
    """Softening neither causes nor cures what water does to copper; calcite behind it does cure."""
    acid = {"ph": "6.2", "alkalinity": "60 mg/L", "hardness": "40 mg/L", "calcium": None}
    bed = stage("n", "neutralizer", tank_diameter="18 in")
    assert not found(train([SOFT, bed], acid), "corrosion")
    assert not found(train([bed, SOFT], acid), "corrosion")
    assert one(train([SOFT], acid), "corrosion").analyte == "ph"
