"""Pressure regulator: what it holds, what its body loses, what it says."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.stages.building import codes, make_duty, make_stage, make_water, run, step_values
from trainapp.dimensions import GPM, PSI


def test_it_holds_its_setting_less_the_fall_off() -> None:
    assert make_stage("pressure_regulator", set_pressure="55 psi").holds_pressure == pytest.approx(55 * PSI)
    stage = make_stage("pressure_regulator", set_pressure="55 psi", falloff="8 psi")
    assert stage.holds_pressure == pytest.approx(47 * PSI)
    _, working, _ = run(stage, make_water(), make_duty())
    assert step_values(working, "held") == pytest.approx([47 * PSI])


def test_an_unknown_fall_off_is_said() -> None:
    _, working, _ = run(make_stage("pressure_regulator"), make_water(), make_duty())
    assert any("no chart" in step.note for step in working.steps)


def test_wide_open_body_by_its_flow_coefficient() -> None:
    # dp = (Q/Cv)^2 by the definition of Cv: 12 gpm through Cv 12 is 1 psi.
    clean, dirty = make_stage("pressure_regulator").losses(10.0)
    assert clean.loss(12 * GPM) == pytest.approx(PSI)
    assert dirty.loss(6 * GPM) == pytest.approx(PSI / 4)


def test_water_passes_unchanged() -> None:
    water = make_water(iron_dissolved=1.0, ph=7.0)
    out, _, _ = run(make_stage("pressure_regulator"), water, make_duty())
    assert np.array_equal(out.values, water.values, equal_nan=True)
    assert out.values is not water.values


def test_set_above_the_code_limit_is_said() -> None:
    # UPC 608.2 (2015 and 2024): a building has at most 80 psi without a regulator.
    _, _, remarks = run(make_stage("pressure_regulator", set_pressure="90 psi"), make_water(), make_duty())
    assert codes(remarks) == {"regulator-check": "note", "high-pressure": "note"}
    _, _, remarks = run(make_stage("pressure_regulator", set_pressure="60 psi"), make_water(), make_duty())
    assert codes(remarks) == {"regulator-check": "note"}


@settings(max_examples=50, deadline=None)
@given(setting=st.floats(10, 100), falloff=st.floats(0.1, 120), more=st.floats(0, 50))
def test_held_pressure_never_rises_with_fall_off_nor_falls_below_nothing(setting: float, falloff: float, more: float) -> None:
    def held(fall: float) -> float:
        return float(make_stage("pressure_regulator", set_pressure=f"{setting} psi", falloff=f"{fall} psi").holds_pressure or 0.0)

    assert 0.0 <= held(falloff + more) <= held(falloff) <= setting * PSI
