"""Places on the floor and pasted rows: kept as typed, refused with their place, taken back without a trace."""

from __future__ import annotations

from typing import Any

import pytest

from trainapp.train.document import Document, DocumentError, dumps, loads
from trainapp.train.edits import AddParallel, Batch, Paste, SetValue, Stand, apply, edit_from_json, invert, plan_edit
from trainapp.train.floor import places


def done(document: Document, *what: Any) -> Document:
    for edit in what:
        document = apply(document, plan_edit(document, edit))
    return document


def pipes(document: Document) -> set[str]:
    return {f"{link.from_}>{link.to}" for link in document.links}


def row(document: Document, *ids: str) -> list[dict[str, Any]]:
    return [dict(entry) for entry in document.tree["stages"] if entry["id"] in ids]


# Places -----------------------------------------------------------------------------------------------------------------------


def test_a_place_is_kept_as_it_was_typed_and_read_in_metres(farm: Document) -> None:
    after = done(farm, Stand(x={"softener": "4 ft", "supply": "30 cm"}))
    assert places(after) == pytest.approx({"softener": 4 * 0.3048, "supply": 0.30})
    assert loads(dumps(after)) == after
    entry = after.tree["stages"][[stage.id for stage in after.stages].index("softener")]
    assert list(entry)[:3] == ["id", "kind", "place"] and entry["place"] == {"x": "4 ft"}
    assert after.reports == farm.reports


def test_a_place_is_given_back_without_a_trace(farm: Document) -> None:
    placed = done(farm, Stand(x={"softener": "4 ft", "uv": "9 ft"}))
    assert done(placed, Stand(x={"softener": None, "uv": None, "iron": None})) == farm
    patch = plan_edit(farm, Stand(x={"softener": "4 ft"}))
    assert apply(apply(farm, patch), invert(patch)) == farm


@pytest.mark.parametrize(
    ("value", "sentence"),
    [
        ({"x": "-1 ft"}, 'stages.softener.place.x: "-1 ft" must not be below zero'),
        ({"x": "3 furlongs"}, 'stages.softener.place.x: "3 furlongs" is farther from the wall than any room is wide'),
        ({"x": "3 gpm"}, 'stages.softener.place.x: "3 gpm" is not a length'),
        ({}, 'stages.softener.place: "x" is missing'),
        (7, "stages.softener.place: 7 is not an object"),
    ],
)
def test_what_is_no_place_is_refused_where_it_stands(farm: Document, value: Any, sentence: str) -> None:
    with pytest.raises(DocumentError) as refused:
        plan_edit(farm, SetValue(path="stages.softener.place", value=value))
    assert str(refused.value) == sentence


def test_what_is_not_there_has_no_place(farm: Document) -> None:
    with pytest.raises(DocumentError, match='"house" is not a stage of this train'):
        plan_edit(farm, Stand(x={"house": "3 ft"}))


def test_an_unknown_key_of_a_place_is_kept_and_reported(farm: Document) -> None:
    after = done(farm, SetValue(path="stages.softener.place", value={"x": "4 ft", "wall": "north"}))
    assert "stages.softener.place.wall" in {report.place for report in after.reports}
    moved = done(after, Stand(x={"softener": "5 ft"}))
    assert moved.tree["stages"][2]["place"] == {"x": "5 ft", "wall": "north"}


def test_a_twin_does_not_stand_in_the_same_place(farm: Document) -> None:
    after = done(farm, Stand(x={"softener": "4 ft"}), AddParallel(beside="softener"))
    assert places(after).keys() == {"softener"}


def test_places_name_what_they_do(farm: Document) -> None:
    assert Stand(x={"uv": "1 ft"}).label == "Place uv on the floor"
    assert Stand(x={"uv": "1 ft", "iron": "2 ft"}).label == "Place 2 stages on the floor"
    assert edit_from_json(Stand(x={"uv": None}, name="Tidy up").to_json()) == Stand(x={"uv": None}, name="Tidy up")


# Pasting into a pipe ------------------------------------------------------------------------------------------------------------


def test_a_pasted_row_goes_into_a_pipe(farm: Document) -> None:
    inner = [{"from": "iron", "to": "softener"}]
    after = done(farm, Paste(stages=row(farm, "iron", "softener"), links=inner, into=("fine", "uv")))
    assert {"fine>iron-2", "iron-2>softener-2", "softener-2>uv"} <= pipes(after) and "fine>uv" not in pipes(after)
    assert [stage.id for stage in after.stages][-4:] == ["fine", "iron-2", "softener-2", "uv"]


def test_a_pasted_pair_of_lanes_does_not_go_into_a_pipe(farm: Document) -> None:
    with pytest.raises(DocumentError, match="begin and end at one place"):
        plan_edit(farm, Paste(stages=row(farm, "iron", "softener"), into=("fine", "uv")))
    loose = done(farm, Paste(stages=row(farm, "iron", "softener")))
    assert pipes(loose) == pipes(farm) and len(loose.stages) == len(farm.stages) + 2


def test_a_pasted_stage_brings_the_item_that_it_names(farm: Document) -> None:
    stage = {"id": "mine", "kind": "softener", "item": "shop-9", "settings": {}}
    shop = {"kind": "softener", "label": "From the shop", "settings": {"resin_volume": "3 ft3"}}
    after = done(farm, Paste(stages=[stage], items={"shop-9": shop}, into=("fine", "uv")))
    assert after.tree["items"]["shop-9"] == shop
    own = done(after, SetValue(path="items.shop-9.label", value="Kept"))
    again = done(own, Paste(stages=[stage], items={"shop-9": shop}))
    assert again.tree["items"]["shop-9"]["label"] == "Kept"


def test_a_batch_that_places_what_it_pastes(farm: Document) -> None:
    stage = {"id": "cart", "kind": "sediment_cartridge", "settings": {}, "place": 3}
    after = done(farm, Batch(edits=[Paste(stages=[stage], into=("fine", "uv")), Stand(x={"cart": "2 ft"})]))
    assert places(after) == pytest.approx({"cart": 2 * 0.3048})
