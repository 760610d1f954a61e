"""The quick way through a bed of calcite against the one that solves every point, and its laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainapp.water.bed_contact import pass_bed
from trainapp.water.carbonate import CarbonateWater, Ions, from_ph
from trainapp.water.dissolution import contact, saturated

MINUTES = np.array([0.1, 0.3, 0.56, 1.1, 2.2, 4.4, 8.9, 17.8, 60.0])


def _drawn(number: int, seed: int) -> CarbonateWater:
    draw = np.random.default_rng(seed)
    alkalinity, calcium = 10 ** draw.uniform(0.5, 2.5, number), 10 ** draw.uniform(0, 2, number)
    magnesium = calcium * draw.uniform(0.05, 0.5, number)
    chloride, sulfate = 10 ** draw.uniform(0, 2, number), 10 ** draw.uniform(0, 2.3, number)
    charge = alkalinity / 50.0435 + sulfate / 48.03 + chloride / 35.453 - calcium / 20.039 - magnesium / 12.1525
    ions = Ions(calcium, magnesium, np.maximum(22.990 * charge, 1.0), chloride=chloride, sulfate=sulfate)
    return from_ph(draw.uniform(4.8, 7.6, number), alkalinity, ions, draw.uniform(4, 25, number))


@pytest.mark.parametrize("grain", [0.3e-3, 0.6e-3, 2e-3])
def test_it_agrees_with_the_way_that_is_solved_point_by_point(grain: float) -> None:
    water = _drawn(150, 3)
    seconds = (MINUTES * 60.0)[:, None]
    exact = contact(water, seconds, grain, 0.45)
    quick = pass_bed(water, saturated(water), seconds, grain, 0.45)
    off = np.abs(exact.ph - quick.ph)
    assert off.max() < 0.15
    assert np.quantile(off, 0.98) < 0.02
    # calcite dissolved, of 1 mg/L or a twentieth
    assert np.all(np.abs(exact.dissolved - quick.dissolved) * 100087 < 1.0 + 0.05 * exact.dissolved * 100087)


@pytest.mark.parametrize(
    ("temperature", "ph", "alkalinity", "calcium", "magnesium", "grain", "expected"),
    [
        # Plummer, Wigley and Parkhurst (1978) on the geometric surface, plug flow, void 0.45, computed with PHREEQC's database.
        (10, 6.0, 30, 8, 2, 0.6e-3, (6.36, 6.58, 6.92, 7.39, 7.52, 7.52)),
        (10, 6.0, 30, 8, 2, 1.0e-3, (6.24, 6.41, 6.66, 7.04, 7.47, 7.52)),
        (10, 6.0, 30, 8, 2, 2.0e-3, (6.13, 6.24, 6.41, 6.66, 7.04, 7.47)),
        (12, 6.5, 50, 15, 4, 1.0e-3, (6.68, 6.84, 7.14, 7.65, 7.77, 7.77)),
    ],
)
def test_ph_by_contact_time(
    temperature: float, ph: float, alkalinity: float, calcium: float, magnesium: float, grain: float, expected: tuple[float, ...]
) -> None:
    charge = alkalinity / 50.0435 + 10 / 48.03 + 10 / 35.453 - calcium / 20.039 - magnesium / 12.1525
    water = from_ph(ph, alkalinity, Ions(calcium, magnesium, 22.990 * charge, chloride=10.0, sulfate=10.0), temperature)
    passed = pass_bed(water, saturated(water), MINUTES[2:8] * 60.0, grain, 0.45)
    assert passed.ph == pytest.approx(expected, abs=0.03)


def test_saturated_water_passes_unchanged_and_unknown_stays_unknown() -> None:
    ions = Ions(np.array([90.0, 90.0]), 10.0, 5.0)
    water = from_ph(np.array([8.0, np.nan]), 200.0, ions, 12.0)
    passed = pass_bed(water, saturated(water), np.array([[10.0], [1000.0]]), 0.6e-3, 0.45)
    assert passed.ph[:, 0] == pytest.approx([8.0, 8.0])
    assert passed.dissolved[:, 0] == pytest.approx([0.0, 0.0])
    assert np.isnan(passed.ph[:, 1]).all()
    assert np.isnan(passed.dissolved[:, 1]).all()


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000), grain=st.floats(0.2e-3, 3e-3))
def test_more_time_never_dissolves_less_nor_beyond_balance(seed: int, grain: float) -> None:
    water = _drawn(8, seed)
    balance = saturated(water)
    passed = pass_bed(water, balance, (MINUTES * 60.0)[:, None], grain, 0.45)
    assert np.all(np.diff(passed.dissolved, axis=0) >= -1e-12)
    assert np.all(passed.dissolved <= np.maximum(balance.dissolved, 0.0) + 1e-12)
    assert np.all(np.diff(passed.ph, axis=0) >= -1e-9)
