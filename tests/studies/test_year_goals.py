"""Water at the house through a year is as bad as the check of the same water says, in the list and in the ledger of the picture."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from tests.studies.year_cases import CLEAN, site, stage, steady, years
from trainapp.checks import findings
from trainapp.checks.context import HOUSE
from trainapp.reports.year_model import model_at
from trainapp.reports.year_words import is_failing, title_of
from trainapp.studies.year import Year
from trainapp.studies.year.goals import conditions, conditions_of
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan

SCREEN = stage("screen", "sediment_cartridge", rating="50 um", length="20 in", diameter="4.5 in")
BED = {"iron": "2.4 mg/L", "iron_dissolved": "2.4 mg/L", "ph": "7.4", "dissolved_oxygen": "0.2 mg/L"}


def worst(year: Year, *codes: str) -> str:
    """The worst severity of these names in the list, "" where none is there."""
    told = {wrong.severity for wrong in year.gone_wrong if wrong.stage == HOUSE and wrong.code.removesuffix("-far") in codes}
    return next((severity for severity in ("fail", "caution", "note") if severity in told), "")


@pytest.mark.parametrize(
    ("analyte", "water", "code", "severity", "limits"),
    [
        # rules 21: beyond the limit by more than the model's accuracy of 50 % is a fail, within it a caution, a range across it too
        ("iron", {"iron": "2.4 mg/L", "iron_dissolved": "2.4 mg/L"}, "rusty", "fail", "us"),
        ("iron", {"iron": "0.46 mg/L", "iron_dissolved": "0.46 mg/L"}, "rusty", "fail", "us"),
        ("iron", {"iron": "0.44 mg/L", "iron_dissolved": "0.44 mg/L"}, "rusty", "caution", "us"),
        ("iron", {"iron": "<0.6 mg/L", "iron_dissolved": None}, "rusty", "caution", "us"),
        ("iron", {"iron": "0.28 mg/L", "iron_dissolved": "0.28 mg/L"}, "rusty", "", "us"),
        # Canada's 0.1 mg/L
        ("iron", {"iron": "0.2 mg/L", "iron_dissolved": "0.2 mg/L"}, "rusty", "fail", "canada"),
        ("manganese", {"manganese": "0.06 mg/L", "manganese_dissolved": "0.06 mg/L"}, "black", "caution", "us"),
        ("manganese", {"manganese": "0.4 mg/L", "manganese_dissolved": "0.4 mg/L"}, "black", "fail", "us"),
        ("ph", {"ph": "5.2"}, "acid", "fail", "us"),
        # the side that no house notices: 8.5
        ("ph", {"ph": "9.4"}, "outlet-goal-ph", "fail", "us"),
        ("iron", {"iron": ">3 mg/L", "iron_dissolved": None}, "rusty", "fail", "us"),
        ("nitrate", {"nitrate": "14 mg/L as N"}, "outlet-goal-nitrate", "fail", "us"),
        ("chloride", {"chloride": "900 mg/L"}, "outlet-goal-chloride", "", "us"),
    ],
)
def test_as_bad_as_the_check_says(analyte: str, water: Mapping[str, Any], code: str, severity: str, limits: str) -> None:
    sheet = {key: value for key, value in {**CLEAN, **water}.items() if value is not None}
    document = site(SCREEN, water=sheet, goals={"limits": limits})
    year = years(document, days=1)
    assert worst(year, code) == severity
    checked = [f.severity for f in findings(evaluate(open_plan(document))) if f.analyte == analyte and f.stage == HOUSE]
    assert [s for s in checked[:1] if s != "note"] == [s for s in [severity] if s]
    assert is_failing(year) == (severity == "fail")
    cell = next((row.cells[HOUSE] for row in model_at(year, 12.0, rows=(analyte,)).rows), None)
    assert cell is None or not severity or cell.severity == severity


def test_a_fail_names_the_limit_and_what_it_is_of() -> None:
    year = years(site(SCREEN, water={**CLEAN, "nitrate": "14 mg/L as N", "iron": "2 mg/L", "iron_dissolved": "2 mg/L"}), days=1)
    told = {wrong.code: wrong for wrong in year.gone_wrong}
    assert "Nitrate at the house was over the health limit by more than can be in doubt: " in told["outlet-goal-nitrate"].sentence
    assert title_of(told["outlet-goal-nitrate"]) == "Nitrate beyond its limit at the house"
    assert "It was over the limit for taste and stains by more than can be in doubt." in told["rusty"].sentence


def test_what_passes_while_a_stage_cleans_itself_is_a_caution(tmp_path: Path) -> None:
    """Rules 3: raw water meanwhile is a caution; the ledger of the hour says the same."""
    bed = stage("iron", "iron_filter", media="manganese_greensand", oxidant="chlorine", clean_at="2 h", during_cleaning="raw_passes")
    year = years(site(bed, water={**CLEAN, **BED}, demand={"pattern": steady(tmp_path, "1 gpm")}), tmp_path, days=8)
    rusty = [wrong for wrong in year.gone_wrong if wrong.code.startswith("rusty")]
    assert [wrong.severity for wrong in rusty] == ["caution"] and "let water by" in rusty[0].sentence
    hour = int((rusty[0].day or 0.0) * 24 + 1e-6)
    assert next(row.cells[HOUSE] for row in model_at(year, hour, rows=("iron",)).rows).severity == "caution"


def test_figures_are_those_of_the_limits_in_force() -> None:
    own = {condition.key: condition for condition in conditions()}
    for limits, iron, source in (("us", 0.3, "40cfr143.3"), ("canada", 0.1, "health-canada-fe"), ("eu", 0.2, "eu-2020-2184")):
        in_force = {c.key: c for c in conditions_of(years(site(SCREEN, goals={"limits": limits}), days=1).machine)}
        assert (in_force["rusty"].maximum, in_force["rusty"].source) == (iron, source)
        assert in_force["hard"] == own["hard"] and in_force["cloudy"] == own["cloudy"], "no row of the set is judged"
    assert own["rusty"].maximum == 0.3


@pytest.mark.parametrize(("alkalinity", "units", "fails"), [("20 mg/L", 1, False), ("10 mg/L", 2, True)])
def test_what_a_bed_makes_of_ph_in_a_trickle_is_no_fail(alkalinity: str, units: int, fails: bool) -> None:
    """pH is judged at the peak: magnesia that overshoots where little is drawn is told at the bed, and of the house nothing."""
    bed = stage("n", "neutralizer", media="calcite_magnesia", tank_diameter="24 in") | {"count": units}
    document = site(bed, water={**CLEAN, "ph": "6", "alkalinity": alkalinity, "hardness": alkalinity})
    year = years(document, days=1)
    assert float(max(year.course(HOUSE, "ph"))) > 9.0 and worst(year, "outlet-goal-ph") == ("fail" if fails else "")
    checked = [f for f in findings(evaluate(open_plan(document))) if (f.code, f.severity, f.analyte) == ("outlet-goal", "fail", "ph")]
    assert bool(checked) is fails
