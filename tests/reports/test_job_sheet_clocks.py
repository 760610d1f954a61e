"""Cleanings on the job sheet: all units counted, one after the other, and no clock set to an hour at which another stage cleans itself."""

from __future__ import annotations

from typing import Any

import pytest

from tests.reports.printing import evaluated, site, tree_of
from tests.train.trains import document, stage
from trainapp import units
from trainapp.checks import findings
from trainapp.reports.job_sheet_clocks import clock, slots, whole_days
from trainapp.reports.job_sheet_tables import SheetTables
from trainapp.reports.ledger import Ledger
from trainapp.reports.print_sources import Citations
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan


def of(tree: dict[str, Any]) -> SheetTables:
    return SheetTables(Ledger(*evaluated(tree)), Citations())


def drained(sheet: SheetTables) -> dict[str, tuple[str, ...]]:
    table = sheet.drains()
    assert table is not None
    return {row[0]: row[1:] for row in table.rows}


def built(*stages: dict[str, Any]) -> Evaluation:
    return evaluate(open_plan(document(list(stages))))


def test_water_and_time_of_all_units_are_told_together() -> None:
    evaluation, _ = site("lone-alder-farm")
    wash = evaluation.stages["iron"].cleaning
    assert wash is not None
    row = drained(of(tree_of("lone-alder-farm")))["2 Iron filter"]
    # two beds of 13 in, washed for 10 min and rinsed for 5 each
    assert row[2] == f"{units.typeset(units.show(2 * wash.volume, 'volume', 'us'))} in 30 min, both units"
    assert row[0] == "backwash, 2 units in turn\nevery 3 days at 00:00"


def test_a_clock_runs_until_the_last_unit_is_done() -> None:
    assert list(of(tree_of("lone-alder-farm")).clocks()) == ["2 Iron filter at 00:00, done by 00:30"]


def test_an_hour_that_is_given_stands_and_the_other_gives_way() -> None:
    tree = tree_of("lone-alder-farm")
    tree["stages"][1]["settings"]["clean_at"] = "2.1 h"
    tree["stages"][2]["settings"]["tanks"] = "1"
    sheet = of(tree)
    # two beds from 02:06 to 02:36; the next quarter of an hour, and 72 min of regeneration
    assert list(sheet.clocks()) == ["2 Iron filter at 02:06, done by 02:36", "3 Softener at 02:45 instead of 02:00, done by 03:57"]
    assert "clean at 02:06" in {row[0].split("\n")[0]: row[3] for row in sheet.stages().rows}["2 Iron filter"]
    assert "at 02:45 after its meter calls" in drained(sheet)["3 Softener"][0]


def test_beds_of_one_hour_follow_each_other_and_never_meet() -> None:
    evaluation = built(stage("a", "carbon_bed"), stage("b", "carbon_bed"), stage("c", "neutralizer"), stage("d", "softener"))
    found = slots(evaluation)
    assert [(node, clock(slot.hour)) for node, slot in found.items()] == [("a", "00:00"), ("b", "00:15"), ("c", "00:30"), ("d", "02:00")]
    ends = [slot.hour + slot.hours for slot in found.values()]
    assert all(end <= after.hour + 1e-9 for end, after in zip(ends, list(found.values())[1:], strict=False))


def test_a_meter_with_another_tank_waits_for_no_hour() -> None:
    when = drained(of(tree_of("lone-alder-farm")))["3 Softener"][0]
    assert when.split("\n")[1] == "when its meter calls, about every 9.3 days; at once, the other tank takes over"


@pytest.mark.parametrize(("hour", "text"), [(0.0, "00:00"), (2.5, "02:30"), (25.25, "01:15"), (23.999, "00:00")])
def test_hours_are_told_as_clocks_show_them(hour: float, text: str) -> None:
    assert clock(hour) == text


@pytest.mark.parametrize(("every", "text"), [(0.4, "day"), (1.0, "day"), (4.6, "4 days"), (7.0, "7 days")])
def test_a_clock_counts_whole_days(every: float, text: str) -> None:
    assert whole_days(every) == text


def test_the_check_of_hours_counts_every_unit_too() -> None:
    def told(count: int) -> bool:
        # 15 min a bed; the other stage begins 20 min later
        one = {**stage("a", "carbon_bed"), "count": count, "during_cleaning": "other_tank"}
        evaluation = built(one, stage("b", "carbon_bed", clean_at="20 min"))
        return any(finding.code == "cleaning-together" for finding in findings(evaluation))

    assert not told(1) and told(2)
