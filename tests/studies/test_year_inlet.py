"""Water beyond what may enter a chamber, in a run through time: told as the checks tell it (rules 21)."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.studies.year_cases import HARD, RUSTY, site, uv, years
from trainapp.checks import findings
from trainapp.data import samples_path
from trainapp.reports.year_moment import moment
from trainapp.reports.year_text import pair_lines, year_lines
from trainapp.reports.year_words import is_failing, title_of
from trainapp.studies.year import GoneWrong, Options, Spike, Year, before_and_after, run
from trainapp.train.document import load
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan

FARM = samples_path("lone-alder-farm.train.json")
CLOUDED = Options(days=125, spike=Spike("turbidity", 15.0, 95.0, 14.0))


def entered(year: Year) -> dict[str, GoneWrong]:
    return {wrong.code.removeprefix("inlet-limit-"): wrong for wrong in year.gone_wrong if wrong.code.startswith("inlet-limit-")}


def test_a_spike_past_the_limit_of_the_chamber_is_a_fail() -> None:
    year = run(load(FARM), CLOUDED)
    wrong = entered(year)["turbidity"]
    assert (wrong.severity, wrong.stage) == ("fail", "uv") and 95 <= (wrong.day or 0.0) < 110
    assert "particles shield germs" in wrong.sentence and "in its spike" in wrong.sentence
    assert is_failing(year)
    beyond = year.totals.lights["uv"].beyond_limits["turbidity"]
    assert beyond == year.totals.lights["uv"].beyond > 10.0
    text = "\n".join(year_lines(year, "us"))
    assert re.search(rf"Water past the UV chamber beyond its inlet limits \(turbidity\) \.+ {beyond:.1f} h", text)
    hour = int((wrong.day or 0.0) * 24)
    assert wrong in [each.told for each in moment(year, hour).wrong]
    assert wrong not in [each.told for each in moment(year, 24).wrong]
    assert title_of(wrong) == "Turbidity beyond what may enter the chamber"


def test_before_and_after_counts_it() -> None:
    pair = before_and_after(load(FARM), Options(days=20))
    told = {measure.key: measure for measure in pair.measures}["inlet"]
    assert told.first is not None and told.first > 10.0 and told.second == 0.0
    assert any("beyond its inlet limits" in line for line in pair_lines(pair, "us"))


@pytest.mark.parametrize(
    ("water", "analyte"),
    [
        ({**HARD, "turbidity": "1.4 NTU"}, "turbidity"),
        ({**HARD, "hardness": "180 mg/L"}, "hardness"),
        (HARD, "hardness"),
        (RUSTY, "iron"),
        ({**HARD, "manganese": "0.08 mg/L", "manganese_dissolved": "0.08 mg/L"}, "manganese"),
        ({**HARD, "ph": "6.2"}, "ph"),
    ],
)
def test_the_first_day_says_what_the_check_says(water: dict[str, Any], analyte: str) -> None:
    train = site(uv(), water=water)
    checked = [f for f in findings(evaluate(open_plan(train))) if f.analyte == analyte and "uv" in (f.stage, *f.also_at)]
    told = entered(years(train, days=2))
    assert told[analyte].severity == checked[0].severity and (told[analyte].day or 0.0) < 1.0
    assert set(told) <= {analyte, "hardness"}


def test_scale_counts_only_where_the_sleeve_scales() -> None:
    soft_ph = {**HARD, "ph": "6.6", "alkalinity": "40 mg/L"}
    assert "hardness" not in entered(years(site(uv(), water=soft_ph), days=2))


def test_a_caution_that_becomes_a_fail_is_told_twice() -> None:
    year = run(load(FARM), Options(days=110, spike=Spike("iron", 16.0, 95.0, 14.0), detail="hour"))
    found = entered(year)
    assert (found["iron"].severity, found["iron-far"].severity) == ("caution", "fail")
    assert (found["iron"].day or 0.0) < (found["iron-far"].day or 0.0)
    assert "far above the screening guide" in found["iron-far"].sentence
    assert title_of(found["iron-far"]) == "Iron far beyond what may enter the chamber"
