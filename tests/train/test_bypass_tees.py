"""A bypass round a stage beside lanes: it goes by a tee, so that every lane gets the same water and gives alike."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.train.trains import chain, document, stage
from trainapp.dimensions import GPM
from trainapp.stages.working import PEAK
from trainapp.train.document import Document, dumps, graph
from trainapp.train.edits import AddBypass, AddOutlet, Edit, MoveStage, RemoveStage, apply, edit_from_json, invert, plan_edit
from trainapp.train.evaluate import evaluate
from trainapp.train.naming import Names
from trainapp.train.plan import open_plan

SOFT, LEFT = stage("soft", "softener"), stage("left", "carbon_bed")
#: Lanes that are not alike, so that more water takes one of them.
RIGHT = stage("right", "carbon_bed", tank_diameter="8 in")


def parting(**more: Any) -> Document:
    return document([SOFT, LEFT, RIGHT], [*chain("supply", "soft", "left", "house"), *chain("soft", "right", "house")], **more)


def meeting() -> Document:
    return document([LEFT, RIGHT, SOFT], [*chain("supply", "left", "soft", "house"), *chain("supply", "right", "soft")])


def done(document: Document, *what: Edit) -> Document:
    for edit in what:
        document = apply(document, plan_edit(document, edit))
    return document


def pipes(document: Document) -> set[str]:
    return {f"{link.from_}>{link.to}" for link in document.links}


def test_lanes_behind_it_get_one_blend() -> None:
    """Worked by hand: of 7 gpm one fifth passes by at 18 gpg; the rest leaves the softener, and the tee mixes them before they part."""
    before = parting()
    laid = done(before, AddBypass(over=("supply", "left"), settings={"share": "20 %"}))
    assert pipes(laid) == {
        "supply>soft", "soft>tee", "supply>bypass", "bypass>tee", "tee>left", "tee>right", "left>house", "right>house",
    }  # fmt: skip
    result = evaluate(open_plan(laid))
    at = {node: point.water.high("hardness")[PEAK, 0] for node, point in result.points.items()}
    assert result.points["bypass"].flow[PEAK] / GPM == pytest.approx(0.2 * 7.0, rel=1e-5)
    assert at["tee"] == pytest.approx(0.8 * at["soft"] + 0.2 * at["supply"], rel=1e-5)
    assert at["left"] == at["right"] == at["tee"] and at["house"] == pytest.approx(at["tee"], rel=1e-9)
    lanes = [float(result.points[node].flow[PEAK]) for node in ("left", "right")]
    assert sum(lanes) == pytest.approx(7.0 * GPM, rel=1e-6) and lanes[0] > 1.05 * lanes[1]
    assert result.stages["tee"].headloss_dirty == pytest.approx(0.0, abs=1e-3)


def test_lanes_ahead_of_it_give_alike() -> None:
    laid = done(meeting(), AddBypass(over=("left", "house"), settings={"share": "20 %"}))
    assert {"left>tee", "right>tee", "tee>soft", "tee>bypass", "bypass>house"} <= pipes(laid) and "left>soft" not in pipes(laid)
    assert [entry.id for entry in laid.stages] == ["left", "right", "tee", "bypass", "soft"], "a file reads in the order of flow"
    flows = {node: float(point.flow[PEAK]) / GPM for node, point in evaluate(open_plan(laid)).points.items()}
    assert flows["tee"] == pytest.approx(7.0, rel=1e-6) and flows["bypass"] == pytest.approx(1.4, rel=1e-5)
    bare = {node: float(point.flow[PEAK]) / GPM for node, point in evaluate(open_plan(meeting())).points.items()}
    assert flows["left"] == pytest.approx(bare["left"], rel=1e-6), "the lanes divide as they did"


def test_a_tee_alone_changes_no_water_and_no_pressure_beyond_its_pipe() -> None:
    plain, teed = document([SOFT]), document([SOFT, stage("tee", "tee")], chain("supply", "soft", "tee", "house"))
    one, two = (evaluate(open_plan(made)) for made in (plain, teed))
    for key in ("hardness", "iron", "sodium"):
        np.testing.assert_array_equal(one.points["house"].water.high(key), two.points["house"].water.high(key))
    extra = two.links["soft", "tee"].loss
    assert one.points["house"].pressure.clean - two.points["house"].pressure.clean == pytest.approx(extra, rel=1e-3)


@pytest.mark.parametrize(("before", "over"), [(parting(), ("supply", "left")), (meeting(), ("right", "house"))])
def test_it_goes_without_a_trace(before: Document, over: tuple[str, str]) -> None:
    patch = plan_edit(before, AddBypass(over=over))
    laid = apply(before, patch)
    assert dumps(apply(laid, invert(patch))) == dumps(before)
    removed = done(laid, RemoveStage(id="bypass"))
    assert pipes(removed) == pipes(before) and [s.id for s in removed.stages] == [s.id for s in before.stages]
    # A lane that goes, and a bypass that moves elsewhere, leave no tee behind either.
    assert not any(entry.kind == "tee" for entry in done(laid, RemoveStage(id="right")).stages)
    elsewhere = done(laid, MoveStage(id="bypass", into=("supply", "left") if over[1] == "house" else ("left", "house")))
    assert not any(entry.kind == "tee" for entry in elsewhere.stages)


def test_a_second_bypass_comes_back_at_the_same_tee() -> None:
    laid = done(parting(), AddBypass(over=("supply", "left")), AddBypass(over=("supply", "right")))
    assert [entry.id for entry in laid.stages if entry.kind == "tee"] == ["tee"]
    assert {"bypass>tee", "bypass-2>tee"} <= pipes(laid)


def test_taps_keep_their_own_pipe() -> None:
    yard = done(document([SOFT, LEFT]), AddOutlet(name="yard", outlet={"peak": "4 gpm", "drinking": False}, after="soft"))
    laid = done(yard, AddBypass(over=("supply", "left")))
    assert {"soft>yard", "bypass>left"} <= pipes(laid) and all(entry.kind != "tee" for entry in laid.stages)


def test_a_tee_that_somebody_set_stays() -> None:
    plain = document([SOFT, stage("tee", "tee"), LEFT], chain("supply", "soft", "tee", "left", "house"))
    assert "tee" in graph(done(plain, RemoveStage(id="soft"), RemoveStage(id="left")))


def test_it_is_named_and_not_numbered() -> None:
    laid = done(parting(), edit_from_json({"edit": "add_bypass", "over": ["supply", "left"]}))
    names = Names(laid)
    assert [names.inside(node) for node in ("tee", "left", "right")] == ["the tee", "carbon bed 2a", "carbon bed 2b"]
