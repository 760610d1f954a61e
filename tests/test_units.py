"""Quantities: read as people write them, refused in one sentence, shown without crossing a limit."""

from __future__ import annotations

import math
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp import units
from trainapp.dimensions import DIMENSIONS, Dimension, Scale
from trainapp.units import UnitError, convert, fits, internal, parse, show, show_against_limit, to_json, typeset, write

MEASURED = sorted(key for key, kind in DIMENSIONS.items() if key != "state")
SYSTEMS: tuple[units.System, ...] = ("json", "us", "metric")
#: Texts of the table that the registry reads otherwise or not at all, and why the table may still have them.
OUTSIDE_REGISTRY = {"C": "coulomb", "mWs/cm2": "no dot", "uWs/cm2": "no dot", "mg/L Pt": "a name", "Pt-Co": "a name"}
AS_PINT = {"ppm": "mg/L", "ppb": "ug/L"}


# Against published figures ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "dimension", "expected", "relative"),
    [
        # Degrees of hardness from their definitions: grain a gallon, 10 mg/L CaO, 10 mg/L CaCO3, grain an imperial gallon.
        ("20 gpg", "hardness", 342.36, 1e-3),
        ("10 dH", "hardness", 178.48, 1e-3),
        ("10 fH", "hardness", 100.0, 1e-12),
        ("10 Clark", "hardness", 142.54, 1e-3),
        ("2 mmol/L", "hardness", 200.17, 1e-3),
        ("1 meq/L", "hardness", 50.043, 1e-4),
        # 7 gpg is the 120 mg/L of the usual UV limit (Recommended Standards for Water Works, UV policy statement, from memory).
        ("7 gpg", "hardness", 119.8, 1e-3),
        # 40 mJ/cm2 is the 400 J/m2 of the DVGW page on UV disinfection.
        ("400 J/m2", "dose", 40.0, 1e-12),
        ("40000 uW.s/cm2", "dose", 40.0, 1e-12),
        # NIST SP 811 (from memory): conversions that are exact by definition, cut to seven digits.
        ("1 gpm", "flow", 6.309020e-5, 1e-7),
        ("1 psi", "pressure", 6894.757, 1e-7),
        ("1 gal", "volume", 3.785412e-3, 1e-6),
        ("1 lb/ft3", "density", 16.01846, 1e-6),
        ("1 gpm/ft2", "rate", 2.445 / 3600, 1e-3),
        ("1 kgr/ft3", "exchange_capacity", 2.288, 1e-3),
        ("54 degF", "temperature", 12.2222, 1e-5),
        ("300 K", "temperature", 26.85, 1e-9),
        # 4 pCi/L of radon is the 150 Bq/m3 that indoor air guides round to.
        ("148 Bq/m3", "activity", 4.0, 1e-9),
    ],
)
def test_published_conversions(text: str, dimension: str, expected: float, relative: float) -> None:
    assert parse(text, dimension) == pytest.approx(expected, rel=relative)


def _listed() -> list[tuple[str, str]]:
    pairs = []
    for key, kind in DIMENSIONS.items():
        scales = {scale.text for scale in (kind.json, kind.us, kind.metric)}
        pairs += [(key, text) for text in sorted(scales | set(kind.also)) if kind.roots and text not in OUTSIDE_REGISTRY]
    return pairs


def _in_table(kind: Dimension, text: str) -> Scale:
    for scale in (kind.json, kind.us, kind.metric):
        if scale.text == text:
            return scale
    return Scale(text, kind.also[text])


@pytest.mark.parametrize(("dimension", "text"), _listed())
def test_table_equals_the_registry(dimension: str, text: str) -> None:
    kind = DIMENSIONS[dimension]
    factor, offset = units._ask_registry(AS_PINT.get(text, text), kind)
    assert factor == pytest.approx(_in_table(kind, text).factor, rel=1e-12)
    assert offset == pytest.approx(_in_table(kind, text).offset, abs=1e-9)


# Reading ------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        ("1 200 gal", "volume", "1200 gal"),
        ("1 200 gal", "volume", "1200 gal"),
        ("1\u202f200 gal", "volume", "1200 gal"),
        ("1 234 567.5 gal", "volume", "1234567.5 gal"),
        ("3/4 in", "length", "0.75 in"),
        ("1-1/4 in", "length", "1.25 in"),
        ("1½ in", "length", "1.5 in"),
        ('12"', "length", "12 in"),
        ("8'", "length", "8 ft"),
        ("5 µm", "particle_size", "5 um"),
        ("5 microns", "particle_size", "5 um"),
        ("3 mg/l", "concentration", "3 mg/L"),
        ("3 MG/L", "concentration", "3 mg/L"),
        ("3 g/m³", "concentration", "3 mg/L"),
        ("3 ppm", "concentration", "3 mg/L"),
        ("3 µg/L", "concentration", "0.003 mg/L"),
        ("3 milligrams per liter", "concentration", "3 mg/L"),
        ("9 GPM", "flow", "9 gpm"),
        ("9 gallons per minute", "flow", "9 gpm"),
        ("9 l/min", "flow", "9 L/min"),
        ("2 m³/h", "flow", "2 m3/h"),
        ("2 m^3/h", "flow", "2 m3/h"),
        ("2 m**3 / h", "flow", "2 m3/h"),
        ("54 °F", "temperature", "54 degF"),
        ("54F", "temperature", "54 degF"),
        ("−3 °C", "temperature", "-3 degC"),
        ("12/100mL", "count", "12 /100mL"),
        ("12 MPN/100 mL", "count", "12 /100mL"),
        ("12 per 100 mL", "count", "12 /100mL"),
        ("71 %", "uvt", "71 %/cm"),
        ("71 %/10 mm", "uvt", "71 %/cm"),
        ("0.149 1/cm", "absorbance", "0.149 /cm"),
        ("14.9 m⁻¹", "absorbance", "0.149 /cm"),
        ("40 mJ/cm²", "dose", "40 mJ/cm2"),
        ("390 µS/cm", "conductivity", "390 uS/cm"),
        ("0.39 dS/m", "conductivity", "390 uS/cm"),
        ("8 lb/cu ft", "density", "8 lb/ft3"),
        ("5 gpm/sq ft", "rate", "5 gpm/ft2"),
        ("20 °dH", "hardness", "20 dH"),
        ("2 FNU", "turbidity", "2 NTU"),
        ("40 %", "fraction", "0.4"),
        ("7.3", "ph", "7.3 pH"),
        ("6 months", "time", "0.5 years"),
        ("1e3 mg/L", "concentration", "1000 mg/L"),
    ],
)
def test_ways_to_write_one_thing(text: str, dimension: str, expected: str) -> None:
    assert parse(text, dimension) == pytest.approx(parse(expected, dimension), rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "sentence"),
    [
        ("3 furlongs", "concentration", '"3 furlongs" is not a concentration'),
        ("9 psi", "flow", '"9 psi" is not a flow'),
        ("7", "flow", '"7" is not a flow: it has no unit, such as gpm'),
        ("-3 mg/L", "concentration", '"-3 mg/L" is not a concentration, it is below zero'),
        ("71", "ph", '"71" is not a pH between 0 and 14'),
        ("-1", "ph", '"-1" is not a pH between 0 and 14'),
        ("101 %/cm", "uvt", '"101 %/cm" is not a UV transmittance, it is more than 100 %/cm'),
        ("1e300 mg/L", "concentration", '"1e300 mg/L" is not a concentration, it is more than 1000000 mg/L'),
        ("1e6 gpg", "hardness", '"1e6 gpg" is not a hardness, it is more than 1000000 mg/L'),
        ("1e9 gpm", "flow", '"1e9 gpm" is not a flow, it is more than 100000 gpm'),
        ("140 %", "fraction", '"140 %" is not a share between 0 and 100 %'),
        ("-300 degC", "temperature", '"-300 degC" is not a temperature'),
        ("yes", "concentration", '"yes" is not a concentration'),
        ("yes", "state", '"yes" is not a word'),
        ("", "flow", '"" is not a flow'),
        ("gpm", "flow", '"gpm" is not a flow'),
        ("a\nb gpm", "flow", '"a?b gpm" is not a flow'),
    ],
)
def test_refused_in_one_sentence(text: str, dimension: str, sentence: str) -> None:
    with pytest.raises(UnitError) as refusal:
        parse(text, dimension)
    assert str(refusal.value) == sentence


@pytest.mark.parametrize(
    "text",
    [
        "nan mg/L", "inf mg/L", "-inf mg/L", "Infinity mg/L", "1e400 mg/L", "1e999 mg/L", "1e9999999999 mg/L", "0x10 mg/L",
        "1_000 mg/L", "1,5 mg/L", "1,20 mg/L", "1,500 mg/L", "1,2000 mg/L", "1.2.3 mg/L",
        "1 2 mg/L", "٣ mg/L", "3 mg/L 4", "3 mg/L + 1 mg/L",
        "3 * 2 mg/L", "(3) mg/L", "3 (mg/L)", "9**9**9 mg/L", "3 mg^99999999/L", "3 mg**9**9/L", "3 mg/L^-999", "3 __import__('os')/L",
        "3 mg/L; import os", "3 [mass]", "3 mg//L", "3 /", "3 %%", "3 dB", "3 mg/L as N", "4/0 mg/L", "3 " + "mg*" * 40 + "mg",
        "9" * 400 + " mg/L", "x" * 100_000, "3 mg/\u0000L", "<0.5 mg/L", "3 to 4 mg/L",
    ],
)  # fmt: skip
def test_hostile_texts_are_refused(text: str) -> None:
    with pytest.raises(UnitError) as refusal:
        parse(text, "concentration")
    assert len(str(refusal.value)) < 140
    assert "\n" not in str(refusal.value)


@given(st.text(max_size=60), st.sampled_from(sorted(DIMENSIONS)))
def test_any_text_gives_a_finite_number_or_a_sentence(text: str, dimension: str) -> None:
    try:
        value = parse(text, dimension)
    except UnitError as refusal:
        assert str(refusal).startswith('"')
    else:
        assert math.isfinite(value)


def test_no_unit_name_of_the_registry_breaks_the_parser() -> None:
    for name in sorted(dir(units.registry())):
        for text in (f"3 {name}", f"3 {name}^2/{name}", f"3 mg/{name}"):
            for dimension in ("concentration", "temperature", "length"):
                try:
                    assert math.isfinite(parse(text, dimension))
                except UnitError as refusal:
                    assert DIMENSIONS[dimension].name in str(refusal)


def test_fits() -> None:
    assert fits("18 gpg", "hardness")
    assert not fits("18 gpg", "flow")


def test_common_units_need_no_registry() -> None:
    code = (
        "import sys; from trainapp.units import parse, show\n"
        "common = {'18 gpg': 'hardness', '3.1 mg/L': 'concentration', '54 degF': 'temperature', '1-1/4 in': 'length', '9 gpm': 'flow',\n"
        "          '12 /100mL': 'count', '71 %/cm': 'uvt', '40 mJ/cm2': 'dose', '8 lb/ft3': 'density', '60 psi': 'pressure'}\n"
        "for text, kind in common.items():\n"
        "    show(parse(text, kind), kind)\n"
        "heavy = {'pint', 'numpy', 'matplotlib', 'PySide6'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
        "assert parse('3 slug', 'mass') > 43 and 'pint' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)


# Converting and writing ---------------------------------------------------------------------------------------------------------


@given(
    st.sampled_from(MEASURED),
    st.sampled_from(SYSTEMS),
    st.floats(min_value=1e-9, max_value=1e9, allow_nan=False),
)
def test_converting_there_and_back(dimension: str, system: units.System, value: float) -> None:
    assert internal(convert(value, dimension, system), dimension, system) == pytest.approx(value, rel=1e-12, abs=1e-9)


@given(st.sampled_from(MEASURED), st.sampled_from(SYSTEMS), st.floats(min_value=1e-3, max_value=1.0))
def test_what_is_written_reads_back(dimension: str, system: units.System, share: float) -> None:
    kind = DIMENSIONS[dimension]
    value = share * (kind.most or 1000.0)
    # Six digits of a magnitude in degF, which lies up to 32 away from its own degC.
    away = 1e-4 if dimension == "temperature" else 0
    assert parse(write(value, dimension, system), dimension) == pytest.approx(value, rel=1e-5, abs=away)


def test_arrays_convert_as_numbers_do() -> None:
    flows = np.array([[1.0, 2.0], [3.0, 4.0]]) * parse("1 gpm", "flow")
    np.testing.assert_allclose(convert(flows, "flow", "us"), [[1.0, 2.0], [3.0, 4.0]], rtol=1e-12)
    np.testing.assert_allclose(internal(convert(flows, "flow", "metric"), "flow", "metric"), flows, rtol=1e-12)


def test_json_of_a_quantity() -> None:
    assert to_json(parse("7 gpm", "flow"), "flow") == {"magnitude": 7.0, "unit": "gpm"}
    assert to_json(parse("60 psi", "pressure"), "pressure") == {"magnitude": 60.0, "unit": "psi"}
    assert to_json(parse("54 degF", "temperature"), "temperature") == {"magnitude": 12.2222222222, "unit": "degC"}
    assert to_json(7.3, "ph") == {"magnitude": 7.3, "unit": ""}
    with pytest.raises(ValueError, match="finite"):
        to_json(math.nan, "flow")


@pytest.mark.parametrize(
    ("dimension", "unit"),
    [
        # The JSON units that other programs rely on.
        ("concentration", "mg/L"), ("hardness", "mg/L"), ("turbidity", "NTU"), ("uvt", "%/cm"), ("temperature", "degC"),
        ("flow", "gpm"), ("pressure", "psi"), ("dose", "mJ/cm2"), ("ph", ""), ("count", "/100mL"),
    ],
)  # fmt: skip
def test_json_units(dimension: str, unit: str) -> None:
    assert units.unit(dimension, "json") == unit


# Showing ------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "dimension", "system", "analyte", "shown"),
    [
        ("3.1 mg/L", "concentration", "us", "iron", "3.10 mg/L"),
        ("0.12 mg/L", "concentration", "us", "manganese", "0.12 mg/L"),
        ("0.005 mg/L", "concentration", "us", "arsenic", "0.005 mg/L"),
        ("1234 mg/L", "concentration", "us", "tds", "1234 mg/L"),
        ("7.25 gpg", "hardness", "us", "", "7.2 gpg"),
        ("18.4 gpg", "hardness", "us", "", "18 gpg"),
        ("18 gpg", "hardness", "metric", "", "308 mg/L"),
        ("9 gpm", "flow", "us", "", "9.0 gpm"),
        ("9 gpm", "flow", "metric", "", "34.1 L/min"),
        ("52.25 psi", "pressure", "us", "", "52.2 psi"),
        ("52.25 psi", "pressure", "metric", "", "3.60 bar"),
        ("7.32", "ph", "us", "", "7.3"),
        ("70.6 %/cm", "uvt", "us", "", "71 %/cm"),
        ("2.41 NTU", "turbidity", "us", "", "2.4 NTU"),
        ("40 mJ/cm2", "dose", "us", "", "40.0 mJ/cm2"),
        ("186 mJ/cm2", "dose", "us", "", "186 mJ/cm2"),
        ("44.4 gal", "volume", "us", "", "44 gal"),
        ("8 ft/s", "velocity", "us", "", "8.0 ft/s"),
        ("8 ft/s", "velocity", "metric", "", "2.44 m/s"),
        ("8 lb/ft3", "density", "us", "", "8 lb/ft3"),
        ("4.5 in", "length", "us", "", "4.5 in"),
        ("40 %", "fraction", "us", "", "40 %"),
        ("12 /100mL", "count", "us", "", "12 /100mL"),
        ("0 mg/L", "concentration", "us", "iron", "0.00 mg/L"),
        # What is there does not read as nothing.
        ("0.002 mg/L", "concentration", "us", "iron", "0.002 mg/L"),
        ("0.03 psi", "pressure", "us", "", "0.03 psi"),
    ],
)
def test_decimals_follow_the_quantity(text: str, dimension: str, system: units.System, analyte: str, shown: str) -> None:
    assert show(parse(text, dimension), dimension, system, analyte=analyte) == shown


def test_what_is_not_known_is_no_number() -> None:
    assert show(math.nan, "pressure") == "unknown"
    assert show_against_limit(math.nan, 0.3, "concentration") == "unknown"


def test_a_small_limit_brings_a_decimal() -> None:
    assert show(0.0213, "concentration", analyte="manganese", limit=0.02) == "0.021 mg/L"
    assert show(0.4321, "turbidity", limit=0.5) == "0.43 NTU"


@pytest.mark.parametrize(
    ("value", "limit", "dimension", "analyte", "shown"),
    [
        (0.304, 0.3, "concentration", "iron", "0.304 mg/L"),
        (0.3004, 0.3, "concentration", "iron", "0.3004 mg/L"),
        (0.30000001, 0.3, "concentration", "iron", "just over 0.30 mg/L"),
        (0.29999, 0.3, "concentration", "iron", "just under 0.30 mg/L"),
        (0.3, 0.3, "concentration", "iron", "0.30 mg/L"),
        (69.8, 70.0, "uvt", "", "69.8 %/cm"),
        (75.4, 75.0, "uvt", "", "75.4 %/cm"),
        (76.4, 75.0, "uvt", "", "76 %/cm"),
    ],
)
def test_never_rounded_onto_its_limit(value: float, limit: float, dimension: str, analyte: str, shown: str) -> None:
    assert show_against_limit(value, limit, dimension, analyte=analyte) == shown


@given(
    st.sampled_from(["concentration", "hardness", "uvt", "turbidity", "dose", "pressure", "flow"]),
    st.sampled_from(SYSTEMS),
    st.floats(min_value=0.01, max_value=99.0),
    st.floats(min_value=-0.02, max_value=0.02),
)
def test_a_shown_value_stays_on_its_side(dimension: str, system: units.System, shown_limit: float, away: float) -> None:
    limit = internal(shown_limit, dimension, system)
    value = internal(shown_limit * (1 + away), dimension, system)
    text = show_against_limit(value, limit, dimension, system)
    difference = convert(value, dimension, system) - convert(limit, dimension, system)
    if math.isclose(difference, 0, abs_tol=1e-9 * shown_limit + 1e-12):
        assert not text.startswith("just")
    elif text.startswith("just"):
        assert text.startswith("just over" if difference > 0 else "just under")
    else:
        assert (float(text.split()[0]) > shown_limit) == (difference > 0)


@pytest.mark.parametrize(
    ("plain", "set_text"),
    [
        ("40.0 mJ/cm2", "40.0\u202fmJ/cm²"),
        ("-3.0 degC", "\u22123.0\u202f°C"),
        ("12 /100mL", "12\u202f/100\u202fmL"),
        ("390 uS/cm", "390\u202fµS/cm"),
        ("5 um", "5\u202fµm"),
        ("2.0 m3/h", "2.0\u202fm³/h"),
        ("5 gpm/ft2", "5\u202fgpm/ft²"),
        ("40 %", "40\u202f%"),
        ("1.3 mPa*s", "1.3\u202fmPa·s"),
        ("385962 L", "385\u202f962\u202fL"),
        ("12000–13500 gal", "12\u202f000–13\u202f500\u202fgal"),
        ("12345.5 mg/L of 1200 mg/L", "12\u202f345.5\u202fmg/L of 1200\u202fmg/L"),
        ("100000 draws", "100000 draws"),
        ("fe-2 unit 2026-05-04", "fe-2 unit 2026-05-04"),
    ],
)
def test_typeset(plain: str, set_text: str) -> None:
    assert typeset(plain) == set_text


@given(
    st.sampled_from([d for d in MEASURED if d not in ("none", "ph", "fraction")]),
    st.sampled_from(SYSTEMS),
    st.floats(1.0, 99.0),
)
def test_typeset_text_reads_as_the_plain_one(dimension: str, system: units.System, value: float) -> None:
    plain = write(internal(value, dimension, system), dimension, system)
    assert parse(typeset(plain), dimension) == pytest.approx(parse(plain, dimension), rel=1e-12)


@given(st.sampled_from(["volume", "concentration"]), st.sampled_from(SYSTEMS), st.integers(10_000, 999_999))
def test_digit_groups_read_as_the_plain_number(dimension: str, system: units.System, value: int) -> None:
    plain = write(internal(float(value), dimension, system), dimension, system)
    assert parse(typeset(plain), dimension) == parse(plain, dimension)
