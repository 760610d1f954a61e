"""From results to two readings: splits, sums, particles, the absorbance budget, and what stays unknown."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.water.analytes import ANALYTES, BY_KEY, DERIVED, ROWS
from trainapp.water.raw import Columns, assumptions, raw_streams
from trainapp.water.rows import absorbance_parts
from trainapp.water.sample import read_sheet
from trainapp.water.stream import ADVERSE, FAVOURABLE, Stream


def water(**results: Any) -> Stream:
    return raw_streams(Columns.of_sheet(read_sheet(results)), 3, 10.0)


def pair(stream: Stream, name: str) -> tuple[float, float]:
    """Favourable and adverse."""
    values = stream.get(name)[:, 1, 0]
    return float(values[FAVOURABLE]), float(values[ADVERSE])


def test_nothing_measured_is_nothing_known() -> None:
    stream = water()
    for name in ROWS:
        if name not in ("permanganate", "peroxide", "temperature"):
            assert np.isnan(stream.row(name)).all(), name
            assert not stream.is_known(name).any(), name
    assert pair(stream, "permanganate") == (0.0, 0.0)


def test_temperature_of_the_supply_is_no_result() -> None:
    assert pair(water(), "temperature") == (10.0, 10.0) and not water().is_known("temperature")[0]
    assert pair(water(temperature="14 degC"), "temperature") == (14.0, 14.0)


@pytest.mark.parametrize("metal", ["iron", "manganese"])
def test_split_of_a_metal(metal: str) -> None:
    both = water(**{metal: "3.1 mg/L", f"{metal}_dissolved": "2.9 mg/L"})
    assert pair(both, f"{metal}_particulate") == pytest.approx((0.2, 0.2)) and pair(both, metal) == pytest.approx((3.1, 3.1))
    total = water(**{metal: "3.1 mg/L"})
    assert (pair(total, f"{metal}_dissolved"), pair(total, f"{metal}_particulate")) == ((0.0, 3.1), (3.1, 0.0))
    assert total.is_known(metal)[0] and not total.is_known(f"{metal}_dissolved")[0]
    dissolved = water(**{f"{metal}_dissolved": "2.9 mg/L"})
    assert pair(dissolved, metal) == (2.9, 2.9) and dissolved.is_known(metal)[0]
    assert pair(water(**{metal: "<0.1 mg/L"}), metal) == (0.0, 0.1)


def test_more_dissolved_than_total_does_not_go_below_nothing() -> None:
    stream = water(iron="1 mg/L", iron_dissolved="1.05 mg/L")
    assert pair(stream, "iron_particulate") == (0.0, 0.0)


def test_hardness_both_ways() -> None:
    summed = water(calcium="51 mg/L", magnesium="3.4 mg/L")
    assert pair(summed, "hardness") == pytest.approx((141.35, 141.35), abs=0.1) and summed.is_known("hardness")[0]
    rest = water(hardness="141.37 mg/L", calcium="51 mg/L")
    assert pair(rest, "magnesium") == pytest.approx((3.4, 3.4), abs=0.02) and rest.is_known("magnesium")[0]
    other = water(hardness="141.37 mg/L", magnesium="3.4 mg/L")
    assert pair(other, "calcium") == pytest.approx((51.0, 51.0), abs=0.05)
    alone = water(hardness="100 mg/L")
    assert pair(alone, "calcium") == pytest.approx((0.55 * 40.043, 0.85 * 40.043), rel=1e-3)
    assert pair(alone, "magnesium") == pytest.approx((0.45 * 24.284, 0.15 * 24.284), rel=1e-3)
    assert alone.is_known("hardness")[0] and not alone.is_known("calcium")[0]
    guessed = water(calcium="40.043 mg/L")
    assert pair(guessed, "hardness") == pytest.approx((100 / 0.85, 100 / 0.55), rel=1e-3) and not guessed.is_known("hardness")[0]


@given(st.floats(1.0, 500.0))
def test_parts_of_hardness_add_up(hardness: float) -> None:
    stream = water(hardness=f"{hardness} mg/L")
    summed = 2.49733 * stream.row("calcium") + 4.11796 * stream.row("magnesium")
    assert summed == pytest.approx(stream.row("hardness"), rel=1e-4)


@pytest.mark.parametrize(
    ("more", "colloid", "below"),
    [
        ({}, (0.0, 2.0), (1.0, 2.5)),
        ({"turbidity_filtered_5um": "1 NTU"}, (0.0, 1.0), (1.0, 1.0)),
        ({"settles_overnight": "yes"}, (0.0, 0.4), (0.4, 0.4)),
        ({"settles_overnight": "no"}, (2.0, 4.0), (4.0, 4.0)),
        ({"turbidity_filtered_5um": "9 NTU"}, (0.0, 4.0), (4.0, 4.0)),
        ({"turbidity_filtered_5um": "1 NTU", "settles_overnight": "no"}, (0.0, 1.0), (1.0, 1.0)),
    ],
)
def test_particles(more: dict[str, str], colloid: tuple[float, float], below: tuple[float, float]) -> None:
    stream = water(turbidity="4 NTU", **more)
    assert pair(stream, "colloid") == pytest.approx(colloid) and pair(stream, "turbidity_filtered_5um") == pytest.approx(below)
    assert pair(stream, "turbidity") == pytest.approx((4.0, 4.0))
    assert pair(stream, "suspended_solids") == (4.0, 12.0) and not stream.is_known("suspended_solids")[0]


def test_no_turbidity_no_particles() -> None:
    assert np.isnan(water(turbidity_filtered_5um="1 NTU").particles).all()
    assert pair(water(turbidity="0 NTU", turbidity_filtered_5um="0 NTU"), "turbidity") == (0.0, 0.0)


def test_absorbance_budget() -> None:
    """71 %/cm raw and 84 %/cm filtered prove 0.0730 per cm that leaves with particles; iron counts in the favourable reading only."""
    stream = water(uvt="71 %/cm", uvt_filtered="84 %/cm", iron="3.1 mg/L", iron_dissolved="2.9 mg/L")
    assert pair(stream, "uvt") == pytest.approx((71.0, 71.0)) and stream.is_known("uvt")[0]
    assert pair(stream, "uvt_filtered") == pytest.approx((84.0, 84.0))
    assert pair(stream, "absorbance_particles") == pytest.approx((0.07302, 0.07302), abs=1e-4)
    favourable, adverse = pair(stream, "absorbance_iron")
    assert adverse == 0.0 and favourable == pytest.approx(0.14874 - 0.07302 - 0.0088, abs=1e-4)
    little = water(uvt="71 %/cm", uvt_filtered="84 %/cm", iron="0.3 mg/L")
    assert pair(little, "absorbance_iron") == pytest.approx((0.3 * 0.08445, 0.0), abs=1e-4)


def test_without_a_filtered_sample_nothing_is_proven() -> None:
    stream = water(uvt="71 %/cm", iron="0.5 mg/L", turbidity="2 NTU")
    assert pair(stream, "absorbance_particles") == pytest.approx((0.02, 0.0))
    assert pair(stream, "absorbance_iron") == pytest.approx((0.5 * 0.08445, 0.0), abs=1e-4)


def test_filtered_uvt_alone_is_not_the_whole() -> None:
    alone = water(uvt_filtered="84 %/cm")
    assert not alone.is_known("uvt")[0]
    cloudy = water(uvt_filtered="84 %/cm", turbidity="3 NTU")
    assert cloudy.is_known("uvt")[0] and max(pair(cloudy, "uvt")) < 84.0


@pytest.mark.parametrize(("name", "text"), [("toc", "2 mg/L"), ("tannin", "1 mg/L"), ("colour", "15 CU")])
def test_uvt_by_estimate_is_never_known(name: str, text: str) -> None:
    stream = water(**{name: text})
    favourable, adverse = pair(stream, "uvt")
    assert 50.0 < adverse < favourable < 98.0 and not stream.is_known("uvt")[0]


_SHARE = st.floats(0.0, 3.0)


@given(_SHARE, _SHARE, st.floats(0.0, 10.0), st.floats(0.0, 20.0))
def test_parts_of_absorbance_stay_within_the_whole(whole: float, filtered: float, iron: float, turbidity: float) -> None:
    two = np.ones((2, 1))
    for seen in (filtered * two, np.nan * two):
        particles, by_iron = absorbance_parts(whole * two, seen, iron * two, turbidity * two)
        assert (particles >= 0.0).all() and (by_iron >= 0.0).all()
        assert (particles + by_iron <= whole + 1e-12).all()
        assert (particles[ADVERSE] <= particles[FAVOURABLE] + 1e-12).all() and by_iron[ADVERSE] == 0.0


def test_dissolved_solids_and_sodium_follow() -> None:
    ions = {"calcium": "60 mg/L", "magnesium": "12 mg/L", "alkalinity": "180 mg/L", "chloride": "20 mg/L", "sulfate": "25 mg/L"}
    guessed = water(**ions)
    assert pair(guessed, "sodium")[0] == pytest.approx(16.0, abs=0.5) and not guessed.is_known("sodium")[0]
    assert not guessed.is_known("tds")[0]
    measured = water(sodium="16 mg/L", **ions)
    assert measured.is_known("tds")[0] and pair(measured, "tds") == pytest.approx((241.0, 241.0), abs=1.0)
    by_conductivity = water(conductivity="500 uS/cm")
    assert pair(by_conductivity, "tds") == (275.0, 350.0) and not by_conductivity.is_known("tds")[0]
    assert pair(water(tds="300 mg/L", conductivity="500 uS/cm"), "tds") == (300.0, 300.0)


def test_readings_take_each_analyte_at_its_adverse_end() -> None:
    stream = water(arsenic="<0.02 mg/L", uvt=">95 %/cm", ph=">7", alkalinity="<20 mg/L")
    assert pair(stream, "arsenic") == (0.0, 0.02) and pair(stream, "uvt") == pytest.approx((100.0, 95.0))
    assert pair(stream, "ph") == (14.0, 7.0) and pair(stream, "alkalinity") == (20.0, 0.0)


def test_over_range_goes_on_finite_but_bacteria_stay_open() -> None:
    stream = water(iron=">5 mg/L", total_coliform="TNTC")
    assert pair(stream, "iron") == (5.0, 50.0) and pair(stream, "total_coliform") == (200.0, np.inf)


def test_an_estimate_is_a_value_and_not_known() -> None:
    stream = water(uvt={"value": "80 %/cm", "method": "estimate"}, hardness={"value": "100 mg/L", "method": "estimate"})
    assert pair(stream, "uvt") == pytest.approx((80.0, 80.0)) and not stream.is_known("uvt")[0] and not stream.is_known("hardness")[0]


def test_assumptions_are_named_with_their_source() -> None:
    sheet = read_sheet({"iron": "1 mg/L", "hardness": {"value": "100 mg/L", "method": "estimate"}, "lead": ">1 mg/L"})
    told = {a.name: a for a in assumptions(sheet)}
    assert set(told) == {"calcium_share", "iron_split", "over_range", "estimate"}
    assert told["estimate"].sentence.startswith("Hardness ") and all(a.source and a.status for a in told.values())
    assert assumptions({}) == ()


# Many waters ------------------------------------------------------------------------------------------------------------------

_SHEETS = [
    {"hardness": "100 mg/L", "iron": "1 mg/L", "uvt": "80 %/cm"},
    {"calcium": "60 mg/L", "magnesium": "9 mg/L", "turbidity": "3 NTU", "settles_overnight": "no"},
    {"iron": "<0.1 mg/L", "iron_dissolved": "0.05 mg/L", "total_coliform": "present", "toc": "3 mg/L"},
    {},
]


def test_many_sheets_are_each_what_they_are_alone() -> None:
    sheets = [read_sheet(s) for s in _SHEETS]
    together = raw_streams(Columns.of_sheets(sheets), 3, 10.0)
    for i, sheet in enumerate(sheets):
        alone = raw_streams(Columns.of_sheet(sheet), 3, 10.0)
        assert together.values[..., i : i + 1] == pytest.approx(alone.values, nan_ok=True)
        assert (together.known[:, i : i + 1] == alone.known).all()


def test_a_table_of_many_waters() -> None:
    count = 100_000
    draw = np.random.default_rng(2)
    low = draw.uniform(0.0, 1.0, count)
    hardness = np.where(draw.uniform(size=count) < 0.5, np.nan, 200.0)
    acidity = np.full(count, 7.1)
    ends = {"iron": low, "hardness": hardness, "ph": acidity}, {"iron": 2.0 * low, "hardness": hardness, "ph": acidity}
    stream = raw_streams(Columns(*ends, {}, count), 1, 10.0)
    assert stream.values.shape == (len(ROWS), 2, 1, count)
    assert stream.get("iron")[ADVERSE, 0] == pytest.approx(2.0 * low)
    assert (stream.is_known("hardness") == ~np.isnan(hardness)).all() and stream.is_known("ph").all()


_UNITS = {
    "concentration": " mg/L", "hardness": " mg/L", "temperature": " degC", "conductivity": " uS/cm", "colour": " CU",
    "activity": " pCi/L", "ph": "",
}  # fmt: skip


@pytest.mark.parametrize("name", [a.key for a in ANALYTES if a.key not in DERIVED and not a.states])
def test_every_row_that_a_sheet_can_name_is_set(name: str) -> None:
    stream = water(**{name: f"7{_UNITS[BY_KEY[name].dimension]}"})
    assert pair(stream, name) == (7.0, 7.0) and stream.is_known(name)[0]
