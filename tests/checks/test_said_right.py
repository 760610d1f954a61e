"""Sentences that name the right cause, place and number, and findings that were missing or cried wolf."""

from __future__ import annotations

import pytest

from tests.checks.build import FINE, GOOD_WELL, found, one, train, uv
from tests.train.trains import chain, stage
from trainapp import units
from trainapp.checks import findings
from trainapp.checks.finding import Finding
from trainapp.train.evaluation import Evaluation

GERMS = {"total_coliform": "12 /100mL"}
AIR = stage("iron", "iron_filter", tank_diameter="13 in", media="coated_silicate", oxidant="air", during_cleaning="closed")
FERROUS = {"iron": "2 mg/L", "iron_dissolved": "2 mg/L", "dissolved_oxygen": "0.3 mg/L"}
COPPER = {"material": "copper_l", "size": "1-1/4 in", "length": "3 ft"}


def texts(evaluation: Evaluation) -> list[str]:
    return [finding.message for finding in findings(evaluation)]


# Manganese and air ----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("manganese", "said"), [("0.02 mg/L", False), ("0.04 mg/L", False), (None, False), ("0.06 mg/L", True), ("0.3 mg/L", True)]
)
def test_air_that_leaves_manganese_is_told_above_what_stains(manganese: str | None, said: bool) -> None:
    """0.05 mg/L is the secondary level (40 CFR 143.3)."""
    water = {**FERROUS, "ph": "7.2", "manganese": manganese, "manganese_dissolved": manganese}
    assert bool(found(train([AIR, FINE, uv()], water, peak="4 gpm"), "media-limit", analyte="ph")) is said


# Softeners ------------------------------------------------------------------------------------------------------------------------


def softened(water: dict[str, str | None], peak: str = "6 gpm", **settings: str) -> Evaluation:
    usual = {"resin_volume": "2 ft3", "tank_diameter": "12 in", "salt_dose": "8 lb/ft3", "tanks": "2"}
    return train([stage("soft", "softener", **{**usual, **settings})], water, peak=peak)


def test_sodium_that_a_softener_adds_is_told_where_the_raw_water_was_not_measured_for_it() -> None:
    """18 gpg is 308 mg/L as CaCO3; 22.99/50.04 mg of sodium a mg of hardness (stoichiometry), so 140 mg/L less what leaks."""
    told = one(softened({"hardness": "18 gpg", "sodium": None}), "outlet-goal", analyte="sodium")
    assert told.severity == "note" and told.stage == "house"
    assert told.value is not None and told.value.high is None and told.value.low == pytest.approx(138.0, abs=4.0)
    assert "at more than" in told.message and "was not measured" in told.message
    assert not found(train([FINE], {"sodium": None}), "outlet-goal", analyte="sodium")
    known = one(softened({"hardness": "18 gpg", "sodium": "10 mg/L"}), "outlet-goal", analyte="sodium")
    assert known.value is not None and known.value.low == pytest.approx(told.value.low + 10.0, abs=0.5)
    potassium = softened({"hardness": "18 gpg", "sodium": None}, regenerant="potassium_chloride")
    assert not found(potassium, "outlet-goal", analyte="sodium")


def test_half_of_the_water_round_a_softener_brings_half_of_its_sodium() -> None:
    bypass = stage("by", "bypass", share="50 %", position="open")
    soft = stage("soft", "softener", resin_volume="2 ft3", tank_diameter="12 in", tanks="2")
    links = [*chain("supply", "soft", "fine", "house"), *chain("supply", "by", "fine")]
    told = one(train([soft, bypass, FINE], {"hardness": "18 gpg", "sodium": None}, links), "outlet-goal", analyte="sodium")
    whole = one(softened({"hardness": "18 gpg", "sodium": None}), "outlet-goal", analyte="sodium")
    assert told.value is not None and whole.value is not None and told.value.low < 0.75 * whole.value.low


@pytest.mark.parametrize(("solids", "said"), [("300 mg/L", False), ("800 mg/L", False), ("1500 mg/L", True), ("2500 mg/L", True)])
def test_a_softener_in_salty_water_that_leaks_says_so(solids: str, said: bool) -> None:
    """10 mg/L (TDS/500)^2 (6/8)^1.4: 60 mg/L at 1500, over twice 17 mg/L (1 gpg, the end point of NSF/ANSI 44); 17 mg/L at 800."""
    told = found(softened({"hardness": "30 gpg", "tds": solids}), "hardness-leaks")
    assert bool(told) is said
    if said:
        assert told[0].severity == "caution" and "salt" in told[0].message and told[0].value is not None
        assert told[0].value.low > 34.0


def test_a_softener_that_is_run_too_fast_says_so() -> None:
    """Twice the peak of 10 gpm/ft3 lets all of it past: 15 gpg at 30 gpm through 2 ft3 is half of it."""
    told = one(softened({"hardness": "15 gpg"}, peak="30 gpm"), "hardness-leaks")
    assert "too fast" in told.message and told.value is not None and told.value.low == pytest.approx(130.0, abs=8.0)
    assert not found(softened({"hardness": "15 gpg"}, peak="18 gpm"), "hardness-leaks")


# pH at the flow that governs --------------------------------------------------------------------------------------------------------


def test_water_that_is_acid_only_at_the_peak_eats_copper_then() -> None:
    bed = stage("bed", "neutralizer", tank_diameter="10 in", bed_depth="24 in")
    acid = {"ph": "5.8", "alkalinity": "40 mg/L", "hardness": "40 mg/L"}
    evaluation = train([bed], acid, peak="9 gpm", plumbing=COPPER)
    ph = evaluation.points["house"].water.get("ph")[..., 0].max(axis=0)
    assert ph[2] < 6.5 < ph[1], "the day brings it up, the peak does not"
    assert "which it has at the peak" in one(evaluation, "corrosion").message
    still = one(train([FINE], {**acid, "ph": "6.3"}, plumbing=COPPER), "corrosion").message
    assert "at the peak" not in still, "raw water is alike at every flow"


def test_a_neutralizer_past_its_rating_says_that_beside_what_it_misses() -> None:
    bed = stage("bed", "neutralizer", tank_diameter="10 in", bed_depth="24 in")
    evaluation = train([bed], {"ph": "5.8", "alkalinity": "40 mg/L", "hardness": "40 mg/L"}, peak="9 gpm")
    assert one(evaluation, "contact-short").stage == one(evaluation, "over-rating").stage == "bed"


# Numbers ----------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("limit", [8.9, 8.87, 8.94, 8.8501])
@pytest.mark.parametrize("off", [-0.3, -0.04, -0.012, -0.002, 0.002, 0.012, 0.04, 0.3])
def test_a_value_never_reads_as_its_limit_does(limit: float, off: float) -> None:
    gpm = units.parse("1 gpm", "flow")
    told, edge = units.show_against_limit((limit + off) * gpm, limit * gpm, "flow"), units.show(limit * gpm, "flow")
    assert told != edge
    number = float(told.removeprefix("just over ").removeprefix("just under ").split()[0])
    if told.startswith("just"):
        assert told.startswith("just over") is (off > 0)
    else:
        assert (number > float(edge.split()[0])) is (off > 0)


def test_a_ph_that_is_as_good_as_its_goal_is_no_finding() -> None:
    told = [text for stages in (f"{d} in" for d in (12, 14, 16, 18, 20, 24)) for text in texts(train(
        [stage("bed", "neutralizer", tank_diameter=stages)], {"ph": "6.2", "alkalinity": "60 mg/L", "hardness": "60 mg/L"}))]  # fmt: skip
    assert not any("6.99" in text or "just under" in text for text in told)


# Causes and places --------------------------------------------------------------------------------------------------------------


def test_a_dose_that_was_rated_too_low_blames_no_lamp() -> None:
    """At the alarm point lamp and sleeve are inside the rating; a new lamp's rating loses both."""
    low = one(train([FINE, uv(rated_dose="30 mJ/cm2")], GERMS), "dose-short")
    assert "rated for is less" in low.message and "lamp" not in low.message
    old = one(train([FINE, uv(rated_dose="42 mJ/cm2", rating_basis="new_lamp")], GERMS), "dose-short")
    assert "old lamp" in old.message and "sleeve" in old.message


def test_hard_water_that_holds_its_scale_is_not_said_to_leave_it() -> None:
    calm = {"hardness": "150 mg/L", "alkalinity": "60 mg/L", "ph": "6.8"}
    told = [f for f in found(train([FINE, uv()], calm), "inlet-limit", stage="uv") if f.analyte == "hardness"]
    assert told and told[0].severity == "note" and "grows" not in told[0].message and "in solution" in told[0].message
    sure = {"hardness": "230 mg/L", "alkalinity": "300 mg/L", "ph": "8.2"}
    scaling = one(train([FINE, uv()], sure), "inlet-limit", stage="uv", analyte="hardness")
    assert scaling.severity == "caution" and "scale grows" in scaling.message


def test_a_coarse_test_of_coliform_was_made_all_the_same() -> None:
    told = one(train([FINE, uv()], {"total_coliform": "<10 /100mL"}), "sample-gap", analyte="total_coliform")
    assert "not measured" not in told.message + told.title and "10 /100mL" in told.message
    classless = one(train([FINE, uv(device_class="B")], {"total_coliform": "<10 /100mL"}), "uv-class")
    assert "not measured" not in classless.message
    missing = one(train([FINE, uv()], {"total_coliform": None}), "sample-gap", analyte="total_coliform")
    assert "Coliform was not measured" in missing.message


def test_two_washes_ask_the_pump_not_the_well() -> None:
    beds = [stage(name, "iron_filter", tank_diameter="16 in", media="manganese_dioxide", oxidant="air", clean_at="2 h") for name in "ab"]
    weak = {**GOOD_WELL, "yield": "7 gpm"}
    told = one(train(beds, FERROUS, supply=weak, peak="4 gpm"), "cleaning-together")
    assert "the pump gives" in told.message and "the well gives" not in told.message


@pytest.mark.parametrize(("kind", "words"), [("surface", "This source is surface water"), ("spring", "A spring counts as surface water")])
def test_surface_water_is_called_what_it_is(kind: str, words: str) -> None:
    told = train([FINE, uv()], supply={**GOOD_WELL, "source": kind, "surface_influence": "unknown"})
    assert any(f.message.startswith(words) for f in found(told, "health"))


def test_analytes_inside_a_sentence_are_not_written_large() -> None:
    box = stage("box", "declared", name="The old box", removal={"total_coliform": "90 %", "e_coli": "90 %"})
    told = [f.message for f in found(train([box, FINE, uv()]), "declared-ignored")]
    assert len(told) == 2 and any("do to total coliform" in text for text in told) and any("do to E. coli" in text for text in told)


def test_coliform_is_laid_at_the_chamber_that_works_outside_its_limits() -> None:
    links = [*chain("supply", "fine", "a", "house"), *chain("fine", "b", "house")]
    for bad in "ab":
        chambers = [uv(name, rated_uvt="97 %/cm" if name == bad else "75 %/cm") for name in "ab"]
        told: Finding = one(train([FINE, *chambers], {**GERMS, "uvt": "90 %/cm", "uvt_filtered": "90 %/cm"}, links), "health")
        assert (told.severity, told.stage) == ("fail", bad)


@pytest.mark.parametrize(
    ("kind", "source", "analyte", "said"),
    [
        # resources/water/plausible.toml: 50, 170, 400 mg/L of a well, over 17.118 mg/L a grain; tannin 0, 0.2, 2 mg/L of a dug well
        ("softener", "drilled_well", "hardness", "the softener is worked out for an assumed 9.9 gpg, where 2.9 gpg to 23 gpg is usual"),
        ("tannin_resin", "dug_well", "tannin", "the tannin resin is worked out for an assumed 0.2 mg/L, where 0 mg/L to 2 mg/L is usual"),
    ],
)
def test_what_a_stage_is_sized_by_names_the_value_it_was_sized_for(kind: str, source: str, analyte: str, said: str) -> None:
    supply, sheet = {**GOOD_WELL, "source": source}, {analyte: None, "toc": None}
    gap = one(train([stage("unit", kind)], sheet, supply=supply), "sample-gap", analyte=analyte)
    assert f"was not measured, and {said}: have it measured." in gap.message
