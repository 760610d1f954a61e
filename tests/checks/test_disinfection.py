"""Germs, chambers and the ways round them."""

from __future__ import annotations

from typing import Any

import pytest

from tests.checks.build import FINE, GOOD_WELL, METAL, chain, found, one, reopened, severities, stage, train, uv
from trainapp.checks import findings, headline, may_accept, not_judged, safety, verdict
from trainapp.checks.drinking import NOT_NOW

COLIFORM = {"total_coliform": "12 /100mL", "e_coli": "absent"}
E_COLI = {"total_coliform": "present", "e_coli": "present"}


def source(**changes: Any) -> dict[str, Any]:
    return {**GOOD_WELL, **changes}


# Class ----------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("device", ["B", "none"])
@pytest.mark.parametrize(
    ("water", "supply"),
    [
        (COLIFORM, {}), ({"total_coliform": "TNTC"}, {}), (E_COLI, {}), ({}, {"source": "spring"}), ({}, {"source": "dug_well"}),
        ({}, {"source": "surface"}), ({}, {"source": "rain"}), ({}, {"surface_influence": "yes"}),
    ],
)  # fmt: skip
def test_class_b_or_none_on_unsafe_water_is_a_fail(device: str, water: dict[str, str], supply: dict[str, str]) -> None:
    told = one(train([FINE, uv(device_class=device)], water, supply=source(**supply)), "uv-class")
    assert told.severity == "fail" and not may_accept(told)


def test_class_b_where_coliform_or_influence_is_unknown_is_a_caution() -> None:
    blind = {"total_coliform": None, "e_coli": None}
    assert one(train([FINE, uv(device_class="B")], blind), "uv-class").severity == "caution"
    assert one(train([FINE, uv(device_class="B")], supply=source(surface_influence="unknown")), "uv-class").severity == "caution"
    assert not found(train([FINE, uv(device_class="B")]), "uv-class")
    assert not found(train([FINE, uv()], COLIFORM), "uv-class")


# Germs ----------------------------------------------------------------------------------------------------------------------


def test_coliform_behind_a_good_chamber_stays_a_standing_caution() -> None:
    told = one(train(water=COLIFORM), "after-start-up")
    assert told.severity == "caution" and "reated by design" in told.message and "two samples" in told.message


def test_coliform_behind_a_chamber_outside_its_limits_is_not_treated_by_design() -> None:
    dirty = train(water={**COLIFORM, "manganese": "0.2 mg/L", "manganese_dissolved": "0.2 mg/L"})
    assert one(dirty, "health", analyte="total_coliform").severity == "fail"
    assert not found(dirty, "after-start-up")


def test_e_coli_comes_first_and_says_what_to_do_now() -> None:
    evaluation = train(water=E_COLI)
    told = findings(evaluation)
    assert (told[0].code, told[0].analyte, told[0].severity) == ("health", "e_coli", "caution")
    assert headline(evaluation, told).startswith("Do not drink this water now")
    assert told[0].cautions[0].startswith(NOT_NOW)
    bare = train([FINE], E_COLI)
    assert findings(bare)[0].analyte == "e_coli" and findings(bare)[0].severity == "fail"


def test_a_word_and_a_count_mean_the_same() -> None:
    for result in ("present", "TNTC", "3 /100mL", ">200 /100mL"):
        assert found(train(water={"total_coliform": result}), "after-start-up"), result
    for result in ("absent", "<1 /100mL", "0 /100mL"):
        assert not found(train(water={"total_coliform": result}), "after-start-up"), result


def test_surface_water_is_never_for_uv_alone() -> None:
    told = one(train(supply=source(surface_influence="yes")), "health")
    assert told.severity == "fail" and "licensed" in told.message
    barrier = stage("cyst", "sediment_cartridge", rating="1 um", rating_basis="absolute", length="20 in", diameter="4.5 in")
    assert one(train([FINE, barrier, uv()], supply=source(surface_influence="yes")), "health").severity == "caution"


# Ways ------------------------------------------------------------------------------------------------------------------------


def round_it(kind: str, **settings: Any) -> dict[str, Any]:
    links = [*chain("supply", "fine", "uv", "house"), *chain("fine", "by", "house")]
    return {"stages": [FINE, uv(), stage("by", kind, **settings)], "links": links}


def test_an_open_bypass_round_the_chamber_is_a_fail() -> None:
    told = one(train(water=COLIFORM, **round_it("bypass", position="open", share="20 %")), "unprotected-path")
    assert told.severity == "fail" and "bypass" in told.message and not may_accept(told)


def test_a_closed_bypass_is_a_note() -> None:
    told = one(train(water=COLIFORM, **round_it("bypass", position="closed")), "unprotected-path")
    assert told.severity == "note" and told.stage == "by"


def test_no_chamber_at_all() -> None:
    assert one(train([FINE], COLIFORM), "unprotected-path").severity == "fail"
    assert one(train([FINE], supply=source(source="spring")), "unprotected-path").severity == "fail"
    assert not found(train([FINE]), "unprotected-path")


def test_chlorine_is_given_no_credit() -> None:
    feed = stage("feed", "oxidant_feed", oxidant="chlorine", dose="2 mg/L")
    told = one(train([feed, FINE], COLIFORM), "unprotected-path")
    assert told.severity == "fail" and "no credit" in told.message


def garden(drinking: bool) -> dict[str, Any]:
    links = [*chain("supply", "fine", "uv", "house"), {"from": "supply", "to": "garden"}]
    return {"links": links, "outlets": {"garden": {"peak": "2 gpm", "drinking": drinking}}}


def test_a_tap_that_nobody_drinks_from_gets_a_label_only() -> None:
    evaluation = train(water=COLIFORM, **garden(False))
    assert not found(evaluation, "unprotected-path")
    assert one(evaluation, "label").severity == "note"
    assert one(train(water=COLIFORM, **garden(True)), "unprotected-path").stage == "garden"


def test_a_power_cut() -> None:
    assert one(train([FINE, uv(shutoff="none")], COLIFORM), "no-shutoff").severity == "caution"
    assert not found(train([FINE, uv(shutoff="none")]), "no-shutoff")
    assert not found(train(water=COLIFORM), "no-shutoff")


# Flow through a chamber ------------------------------------------------------------------------------------------------------


def test_no_flow_control_where_the_supply_can_push_more() -> None:
    told = one(train([FINE, uv(flow_control=None)]), "no-flow-control")
    assert told.severity == "fail" and told.value is not None and told.limit is not None and told.value.low > told.limit.low
    weak = source(pump_curve=[["0 gpm", "78 psi"], ["6 gpm", "55 psi"], ["9 gpm", "20 psi"]])
    assert not found(train([FINE, uv(flow_control=None)], supply=weak, peak="5 gpm"), "no-flow-control"), "the pump cannot push 12 gpm"


def test_a_separate_control_is_judged_at_the_upper_end_of_its_band() -> None:
    """12 gpm rated: a control of 12 may pass 13.8, one of 10 may pass 11.5."""
    for flow, fails in (("12 gpm", True), ("10 gpm", False)):
        evaluation = train([FINE, stage("control", "flow_control", flow=flow), uv(flow_control=None)])
        assert bool(found(evaluation, "no-flow-control")) is fails, flow
    assert not found(train([FINE, uv(flow_control="12 gpm")]), "no-flow-control"), "its own counts at its nominal flow"


def test_chambers_side_by_side_each_need_their_own() -> None:
    links = [*chain("supply", "fine", "left", "house"), *chain("fine", "right", "house")]
    stages = [FINE, uv("left"), uv("right", flow_control=None)]
    told = one(train(stages, links=links), "no-flow-control")
    assert told.stage == "right"


def test_more_flow_than_rated_is_outside_the_rating() -> None:
    told = one(train([FINE, uv(rated_flow="5 gpm", flow_control=None)]), "outside-rating")
    assert told.severity == "fail" and not may_accept(told)
    assert not found(train([FINE, uv(rated_flow="5 gpm", flow_control=None)]), "over-rating", stage="uv")


def test_dark_water_is_outside_the_rating_and_no_log_is_named() -> None:
    evaluation = train(water={"uvt": "60 %/cm", "uvt_filtered": "60 %/cm"})
    told = one(evaluation, "outside-rating", analyte="uvt")
    assert told.severity == "fail" and "60 %/cm" in told.message
    assert not any("log" in f.message.casefold().split() for f in findings(evaluation))


def test_a_dose_that_the_rating_cannot_reach() -> None:
    told = one(train([FINE, uv(rated_dose="30 mJ/cm2")], COLIFORM), "dose-short")
    assert told.severity == "fail" and not may_accept(told)


def test_a_document_cannot_set_its_own_pass_mark() -> None:
    """Rules 2 and 5: 40 mJ/cm2 for class A and, without a certificate, 70 %/cm (Ten States, from memory) whatever the document says."""
    weak = train([FINE, uv(rated_dose="1 mJ/cm2")], COLIFORM, goals={"uv_dose": "1 mJ/cm2"})
    assert one(weak, "dose-short").severity == "fail" and one(weak, "health", analyte="total_coliform").severity == "fail"
    dark = {"uvt": "50 %/cm", "uvt_filtered": "50 %/cm", **COLIFORM}
    own_word = train([FINE, uv(rated_uvt="1 %/cm", certificate=None)], dark)
    told = one(own_word, "outside-rating", analyte="uvt")
    assert told.severity == "fail" and told.limit is not None and told.limit.low == 70.0 and not may_accept(told)
    assert not found(train([FINE, uv(rated_uvt="45 %/cm")], dark), "outside-rating"), "a certificate says so"
    assert one(train([FINE, uv(certificate=None)], dark), "outside-rating", analyte="uvt").limit.low == 75.0  # type: ignore[union-attr]


def test_a_class_a_without_a_certificate_is_told() -> None:
    assert one(train([FINE, uv(certificate=None)], COLIFORM), "no-certificate").severity == "caution"
    assert one(train([FINE, uv(certificate=None)]), "no-certificate").severity == "note"
    assert not found(train(), "no-certificate") and not found(train([FINE, uv(device_class="B", certificate=None)]), "no-certificate")


@pytest.mark.parametrize(
    "change",
    [
        {"water": {"ph": None}}, {"water": {"iron": None, "iron_dissolved": None}}, {"stages": [FINE, uv(flow_control=None)]},
        {"supply": {**GOOD_WELL, "source": "surface", "surface_influence": "yes"}}, {"water": {"total_coliform": None}},
    ],
)  # fmt: skip
def test_no_log_figure_outside_rule(change: dict[str, Any]) -> None:
    logs = {"log_cryptosporidium", "log_giardia", "log_virus"}
    assert logs <= train().stages["uv"].working.results.keys()
    assert not logs & train(**change).stages["uv"].working.results.keys()


# Around a chamber ------------------------------------------------------------------------------------------------------------


def test_plastic_pipe_at_a_chamber() -> None:
    plastic = {**METAL, "material": "pex"}
    assert one(train([FINE, uv(metal_run=None)], plumbing=plastic), "uv-plastic").severity == "caution"
    assert not found(train([FINE, uv(metal_run="12 in")], plumbing=plastic), "uv-plastic")
    assert not found(train([FINE, uv(metal_run=None)]), "uv-plastic"), "copper all along"


@pytest.mark.parametrize("kind", ["carbon_bed", "sediment_cartridge", "contact_tank", "softener"])
def test_nothing_but_pipe_stands_after_a_chamber(kind: str) -> None:
    after = [f for f in found(train([FINE, uv(), stage("late", kind)], COLIFORM), "order", stage="late") if "after" in f.title]
    assert [f.severity for f in after] == ["fail"]
    control = found(train([FINE, uv(), stage("late", "flow_control", flow="9 gpm")], COLIFORM), "order", stage="late")
    assert not control


def test_a_fine_cartridge_stands_ahead_of_every_chamber() -> None:
    assert one(train([uv()], COLIFORM), "order", stage="uv").severity == "caution"
    assert one(train([uv()]), "order", stage="uv").severity == "note"
    assert not found(train(), "order")


def test_two_chambers_in_line_are_not_added() -> None:
    told = one(train([FINE, uv("first"), uv("second")]), "order")
    assert (told.severity, told.stage, told.also_at) == ("note", "second", ("first",))


def test_carbon_as_the_last_barrier() -> None:
    carbon = stage("carbon", "carbon_bed", tank_diameter="16 in", bed_depth="36 in")
    main = {"kind": "mains", "static": "70 psi", "residual": "60 psi", "at_flow": "10 gpm"}
    chlorinated = {"free_chlorine": "0.8 mg/L"}
    assert one(train([carbon], chlorinated, supply=main), "order", stage="carbon").severity == "note"
    assert one(train([carbon]), "order", stage="carbon").severity == "caution"
    assert one(train([carbon], COLIFORM), "order", stage="carbon").severity == "fail"
    assert not found(train([carbon, FINE, uv()], COLIFORM), "order")


# Above and beside the list ---------------------------------------------------------------------------------------------------


def test_nothing_reads_as_safe() -> None:
    evaluation = train()
    told = findings(evaluation)
    assert verdict(told) == "nothing-found"
    sentence = headline(evaluation, told)
    assert sentence.startswith("Nothing found among what was measured and modelled")
    assert "Not tested:" in sentence and sentence.endswith("Only tests after start-up show whether water is fit to drink.")
    words = " ".join([sentence, *(f.message for f in told), *safety(evaluation)]).casefold()
    assert "is safe" not in words.replace("certifies that water is safe", "") and "approved" not in words and " ok " not in words


def test_verdict_and_counts() -> None:
    evaluation = train([FINE], COLIFORM)
    told = findings(evaluation)
    assert verdict(told) == "fail" and headline(evaluation, told)[0].isdigit()


def test_not_judged_names_every_analyte_that_was_not_measured_and_every_unknown_name() -> None:
    evaluation = train(water={"caesium": "1 mg/L", "fluoride": None})
    told = not_judged(evaluation)
    assert "fluoride was not measured" in told
    assert "caesium is not among the analytes that are judged" in told
    assert not any(line.startswith("hardness ") for line in told)
    assert any("disinfected" in line for line in told) and any("chlorine" in line for line in told)
    from trainapp.water.analytes import ANALYTES

    # the document itself says how warm the water is
    missing = [a for a in ANALYTES if a.key not in evaluation.plan.raw.sheet and a.key != "temperature"]
    assert len([line for line in told if "was not" in line or "were not" in line]) >= len(missing)


def test_usual_cautions_follow_the_train() -> None:
    assert any("mercury" in line for line in safety(train())) and not any("mercury" in line for line in safety(train([FINE])))
    assert any("certifies" in line for line in safety(train([FINE])))


def test_regulated() -> None:
    assert not found(train(), "regulated")
    for site in ({"use": "food"}, {"use": "public"}, {"people": 25}):
        assert one(reopened(train(), site={"name": "x", **site}), "regulated").severity == "caution"


def test_severities_are_words_of_the_contract() -> None:
    assert set(severities(train([FINE], COLIFORM)).values()) <= {"fail", "caution", "note"}
