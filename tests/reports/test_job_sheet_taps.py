"""Sample taps of the job sheet: each tells its own stage's water, with the limits of everything that comes behind."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from tests.reports.printing import evaluated, site, tree_of
from tests.train.trains import MAIN, WATER, chain, document, stage
from trainapp import units
from trainapp.checks import findings
from trainapp.reports.job_sheet_tables import SheetTables
from trainapp.reports.ledger import Ledger
from trainapp.reports.print_sources import Citations
from trainapp.stages.working import AVERAGE, PEAK
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan

Told = dict[tuple[str, str], tuple[str, str]]
SOFTENER = {"resin_volume": "2 ft3", "tank_diameter": "12 in"}
UV = {"rated_flow": "12 gpm", "device_class": "A", "rated_dose": "40 mJ/cm2", "metal_run": "12 in"}


def told(evaluation: Evaluation, found: list[Any] | None = None) -> Told:
    """Expectation and limit by tap and what is tested."""
    rows = SheetTables(Ledger(evaluation, findings(evaluation) if found is None else found), Citations()).taps().rows
    place, taps = "", {}
    for row in rows:
        place = row[0] or place
        taps[place, row[1]] = (row[2].replace("\u202f", " "), row[3])
    return taps


@cache
def of_site(name: str) -> Told:
    return told(*site(name))


def built(stages: list[dict[str, Any]], links: list[dict[str, Any]] | None = None, **more: Any) -> Evaluation:
    return evaluate(open_plan(document(stages, links, **more)))


def hardness(evaluation: Evaluation, node: str, flow: int) -> str:
    value = float(evaluation.points[node].water.row("hardness")[1, flow, 0])
    return units.show(value, "hardness", "us", analyte="hardness")


@cache
def lanes() -> Evaluation:
    """A softener in one of two lanes that meet in a carbon bed."""
    stages = [
        stage("soft", "softener", **SOFTENER),
        stage("sand", "sediment_bed"),
        stage("carbon", "carbon_bed"),
        stage("uv", "uv_chamber", **UV),
    ]
    links = [*chain("supply", "soft", "carbon", "uv", "house"), *chain("supply", "sand", "carbon")]
    return built(stages, links)


@cache
def blended() -> Evaluation:
    """A neutralizer, then a softener with a bypass round it."""
    stages = [
        stage("neutral", "neutralizer"), stage("soft", "softener", **SOFTENER), stage("blend", "bypass", share="20 %", position="open"),
        stage("uv", "uv_chamber", **UV),
    ]  # fmt: skip
    return built(stages, [*chain("supply", "neutral", "soft", "uv", "house"), *chain("neutral", "blend", "uv")])


def test_a_tap_tells_what_its_own_stage_lets_out_not_the_mix_behind() -> None:
    taps, evaluation = told(lanes()), lanes()
    assert taps["behind 1a Softener", "Hardness"][0] == hardness(evaluation, "soft", PEAK)
    mixed = taps["ahead of 2 Carbon bed, mixed", "Hardness"][0]
    value = float(evaluation.stages["carbon"].inlet.row("hardness")[1, PEAK, 0])
    assert mixed == units.show(value, "hardness", "us", analyte="hardness") != taps["behind 1a Softener", "Hardness"][0]


def test_where_flows_differ_by_much_both_ends_are_told() -> None:
    place = "ahead of 3 UV chamber, mixed"
    evaluation = blended()
    low, high = (float(evaluation.stages["uv"].inlet.row("hardness")[:, flow, 0].max()) for flow in (PEAK, AVERAGE))
    assert high > 1.3 * low
    # the whole numbers that both ends are nearest to, gpg of 17.118 mg/L
    assert told(evaluation)[place, "Hardness"][0] == f"{low / 17.118:.0f}–{high / 17.118:.0f} gpg"


def test_the_limit_of_a_chamber_is_not_one_of_the_water_ahead_of_a_softener() -> None:
    taps = told(blended())
    assert taps["behind 1 Neutralizer", "Hardness"][1] == ""
    assert taps["behind 2 Softener", "Hardness"][1] == "≤7"


def test_limits_behind_an_outlet_and_a_tee_are_found_whichever_link_comes_first() -> None:
    tree = tree_of("lone-alder-farm")
    tree["outlets"]["sink"] = {"peak": "1 gpm", "daily": "5 gal", "with_house": False}
    tree["links"].insert(0, {"from": "fine", "to": "sink"})
    taps = told(*evaluated(tree))
    assert (taps["behind 4 Sediment cartridge", "Turbidity"][1], taps["behind 4 Sediment cartridge", "UVT"][1]) == ("≤1", "≥75")


def test_iron_filter_and_softener_have_the_limits_of_the_chamber_and_the_house() -> None:
    taps = of_site("lone-alder-farm")
    limits = {what: taps["behind 2 Iron filter", what][1] for what in ("Iron", "Manganese", "Free chlorine")}
    # UV screening guide and 40 CFR 143.3: iron 0.3, manganese 0.05 mg/L; the residual wanted, and 40 CFR 141.65: chlorine 4 mg/L
    assert limits == {"Iron": "≤0.3", "Manganese": "≤0.05", "Free chlorine": "0.5–4"}
    assert taps["behind 3 Softener", "Hardness"][1] == "≤7"


def test_chlorine_behind_a_fed_filter_is_a_number_and_an_air_fed_one_has_no_test_of_it() -> None:
    assert of_site("lone-alder-farm")["behind 2 Iron filter", "Free chlorine"][0] == "0.50–1.16 mg/L"
    taps = told(built([stage("iron", "iron_filter", oxidant="air")]))
    assert [what for place, what in taps if place == "behind 1 Iron filter"] == ["Iron", "Manganese", "Hydrogen sulfide"]


def test_a_neutralizer_has_the_ph_that_it_is_set_to_reach() -> None:
    assert of_site("sorrel-bank-cottage")["behind 3 Neutralizer", "pH"] == ("6.8", "7–8.5")


def test_a_chamber_without_a_cartridge_ahead_has_a_tap_at_its_inlet() -> None:
    place = "ahead of 1 UV chamber"
    taps = of_site("lone-alder-farm-uv-alone")
    assert [what for at, what in taps if at == place] == ["UVT", "Turbidity", "Iron", "Hardness"]
    assert taps[place, "Iron"] == ("2.40 mg/L", "≤0.3")
    assert not any(at.startswith("ahead") for at, _ in of_site("lone-alder-farm"))


def test_declared_treatment_is_tested_for_what_it_is_said_to_take() -> None:
    evaluation = built(
        [stage("media", "declared", name="Arsenic media", removal={"arsenic": "90 %"})], water={**WATER, "arsenic": "0.02 mg/L"}
    )
    # US: 40 CFR 141.62, arsenic 0.010 mg/L
    assert told(evaluation)["behind 1 Arsenic media", "Arsenic"] == ("0.002 mg/L", "≤0.01")


def test_carbon_without_a_chamber_is_tested_for_bacteria() -> None:
    taps = of_site("pebble-court-3")
    assert taps["behind 2 Carbon bed", "Total coliform"] == ("no forecast", "absent")
    assert ("behind 1 Sediment cartridge", "UVT") not in taps
    lit = told(built([stage("carbon", "carbon_bed"), stage("uv", "uv_chamber", **UV)], supply=MAIN))
    assert ("behind 1 Carbon bed", "E. coli") not in lit


@pytest.mark.parametrize("name", ["lone-alder-farm", "marzipan-moth-tea-room"])
def test_every_limit_told_has_a_source(name: str) -> None:
    rows = SheetTables(Ledger(*site(name)), Citations()).taps().rows
    assert all(len(row[6].split(", ")) >= 1 and row[6] for row in rows)
