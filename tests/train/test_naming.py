"""What nodes are called in sentences: as the bench numbers them, never by the id of the file."""

from __future__ import annotations

import pytest

from tests.train.trains import chain, document, full_train, stage
from trainapp.checks import findings
from trainapp.reports.drawing.builder import bench_model
from trainapp.train.document import Document, DocumentError
from trainapp.train.edits import AddBypass, Batch, ChangeSetting, Link, MoveStage, RemoveStage, Stand, Unlink, apply, plan_edit
from trainapp.train.evaluate import evaluate
from trainapp.train.naming import Names, in_words
from trainapp.train.plan import open_plan


@pytest.fixture
def lanes() -> Document:
    """A cartridge, two softeners side by side, another cartridge, one that stands loose, and taps outdoors."""
    stages = [
        stage("zz-1", "sediment_cartridge", rating="50 um"),
        stage("left", "softener", resin_volume="1 ft3"),
        stage("right", "softener", resin_volume="1 ft3"),
        stage("zz-2", "sediment_cartridge", rating="5 um"),
        stage("spare", "sediment_cartridge"),
        stage("lamp", "uv_chamber"),
    ]
    pipes = [*chain("supply", "zz-1", "left", "zz-2", "lamp", "house"), *chain("zz-1", "right", "zz-2"), *chain("supply", "back_yard")]
    return document(stages, pipes, outlets={"back_yard": {"peak": "2 gpm", "daily": "20 gal", "drinking": False}})


def test_one_of_a_kind_is_called_by_its_kind_and_several_by_their_numbers(lanes: Document) -> None:
    names = Names(lanes)
    told = {node: names.inside(node) for node in ("zz-1", "left", "right", "zz-2", "lamp", "house", "supply", "back_yard", "spare")}
    assert told == {
        "zz-1": "sediment cartridge 1",
        "left": "softener 2a",
        "right": "softener 2b",
        "zz-2": "sediment cartridge 3",
        "lamp": "the UV chamber",
        "house": "the house",
        "supply": "the supply",
        "back_yard": 'the outlet "back yard"',
        "spare": "the sediment cartridge beside the train",
    }
    assert names.plain("lamp") == "UV chamber" and names.plain("house") == "house"


def test_the_numbers_are_those_of_the_bench(lanes: Document) -> None:
    evaluation = evaluate(open_plan(lanes))
    model = bench_model(evaluation, findings(evaluation))
    names = Names(lanes)
    for shown in model.stages:
        if shown.number and shown.id != "lamp":
            assert names.plain(shown.id).endswith(f" {shown.number}"), shown.title


def test_no_finding_of_twins_speaks_of_ids(lanes: Document) -> None:
    evaluation = evaluate(open_plan(lanes))
    words = " ".join(f"{f.title} {f.message}" for f in findings(evaluation))
    assert "softener 2a" in words or "cartridge 3" in words
    assert not any(name in words for name in ("zz-1", "zz-2", '"left"', '"right"', "spare", "back_yard"))


def test_a_valve_without_a_number_is_told_by_where_it_leaves() -> None:
    train = apply(full_train(), plan_edit(full_train(), AddBypass(over=("supply", "iron"), id="by-1")))
    train = apply(train, plan_edit(train, AddBypass(over=("iron", "fine"), id="by-2")))
    names = Names(train)
    assert (names.inside("by-1"), names.inside("by-2")) == (
        "the bypass and blend behind the supply",
        "the bypass and blend behind the iron filter",
    )


def test_undo_says_what_the_bench_says(lanes: Document) -> None:
    labels = [
        plan_edit(lanes, edit).label
        for edit in (
            ChangeSetting(stage="zz-2", key="rating", value="1 um"),
            RemoveStage(id="right"),
            MoveStage(id="zz-1", into=("zz-2", "lamp")),
            Unlink(ends=("supply", "back_yard")),
            Link(ends=("zz-1", "lamp")),
            Stand(x={"lamp": "3 ft"}),
            Batch(edits=[RemoveStage(id="lamp")]),
        )
    ]
    assert labels == [
        "Change rating of sediment cartridge 3",
        "Remove softener 2b",
        "Move sediment cartridge 1",
        "Unlink supply from back yard",
        "Link sediment cartridge 1 to UV chamber",
        "Place UV chamber on the floor",
        "Remove UV chamber",
    ]
    assert RemoveStage(id="right").label == "Remove right", "without a document the id is all there is"


@pytest.mark.parametrize(
    ("place", "sentence", "where", "what"),
    [
        ("stages.zz-2.settings.rating", '"3" is not a size', "sediment cartridge 3, rating", '"3" is not a size'),
        ("links.zz-1>zz-2", "there is no such pipe", "the pipe from sediment cartridge 1 to sediment cartridge 3", "there is no such pipe"),
        ("links", 'a circle through "left", "zz-2"', "", "a circle through softener 2a, sediment cartridge 3"),
        ("outlets.back_yard.peak", "it is missing", 'the outlet "back yard", peak', "it is missing"),
        ("supply.cut_in", "it is above the cut-out", "supply, cut in", "it is above the cut-out"),
        ("", "too much", "", "too much"),
    ],
)  # fmt: skip
def test_a_refusal_names_places_as_the_screen_does(lanes: Document, place: str, sentence: str, where: str, what: str) -> None:
    assert in_words(lanes, DocumentError(place, sentence)) == (where, what)


def test_an_id_with_a_dot_is_read_whole() -> None:
    train = document([stage("a", "softener"), stage("a.b", "softener")])
    assert in_words(train, DocumentError(("stages", "a.b", "settings", "resin_volume"), "x")) == ("softener 2, resin volume", "x")
