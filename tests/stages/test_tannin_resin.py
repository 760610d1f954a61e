"""Tannin resin: places in order, chloride for each, the dip of pH, and what a full resin lets go."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.stages.building import codes, make_duty, make_stage, make_water, run, step_values
from trainapp.dimensions import DAY, POUND
from trainapp.stages.tannin_resin import TanninResin
from trainapp.stages.working import pick

WELL = {"tannin": 2.0, "sulfate": 60.0, "nitrate": 3.0, "alkalinity": 200.0, "ph": 7.4, "chloride": 10.0}


def _resin(**more: str) -> TanninResin:
    stage = make_stage("tannin_resin", **more)
    assert isinstance(stage, TanninResin)
    return stage


def test_capacity_and_days_by_hand() -> None:
    # 14 kgr/ft3 (1 - exp(-10/8)) = 9.99 kgr/ft3; x 1.5 ft3 = 14.98 kgr = 970.8 g as CaCO3 = 19.40 eq.
    # 60/48.03 + 3/14.007 + 0.012 = 1.4754 meq/L in 1135.6 L a day: 1.6755 eq/d, 11.58 d.
    _, working, remarks = run(_resin(), make_water(**WELL), make_duty(daily=300.0))
    assert step_values(working, "capacity") == pytest.approx([19.40], rel=1e-3)
    assert step_values(working, "time_to_exhaustion") == pytest.approx([11.58 * DAY], rel=1e-3)
    assert codes(remarks) == {}


def test_sulfate_comes_first_then_nitrate_then_tannin() -> None:
    # By hand at 0.5 ft3 (6.467 eq), 300 gal a day for 3 d (3407 L): 1.898 meq/L of places. Sulfate 1.249 and nitrate 0.214 find theirs
    # up to 0.3 meq/L of sulfate more; with 96 mg/L of sulfate (1.999 meq/L) 95 % of it does and nothing else.
    few, working, _ = run(_resin(resin_volume="0.5 ft3"), make_water(**{**WELL, "sulfate": 96.06}), make_duty(daily=300.0))
    shares = [step_values(working, f"{name}_share")[0] for name in ("sulfate", "nitrate", "tannin")]
    assert shares == pytest.approx([0.949, 0.0, 0.0], abs=1e-3)
    assert pick(few.row("tannin"), "average", 0) == pytest.approx(2.0)
    some, working, _ = run(_resin(resin_volume="0.5 ft3"), make_water(**{**WELL, "sulfate": 84.0}), make_duty(daily=300.0))
    shares = [step_values(working, f"{name}_share")[0] for name in ("sulfate", "nitrate", "tannin")]
    assert shares == pytest.approx([1.0, 0.6967, 0.0], abs=5e-3)
    assert pick(some.row("nitrate"), "average", 0) == pytest.approx(3.0 * (1 - 0.9 * shares[1]))


def test_a_full_resin_lets_nitrate_go_and_says_so() -> None:
    # 200 mg/L of sulfate is 4.164 meq/L; 95 % of it can push out 3.956 meq/L of nitrate, 55.4 mg/L as N, beside the 3 that come in.
    water = make_water(**{**WELL, "sulfate": 200.0})
    out, working, remarks = run(_resin(regenerate_every="7 d"), water, make_duty(daily=400.0))
    assert codes(remarks) == {"capacity-short": "caution", "nitrate-dump": "caution"}
    pushed = 200.0 / 48.03 * step_values(working, "sulfate_share")[0] * 0.95 * 14.007
    assert pick(out.row("nitrate"), "average") == pytest.approx(3.0 + pushed)
    assert pick(out.row("nitrate"), "average", 0) < 3.0 + 1e-9
    assert pick(out.row("tannin"), "average") == pytest.approx(2.0)
    assert step_values(working, "nitrate_out") == [pick(out.row("nitrate"), "average")]
    short = next(remark for remark in remarks if remark.code == "capacity-short")
    assert short.value is not None
    assert short.value < 7 * DAY


def test_fresh_resin_takes_alkalinity_and_lowers_ph() -> None:
    # bicarbonate goes, carbon dioxide stays: pH falls by lg 0.3 = 0.523
    out, working, _ = run(_resin(), make_water(**WELL), make_duty())
    assert pick(out.row("ph")) == pytest.approx(7.4 - 0.5229, abs=1e-3)
    assert pick(out.row("alkalinity")) == pytest.approx(60.0)
    assert pick(out.row("alkalinity"), reading=0) == 200.0
    assert step_values(working, "ph_out") == [pick(out.row("ph"))]


def test_uv_absorbance_clears_only_in_the_favourable_reading() -> None:
    water = make_water(**WELL, absorbance=0.20, absorbance_iron=0.03, absorbance_particles=0.02, toc=4.0, colour=20.0)
    out, _, _ = run(_resin(), water, make_duty())
    assert pick(out.row("absorbance")) == pytest.approx(0.20)
    assert pick(out.row("absorbance"), reading=0) == pytest.approx(0.20 - 0.9 * 0.15)
    assert pick(out.row("toc")) == pytest.approx(4.0 * 0.6)


def test_water_without_tannin_is_no_effect() -> None:
    _, _, remarks = run(_resin(), make_water(**{**WELL, "tannin": 0.0}, colour=2.0, toc=0.5), make_duty())
    assert codes(remarks) == {"no-effect": "caution"}
    _, _, remarks = run(_resin(), make_water(**{**WELL, "tannin": 0.0}, colour=25.0), make_duty())
    assert codes(remarks) == {}


def test_what_must_not_enter() -> None:
    limits = {limit.analyte: limit for limit in _resin().limits()}
    assert limits["hardness"].maximum == pytest.approx(17.118, abs=1e-3)
    assert limits["iron"].maximum == 0.3
    assert {"free_chlorine", "turbidity", "temperature"} < limits.keys()


def test_regeneration() -> None:
    cleaning = _resin(resin_volume="2 ft3", salt_dose="10 lb/ft3").cleaning(make_water(**WELL), make_duty())
    assert cleaning.name == "regeneration"
    assert cleaning.salt == pytest.approx(20 * POUND)
    assert cleaning.every_days == 3.0
    # 80 gal/ft3: Water Treatment Plant Design, page 12.46
    assert cleaning.volume == pytest.approx(160 * 3.785411784e-3, rel=1e-3)
    # a light resin washes at a few gpm/ft2, far below what a softener asks
    assert cleaning.flow_cold < cleaning.flow < 3.0 * 6.791e-4 * _resin().tank.area * 1.2


def test_faster_than_the_resin_takes_lets_tannin_slip() -> None:
    # 1.5 ft3 at 11.25 gpm is 7.5 gpm/ft3, half again above 5: half of it slips.
    out, working, _ = run(_resin(), make_water(**WELL), make_duty(peak=11.25))
    assert step_values(working, "slip") == pytest.approx([0.5], abs=1e-6)
    assert pick(out.row("tannin")) == pytest.approx(2.0 * (1 - 0.5 * 0.7))


@settings(max_examples=50, deadline=None)
@given(
    tannin=st.floats(0, 10), sulfate=st.floats(0, 400), nitrate=st.floats(0, 30), alkalinity=st.floats(0, 400),
    daily=st.floats(50, 2000), volume=st.floats(0.5, 5), more=st.floats(1, 4), peak=st.floats(1, 20),
)  # fmt: skip
def test_charges_balance_and_more_resin_never_leaves_more_tannin(
    tannin: float, sulfate: float, nitrate: float, alkalinity: float, daily: float, volume: float, more: float, peak: float
) -> None:
    water = make_water(tannin=tannin, sulfate=sulfate, nitrate=nitrate, alkalinity=alkalinity, ph=7.5, chloride=20.0)
    duty = make_duty(peak=peak, daily=daily)
    out, _, _ = run(_resin(resin_volume=f"{volume} ft3"), water, duty)
    weights = {"sulfate": 48.03, "nitrate": 14.007, "tannin": 1 / 0.006, "alkalinity": 50.0435}
    taken = sum((water.row(row) - out.row(row)) / gram for row, gram in weights.items())
    assert (out.row("chloride") - water.row("chloride")) / 35.453 == pytest.approx(np.asarray(taken), abs=1e-9)
    larger, _, _ = run(_resin(resin_volume=f"{volume * more} ft3"), water, duty)
    assert np.all(larger.row("tannin") <= out.row("tannin") + 1e-9)
    assert np.all(out.row("sulfate") >= -1e-9)
    assert np.all(out.row("nitrate") * 1.0 >= -1e-9)
