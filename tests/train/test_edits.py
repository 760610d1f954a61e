"""Edits are planned, applied and taken back; what cannot be done is said before anything changes."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.train import edits
from trainapp.train.document import Document, DocumentError, dumps, flow_order, graph, loads
from trainapp.train.edits import (
    AddBypass,
    AddOutlet,
    AddParallel,
    AddStage,
    Batch,
    ChangeSetting,
    Edit,
    Link,
    MoveStage,
    Paste,
    RemoveOutlet,
    RemoveStage,
    RemoveValue,
    Rename,
    SetValue,
    Unlink,
    apply,
    edit_from_json,
    invert,
    join,
    plan_edit,
)
from trainapp.train.patch import Patch

from .conftest import FARM


def done(document: Document, *what: Edit) -> Document:
    for edit in what:
        document = apply(document, plan_edit(document, edit))
    return document


def order(document: Document) -> list[str]:
    return [node for node in flow_order(graph(document)) if document.stages and graph(document).nodes[node]["role"] == "stage"]


def pipes(document: Document) -> set[str]:
    return {f"{link.from_}>{link.to}" for link in document.links}


# One by one -------------------------------------------------------------------------------------------------------------------


def test_a_stage_goes_in_front_of_the_house(farm: Document) -> None:
    after = done(farm, AddStage(kind="carbon_bed", settings={"tank_diameter": "10 in"}))
    assert order(after) == ["screen", "iron", "softener", "fine", "uv", "carbon-bed"]
    assert pipes(after) - pipes(farm) == {"uv>carbon-bed", "carbon-bed>house"} and pipes(farm) - pipes(after) == {"uv>house"}
    assert after.stages[-1].settings == {"tank_diameter": "10 in"}


def test_an_item_of_ones_own_brings_its_row_along(farm: Document) -> None:
    row = {"kind": "softener", "label": "Ours", "settings": {"resin_volume": "2.2 ft3", "tank_diameter": "12 in"}}
    after = done(farm, AddStage(kind="softener", item="ours", row=row))
    assert after.tree["items"]["ours"] == row and after.stages[-1].item == "ours"
    again = done(after, AddStage(kind="softener", item="ours", row={**row, "label": "Another"}))
    assert again.tree["items"]["ours"] == row, "the row that the document has decides"
    assert dumps(done(after, RemoveStage(id=after.stages[-1].id))) == dumps(farm)


def test_a_stage_goes_in_front_of_the_house_behind_all_that_leads_there(farm: Document) -> None:
    two = done(farm, AddParallel(beside="uv"))
    after = done(two, AddStage(kind="carbon_bed"))
    assert {"uv>carbon-bed", "uv-2>carbon-bed", "carbon-bed>house"} <= pipes(after) and "uv>house" not in pipes(after)
    loose = done(farm, AddStage(kind="uv_chamber", loose=True, beside={"count": 2}))
    assert loose.tree["stages"][-1] == {"id": "uv-chamber", "kind": "uv_chamber", "count": 2, "settings": {}} and pipes(loose) == pipes(
        farm
    )


def test_a_stage_opens_a_pipe_and_keeps_what_the_pipe_said(farm: Document) -> None:
    wide = done(farm, SetValue(path="links.iron>softener.pipe", value={"size": "1-1/4 in"}))
    after = done(wide, AddStage(kind="carbon_bed", id="taste", into=("iron", "softener")))
    assert order(after) == ["screen", "iron", "taste", "softener", "fine", "uv"]
    assert [stage.id for stage in after.stages] == ["screen", "iron", "taste", "softener", "fine", "uv"]
    own = {link.ends: link.pipe for link in after.links}
    assert own["iron", "taste"] is not None and own["taste", "softener"] is None
    back = done(after, RemoveStage(id="taste"))
    assert dumps(back) == dumps(wide)


def test_removing_closes_the_pipe(farm: Document) -> None:
    after = done(farm, RemoveStage(id="softener"), RemoveStage(id="screen"))
    assert pipes(after) == {"supply>iron", "supply>garden", "iron>fine", "fine>uv", "uv>house"}
    assert pipes(done(farm, *(RemoveStage(id=stage.id) for stage in farm.stages))) == {"supply>house", "supply>garden"}


def test_removing_one_of_two_in_parallel_lays_no_bare_pipe_round_the_other(farm: Document) -> None:
    two = done(farm, AddParallel(beside="softener"))
    assert {"iron>softener-2", "softener-2>fine"} <= pipes(two) and two.stage("softener-2").settings == two.stage("softener").settings
    for gone in ("softener", "softener-2"):
        left = done(two, RemoveStage(id=gone))
        assert not any(gone in pipe.split(">") for pipe in pipes(left)) and "iron>fine" not in pipes(left)
    three = done(two, AddParallel(beside="softener-2"))
    assert three.stage("softener-3") and len(pipes(three)) == len(pipes(farm)) + 4


def test_bypass_lies_beside_and_goes_without_a_trace(farm: Document) -> None:
    after = done(farm, AddBypass(over=("iron", "fine"), settings={"share": "20 %"}))
    assert {"iron>bypass", "bypass>fine"} <= pipes(after) and "iron>softener" in pipes(after)
    assert dumps(done(after, RemoveStage(id="bypass"))) == dumps(farm)


def test_moving_along_the_train(farm: Document) -> None:
    after = done(farm, MoveStage(id="softener", into=("supply", "screen")))
    assert order(after) == ["softener", "screen", "iron", "fine", "uv"]
    assert dumps(done(after, MoveStage(id="softener", into=("iron", "fine")))) == dumps(farm)
    assert plan_edit(farm, MoveStage(id="softener", into=("softener", "fine"))).changes == ()
    with pytest.raises(DocumentError, match="links.iron>uv: there is no such pipe"):
        plan_edit(farm, MoveStage(id="softener", into=("iron", "uv")))


def test_links(farm: Document) -> None:
    after = done(farm, Link(ends=("screen", "fine"), pipe={"size": "3/4 in"}))
    assert after.links[-1].ends == ("screen", "fine") and after.pipe_of(after.links[-1])[0].word("size") == "3/4 in"
    assert done(after, Unlink(ends=("screen", "fine"))) == farm
    for edit, sentence in (
        (Link(ends=("uv", "iron")), "circle"),
        (Link(ends=("uv", "nowhere")), "neither a stage"),
        (Unlink(ends=("uv", "iron")), "no such pipe"),
        (Unlink(ends=("uv", "house")), "no pipe leads from the supply to the house"),
    ):
        with pytest.raises(DocumentError, match=sentence):
            plan_edit(farm, edit)
    swapped = Batch(name="Straight home", edits=[Unlink(ends=("uv", "house")), Link(ends=("fine", "house"))])
    assert [report.place for report in done(farm, swapped).reports] == ["stages.uv"]


def test_a_setting_is_changed_where_it_is_written(changed: Callable[..., Document]) -> None:
    document = changed(("stages", 2, "count"), 2)
    after = done(
        document, ChangeSetting(stage="softener", key="count", value=3), ChangeSetting(stage="softener", key="salt_dose", value="6 lb/ft3")
    )
    assert after.tree["stages"][2]["count"] == 3 and "count" not in after.tree["stages"][2]["settings"]
    assert after.stage("softener").settings["salt_dose"] == "6 lb/ft3"
    plain = done(after, ChangeSetting(stage="softener", key="count"), ChangeSetting(stage="softener", key="salt_dose"))
    assert "count" not in plain.tree["stages"][2] and "salt_dose" not in plain.stage("softener").settings
    with pytest.raises(DocumentError, match='stages.softener.settings.salt_dose: "many" is not a'):
        plan_edit(document, ChangeSetting(stage="softener", key="salt_dose", value="many"))
    with pytest.raises(DocumentError, match="not a stage"):
        plan_edit(document, ChangeSetting(stage="nobody", key="count", value=2))


def test_renaming_reaches_everything_that_speaks_of_it(changed: Callable[..., Document]) -> None:
    document = changed(
        ("samples", "+"), {"id": "after", "at": "uv"}, ("accepted",), [{"code": "velocity", "stage": "uv", "reason": "short"}],
        ("log",), [{"date": "2026-06-01", "stage": "uv", "what": "lamp"}],
    )  # fmt: skip
    after = done(
        document,
        Rename(what="stage", old="uv", new="lamp"),
        Rename(what="outlet", old="garden", new="yard"),
        Rename(what="sample", old="spring", new="may"),
    )
    assert '"uv"' not in dumps(after) and '"garden"' not in dumps(after) and after.design_sample == "may"
    assert after.samples[1].at == after.accepted[0].stage == after.log[0]["stage"] == "lamp" and after.reports == ()
    for taken in ("iron", "garden", "house"):
        with pytest.raises(DocumentError):
            plan_edit(document, Rename(what="stage", old="uv", new=taken))


def test_any_place_is_set_and_cleared(farm: Document) -> None:
    after = done(
        farm,
        SetValue(path="samples.spring.results.iron", value="2 mg/L"),
        SetValue(path=("supply", "pump_curve", "#2", 1), value="77 psi"),
        SetValue(path=("samples", "autumn"), value={"id": "autumn", "results": {"iron": {"value": "3 mg/L", "method": "field"}}}),
        SetValue(path="goals.limits", value="canada"),
        RemoveValue(path="room"),
    )
    assert after.sample("spring").results["iron"] == "2 mg/L" and after.tree["supply"]["pump_curve"][1] == ["6 gpm", "77 psi"]
    assert after.sample("autumn").results["iron"]["method"] == "field" and "room" not in after.tree
    assert done(after, RemoveValue(path=("samples", "autumn")), SetValue(path="room.width", value="9 ft")).room.given("width")
    for path in ("room.depth", "samples.winter", ("links", 99), ("site", "name", "first")):
        with pytest.raises(DocumentError):
            plan_edit(farm, RemoveValue(path=path))
    with pytest.raises(DocumentError, match="^samples.spring.results.iron: "):
        plan_edit(farm, SetValue(path="samples.spring.results.iron", value="3 furlongs"))
    for odd in (float("nan"), {1: 2}, object(), "\ud800"):
        with pytest.raises(DocumentError):
            plan_edit(farm, SetValue(path="mine", value=odd))


def test_places_that_are_not_there(farm: Document) -> None:
    for edit in (
        SetValue(path=(), value=1),
        SetValue(path=("samples", "spring", "id", "x"), value=1),
        SetValue(path=("links", 99, "pipe"), value={}),
        SetValue(path="stages.#99", value={"id": "last", "kind": "carbon_bed"}),
        SetValue(path=("stages", 99), value={"id": "last", "kind": "carbon_bed"}),
        SetValue(path=("stages", -1), value={"id": "last", "kind": "carbon_bed"}),
        SetValue(path="stages.#0", value={"id": "last", "kind": "carbon_bed"}),
        SetValue(path="stages.#\u00b2", value={"id": "last", "kind": "carbon_bed"}),
        SetValue(path="stages.#\u00b2.settings.count", value=2),
        SetValue(path=f"stages.#{'9' * 5000}.settings.count", value=2),
        RemoveValue(path=("samples", "#9")),
        RemoveValue(path=("links", -1)),
        Rename(what="sample", old="none", new="x"),
        Rename(what="outlet", old="none", new="x"),
        Paste(stages=[{"kind": "softener"}]),
        Batch(edits=[SetValue(path="outlets", value=[])]),
        Batch(edits=[SetValue(path=("stages", "uv", "settings"), value=[])]),
    ):
        with pytest.raises(DocumentError):
            plan_edit(farm, edit)
    bare = done(
        farm, RemoveValue(path="log"), SetValue(path=("log", 0), value={"what": "lamp"}), SetValue(path=("links", 0, "to"), value="screen")
    )
    named = done(farm, SetValue(path=("samples", "#2 tap"), value={"id": "#2 tap", "results": {}}))
    assert [sample.id for sample in named.samples] == [*(sample.id for sample in farm.samples), "#2 tap"]
    assert bare.log == [{"what": "lamp"}] and pipes(bare) == pipes(farm)


def test_outlets(farm: Document) -> None:
    after = done(farm, AddOutlet(name="barn", outlet={"peak": "4 gpm"}, after="screen"))
    assert "screen>barn" in pipes(after) and after.outlets["barn"].flag("drinking")
    assert dumps(done(after, RemoveOutlet(name="barn"))) == dumps(farm)
    assert "supply>garden" not in pipes(done(farm, RemoveOutlet(name="garden")))
    with pytest.raises(DocumentError):
        plan_edit(farm, AddOutlet(name="garden", outlet={"peak": "4 gpm"}))


def test_paste_gives_new_ids_and_keeps_the_pipes_between(farm: Document) -> None:
    tree = json.loads(dumps(farm))
    after = done(farm, Paste(stages=tree["stages"][3:], links=tree["links"]))
    assert [stage.id for stage in after.stages[-2:]] == ["fine-2", "uv-2"]
    assert pipes(after) - pipes(farm) == {"fine-2>uv-2"} and {r.place for r in after.reports} == {"stages.fine-2", "stages.uv-2"}
    again = done(after, Paste(stages=[tree["stages"][4]]))
    assert again.stages[-1].id == "uv-3"


def test_a_batch_is_judged_at_its_end_and_refuses_what_cannot_be_walked(farm: Document) -> None:
    with pytest.raises(DocumentError, match="^stages: "):
        plan_edit(farm, Batch(edits=[SetValue(path="stages", value="none"), AddStage(kind="carbon_bed")]))
    with pytest.raises(DocumentError, match="^links.#1: "):
        plan_edit(farm, Batch(edits=[SetValue(path=("links", 0), value=[]), RemoveStage(id="uv")]))
    assert plan_edit(farm, Batch(edits=[])).changes == ()


# Laws -------------------------------------------------------------------------------------------------------------------------

KINDS = st.sampled_from(["carbon_bed", "flow_control", "sediment_cartridge", "declared"])


@st.composite
def any_edit(draw: st.DrawFn, document: Document) -> Edit:
    """An edit that may or may not be possible on a document."""
    stage = st.sampled_from([s.id for s in document.stages] or ["uv"])
    node = st.sampled_from([*graph(document).nodes])
    ends = st.sampled_from([link.ends for link in document.links])
    name = st.sampled_from(["uv", "iron", "new", "barn", "house", "näme 1"])
    single: list[st.SearchStrategy[Edit]] = [
        st.builds(AddStage, kind=KINDS, into=st.none() | ends, loose=st.booleans(), id=st.none() | name),
        st.builds(RemoveStage, id=stage),
        st.builds(MoveStage, id=stage, into=ends),
        st.builds(Link, ends=st.tuples(node, node)),
        st.builds(Unlink, ends=ends),
        st.builds(
            ChangeSetting, stage=stage, key=st.sampled_from(["count", "width", "glow"]), value=st.sampled_from([None, 2, "3 ft", "x"])
        ),
        st.builds(Rename, what=st.just("stage"), old=stage, new=name),
        st.builds(Rename, what=st.just("outlet"), old=st.sampled_from([*document.outlets, "none"]), new=name),
        st.builds(AddParallel, beside=stage),
        st.builds(AddBypass, over=ends),
        st.builds(AddOutlet, name=name, outlet=st.just({"peak": "2 gpm"}), after=node),
        st.builds(RemoveOutlet, name=st.sampled_from([*document.outlets, "none"])),
        st.builds(
            SetValue,
            path=st.sampled_from(["site.notes", "extra.deep", "supply.lift", "goals"]),
            value=st.sampled_from(["5 ft", {}, 1, 1.0, True]),
        ),
        st.builds(RemoveValue, path=st.sampled_from(["room", "site.people", "samples.spring.results.iron", "extra"])),
        st.builds(Paste, stages=st.just([dict(s) for s in json.loads(dumps(document))["stages"][:2]])),
    ]
    return draw(st.one_of(*single) | st.builds(Batch, edits=st.lists(st.one_of(*single), max_size=3)))


def bare(patch: Patch) -> Patch:
    """A patch that does not remember the documents that it lies between."""
    return Patch(patch.changes, patch.label)


@given(st.data())
def test_what_is_done_is_taken_back_to_the_letter(data: st.DataObject) -> None:
    document = Document.of(FARM)
    history = [dumps(document)]
    patches: list[Patch] = []
    for _ in range(data.draw(st.integers(1, 6))):
        edit = data.draw(any_edit(document))
        assert edit_from_json(json.loads(json.dumps(edit.to_json()))) == edit
        try:
            patch = plan_edit(document, edit)
        except DocumentError as error:
            assert str(error).isprintable()
            continue
        after = apply(document, patch)
        assert dumps(document) == history[-1], "planning and applying leave the document alone"
        assert loads(dumps(after)) == after and patch.label
        ids = [s.id for s in after.stages]
        assert len({*ids, *after.outlets, "supply", "house"}) == len(ids) + len(after.outlets) + 2
        # The same change by change, on a document that is only equal.
        replayed = apply(loads(history[-1]), bare(patch))
        assert dumps(replayed) == dumps(after)
        assert dumps(apply(replayed, bare(invert(patch)))) == history[-1]
        document = after
        history.append(dumps(after))
        patches.append(patch)
    for patch, text in zip(reversed(patches), reversed(history[:-1]), strict=True):
        document = apply(document, invert(patch))
        assert dumps(document) == text
    for patch, text in zip(patches, history[1:], strict=True):
        document = apply(document, patch)
        assert dumps(document) == text


@given(st.data())
def test_adding_anywhere_and_removing_gives_back_the_train(data: st.DataObject) -> None:
    farm = Document.of(FARM)
    edit = data.draw(
        st.builds(AddStage, kind=KINDS, into=st.sampled_from([link.ends for link in farm.links]))
        | st.builds(AddParallel, beside=st.sampled_from([s.id for s in farm.stages]))
    )
    after = done(farm, edit)
    (added,) = {s.id for s in after.stages} - {s.id for s in farm.stages}
    assert dumps(done(after, RemoveStage(id=added))) == dumps(farm)


def test_patches_in_a_row_join_into_one(farm: Document) -> None:
    first = plan_edit(farm, SetValue(path="demand.peak", value="1 gpm"))
    second = plan_edit(apply(farm, first), SetValue(path="demand.peak", value="12 gpm"))
    both = join(first, second)
    assert apply(farm, both).demand.peak == "12 gpm" and len(both.changes) == 1
    assert apply(apply(farm, both), invert(both)) is farm
    with pytest.raises(ValueError, match="planned in this session"):
        join(bare(first), second)


@pytest.mark.parametrize(
    "data", [{}, {"edit": "fly"}, {"edit": "link"}, {"edit": "unlink", "ends": ["a"]}, {"edit": "add_stage", "kind": 5}]
)
def test_what_is_no_edit_is_refused(data: dict[str, Any]) -> None:
    with pytest.raises(DocumentError, match="^edit"):
        edit_from_json(data)


def test_every_edit_is_offered_by_name() -> None:
    for name in edits.__all__:
        assert hasattr(edits, name)
