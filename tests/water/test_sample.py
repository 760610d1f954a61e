"""Results as they are typed: the kinds kept apart, bases and units, refusals, and the worst of several sheets."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.units import write
from trainapp.water.analytes import ANALYTES, BY_KEY
from trainapp.water.sample import SampleError, read_result, read_sheet, worst


@pytest.mark.parametrize(
    ("name", "text", "kind", "low", "high"),
    [
        ("iron", "3.1 mg/L", "value", 3.1, 3.1),
        ("iron", "<0.02 mg/L", "below", 0.0, 0.02),
        ("iron", "≤ 20 ug/L", "below", 0.0, 0.02),
        ("iron", "> 5 mg/L", "above", 5.0, math.inf),
        ("total_coliform", "<1.0 MPN/100mL", "below", 0.0, 1.0),
        ("total_coliform", ">2419.6 MPN/100mL", "above", 2419.6, math.inf),
        ("total_coliform", "0 /100mL", "value", 0.0, 0.0),
        ("ph", "7.3", "value", 7.3, 7.3),
        ("ph", ">8", "above", 8.0, 14.0),
        ("uvt", ">95 %/cm", "above", 95.0, 100.0),
        ("uvt", "0.1 1/cm", "value", 79.433, 79.433),
        ("uvt", "<0.1 1/cm", "above", 79.433, 100.0),
        ("temperature", "54 degF", "value", 12.222, 12.222),
        ("radon", "11.1 Bq/L", "value", 300.0, 300.0),
    ],
)
def test_numbers_and_intervals(name: str, text: str, kind: str, low: float, high: float) -> None:
    found = read_result(name, text)
    assert (found.kind, found.state, found.text) == (kind, "", text)
    assert (found.low, found.high) == pytest.approx((low, high), rel=1e-4)


@pytest.mark.parametrize(
    ("name", "text", "state", "low", "high"),
    [
        ("e_coli", "absent", "absent", 0.0, 0.0),
        ("e_coli", "Not detected", "absent", 0.0, 0.0),
        ("total_coliform", "present", "present", 1.0, math.inf),
        ("total_coliform", "tntc", "TNTC", 200.0, math.inf),
        ("settles_overnight", "Yes", "yes", 1.0, 1.0),
    ],
)
def test_words(name: str, text: str, state: str, low: float, high: float) -> None:
    found = read_result(name, text)
    assert (found.kind, found.state, found.low, found.high) == ("state", state, low, high)


@pytest.mark.parametrize(
    ("name", "text", "value", "basis"),
    [
        ("nitrate", "44.27 mg/L as NO3", 10.0, "NO3"),
        ("nitrate", "10 mg/L as N", 10.0, "N"),
        ("nitrate", "10 mg/L N", 10.0, "N"),
        ("nitrite", "3.285 mg/L as NO2", 1.0, "NO2"),
        ("ammonia", "1.288 mg/L as NH4", 1.0, "NH4"),
        ("alkalinity", "146 mg/L as HCO3", 119.74, "HCO3"),
        ("alkalinity", "2.4 mmol/L", 120.1, ""),
        ("alkalinity", "2.4 meq/L", 120.1, ""),
        ("hardness", "2 mmol/L", 200.17, ""),
        ("hardness", "100 mg/L as Ca", 249.73, "Ca"),
        ("calcium", "100 mg/L as CaCO3", 40.043, "CaCO3"),
        ("magnesium", "100 mg/L CaCO3", 24.284, "CaCO3"),
        ("hydrogen_sulfide", "1 mg/L as S", 1.0630, "S"),
        ("sulfate", "1 mg/L as S", 2.9963, "S"),
        ("silica", "1 mg/L as Si", 2.1393, "Si"),
        ("sodium", "1 meq/L", 22.99, ""),
        ("iron", "50 umol/L", 2.7923, ""),
        ("free_chlorine", "0.5 mg/L as Cl2", 0.5, "Cl2"),
    ],
)
def test_basis_in_the_string(name: str, text: str, value: float, basis: str) -> None:
    found = read_result(name, text)
    assert found.low == found.high == pytest.approx(value, rel=2e-4)
    assert found.basis == basis and found.basis_given is (bool(basis) or "eq" in text or "mol" in text)


def test_a_bare_basis_is_said_to_be_bare() -> None:
    assert not read_result("nitrate", "12 mg/L").basis_given and read_result("nitrate", "0.8 mmol/L").basis_given


@pytest.mark.parametrize(
    ("name", "raw", "sentence"),
    [
        ("iron", "3 furlongs", '"3 furlongs" is not a concentration'),
        ("iron", "-1 mg/L", "below zero"),
        ("iron", "<-1 mg/L", "below zero"),
        ("iron", "nan mg/L", "is not a concentration"),
        ("iron", "inf mg/L", "is not a concentration"),
        ("iron", "3", "it has no unit, such as mg/L"),
        ("iron", "", "is not a concentration"),
        ("iron", "<", "is not a concentration"),
        ("iron", "present", "is not a concentration"),
        ("iron", "ND", 'write "<" and the reporting limit'),
        ("iron", "3 mg/L as N", "iron is not counted as N"),
        ("iron", "3 mg/L\n", "is not a result"),
        ("iron", "9" * 60 + " mg/L", "is not a result"),
        ("ph", "71", "is not a pH between 0 and 14"),
        ("uvt", "120 %/cm", "is not a UV transmittance"),
        ("uranium", "1 meq/L", "has no amount in meq/L"),
        ("temperature", "120 degC", "is not a temperature of water"),
        ("temperature", "-3 degC", "is not a temperature of water"),
        ("settles_overnight", "maybe", "is not one of yes, no"),
        ("total_coliform", "12", "it has no unit, such as /100mL"),
        ("iron", True, "a result is a text"),
        ("iron", None, "a result is a text"),
        ("iron", ["1 mg/L"], "a result is a text"),
        ("iron", float("nan"), "is not a concentration"),
        ("iron", {}, '"value" is missing'),
        ("iron", {"value": "1 mg/L", "method": "guess"}, "is not one of field, lab, estimate"),
        ("iron", {"value": {"value": "1 mg/L"}}, "an object of value, method and note"),
        ("iron", {"value": "1 mg/L", "note": 3}, "an object of value, method and note"),
    ],
)
def test_refusals_are_one_clear_sentence(name: str, raw: Any, sentence: str) -> None:
    with pytest.raises(SampleError) as caught:
        read_result(name, raw)
    assert sentence in str(caught.value) and "\n" not in str(caught.value)


def test_the_whole_form_of_a_result() -> None:
    found = read_result("ph", {"value": 6.9, "method": "field", "note": "at the well"})
    assert (found.low, found.method, found.note, found.measured) == (6.9, "field", "at the well", True)
    assert not read_result("uvt", {"value": "80 %/cm", "method": "estimate"}).measured


def test_a_sheet_names_the_result_that_fails() -> None:
    assert set(read_sheet({"iron": "1 mg/L", "zinc": "whatever"})) == {"iron"}
    with pytest.raises(SampleError) as caught:
        read_sheet({"iron": "1 mg/L", "lead": "3 furlongs"})
    assert caught.value.analyte == "lead"


_NUMBERED = [a.key for a in ANALYTES if a.dimension not in ("state", "uvt", "ph", "temperature")]


@given(st.sampled_from(_NUMBERED), st.floats(1e-4, 1e4), st.sampled_from(["", "<", ">"]))
def test_what_is_written_is_read(name: str, value: float, sign: str) -> None:
    found = read_result(name, sign + write(value, BY_KEY[name].dimension))
    assert (found.low if sign != "<" else found.high) == pytest.approx(value, rel=1e-5)


@given(st.text(max_size=30), st.sampled_from([a.key for a in ANALYTES]))
def test_any_text_is_read_or_refused(text: str, name: str) -> None:
    try:
        found = read_result(name, text)
    except SampleError as error:
        assert str(error)
    else:
        assert 0.0 <= found.low <= found.high


# Several sheets ---------------------------------------------------------------------------------------------------------------


def _worst(name: str, *texts: str) -> tuple[float, float, str]:
    found = worst([read_sheet({name: text}) for text in texts])[name]
    return found.low, found.high, found.state


@pytest.mark.parametrize(
    ("name", "texts", "expected"),
    [
        ("iron", ("1 mg/L", "3 mg/L"), (3.0, 3.0, "")),
        ("iron", ("<0.5 mg/L", "0.3 mg/L"), (0.3, 0.5, "")),
        ("iron", ("<0.1 mg/L", "<0.02 mg/L"), (0.0, 0.1, "")),
        ("iron", (">5 mg/L", "3 mg/L"), (5.0, math.inf, "")),
        ("uvt", ("71 %/cm", "84 %/cm"), (71.0, 71.0, "")),
        ("ph", ("6.4", "7.2", "6.9"), (6.4, 7.2, "")),
        ("alkalinity", ("90 mg/L", "120 mg/L"), (90.0, 120.0, "")),
        ("e_coli", ("absent", "present"), (1.0, math.inf, "present")),
        ("total_coliform", ("absent", "12 /100mL"), (12.0, 12.0, "")),
        ("total_coliform", ("present", "TNTC"), (200.0, math.inf, "TNTC")),
        ("total_coliform", ("absent", "<1 /100mL"), (0.0, 1.0, "")),
        ("settles_overnight", ("yes", "no"), (0.0, 0.0, "no")),
    ],
)
def test_worst_of_several(name: str, texts: tuple[str, ...], expected: tuple[float, float, str]) -> None:
    assert _worst(name, *texts) == expected
    assert _worst(name, *reversed(texts)) == expected


def test_worst_takes_each_analyte_from_where_it_is() -> None:
    found = worst([read_sheet({"iron": "1 mg/L"}), read_sheet({"lead": "<1 ug/L", "iron": "2 mg/L"})])
    assert (found["iron"].text, found["lead"].text) == ("2 mg/L", "<1 ug/L")
    assert worst([]) == {}


def test_a_span_of_ph_keeps_what_was_typed() -> None:
    found = worst([read_sheet({"ph": "6.4"}), read_sheet({"ph": {"value": "7.2", "method": "field"}})])["ph"]
    assert (found.kind, found.text, found.method) == ("range", "6.4 and 7.2", "")
