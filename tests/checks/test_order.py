"""Stages in the wrong order, and the exceptions that make it right."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from tests.checks.build import FINE, found, stage, train, uv
from trainapp.checks.finding import Finding

SCREEN = stage("screen", "sediment_cartridge", rating="50 um", length="20 in", diameter="4.5 in")
SOFT = stage("softener", "softener", resin_volume="2 ft3", tank_diameter="12 in", tanks="2")
IRON = stage("iron", "iron_filter", tank_diameter="12 in", media="coated_zeolite", oxidant="chlorine", during_cleaning="closed")
AIR = stage("iron", "iron_filter", tank_diameter="12 in", media="coated_zeolite", oxidant="air", during_cleaning="closed")
CALCITE = stage("neutralizer", "neutralizer", tank_diameter="16 in", bed_depth="36 in", during_cleaning="closed")
CARBON = stage("carbon", "carbon_bed", tank_diameter="14 in", bed_depth="36 in")
FERROUS = {"iron": "2 mg/L", "iron_dissolved": "1.9 mg/L"}
ACID = {"ph": "6.1", "alkalinity": "40 mg/L", "hardness": "30 mg/L"}


def order(stages: list[dict[str, Any]], water: Mapping[str, str | None], stage_id: str, **more: Any) -> list[Finding]:
    return found(train(stages, water, **more), "order", stage=stage_id)


def test_grit_meets_a_bed_first() -> None:
    dirty = {"turbidity": "8 NTU", "turbidity_filtered_5um": "0.5 NTU"}
    assert [f.severity for f in order([SOFT, SCREEN, FINE, uv()], dirty, "screen")] == ["caution"]
    assert not order([SCREEN, SOFT, FINE, uv()], dirty, "screen")
    assert not order([SOFT, SCREEN, FINE, uv()], {}, "screen")


@pytest.mark.parametrize(("turbidity", "limit", "severity"), [("1.5 NTU", 1.0, "note"), ("8 NTU", 5.0, "caution")])
def test_grit_is_told_with_the_limit_that_it_breaks(turbidity: str, limit: float, severity: str) -> None:
    (told,) = order([SOFT, SCREEN, FINE, uv()], {"turbidity": turbidity, "turbidity_filtered_5um": "0.5 NTU"}, "screen")
    assert told.severity == severity and told.limit is not None and told.limit.low == limit
    assert told.value is not None and told.value.low > limit


@pytest.mark.parametrize(("metals", "about"), [
    ({"iron": "0.02 mg/L", "manganese": "0.6 mg/L"}, {"manganese"}), ({"iron": "2 mg/L", "manganese": "0.02 mg/L"}, {"iron"}),
    ({"iron": "2 mg/L", "manganese": "0.6 mg/L"}, {"iron", "manganese"}),
])  # fmt: skip
def test_resin_ahead_of_the_iron_stage_is_fouled_by_what_is_over(metals: dict[str, str], about: set[str]) -> None:
    """0.3 mg/L is what counts: one of the two is not blamed for the other."""
    (told,) = [f for f in order([SOFT, IRON, FINE, uv()], metals, "iron") if "stands after" in f.title]
    assert told.analyte in about and told.value is not None and told.limit is not None and told.value.low > told.limit.low
    assert {metal for metal in ("iron", "manganese") if f"of {metal} " in told.message} == about
    assert ("reaches the resin" in told.message) is (len(about) == 1)


def test_fine_cartridge_ahead_of_the_iron_stage() -> None:
    told = order([FINE, IRON, uv()], FERROUS, "fine")
    assert [f.severity for f in told] == ["caution"], "said once, by stage and train together"
    assert not order([SCREEN, IRON, FINE, uv()], FERROUS, "fine")
    assert not order([FINE, IRON, uv()], {"iron": "2 mg/L", "iron_dissolved": "0.1 mg/L"}, "fine")


def test_ph_before_air_and_the_exceptions() -> None:
    little = {**ACID, "iron": "1 mg/L", "iron_dissolved": "1 mg/L"}
    assert [f.analyte for f in order([AIR, CALCITE, FINE, uv()], little, "iron")] == ["ph"]
    assert not order([CALCITE, AIR, FINE, uv()], little, "iron")
    assert not order([IRON, CALCITE, FINE, uv()], little, "iron"), "chlorine works at pH 6"
    much = {**ACID, "iron": "6 mg/L", "iron_dissolved": "6 mg/L"}
    assert not order([AIR, CALCITE, FINE, uv()], much, "iron"), "so much iron would coat the calcite"


def test_much_iron_coats_calcite() -> None:
    for iron, told in (("2 mg/L", ("iron-coats", "note")), ("4 mg/L", ("iron-coats", "caution")), ("6 mg/L", ("order", "caution"))):
        evaluation = train([CALCITE, IRON, FINE, uv()], {**ACID, "iron": iron, "iron_dissolved": iron})
        about = [f for code in ("order", "iron-coats") for f in found(evaluation, code, stage="neutralizer") if f.analyte == "iron"]
        assert [(f.code, f.severity) for f in about] == [told], "one cause, said once"


def test_hardness_after_the_softener() -> None:
    """Acid water takes 141 mg/L of hardness from calcite (case A: pH 6.0, alkalinity 30, Ca 8, Mg 2, 10 degC; PHREEQC): 8.2 gpg."""
    case_a = {"ph": "6.0", "alkalinity": "30 mg/L", "hardness": "28.2 mg/L", "calcium": "8 mg/L", "magnesium": "2 mg/L"}
    told = order([SOFT, CALCITE, FINE], case_a, "neutralizer")
    (late,) = [f for f in told if f.analyte == "hardness"]
    assert late.severity == "caution" and late.value is not None and 110.0 < late.value.low < 150.0
    assert not [f for f in order([CALCITE, SOFT, FINE], case_a, "neutralizer") if f.analyte == "hardness"]


def test_iron_stage_after_the_softener() -> None:
    evaluation = train([SOFT, IRON, FINE, uv()], FERROUS)
    told = [f for f in found(evaluation, "order") + found(evaluation, "iron-on-resin") if f.analyte == "iron"]
    assert len(told) == 1 and {told[0].stage, *told[0].also_at} == {"iron", "softener"}
    assert not [f for f in order([IRON, SOFT, FINE, uv()], FERROUS, "iron") if f.analyte == "iron"]


def test_sulfide_meets_carbon_first() -> None:
    rotten = {"hydrogen_sulfide": "1 mg/L"}
    evaluation = train([CARBON, IRON, FINE, uv()], rotten)
    told = [f for f in found(evaluation, "order") + found(evaluation, "inlet-limit") if f.analyte == "hydrogen_sulfide"]
    assert len(told) == 1, "order and limit are one cause"
    assert not [f for f in order([IRON, CARBON, FINE, uv()], rotten, "carbon") if f.analyte == "hydrogen_sulfide"]


def test_contact_tank_ahead_of_its_feed() -> None:
    feed, contact = stage("feed", "oxidant_feed", oxidant="chlorine", dose="3 mg/L"), stage("contact", "contact_tank", volume="120 gal")
    assert [f.also_at for f in order([contact, feed, SCREEN, FINE], {}, "contact")] == [("feed",)]
    assert not order([feed, contact, SCREEN, FINE], {}, "contact")


def test_a_feed_without_a_filter_behind() -> None:
    feed = stage("feed", "oxidant_feed", oxidant="chlorine", dose="3 mg/L")
    assert [f.severity for f in order([feed], FERROUS, "feed")] == ["caution"]
    assert not order([feed, SCREEN], FERROUS, "feed")


def test_softener_before_tannin() -> None:
    tannin = stage("tannin", "tannin_resin", during_cleaning="closed")
    hard = {"hardness": "200 mg/L", "tannin": "2 mg/L"}
    evaluation = train([tannin, FINE], hard)
    assert any(f.analyte == "hardness" and f.stage == "tannin" for f in found(evaluation, "order") + found(evaluation, "inlet-limit"))
    late = train([SOFT, tannin, FINE], hard)
    told = found(late, "order", stage="tannin") + found(late, "inlet-limit", stage="tannin")
    assert not [f for f in told if f.analyte == "hardness" and f.severity == "fail"]


def test_carbon_ahead_of_the_iron_stage() -> None:
    evaluation = train([CARBON, IRON, FINE, uv()], FERROUS)
    told = found(evaluation, "order") + found(evaluation, "inlet-limit")
    assert [f for f in told if f.analyte == "iron" and "carbon" in (f.stage, *f.also_at)]
    assert not [f for f in order([IRON, CARBON, FINE, uv()], FERROUS, "carbon") if f.analyte == "iron"]


def test_sequestrant_ahead_of_iron_removal() -> None:
    feed = stage("feed", "declared", name="Polyphosphate feed")
    assert [f.severity for f in order([feed, IRON, FINE, uv()], FERROUS, "feed")] == ["caution"]
    assert not order([IRON, feed, FINE, uv()], FERROUS, "feed")


def test_outdoor_taps_behind_the_softener() -> None:
    links = [{"from": "supply", "to": "softener"}, {"from": "softener", "to": "house"}, {"from": "softener", "to": "garden"}]
    outlets = {"garden": {"peak": "2 gpm", "drinking": False}}
    assert [f.severity for f in order([SOFT], {}, "garden", links=links, outlets=outlets)] == ["note"]
    links[2]["from"] = "supply"
    assert not order([SOFT], {}, "garden", links=links, outlets=outlets)


def test_storage_behind_carbon_on_a_chlorinated_main() -> None:
    main = {"kind": "mains", "static": "70 psi", "residual": "60 psi", "at_flow": "10 gpm"}
    tank = stage("tank", "storage_pump", volume="200 gal", fill_flow="5 gpm", set_pressure="50 psi")
    water = {"free_chlorine": "0.8 mg/L"}
    assert "caution" in [f.severity for f in order([CARBON, tank], water, "tank", supply=main)]
    assert not order([tank, CARBON], water, "tank", supply=main)


@pytest.mark.parametrize(("residual", "severity"), [
    ({"free_chlorine": "<0.1 mg/L"}, "caution"), ({"free_chlorine": "0.8 mg/L"}, "note"), ({"total_chlorine": "<0.1 mg/L"}, "caution"),
    ({"free_chlorine": "0.02 mg/L", "total_chlorine": "2 mg/L"}, "note"), ({"free_chlorine": "0.02 mg/L"}, "caution"),
])  # fmt: skip
def test_carbon_last_on_a_residual_that_was_measured(residual: dict[str, str], severity: str) -> None:
    """A non-detect shows no residual, and chlorine that is bound to ammonia is one."""
    told = order([CARBON], {"free_chlorine": None, **residual}, "carbon")
    assert [f.severity for f in told if f.title.startswith("No disinfection")] == [severity]
