"""What to do with water that must not be drunk: boiling ends germs and makes nitrate and metals stronger."""

from __future__ import annotations

import pytest

from tests.checks.build import FINE, GOOD_WELL, found, one, train, uv
from trainapp.checks import findings, headline
from trainapp.checks.drinking import NOT_NOW, warning
from trainapp.reports.check_text import check_lines
from trainapp.train.evaluation import Evaluation

E_COLI = {"total_coliform": "present", "e_coli": "present"}
#: Everything with a health limit in the set of the United States, measured and far below it.
ALL_LOW = {
    "nitrate": "1 mg/L as N", "nitrite": "0.01 mg/L as N", "arsenic": "<0.002 mg/L", "fluoride": "0.2 mg/L", "barium": "0.05 mg/L",
    "lead": "<0.001 mg/L", "copper": "0.05 mg/L", "uranium": "<0.001 mg/L", "manganese": "0.005 mg/L", "boron": "0.05 mg/L",
}  # fmt: skip


def every_word(evaluation: Evaluation) -> str:
    return " ".join(" ".join(check_lines(evaluation, findings(evaluation), "us")).split())


def test_boiling_is_advised_where_every_substance_of_health_is_measured_and_low() -> None:
    told = headline(train(water={**E_COLI, **ALL_LOW}), findings(train(water={**E_COLI, **ALL_LOW})))
    assert told.startswith(f"{NOT_NOW}: boil it, one minute at a rolling boil, or use another source.")


@pytest.mark.parametrize(
    ("sheet", "named"),
    [
        ({"nitrate": "22 mg/L as N"}, "nitrate"), ({"arsenic": "0.05 mg/L"}, "arsenic"), ({"lead": "0.03 mg/L"}, "lead"),
        ({"lead": "0.012 mg/L"}, "lead"), ({"arsenic": "<0.05 mg/L"}, "arsenic"), ({"uranium": ">0.03 mg/L"}, "uranium"),
        ({"nitrate": "22 mg/L as N", "arsenic": "0.05 mg/L", "lead": "0.03 mg/L"}, "nitrate, arsenic or lead"),
    ],
)  # fmt: skip
def test_water_over_a_health_limit_is_never_to_be_boiled(sheet: dict[str, str], named: str) -> None:
    evaluation = train(water={**E_COLI, **ALL_LOW, **sheet})
    told = warning(findings(evaluation))
    assert told.startswith(f"{NOT_NOW}: use another source. Boiling does not remove {named} and makes ") and told.endswith("stronger.")
    assert "oil it" not in every_word(evaluation) and "oil the water" not in every_word(evaluation)


def test_what_nobody_measured_is_said_beside_boiling() -> None:
    told = warning(findings(train(water={**E_COLI, "nitrate": None})))
    assert told.startswith(f"{NOT_NOW}: use another source, or boil it")
    assert "does not remove nitrate, arsenic, lead or 6 more (not measured) and makes them stronger" in told


def test_every_advice_to_boil_minds_the_sheet() -> None:
    """No disinfection, a chamber outside its limits, surface water."""
    high = {**ALL_LOW, "nitrate": "22 mg/L as N"}
    bare = train([FINE], {**high, **E_COLI})
    dirty = {"manganese": "0.2 mg/L", "manganese_dissolved": "0.2 mg/L", "total_coliform": "12 /100mL"}
    broken = train(water={**high, **dirty})
    surface = train([FINE, uv()], high, supply={**GOOD_WELL, "surface_influence": "yes"})
    for evaluation, code in ((bare, "unprotected-path"), (broken, "health"), (surface, "health")):
        told = " ".join(text for finding in found(evaluation, code) for text in finding.cautions)
        assert "use another source. Boiling does not remove nitrate and makes it stronger." in told, code
        assert "oil it" not in every_word(evaluation) and "oil the water" not in every_word(evaluation)


def test_a_substance_over_its_limit_says_itself_that_boiling_makes_it_stronger() -> None:
    assert "Boiling does not remove it and makes it stronger." in one(train(water={"nitrate": "22 mg/L as N"}), "health").cautions
