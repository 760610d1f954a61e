"""Units side by side: what one of them lets by while it cleans itself, and what one of them carries while the others are shut."""

from __future__ import annotations

import pytest

from tests.checks.build import FINE, GOOD_WELL, found, one, train, uv
from tests.train.trains import chain, stage
from trainapp.dimensions import GPM
from trainapp.train.catalogue import Catalogue

HARD = {"hardness": "350 mg/L", "alkalinity": "300 mg/L", "ph": "8"}
#: A tannin resin that passes brown water on while it regenerates: UVT falls below the rating of the chamber.
BROWN = {"tannin": "2 mg/L", "uvt": "62 %/cm", "uvt_filtered": "62 %/cm", "total_coliform": "12 /100mL"}


def washed(count: int, **settings: str) -> str:
    """Severity of what is said of brown water that passes so many units of a tannin resin."""
    resin = stage("tannin", "tannin_resin", resin_volume="4 ft3", tank_diameter="16 in", **settings) | {"count": count}
    return "".join(f.severity for f in found(train([resin, FINE, uv()], BROWN), "raw-while-cleaning"))


@pytest.mark.parametrize("count", [1, 2, 3])
def test_raw_water_comes_by_a_unit_that_cleans_itself_however_many_stand_beside_it(count: int) -> None:
    """Rule 3 of the trade: a valve passes raw water unless it is one that does not (common practice, no source)."""
    assert washed(count) == washed(count, during_cleaning="raw_passes") == "fail"
    assert washed(count, during_cleaning="closed") == washed(count, during_cleaning="other_tank") == ""


def test_several_units_that_are_proposed_serve_for_each_other() -> None:
    catalogue = Catalogue.load()
    assert catalogue.side_by_side("iron-greensand-13x54", 2) == {"count": 2, "during_cleaning": "other_tank"}
    assert catalogue.side_by_side("softener-12x52-two", 2) == {"count": 2}, "its other tank serves already"
    assert catalogue.side_by_side("cartridge-5-20x4", 2) == {"count": 2} and catalogue.side_by_side("iron-greensand-13x54", 1) == {}


# Flow through chambers side by side -----------------------------------------------------------------------------------------------


def test_two_units_of_a_chamber_without_controls_are_held_by_nothing() -> None:
    """With one of them shut all that the supply pushes goes through the other: each needs a control of its own."""
    evaluation = train([FINE, uv(flow_control=None, rated_flow="20 gpm") | {"count": 2}])
    assert evaluation.most_push / 2 < 20.0 * GPM < evaluation.pushed["uv"] / 2, "shared evenly each would be inside its rating"
    told = one(evaluation, "no-flow-control")
    assert told.severity == "fail" and told.limit is not None and "Each of the 2 units" in told.message and "is shut" in told.message
    assert told.limit.low == pytest.approx(20.0 * GPM, rel=1e-6)
    assert not found(train([FINE, uv(flow_control="12 gpm") | {"count": 2}]), "no-flow-control"), "each has its own"
    shared = [FINE, stage("fc", "flow_control", flow="14 gpm"), uv(flow_control=None, rated_flow="9 gpm") | {"count": 2}]
    assert one(train(shared), "no-flow-control").severity == "fail", "one control for both is none"


def test_two_lanes_of_chambers_are_each_judged_with_the_other_shut() -> None:
    links = [*chain("supply", "fine", "a", "house"), *chain("fine", "b", "house")]
    lone = {"flow_control": None, "rated_flow": "20 gpm"}
    evaluation = train([FINE, uv("a", **lone), uv("b", **lone)], links=links)
    alone = train([FINE, uv("a", **lone)])
    assert evaluation.pushed["a"] == pytest.approx(alone.pushed["a"], rel=1e-3), "as if the other were not there"
    told = one(evaluation, "no-flow-control")
    assert told.severity == "fail" and {told.stage, *told.also_at} == {"a", "b"}
    own = train([FINE, uv("a", rated_flow="14 gpm"), uv("b", rated_flow="14 gpm")], links=links)
    assert not found(own, "no-flow-control")


def test_a_supply_that_cannot_push_too_much_through_one_lane_asks_for_no_control() -> None:
    curve = [["0 gpm", "70 psi"], ["8 gpm", "45 psi"], ["11 gpm", "12 psi"]]
    weak = {**GOOD_WELL, "pump_curve": curve, "cut_in": "40 psi", "cut_out": "60 psi", "precharge": "38 psi"}
    stages = [FINE, uv(flow_control=None, rated_flow="12 gpm") | {"count": 2}]
    assert not found(train(stages, supply=weak, peak="5 gpm"), "no-flow-control")
