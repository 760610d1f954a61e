"""Settings on the job sheet: what a controller asks for stands there in numbers, and nothing that has no say in this train."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest

from tests.reports.printing import SITES, evaluated, site, tree_of
from tests.train.trains import WATER, document, stage
from trainapp import units
from trainapp.checks import findings
from trainapp.dimensions import DAY
from trainapp.reports.job_sheet_settings import StageSettings, counts
from trainapp.reports.job_sheet_tables import SheetTables
from trainapp.reports.ledger import Ledger
from trainapp.reports.print_sources import Citations
from trainapp.reports.upkeep import upkeep
from trainapp.stages.programme import Entry
from trainapp.stages.working import pick
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan


def built(*stages: dict[str, Any], **more: Any) -> Evaluation:
    return evaluate(open_plan(document(list(stages), **more)))


def entries(evaluation: Evaluation, node: str) -> dict[str, Entry]:
    found = StageSettings(evaluation, "us").entries(evaluation.plan.stages[node])
    return {entry.what: entry for entry in found}


def text(evaluation: Evaluation, node: str) -> str:
    """All that the sheet tells of one stage: what it is set to, and what is entered."""
    told = [
        *StageSettings(evaluation, "us").lines(evaluation.plan.stages[node]),
        *(f"{e.what}: {e.note}" for e in entries(evaluation, node).values()),
    ]
    return "\n".join(told).replace("\u202f", " ")


@cache
def farm() -> Evaluation:
    return site("lone-alder-farm")[0]


# Softener -------------------------------------------------------------------------------------------------------------------------


def test_a_softener_is_told_hardness_capacity_water_and_salt() -> None:
    told, result = entries(farm(), "softener"), farm().stages["softener"]
    results = result.working.results
    assert told["hardness"].value == pytest.approx(pick(results["compensated_hardness"].value, "average"))
    assert told["capacity"].value == pytest.approx(pick(results["capacity"].value, "average"))
    # mass balance: kg of capacity over mg/L of hardness is the water that uses it up
    assert told["water between regenerations"].value == pytest.approx(told["capacity"].value / told["hardness"].value * 1e3)
    # 2 ft3 at 8 lb/ft3
    assert units.show(told["salt a regeneration"].value, "mass", "us") == "16 lb"


def test_a_meter_has_no_clock_and_two_tanks_no_reserve() -> None:
    assert "regenerate every" not in text(farm(), "softener") and "reserve" not in text(farm(), "softener")
    one = built(stage("s", "softener"))
    told, duty = entries(one, "s"), one.stages["s"].daily
    # a day of use is kept back of what the capacity gives
    assert told["reserve"].value == pytest.approx(duty)
    usable = told["capacity"].value / told["hardness"].value * 1e3 - duty
    assert told["water between regenerations"].value == pytest.approx(usable)
    assert "regenerate every" not in text(one, "s")


def test_a_clock_has_days_and_no_volume() -> None:
    clocked = built(stage("s", "softener", control="clock", regenerate_every="5 d"))
    told = entries(clocked, "s")
    assert told["regenerate every"].value == 5 * DAY and "water between regenerations" not in told
    assert "reserve" not in text(clocked, "s")


def test_a_tannin_resin_has_its_clock_and_its_salt() -> None:
    told = entries(built(stage("t", "tannin_resin", resin_volume="1.5 ft3", salt_dose="10 lb/ft3", regenerate_every="3 d")), "t")
    assert told["regenerate every"].value == 3 * DAY
    # 1.5 ft3 at 10 lb/ft3
    assert units.show(told["salt a regeneration"].value, "mass", "us") == "15 lb" and "water between regenerations" not in told


def test_what_the_salt_of_the_upkeep_plan_comes_to_follows_the_cleanings() -> None:
    evaluation = farm()
    wash = evaluation.stages["softener"].cleaning
    (salt,) = (task for task in upkeep(evaluation) if task.item == "salt")
    assert wash is not None and salt.amount == pytest.approx(wash.salt * salt.every_days / wash.every_days)


def test_numbers_stand_in_a_table_of_their_own_in_either_system() -> None:
    for system, volume in (("us", "2610 gal"), ("metric", "9878 L")):
        table = SheetTables(Ledger(*site("lone-alder-farm", system), system), Citations()).entered()
        assert table is not None
        assert [row[0] for row in table.rows if row[0]] == ["2 Iron filter, each unit", "3 Softener"]
        assert {row[1]: row[2] for row in table.rows}["water between regenerations"] == units.typeset(volume)
    bare = built(stage("fine", "sediment_cartridge"))
    assert SheetTables(Ledger(bare, findings(bare)), Citations()).entered() is None


# Feeds ----------------------------------------------------------------------------------------------------------------------------


def test_a_feed_pump_gives_dose_times_flow_over_strength() -> None:
    fed = built(stage("feed", "oxidant_feed", oxidant="chlorine", dose="3 mg/L", paced_by="flow", solution="5000 mg/L"), peak="7 gpm")
    # by hand: 3 mg/L x 26.50 L/min / 5 mg/mL = 15.9 mL/min; 3 mg/L x 1060 L/d x 30.44 d / 5 g/L = 19.4 L
    told = entries(fed, "feed")
    assert units.convert(told["pump setting"].value, "feed_rate", "us") == pytest.approx(15.9, abs=0.05)
    daily = fed.stages["feed"].daily
    assert told["solution a month"].value == pytest.approx(3.0 * daily * 30.4375 / 5000.0)
    assert "dose" not in told and "in step with the flow" in told["pump setting"].note


def test_a_feed_that_the_well_pump_switches_is_set_for_the_pumps_flow() -> None:
    paced = built(stage("feed", "oxidant_feed", dose="3 mg/L", paced_by="pump", pump_flow="10 gpm", solution="10000 mg/L"))
    # 3 mg/L x 37.85 L/min / 10 mg/mL
    told = entries(paced, "feed")["pump setting"]
    assert units.convert(told.value, "feed_rate", "metric") == pytest.approx(11.36, abs=0.01)
    assert told.note == "while the well pump runs"


def test_a_chlorine_fed_filter_has_its_dose_and_nothing_of_permanganate() -> None:
    told, result = entries(farm(), "iron"), farm().stages["iron"]
    assert told["dose"].value == pytest.approx(float(np.max(result.working.results["dose"].value)), rel=1e-9)
    assert units.show(told["dose"].value, "concentration", "us") == "3.53 mg/L"
    said = text(farm(), "iron")
    assert "pump setting" in said and not any(word in said for word in ("pot", "charge", "regeneration"))


def test_a_month_of_chlorine_is_dose_times_water() -> None:
    (task,) = (task for task in upkeep(farm()) if task.item == "chlorine")
    water = farm().stages["iron"].daily
    assert task.amount * task.units == pytest.approx(entries(farm(), "iron")["dose"].value * water / 1000.0 * 30.4375)


def test_a_batch_filter_keeps_its_pot_and_air_needs_no_solution() -> None:
    batch = built(stage("i", "iron_filter", oxidant="permanganate", regeneration="batch"))
    assert "pot 5 lb" in text(batch, "i") and "residual" not in text(batch, "i") and "pump setting" not in text(batch, "i")
    air = built(stage("i", "iron_filter", oxidant="air"))
    assert "solution" not in text(air, "i") and "residual" not in text(air, "i")


# Neutralizer, declared ----------------------------------------------------------------------------------------------------------------


def test_an_upflow_bed_has_no_wash_and_calcite_no_magnesia() -> None:
    up = text(built(stage("n", "neutralizer", flow="up")), "n")
    assert "wash every" not in up and "magnesia share" not in up and "goal pH 7.0" in up
    assert "wash every 3 d" in text(built(stage("n", "neutralizer")), "n")


def test_where_nothing_dissolves_nothing_is_topped_up() -> None:
    (task, _) = (task for task in upkeep(built(stage("n", "neutralizer"), water={**WATER, "ph": "8.3"})) if task.stage == "n")
    assert task.what.startswith("Look at the bed") and task.uses("us") == ""


def test_declared_treatment_is_served_as_its_maker_asks() -> None:
    evaluation = built(stage("media", "declared", name="Media", removal={"arsenic": "90 %"}))
    assert [task.what for task in upkeep(evaluation) if task.stage == "media"] == [
        "Serve it as its maker asks, and test the water behind it"
    ]


# Laws -----------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SITES)
def test_only_settings_that_count_are_told(name: str) -> None:
    evaluation, found = site(name)
    rows = {row[0].split("\n")[0]: row[3] for row in SheetTables(Ledger(evaluation, found), Citations()).stages().rows}
    assert "goal days" not in " ".join(rows.values())
    for item in evaluation.plan.stages.values():
        for key, spec in item.spec.settings.items():
            assert all(other in item.spec.settings for other in spec.when), key
            if not counts(spec, item):
                assert f"{key.replace('_', ' ')} " not in text(evaluation, item.id).replace("salt a regeneration", "")


def test_a_softener_of_which_less_water_comes_by_day_agrees_with_its_cleaning() -> None:
    tree = tree_of("lone-alder-farm")
    tree["stages"].append({"id": "blend", "kind": "bypass", "settings": {"share": "20 %", "position": "open"}})
    tree["links"] += [{"from": "iron", "to": "blend"}, {"from": "blend", "to": "fine"}]
    evaluation, _ = evaluated(tree)
    wash = evaluation.stages["softener"].cleaning
    (salt,) = (task for task in upkeep(evaluation) if task.item == "salt")
    assert wash is not None and salt.amount == pytest.approx(wash.salt * salt.every_days / wash.every_days)
    assert findings(evaluation)
