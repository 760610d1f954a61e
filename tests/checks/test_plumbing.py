"""Pressure, flow, speed, ratings, washing, room and drains."""

from __future__ import annotations

from typing import Any

import pytest

from tests.checks.build import FINE, GOOD_WELL, METAL, found, one, reopened, stage, train, uv
from tests.train.trains import MAIN
from trainapp.checks import findings
from trainapp.checks.context import Context
from trainapp.dimensions import GPM, PSI
from trainapp.train.floor import HANGER, HEADER_LEAST, RUN_LEAST, piped_top

BED = stage("bed", "sediment_bed", tank_diameter="12 in")


def well(**changes: Any) -> dict[str, Any]:
    return {**GOOD_WELL, **changes}


def well_of(cut_in: str, cut_out: str, **changes: Any) -> dict[str, Any]:
    """A pump that holds 90 psi at any flow behind a switch."""
    curve = [["0 gpm", "92 psi"], ["30 gpm", "88 psi"]]
    return well(cut_in=cut_in, cut_out=cut_out, pump_curve=curve, precharge="20 psi", **changes)


# Pressure --------------------------------------------------------------------------------------------------------------------


def test_clean_and_running_below_the_goal_is_a_fail() -> None:
    told = one(train([FINE], supply=well_of("25 psi", "30 psi"), goals={"outlet_pressure": "30 psi"}), "low-pressure")
    assert told.severity == "fail" and "even with clean filters" in told.message


def test_clean_at_cut_in_below_20_psi_is_a_fail() -> None:
    told = one(train([FINE], supply=well_of("20 psi", "60 psi"), goals={"outlet_pressure": "25 psi"}), "low-pressure")
    assert told.severity == "fail" and told.limit is not None and told.limit.low == pytest.approx(20 * PSI)


def test_below_the_goal_only_at_cut_in_or_only_when_dirty_is_a_caution() -> None:
    told = one(train([FINE], supply=well_of("40 psi", "70 psi"), goals={"outlet_pressure": "38 psi"}), "low-pressure")
    assert told.severity == "caution" and "before the pump starts" in told.message
    main = {**MAIN, "static": "50 psi", "residual": "46 psi"}
    pressure = train([FINE], supply=main).points["house"].pressure
    goal = f"{0.5 * (pressure.clean + pressure.dirty) / PSI:.2f} psi"
    dirty = one(train([FINE], supply=main, goals={"outlet_pressure": goal}), "low-pressure")
    assert dirty.severity == "caution" and "due to be" in dirty.message


def test_at_the_house_main_and_what_is_left_at_the_worst_fixture() -> None:
    goals = {"outlet_pressure": "30 psi", "house_loss": "10 psi"}
    told = one(train([FINE], supply=well_of("25 psi", "30 psi"), goals=goals), "low-pressure")
    assert told.message.startswith("At the house main") and "worst fixture" in told.message
    assert told.value is not None
    left = told.value.low / PSI - 10.0
    assert f"{left:.1f} psi" in told.message


def test_a_peak_that_leaves_no_pressure_cannot_be_met() -> None:
    thin = {"material": "pex", "size": "1/2 in", "length": "200 ft"}
    told = one(train([FINE], plumbing=thin, peak="12 gpm"), "flow-short", stage="house")
    assert told.severity == "fail" and not found(train([FINE], plumbing=thin, peak="12 gpm"), "low-pressure")


def test_high_pressure() -> None:
    told = one(train([FINE], supply={**MAIN, "static": "95 psi", "residual": "90 psi"}), "high-pressure")
    assert (told.severity, told.stage) == ("caution", "house")
    regulator = stage("prv", "pressure_regulator", set_pressure="55 psi")
    assert not found(train([regulator, FINE], supply={**MAIN, "static": "95 psi", "residual": "90 psi"}), "high-pressure")
    vessel = [f.severity for f in found(train([FINE], supply={**MAIN, "static": "140 psi", "residual": "130 psi"}), "high-pressure")]
    assert "fail" in vessel
    assert one(train([FINE], supply=well_of("50 psi", "70 psi")), "high-pressure").severity == "note"
    assert not found(train([FINE]), "high-pressure")


# Flow ------------------------------------------------------------------------------------------------------------------------


def test_a_pump_that_gives_less_than_the_peak_at_its_cut_in() -> None:
    weak = well(pump_curve=[["0 gpm", "78 psi"], ["5 gpm", "52 psi"], ["9 gpm", "30 psi"]])
    told = one(train([FINE], supply=weak, peak="7 gpm"), "flow-short", stage="supply")
    assert told.severity == "fail" and told.limit is not None and told.limit.low == pytest.approx(5.36 * GPM, rel=0.01)


def test_a_well_that_yields_less_than_the_day_or_the_peak() -> None:
    assert one(train([FINE], supply={**GOOD_WELL, "yield": "0.1 gpm"}), "flow-short").severity == "fail"
    assert one(train([FINE], supply={**GOOD_WELL, "yield": "3 gpm"}), "flow-short").severity == "note"


def test_the_tank() -> None:
    assert one(train([FINE], supply=well(precharge="55 psi")), "precharge").severity == "caution"
    assert one(train([FINE], supply=well(tank_volume="20 gal")), "tank-cycling").severity == "caution"
    assert not found(train([FINE]), "precharge") and not found(train([FINE]), "tank-cycling")


def test_speed() -> None:
    """10 gpm run at 6.63 ft/s in 3/4 in type L copper (hydraulic definition)."""
    pipe = {"material": "copper_l", "size": "3/4 in", "length": "3 ft"}
    told = one(train([FINE], plumbing=pipe, peak="10 gpm"), "velocity")
    assert told.severity == "note" and "6.6 ft/s" in told.message and "house" in told.also_at
    assert one(train([FINE], plumbing=pipe, peak="13 gpm"), "velocity").severity == "caution"
    assert not found(train([FINE]), "velocity")


def test_ratings() -> None:
    soft = stage("softener", "softener", service_flow="5 gpm", peak_flow="8 gpm", resin_volume="3 ft3", tank_diameter="16 in")
    for peak, severity in (("4 gpm", None), ("6 gpm", "note"), ("9 gpm", "fail")):
        told = found(train([soft], peak=peak), "over-rating")
        assert [f.severity for f in told] == ([severity] if severity else []), peak
    twice = {**soft, "settings": {**soft["settings"], "count": 2}}
    assert not found(train([twice], peak="9 gpm"), "over-rating"), "two units share it"
    usual = stage("carbon", "carbon_bed", tank_diameter="8 in", bed_depth="30 in")
    assert one(train([usual], peak="9 gpm"), "over-rating").severity == "caution", "a rule of thumb is no rating of a device"


# Washing -------------------------------------------------------------------------------------------------------------------


def test_a_wash_is_short_only_below_both_model_and_practice() -> None:
    large = stage("bed", "sediment_bed", tank_diameter="24 in")
    (told,) = found(train([large]), "backwash-short", severity="fail")
    assert "published practice" in told.message
    assert told.value is not None and told.limit is not None and told.value.low < told.limit.low
    assert not found(train([stage("bed", "sediment_bed", tank_diameter="8 in")]), "backwash-short")


def test_a_drain_that_climbs_takes_from_the_wash() -> None:
    plain = train([BED])
    assert not found(plain, "backwash-short")
    drain = {"height": "60 ft", "length": "20 ft", "size": "3/4 in", "to": "sewer"}
    high = stage("bed", "sediment_bed", tank_diameter="12 in", drain=drain)
    told = one(train([high]), "backwash-short")
    assert "drain" in told.title


def test_two_stages_at_the_same_hour() -> None:
    second = stage("second", "sediment_bed", tank_diameter="12 in")
    small = [stage(name, "sediment_bed", tank_diameter="8 in") for name in ("bed", "second")]
    told = one(train(small), "cleaning-together")
    assert told.severity == "note" and told.also_at == ("second",)
    large = [stage(name, "sediment_bed", tank_diameter="16 in") for name in ("bed", "second")]
    assert one(train(large), "cleaning-together").severity == "caution"
    apart = [large[0], {**large[1], "settings": {**large[1]["settings"], "clean_at": "4 h"}}]
    assert not found(train(apart), "cleaning-together")
    assert not found(train([BED]), "cleaning-together")
    assert not found(train([BED, second], supply=MAIN), "cleaning-together"), "a main washes both"


def test_drains() -> None:
    assert one(train([BED]), "drain").severity == "note"
    assert not found(train([FINE]), "drain")
    for to, severity in (("ground", "caution"), ("dry_well", "caution"), ("septic", "note")):
        soft = stage("softener", "softener", drain={"to": to})
        assert severity in [f.severity for f in found(train([soft]), "drain", stage="softener") if "air gap" not in f.title], to
    assert len(found(train([stage("softener", "softener", drain={"to": "sewer"})]), "drain")) == 1


# Room and pipes ------------------------------------------------------------------------------------------------------------


def test_the_room() -> None:
    tall = one(train([BED, uv()], room={"height": "5 ft"}), "room-fit")
    assert tall.severity == "caution" and "5 ft" in tall.message
    wide = one(train([BED, FINE, uv()], room={"width": "2 ft"}), "room-fit")
    assert "wide" in wide.title
    assert not found(train([BED, uv()], room={"width": "14 ft", "height": "9 ft"}), "room-fit")
    assert not found(train([BED, uv()]), "room-fit")


def test_pipes_need_room_over_the_tallest_vessel() -> None:
    """A cartridge that goes under the ceiling without its pipes, or without the header of the one beside it, is said to."""
    top = piped_top(Context(train([FINE]), "us").figures["fine"])
    room = {"height": f"{top + RUN_LEAST + HANGER - 0.01:.4f} m"}
    tight = one(train([FINE], room=room), "room-fit")
    assert tight.severity == "caution" and tight.stage == "fine" and "ceiling" in tight.message and tight.cause == "room-fit:pipes"
    room = {"height": f"{top + RUN_LEAST + HANGER + 0.01:.4f} m"}
    assert not found(train([FINE], room=room), "room-fit")
    two = one(train([{**FINE, "count": 2}], room=room), "room-fit")
    assert two.cause == "room-fit:pipes" and two.value is not None
    assert two.value.low == pytest.approx(top + RUN_LEAST + HANGER + HEADER_LEAST)


def test_corrosion_with_copper_only() -> None:
    acid = {"ph": "6.2"}
    assert one(train([FINE], acid), "corrosion").severity == "caution"
    assert not found(train([FINE], acid, plumbing={**METAL, "material": "pex"}), "corrosion")
    assert not found(train([FINE], {"hardness": "250 mg/L", "alkalinity": "220 mg/L"}), "corrosion")


def test_softening_neither_causes_nor_cures_corrosion() -> None:
    hard = {"hardness": "250 mg/L", "alkalinity": "220 mg/L"}
    soft = stage("softener", "softener", resin_volume="2 ft3", tank_diameter="12 in")
    assert not found(train([soft], hard), "corrosion")
    eats = {"hardness": "20 mg/L", "alkalinity": "15 mg/L", "ph": "6.8"}
    assert found(train([FINE], eats), "corrosion") and found(train([soft], eats), "corrosion")


def test_no_effect_and_loose_stages() -> None:
    idle = train([stage("contact", "contact_tank"), FINE])
    assert any(f.stage == "contact" for f in found(idle, "no-effect"))
    loose = train([FINE, uv()])
    tree = dict(loose.plan.document.tree)
    told = one(reopened(loose, stages=[*tree["stages"], stage("spare", "softener")]), "loose")
    assert (told.severity, told.stage) == ("caution", "spare")
    unknown = reopened(loose, hat="blue")
    assert one(unknown, "unknown-key").severity == "note"


def test_messages_follow_the_units_asked_for() -> None:
    evaluation = train([FINE], supply=well_of("25 psi", "30 psi"), goals={"outlet_pressure": "30 psi"})
    us, metric = ({f.code: f for f in findings(evaluation, system=system)}["low-pressure"] for system in ("us", "metric"))  # type: ignore[arg-type]
    assert "psi" in us.message and "bar" in metric.message and "psi" not in metric.message
    assert us.value == metric.value
