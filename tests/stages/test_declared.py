"""Declared treatment: takes what it is said to take, never germs, and always says so."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.stages.building import codes, make_duty, make_stage, make_water, run, step_values
from trainapp.stages.working import pick
from trainapp.water.analytes import PARTICLE_ROWS, ROW_INDEX
from trainapp.water.stream import Stream


def test_kitchen_reverse_osmosis_by_hand() -> None:
    water = make_water(nitrate=20.0, arsenic=(0.004, 0.02), iron_dissolved=1.0, iron_particulate=0.5)
    stage = make_stage("declared", name="Kitchen reverse osmosis", removal={"nitrate": "90 %", "arsenic": "95 %", "iron": "50 %"})
    out, working, remarks = run(stage, water, make_duty())
    assert pick(out.row("nitrate")) == pytest.approx(2.0)
    assert (pick(out.row("arsenic"), reading=0), pick(out.row("arsenic"))) == pytest.approx((0.0002, 0.001))
    assert pick(out.get("iron")) == pytest.approx(0.75)
    assert step_values(working, "removal_nitrate") == [0.9]
    assert codes(remarks) == {"declared": "note"}
    assert "nitrate 90 %" in remarks[0].message


def test_hardness_takes_calcium_and_magnesium_along() -> None:
    water = make_water(hardness=200.0, calcium=60.0, magnesium=12.0)
    out, _, _ = run(make_stage("declared", removal={"hardness": "75 %"}), water, make_duty())
    assert [pick(out.row(row)) for row in ("hardness", "calcium", "magnesium")] == pytest.approx([50.0, 15.0, 3.0])


@pytest.mark.parametrize("germ", ["total_coliform", "e_coli", "iron_bacteria"])
def test_it_never_counts_as_disinfection(germ: str) -> None:
    water = make_water(**{germ: 12.0})
    out, _, remarks = run(make_stage("declared", name="Old lamp", removal={germ: "100 %"}), water, make_duty())
    assert pick(out.row(germ)) == 12.0
    assert codes(remarks) == {"declared": "note", "declared-ignored": "caution"}


@pytest.mark.parametrize("key", ["ph", "temperature", "uvt", "settles_overnight", "moonlight"])
def test_what_no_share_can_be_taken_from_is_left_and_named(key: str) -> None:
    water = make_water(ph=7.0, temperature=10.0)
    out, _, remarks = run(make_stage("declared", removal={key: "50 %"}), water, make_duty())
    assert np.array_equal(out.values, water.values, equal_nan=True)
    assert codes(remarks) == {"declared": "note", "declared-ignored": "note"}


def test_nothing_declared_is_still_a_note() -> None:
    _, _, remarks = run(make_stage("declared"), make_water(), make_duty())
    assert codes(remarks) == {"declared": "note"}


@settings(max_examples=50, deadline=None)
@given(share=st.floats(0, 1), more=st.floats(0, 1), ntu=st.floats(0, 100))
def test_a_greater_share_never_leaves_more_and_strangers_pass(share: float, more: float, ntu: float) -> None:
    water = make_water(class_2=ntu, colloid=ntu / 2, iron_dissolved=1.0, ph=7.0)

    def left(part: float) -> Stream:
        return run(make_stage("declared", removal={"turbidity": part}), water, make_duty())[0]

    low, high = left(share), left(min(1.0, share + more))
    assert np.all(high.get("turbidity") <= low.get("turbidity"))
    strangers = [i for row, i in ROW_INDEX.items() if row not in PARTICLE_ROWS]
    assert np.array_equal(low.values[strangers], water.values[strangers], equal_nan=True)
