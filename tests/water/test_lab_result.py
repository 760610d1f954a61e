"""Printed results as laboratories write them, and what a document keeps of them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.data import load_toml
from trainapp.water.analytes import ANALYTES, BY_KEY
from trainapp.water.lab_result import printed_result
from trainapp.water.names import words
from trainapp.water.sample import SampleError, read_result


@pytest.mark.parametrize(
    ("analyte", "printed", "text"),
    [
        ("iron", "3.1 mg/L", "3.1 mg/L"),
        ("iron", "3100 ug/L", "3100 ug/L"),
        ("iron", "<0.05 mg/L", "<0.05 mg/L"),
        ("iron", "< 0.05 mg/l", "<0.05 mg/l"),
        ("arsenic", "0.005 mg/L", "0.005 mg/L"),
        ("arsenic", "0.005 mg/L U", "<0.005 mg/L"),
        ("arsenic", "0.005 mg/L (U)", "<0.005 mg/L"),
        ("arsenic", "<0.005 mg/L U", "<0.005 mg/L"),
        ("nitrate", "2.3 mg/L as N", "2.3 mg/L as N"),
        ("hardness", "18 gpg", "18 gpg"),
        ("hardness", "18 grains/gal", "18 grains/gal"),
        ("ph", "7.3 S.U.", "7.3"),
        ("ph", "7.3 std units", "7.3"),
        ("ph", "7.3", "7.3"),
        ("conductivity", "610 umhos/cm", "610 uS/cm"),
        ("colour", "15 Pt-Co units", "15 Pt-Co"),
        ("temperature", "12.2 Deg C", "12.2 degC"),
        ("uvt", "71 %T", "71 %T"),
        ("uvt", "71 % T", "71 %"),
        ("turbidity", "2.4 NTU", "2.4 NTU"),
        ("radon", "250 pCi/l", "250 pCi/L"),
        ("settles_overnight", "yes", "yes"),
    ],
)
def test_an_amount(analyte: str, printed: str, text: str) -> None:
    assert printed_result(analyte, printed).text == text


@pytest.mark.parametrize(
    ("printed", "text"),
    [
        ("<1 MPN/100 mL", "<1 /100mL"),
        ("<1.0 MPN/100mL", "<1.0 /100mL"),
        (">2419.6 MPN/100 mL", ">2419.6 /100mL"),
        ("MPN 12", "12 /100mL"),
        ("MPN: <1/100 mL", "<1 /100mL"),
        ("12 CFU/100ml", "12 /100mL"),
        ("12 cfu per 100 mL", "12 /100mL"),
        ("12 colonies/100 mL", "12 /100mL"),
        ("12 col/100ml", "12 /100mL"),
        ("12 #/100 mL", "12 /100mL"),
        ("12", "12 /100mL"),
        ("12 MPN", "12 /100mL"),
        ("0", "0 /100mL"),
        ("Absent", "absent"),
        ("ABSENT/100 mL", "absent"),
        ("absent per 100 mL", "absent"),
        ("Present", "present"),
        ("Positive", "present"),
        ("POS", None),
        ("Negative", "absent"),
        ("ND", "absent"),
        ("Not Detected", "absent"),
        ("TNTC", "TNTC"),
        ("Too numerous to count", "TNTC"),
    ],
)
def test_germs_in_the_forms_of_laboratories(printed: str, text: str | None) -> None:
    if text is None:
        with pytest.raises(SampleError):
            printed_result("total_coliform", printed)
    else:
        assert printed_result("total_coliform", printed).text == text


@pytest.mark.parametrize("word", sorted(words("not_detected")))
def test_nothing_found_is_below_the_reporting_limit(word: str) -> None:
    result = read_result("lead", printed_result("lead", word, least="0.001 mg/L").text)
    assert (result.kind, result.low, result.high) == ("below", 0.0, 0.001)
    with pytest.raises(SampleError, match="does not say below what"):
        printed_result("lead", word)


def test_a_flag_of_its_own_column_counts_like_one_behind_the_number() -> None:
    # U: not found at this level; J: estimated (EPA functional guidelines, from memory)
    assert printed_result("lead", "0.001 mg/L", flag="U").text == "<0.001 mg/L"
    assert printed_result("lead", "0.001 mg/L", flag="uj").text == "<0.001 mg/L"
    estimated = printed_result("copper", "0.02 mg/L", flag="J")
    assert estimated.text == "0.02 mg/L" and "estimate" in estimated.note
    assert printed_result("copper", "0.02 mg/L J").note == estimated.note
    assert printed_result("copper", "0.02 mg/L").note == ""


@pytest.mark.parametrize(
    ("analyte", "text"), [("iron", "trace"), ("iron", "3.1"), ("iron", "12 gpm"), ("ph", "19"), ("iron", ""), ("e_coli", "many")]
)
def test_what_is_no_result_is_refused_in_words(analyte: str, text: str) -> None:
    with pytest.raises(SampleError) as error:
        printed_result(analyte, text)
    assert "\n" not in str(error.value)


def test_every_unit_that_is_renamed_is_a_unit_of_some_analyte() -> None:
    for printed, unit in load_toml("water/names.toml")["units"].items():
        assert printed == printed.casefold()
        assert not unit or any(_reads(a.key, f"50 {unit}") for a in ANALYTES), printed


def _reads(analyte: str, text: str) -> bool:
    try:
        read_result(analyte, text)
    except SampleError:
        return False
    return True


@given(
    st.sampled_from([a.key for a in ANALYTES if a.dimension == "concentration"]), st.floats(1e-4, 1e4), st.sampled_from(["mg/L", "ug/L"])
)
def test_a_number_is_kept_as_it_was_printed(analyte: str, value: float, unit: str) -> None:
    result = read_result(analyte, printed_result(analyte, f"{value:.6g} {unit}").text)
    assert math.isclose(result.low, value * (1.0 if unit == "mg/L" else 1e-3), rel_tol=1e-5)


@given(st.sampled_from(sorted(BY_KEY)), st.text(max_size=60), st.text(max_size=12), st.sampled_from(["", "U", "J", "x"]))
def test_any_text_is_a_result_or_a_sentence(analyte: str, text: str, least: str, flag: str) -> None:
    try:
        printed = printed_result(analyte, text, least, flag)
    except SampleError:
        return
    read_result(analyte, printed.text)
