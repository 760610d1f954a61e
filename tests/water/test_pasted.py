"""What is pasted from a spreadsheet or a letter is read as results: names as laboratories print them, units and bases beside them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.data import load_toml
from trainapp.water.analytes import ANALYTES, BY_KEY
from trainapp.water.names import analyte_named, split_unit
from trainapp.water.pasted import read_pasted
from trainapp.water.sample import read_result


@pytest.mark.parametrize(
    ("printed", "analyte", "unit", "basis"),
    [
        ("Iron, total (mg/L)", "iron", "mg/L", ""),
        ("Dissolved iron", "iron_dissolved", "", ""),
        ("Iron (dissolved)", "iron_dissolved", "", ""),
        ("Fe", "iron", "", ""),
        ("Manganese [ug/L]", "manganese", "ug/L", ""),
        ("Nitrate-N", "nitrate", "", "N"),
        ("NO3-N", "nitrate", "", "N"),
        ("Nitrate (as NO3) (mg/L)", "nitrate", "mg/L", "NO3"),
        ("Nitrate", "nitrate", "", ""),
        ("Hardness, total as CaCO3", "hardness", "", "CaCO3"),
        ("HCO3", "alkalinity", "", "HCO3"),
        ("Turbidity, NTU", "turbidity", "NTU", ""),
        ("UVT (254 nm, 1 cm)", "uvt", "", ""),
        ("Escherichia coli", "e_coli", "", ""),
        ("Chlorine, free", "free_chlorine", "", ""),
        ("Color", "colour", "", ""),
    ],
)
def test_a_printed_name_is_an_analyte(printed: str, analyte: str, unit: str, basis: str) -> None:
    found = analyte_named(printed)
    assert found is not None
    assert (found.analyte, found.unit, found.basis) == (analyte, unit, basis)


@pytest.mark.parametrize("name", ["Strontium", "", "mg/L", "Sample", "1,2-dichloroethane", "Lab no.", "?"])
def test_another_name_is_none(name: str) -> None:
    assert analyte_named(name) is None


def test_every_analyte_is_known_by_key_label_and_every_listed_name() -> None:
    listed = load_toml("water/names.toml")["names"]
    assert set(listed) <= set(BY_KEY)
    for analyte in ANALYTES:
        for name in (analyte.key, analyte.label, *listed[analyte.key]):
            found = analyte_named(name)
            assert found is not None and found.analyte == analyte.key, name


@pytest.mark.parametrize(
    ("printed", "unit", "basis"),
    [("mg NO3/L", "mg/L", "NO3"), ("mg/L as N", "mg/L", "N"), ("mg/L CaCO3", "mg/L", "CaCO3"), ("mg/L", "mg/L", ""), ("", "", "")],
)
def test_a_unit_gives_its_basis(printed: str, unit: str, basis: str) -> None:
    assert split_unit(printed) == (unit, basis)


def test_names_results_and_units_with_a_heading_and_a_limit_beside_them() -> None:
    pasted = read_pasted(
        "Parameter\tMCL\tResult\tUnits\r\nIron\t0.3\t3.1\tmg/L\r\nNitrate as N\t10\t<0.5\tmg/L\r\nStrontium\t\t0.3\tmg/L\r\n"
        "pH\t\t7.3\t\r\nTotal coliform\t\tabsent\t\r\nLead\t0.015\tnot tested\tmg/L\r\n"
    )
    assert [(r.line, r.analyte, r.text) for r in pasted.results] == [
        (2, "iron", "3.1 mg/L"),
        (3, "nitrate", "<0.5 mg/L as N"),
        (4, "", "0.3 mg/L"),
        (5, "ph", "7.3"),
        (6, "total_coliform", "absent"),
    ]
    assert pasted.results[2].name == "Strontium"
    assert pasted.more == 0 and pasted.values == ()


def test_two_columns_in_any_order_without_a_heading() -> None:
    assert [(r.analyte, r.text) for r in read_pasted("3.1 mg/L\tFe\n18 gpg\tHardness").results] == [
        ("iron", "3.1 mg/L"),
        ("hardness", "18 gpg"),
    ]


def test_lines_of_a_letter() -> None:
    pasted = read_pasted("Iron: 3.1 mg/L\nHardness    18 gpg\n")
    assert [(r.analyte, r.text) for r in pasted.results] == [("iron", "3.1 mg/L"), ("hardness", "18 gpg")]


def test_names_in_the_first_row_give_the_first_row_of_results_and_count_the_others() -> None:
    # Layout and figures of the published dune groundwaters (KWR Water Research Institute, hgc, tests/data/dataset_basic.csv, MIT licence).
    pasted = read_pasted("id,date,Na,K,NO3,SiO2\n-,-,mg/L,mg/L,mg NO3/L,mg SiO2/L\nP,1-1-2000,9,0.4,3.4,0.2\nQ,1-1-2000,10,0.4,1,0.2")
    assert [(r.analyte, r.text) for r in pasted.results] == [
        ("sodium", "9 mg/L"),
        ("potassium", "0.4 mg/L"),
        ("nitrate", "3.4 mg/L as NO3"),
        ("silica", "0.2 mg/L as SiO2"),
    ]
    assert pasted.more == 1


def test_one_column_keeps_its_empty_lines() -> None:
    assert read_pasted("Result\n3.1 mg/L\n\nn/a\n0.12").values == ("3.1 mg/L", "", "", "0.12")
    assert read_pasted("3.1\tmg/L\n0.12\tmg/L").values == ("3.1 mg/L", "0.12 mg/L")


def test_what_was_read_is_a_result() -> None:
    pasted = read_pasted("Alkalinity (mg/L as CaCO3)\t210\nNitrate\t2.3 mg/L\nUVT\t71 %\nCalcium\t2.1 mmol/L\nE. coli\tnot detected")
    assert [read_result(r.analyte, r.text).low for r in pasted.results] == pytest.approx([210.0, 2.3, 71.0, 84.16, 0.0], rel=1e-3)


@given(st.text(max_size=400))
def test_any_text_is_read_without_harm(text: str) -> None:
    pasted = read_pasted(text)
    assert all(result.name for result in pasted.results)


def test_nothing_gives_nothing() -> None:
    assert read_pasted(" \n\t\n") == read_pasted("")
    assert read_pasted("").results == () and read_pasted("").values == ()


def test_reporting_limits_and_flags_stand_beside_their_results() -> None:
    pasted = read_pasted("Parameter\tResult\tUnits\tRL\tQualifier\nLead\tND\tmg/L\t0.001\tU\nIron\t3.1\tmg/L\t0.05\t\n")
    assert [(r.analyte, r.text, r.least, r.flag) for r in pasted.results] == [
        ("lead", "ND", "0.001 mg/L", "U"),
        ("iron", "3.1 mg/L", "0.05 mg/L", ""),
    ]
    assert pasted.more == 0
