"""Limit sets against what their authorities publish. Each line names the document and how it was seen."""

from __future__ import annotations

import pytest

from tests.checks.build import found, train
from trainapp.checks.limits import limit_set

#: 40 CFR 143.3, secondary maximum contaminant levels, read in the regulation itself.
SECONDARY = {
    "iron": 0.3, "manganese": 0.05, "tds": 500.0, "chloride": 250.0, "sulfate": 250.0, "copper": 1.0, "fluoride": 2.0, "colour": 15.0,
    "aluminium": 0.2,
}  # fmt: skip
#: Nebraska Administrative Code Title 118, chapter 3, 006, which repeats the federal values of 40 CFR 141.62 and 141.80.
PRIMARY = {"nitrate": 10.0, "nitrite": 1.0, "arsenic": 0.010, "fluoride": 4.0, "barium": 2.0, "copper": 1.3, "lead": 0.015}
#: WHO guidelines of 1996, FAO reprint, Tables A3.1 and A3.2; nitrate is 50 mg/L as NO3 there.
WHO_1996 = {"arsenic": 0.01, "lead": 0.01, "copper": 2.0, "nitrate": 50.0 / 4.427}


def value(key: str, analyte: str, kind: str) -> float:
    """The one row of an analyte and kind."""
    (row,) = [r for r in limit_set(key).of(analyte) if r.kind == kind]
    assert row.maximum is not None
    return row.maximum


@pytest.mark.parametrize(("analyte", "level"), SECONDARY.items())
def test_us_secondary_levels(analyte: str, level: float) -> None:
    assert value("us", analyte, "aesthetic") == pytest.approx(level)


def test_us_secondary_ph() -> None:
    (row,) = limit_set("us").of("ph")
    assert (row.minimum, row.maximum) == (6.5, 8.5)  # 40 CFR 143.3


@pytest.mark.parametrize(("analyte", "level"), PRIMARY.items())
def test_us_primary_levels(analyte: str, level: float) -> None:
    assert value("us", analyte, "health") == pytest.approx(level)


@pytest.mark.parametrize(("analyte", "level"), WHO_1996.items())
def test_who_levels_of_1996(analyte: str, level: float) -> None:
    assert value("who", analyte, "health") == pytest.approx(level, rel=2e-3)


def test_us_manganese_as_health() -> None:
    assert value("us", "manganese", "health") == 0.3  # health advisory, as stated in NH DES DWGB-3-8 (2021)


def test_canada_manganese_and_iron() -> None:
    assert value("canada", "manganese", "health") == 0.12  # Health Canada 2019, as reported in the trade press
    assert value("canada", "manganese", "aesthetic") == 0.02
    assert value("canada", "iron", "aesthetic") == 0.1  # Canada Gazette Part I, 30 September 2023 (proposal)


def test_us_uranium_from_memory() -> None:
    assert value("us", "uranium", "health") == 0.030  # 40 CFR 141.66, from memory


def test_us_residual_of_chlorine_from_memory() -> None:
    assert value("us", "free_chlorine", "health") == 4.0  # 40 CFR 141.65, maximum residual disinfectant level as Cl2, from memory


def test_sulfide_nuisance() -> None:
    (row,) = limit_set("us").of("hydrogen_sulfide")
    assert row.maximum == 0.5  # University of Georgia Extension C858-15


def test_sodium_guidance_is_for_a_diet_not_for_everyone() -> None:
    (row,) = limit_set("us").of("sodium")
    assert (row.maximum, row.kind, row.most) == (20.0, "advisory", "note")  # EPA 822-R-03-006, quoted by EPA's help desk


def test_municipal_turbidity_is_a_reference_and_never_judged() -> None:
    (row,) = limit_set("us").of("turbidity")
    assert (row.maximum, row.kind, row.most) == (1.0, "reference", None)  # 40 CFR 141.551, from memory


# Worked examples on non-detects and limits of two countries ----------------------------------------------------------------


def arsenic(text: str) -> list[tuple[str, str]]:
    return [(f.code, f.severity) for f in found(train(water={"arsenic": text}), "health", analyte="arsenic")]


def test_a_non_detect_above_its_limit_is_undecidable_and_below_it_meets() -> None:
    """Arsenic "<0.02" against 0.010 cannot be told, "<0.005" meets, 0.02 exceeds (logic of intervals)."""
    assert arsenic("<0.02 mg/L") == [("health", "caution")]
    assert arsenic("<0.005 mg/L") == []
    assert arsenic("0.02 mg/L") == [("health", "fail")]


def test_more_than_five_of_iron_exceeds() -> None:
    """Iron ">5" against 0.3 exceeds, however much more it is (logic of intervals)."""
    assert [f.severity for f in found(train(water={"iron": ">5 mg/L", "iron_dissolved": None}), "inlet-limit", analyte="iron")] == ["fail"]


def goals(limits: str, **water: str) -> set[tuple[str, str]]:
    """(code, analyte) of what is found at the house of a bare train."""
    evaluation = train([{"id": "screen", "kind": "sediment_cartridge", "settings": {"rating": "50 um"}}], water, goals={"limits": limits})
    return {(f.code, f.analyte) for code in ("outlet-goal", "health") for f in found(evaluation, code) if f.severity != "note"}


def test_manganese_of_0_08_in_two_countries() -> None:
    """0.08 exceeds US 0.05 and Canada's objective 0.02; it is below Canada's 0.12 and the US advisory 0.3 (40 CFR 143.3, Health Canada)."""
    water = {"manganese": "0.08 mg/L", "manganese_dissolved": "0.08 mg/L"}
    assert goals("us", **water) == {("outlet-goal", "manganese")}
    assert goals("canada", **water) == {("outlet-goal", "manganese")}
    assert goals("who", manganese="0.09 mg/L", manganese_dissolved="0.09 mg/L") == {("health", "manganese")}


def test_iron_of_0_2_in_two_countries() -> None:
    """0.2 meets US 0.3 and exceeds Canada's 0.1 (40 CFR 143.3, Canada Gazette)."""
    water = {"iron": "0.2 mg/L", "iron_dissolved": "0.2 mg/L"}
    assert goals("us", **water) == set()
    assert goals("canada", **water) == {("outlet-goal", "iron")}
