"""Laws of mixing: shares of flow, carbon and alkalinity kept, nothing known that was not, split and merged water is the same water."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.water.analytes import ROW_INDEX
from trainapp.water.carbonate import Ions, from_carbon, from_ph
from trainapp.water.mixing import WITHOUT_ALKALINITY, mix, solved
from trainapp.water.raw import Columns, raw_streams
from trainapp.water.sample import read_sheet
from trainapp.water.stream import Stream

_FULL = {
    "ph": "7.2", "alkalinity": "180 mg/L", "calcium": "60 mg/L", "magnesium": "12 mg/L", "sodium": "15 mg/L", "chloride": "20 mg/L",
    "sulfate": "30 mg/L", "potassium": "2 mg/L", "nitrate": "1 mg/L", "iron": "2 mg/L", "iron_dissolved": "1.8 mg/L", "turbidity": "2 NTU",
    "uvt": "80 %/cm", "uvt_filtered": "86 %/cm", "temperature": "11 degC", "total_coliform": "12 /100mL",
}  # fmt: skip


def water(flows: int = 1, **changes: Any) -> Stream:
    results = {name: text for name, text in (_FULL | changes).items() if text is not None}
    return raw_streams(Columns.of_sheet(read_sheet(results)), flows, 10.0)


def one(stream: Stream, name: str) -> float:
    return float(stream.get(name)[1, 0, 0])


_FLOW = st.floats(0.01, 100.0)


@given(st.lists(_FLOW, min_size=1, max_size=4), st.floats(4.8, 9.5), st.floats(1.0, 400.0))
def test_split_and_merged_is_the_same_water(flows: list[float], ph: float, alkalinity: float) -> None:
    stream = water(ph=f"{ph}", alkalinity=f"{alkalinity} mg/L")
    merged = mix([stream] * len(flows), flows)
    assert merged.values == pytest.approx(stream.values, rel=1e-9, nan_ok=True) and (merged.known == stream.known).all()


@given(st.floats(5.0, 9.0), st.floats(5.0, 300.0), st.floats(5.0, 9.0), st.floats(5.0, 300.0), _FLOW, _FLOW)
def test_mixing_in_two_steps_is_mixing_in_one(ph: float, alkalinity: float, ph2: float, alkalinity2: float, a: float, b: float) -> None:
    first, second = water(ph=f"{ph}", alkalinity=f"{alkalinity} mg/L"), water(ph=f"{ph2}", alkalinity=f"{alkalinity2} mg/L")
    half = mix([first, second], [a / 2.0, b / 2.0])
    twice, once = mix([half, half], [1.0, 2.0]), mix([first, second], [a, b])
    assert twice.values == pytest.approx(once.values, rel=1e-8, nan_ok=True)


@given(_FLOW, _FLOW, st.floats(0.0, 10.0), st.floats(0.0, 10.0))
def test_amounts_mix_by_flow(a: float, b: float, low: float, high: float) -> None:
    branches = [water(iron=f"{mg} mg/L", iron_dissolved=f"{mg} mg/L") for mg in (low, high)]
    mixed = mix(branches, [a, b])
    assert one(mixed, "iron") == pytest.approx((a * low + b * high) / (a + b), rel=1e-9, abs=1e-12)


def test_ph_follows_from_carbon_and_alkalinity() -> None:
    """Two waters by hand: carbon and alkalinity averaged, pH of the sum."""
    hard, soft = water(), water(ph="5.8", alkalinity="20 mg/L", calcium="5 mg/L", magnesium="1 mg/L", sulfate="10 mg/L")
    mixed = mix([hard, soft], [3.0, 1.0])
    carbon = (3.0 * float(solved(hard).carbon[1, 0, 0]) + float(solved(soft).carbon[1, 0, 0])) / 4.0
    ions = {name: one(mixed, name) for name in ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate", "nitrate")}
    assert one(mixed, "alkalinity") == pytest.approx(140.0)
    assert one(mixed, "ph") == pytest.approx(float(from_carbon(carbon, 140.0, Ions(**ions), 11.0).ph), abs=1e-9)
    assert not 5.8 < one(mixed, "ph") < -np.log10(0.75 * 10**-7.2 + 0.25 * 10**-5.8)


def test_without_alkalinity_acidity_is_averaged_and_told() -> None:
    notes: list[str] = []
    mixed = mix([water(alkalinity=None), water(ph="6.2")], [1.0, 1.0], notes)
    assert one(mixed, "ph") == pytest.approx(-np.log10(0.5 * (10**-7.2 + 10**-6.2))) and notes == [WITHOUT_ALKALINITY]
    quiet: list[str] = []
    mix([water(alkalinity=None), water(alkalinity=None)], [1.0, 1.0], quiet)
    assert quiet == []


def test_unknown_in_a_branch_that_flows_is_unknown() -> None:
    mixed = mix([water(), water(iron=None, iron_dissolved=None, ph=None)], [1.0, 1.0])
    assert np.isnan(one(mixed, "iron")) and np.isnan(one(mixed, "ph")) and not mixed.is_known("iron")[0]
    assert one(mixed, "alkalinity") == pytest.approx(180.0) and mixed.is_known("alkalinity")[0]


def test_a_branch_that_does_not_flow_does_not_count() -> None:
    stream = water()
    mixed = mix([stream, water(iron=None, iron_dissolved=None, ph=None)], [2.0, 0.0])
    assert mixed.values == pytest.approx(stream.values, nan_ok=True) and (mixed.known == stream.known).all()


def test_where_nothing_flows_waters_count_alike() -> None:
    assert one(mix([water(iron_dissolved=None), water(iron="4 mg/L", iron_dissolved=None)], [0.0, 0.0]), "iron") == pytest.approx(3.0)


def test_flows_may_differ_along_their_axis() -> None:
    acid = water(3, ph="6.0", alkalinity="40 mg/L")
    mixed = mix([water(3), acid], [np.array([[1.0], [1.0], [0.0]]), np.array([[0.0], [1.0], [1.0]])])
    ph = mixed.row("ph")[1, :, 0]
    assert ph[0] == 7.2 and 6.0 < ph[1] < 7.2 and ph[2] == 6.0


def test_readings_do_not_mix_with_each_other() -> None:
    mixed = mix([water(ph=">6.5"), water()], [1.0, 1.0])
    assert mixed.row("ph")[0, 0, 0] > mixed.row("ph")[1, 0, 0]


def test_no_upper_end_stays_without() -> None:
    mixed = mix([water(total_coliform="TNTC"), water(total_coliform="absent")], [1.0, 1.0])
    assert list(mixed.row("total_coliform")[:, 0, 0]) == [100.0, np.inf]


# Chemistry of a stream --------------------------------------------------------------------------------------------------------


def test_a_stream_is_solved_by_its_rows() -> None:
    stream = water()
    found, direct = solved(stream), from_ph(7.2, 180.0, Ions(60.0, 12.0, 15.0, 2.0, 20.0, 30.0, 1.0), 11.0)
    assert found.ph.shape == (2, 1, 1)
    assert float(found.calcite_index[0, 0, 0]) == pytest.approx(float(direct.calcite_index), abs=1e-9)
    assert float(solved(stream, 60.0).temperature[0, 0, 0]) == 60.0


@pytest.mark.parametrize("missing", ["sulfate", "chloride", "sodium", "potassium", "nitrate", "temperature"])
def test_a_missing_ion_hardly_moves_the_index(missing: str) -> None:
    whole = float(solved(water()).calcite_index[0, 0, 0])
    assert float(solved(water(**{missing: None})).calcite_index[0, 0, 0]) == pytest.approx(whole, abs=0.03)


def test_calcium_comes_from_hardness_where_it_must() -> None:
    stream = water(calcium=None, magnesium=None, hardness="200 mg/L")
    stream.values[[ROW_INDEX["calcium"], ROW_INDEX["magnesium"]]] = np.nan
    ions = solved(stream).ions
    total = 2.49733 * np.asarray(ions.calcium) + 4.11796 * np.asarray(ions.magnesium)
    assert total == pytest.approx(200.0, rel=1e-4)
    assert np.isfinite(solved(stream).calcite_index).all()
