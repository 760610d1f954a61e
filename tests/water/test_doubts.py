"""Every doubt fires where nothing within the intervals fits, names its value and limit, and keeps quiet where something does."""

from __future__ import annotations

from typing import Any

import pytest

from trainapp.sources import STATUSES, sources
from trainapp.water.doubts import Doubt, doubts_of
from trainapp.water.indices import BALANCE_NEEDS
from trainapp.water.sample import read_sheet

#: A sheet that fits together.
_SOUND = {
    "ph": "7.4", "alkalinity": "180 mg/L", "calcium": "60 mg/L", "magnesium": "12 mg/L", "hardness": "200 mg/L", "sodium": "30.3 mg/L",
    "chloride": "35 mg/L", "sulfate": "28 mg/L", "conductivity": "500 uS/cm", "tds": "290 mg/L", "iron": "0.4 mg/L",
    "iron_dissolved": "0.3 mg/L", "turbidity": "2 NTU", "turbidity_filtered_5um": "0.5 NTU", "uvt": "85 %/cm", "uvt_filtered": "90 %/cm",
    "nitrate": "2 mg/L", "total_coliform": "12 /100mL", "e_coli": "absent", "temperature": "11 degC", "carbon_dioxide": "16 mg/L",
}  # fmt: skip


def fired(**changes: Any) -> list[Doubt]:
    return list(doubts_of(read_sheet({name: text for name, text in (_SOUND | changes).items() if text is not None})))


def test_a_sound_sheet_raises_none() -> None:
    assert fired() == [] and doubts_of({}) == ()


#: What hangs on other results that a case changes.
_BARE: dict[str, str | None] = {"carbon_dioxide": None, "conductivity": None, "chloride": None}
_CASES: list[tuple[dict[str, str | None], tuple[str, ...], str]] = [
    ({"chloride": "90 mg/L", "conductivity": None}, BALANCE_NEEDS, "Cations and anions differ"),
    ({"conductivity": "800 uS/cm", "tds": None}, ("conductivity",), "The ions would conduct"),
    ({"conductivity": "250 uS/cm", "tds": None}, ("conductivity",), "The ions would conduct"),
    ({"tds": "900 mg/L"}, ("tds", "conductivity"), "dissolved solids do not fit"),
    ({"tds": "100 mg/L"}, ("tds", "conductivity"), "dissolved solids do not fit"),
    ({"iron_dissolved": "0.6 mg/L"}, ("iron_dissolved", "iron"), "more than all of it"),
    ({"turbidity_filtered_5um": "3 NTU"}, ("turbidity_filtered_5um", "turbidity"), "more than all of it"),
    ({"free_chlorine": "1 mg/L", "total_chlorine": "0.5 mg/L"}, ("free_chlorine", "total_chlorine"), "more than all of it"),
    ({"e_coli": "present", "total_coliform": "absent"}, ("total_coliform", "e_coli"), "E. coli is a coliform"),
    ({"hardness": "320 mg/L"}, ("hardness", "calcium", "magnesium"), "make a hardness of 199 mg/L"),
    ({"iron": "3.1 mg/L", "uvt": "71 %/cm", "uvt_filtered": "84 %/cm"}, ("uvt", "iron"), "would alone absorb 0.26 per cm"),
    ({"uvt_filtered": "70 %/cm"}, ("uvt_filtered", "uvt"), "lower than before"),
    (_BARE | {"ph": "6.8", "alkalinity": "0 mg/L"}, ("alkalinity", "ph"), "without alkalinity"),
    (_BARE | {"ph": "4.0"}, ("ph", "alkalinity"), "has no alkalinity left"),
    ({"carbon_dioxide": "150 mg/L"}, ("ph", "carbon_dioxide", "alkalinity"), "measure pH at the well"),
    ({"carbon_dioxide": "<1 mg/L"}, ("ph", "carbon_dioxide", "alkalinity"), "measure pH at the well"),
    ({"nitrate": "12 mg/L", "chloride": None, "conductivity": None}, ("nitrate",), "as N or as NO3"),
]


@pytest.mark.parametrize(("changes", "analytes", "words"), _CASES, ids=[f"{case[1][0]}-{i}" for i, case in enumerate(_CASES)])
def test_what_does_not_fit(changes: dict[str, str | None], analytes: tuple[str, ...], words: str) -> None:
    found = fired(**changes)
    assert [doubt.analytes for doubt in found] == [analytes]
    doubt = found[0]
    assert words in doubt.sentence and doubt.sentence.endswith(".") and "\n" not in doubt.sentence
    assert doubt.source in sources() and doubt.status in STATUSES and doubt.value != doubt.limit


@pytest.mark.parametrize(
    "changes",
    [
        {"conductivity": "400 uS/cm"},
        {"conductivity": "500 uS/cm"},
        {"iron_dissolved": "0.41 mg/L"},
        {"iron": "<0.5 mg/L", "iron_dissolved": "0.45 mg/L"},
        {"hardness": ">150 mg/L"},
        {"tds": "<400 mg/L"},
        {"nitrate": "12 mg/L as N", "chloride": None, "conductivity": None},
        {"nitrate": "9 mg/L", "chloride": None, "conductivity": None},
        {"nitrate": "60 mg/L", "chloride": None, "conductivity": None},
        {"total_coliform": "present", "e_coli": "3 /100mL"},
        {"alkalinity": "<5 mg/L", "ph": "5.2", "carbon_dioxide": None, "chloride": None, "conductivity": None},
        {"iron": ">1 mg/L", "uvt": "70 %/cm"},
        {"chloride": "<90 mg/L", "conductivity": None},
        {"sulfate": None, "chloride": "300 mg/L"},
    ],
)
def test_what_may_fit_is_left_alone(changes: dict[str, str | None]) -> None:
    assert fired(**changes) == []


def test_balance_names_the_basis_that_would_close_it() -> None:
    found = fired(alkalinity="219.5 mg/L", conductivity=None, carbon_dioxide=None)
    assert [d.sentence for d in found if "alkalinity was meant as bicarbonate" in d.sentence]


def test_acid_water_without_aluminium_is_not_balanced() -> None:
    acid = {"ph": "4.3", "alkalinity": "0 mg/L", "carbon_dioxide": None, "conductivity": None, "chloride": "80 mg/L", "tds": None}
    assert fired(**acid) == []
    assert [d.analytes[0] for d in fired(**acid, aluminium="0.1 mg/L")] == ["calcium"]
