"""Carbon bed: contact time, chlorine and chloramine, a trace of sulfide, and what it says when it is too small."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.stages.building import codes, make_duty, make_stage, make_water, run, step_values
from trainapp.dimensions import GPM
from trainapp.stages.carbon_bed import CarbonBed
from trainapp.stages.working import pick


def _bed(**more: str) -> CarbonBed:
    stage = make_stage("carbon_bed", **more)
    assert isinstance(stage, CarbonBed)
    return stage


def test_contact_time_by_definition() -> None:
    # EBCT in minutes = ft3 x 7.481/gpm: 10 in tank, 36 in deep is 1.636 ft3; at 7 gpm 1.749 min.
    _, working, _ = run(_bed(), make_water(), make_duty(peak=7.0))
    assert step_values(working, "ebct") == pytest.approx([1.6362 * 7.4805 / 7.0 * 60.0], rel=1e-3)


def test_two_minutes_take_nine_tenths_of_chlorine_at_the_slow_end() -> None:
    # "1 to 2 min EBCT" of common practice: nine tenths in one minute at the quick end, in two at the slow.
    flow = 1.6362 * 7.4805 / 2.0
    out, working, remarks = run(_bed(), make_water(free_chlorine=1.0, total_chlorine=1.0, chloride=5.0), make_duty(peak=flow))
    assert pick(out.row("free_chlorine")) == pytest.approx(0.1, rel=1e-3)
    assert pick(out.row("free_chlorine"), reading=0) == pytest.approx(0.01, rel=1e-3)
    assert pick(out.row("chloride")) == pytest.approx(5.0 + 0.45, rel=1e-3)
    assert step_values(working, "free_chlorine_out") == [pick(out.row("free_chlorine"))]
    assert codes(remarks) == {}


def test_chloramine_wants_more_contact_or_catalytic_carbon() -> None:
    water = make_water(free_chlorine=0.0, total_chlorine=2.0)
    flow = 1.6362 * 7.4805 / 5.0
    plain, _, remarks = run(_bed(), water, make_duty(peak=flow))
    assert pick(plain.row("total_chlorine")) == pytest.approx(2.0 * 10 ** (-5 / 15), rel=1e-3)
    assert codes(remarks) == {"contact-short": "caution"}
    catalytic, _, remarks = run(_bed(carbon="catalytic"), water, make_duty(peak=flow))
    assert pick(catalytic.row("total_chlorine")) == pytest.approx(0.2, rel=1e-3)
    assert codes(remarks) == {}


def test_a_small_bed_at_a_high_flow_is_said() -> None:
    water = make_water(free_chlorine=1.0, total_chlorine=1.0)
    _, _, remarks = run(_bed(tank_diameter="8 in", bed_depth="24 in"), water, make_duty(peak=9.0))
    assert codes(remarks) == {"contact-short": "caution"}


def test_sulfide_only_as_a_trace() -> None:
    # Texas extension: plain carbon 0.05 to 0.3 mg/L only; nothing is credited from 0.6.
    flow = 1.6362 * 7.4805 / 10.0
    trace, _, _ = run(_bed(), make_water(hydrogen_sulfide=0.2), make_duty(peak=flow))
    assert pick(trace.row("hydrogen_sulfide")) == pytest.approx(0.02, rel=1e-3)
    much, working, _ = run(_bed(), make_water(hydrogen_sulfide=0.8), make_duty(peak=flow))
    assert pick(much.row("hydrogen_sulfide")) == pytest.approx(0.8)
    assert step_values(working, "hydrogen_sulfide_out") == [pick(much.row("hydrogen_sulfide"))]
    (limit,) = [limit for limit in _bed().limits() if limit.analyte == "hydrogen_sulfide"]
    assert (limit.maximum, limit.source, limit.status) == (0.3, "texas-h2s", "published")


def test_organic_matter_only_in_the_favourable_reading() -> None:
    out, _, _ = run(_bed(), make_water(toc=4.0, absorbance=0.1), make_duty(peak=0.5))
    assert pick(out.row("toc")) == 4.0
    assert pick(out.row("absorbance")) == pytest.approx(0.1)
    assert pick(out.row("toc"), reading=0) == pytest.approx(4.0 * 0.7)
    assert pick(out.row("absorbance"), reading=0) == pytest.approx(0.07)


def test_permanganate_stays_on_the_grains_and_clears_the_light() -> None:
    water = make_water(permanganate=2.0, absorbance=0.05 + 2.0 * 657 / 158034)
    out, _, _ = run(_bed(), water, make_duty(peak=0.5))
    assert pick(out.row("permanganate")) < 1e-6
    assert pick(out.row("absorbance")) == pytest.approx(0.05, abs=1e-6)


def test_rating_is_new_yorks_peak() -> None:
    # 10 NYCRR Appendix 75-B.2: at most 10 gpm/ft2; a 10 in tank has 0.545 ft2.
    rating = _bed().rating()
    assert rating.peak is not None
    assert rating.peak / GPM == pytest.approx(5.454, rel=1e-3)
    assert (rating.source, rating.status) == ("ny-75-b.2", "published")
    own = make_stage("carbon_bed", peak_flow="9 gpm").rating()
    assert own.is_device_rating
    assert own.peak == pytest.approx(9 * GPM)


def test_carbon_that_stands_idle_is_said() -> None:
    _, _, remarks = run(_bed(), make_water(), make_duty(peak=4.0, daily=5.0))
    assert codes(remarks) == {"standing-water": "caution"}


def test_roles_that_order_rules_read() -> None:
    assert "carbon" in CarbonBed.spec.tags
    assert "disinfection" not in CarbonBed.spec.tags


@settings(max_examples=40, deadline=None)
@given(
    free=st.floats(0, 5), combined=st.floats(0, 5), peak=st.floats(0.5, 20), more=st.floats(1, 5),
    kind=st.sampled_from(["plain", "catalytic"]),
)  # fmt: skip
def test_more_flow_never_leaves_less_and_chlorine_becomes_chloride(
    free: float, combined: float, peak: float, more: float, kind: str
) -> None:
    water = make_water(free_chlorine=free, total_chlorine=free + combined, chloride=10.0, hydrogen_sulfide=0.2, toc=3.0)
    slow, _, _ = run(_bed(carbon=kind), water, make_duty(peak=peak))
    fast, _, _ = run(_bed(carbon=kind), water, make_duty(peak=peak * more))
    for row in ("free_chlorine", "total_chlorine", "hydrogen_sulfide", "toc"):
        assert np.all(slow.row(row) <= fast.row(row) + 1e-12)
        assert np.all(fast.row(row) <= water.row(row) + 1e-12)
    gone = water.row("total_chlorine") - slow.row("total_chlorine")
    assert slow.row("chloride") - 10.0 == pytest.approx(0.5 * gone, abs=1e-9)
    assert np.all(slow.row("total_chlorine") >= slow.row("free_chlorine") - 1e-12)
