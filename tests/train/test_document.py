"""The document is read, checked, kept and written back as the public contract says."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp import units
from trainapp.sources import STATUSES, source
from trainapp.stages.base import Limit
from trainapp.train.defaults import all_defaults
from trainapp.train.document import Document, DocumentError, blank, dumps, load, loads, settings_of

from .conftest import FARM

GPM, PSI = 6.30901964e-5, 6894.757293168


def plain(value: Any) -> Any:
    return json.loads(json.dumps(value))


# Round trip -------------------------------------------------------------------------------------------------------------------


def test_example_of_the_contract_comes_back_whole(farm: Document) -> None:
    assert plain(farm.tree) == FARM
    assert loads(dumps(farm)) == farm
    assert farm.reports == ()


def test_text_is_canonical(farm: Document, farm_tree: dict[str, Any]) -> None:
    shuffled = {key: farm_tree[key] for key in sorted(farm_tree, reverse=True)}
    shuffled["supply"] = dict(reversed(farm_tree["supply"].items()))
    shuffled["samples"][0]["results"] = dict(reversed(farm_tree["samples"][0]["results"].items()))
    text = dumps(Document.of(shuffled))
    assert text == dumps(farm)
    assert text.endswith("}\n") and '\n  "site": {\n    "name": "Lone Alder Farm"' in text
    assert '      ["0 gpm", "92 psi"],\n' in text and '    {"from": "supply", "to": "screen"},\n' in text
    assert dumps(loads(text)) == text


def test_defaults_are_not_written() -> None:
    tree = {
        "format": "trainapp/train", "version": 1, "supply": {"kind": "mains", "static": "60 psi", "residual": "50 psi", "at_flow": "8 gpm"},
        "demand": {"peak": "6 gpm"}, "links": [{"from": "supply", "to": "house"}],
    }  # fmt: skip
    document = Document.of(tree)
    assert plain(document.tree) == tree
    assert document.supply.value("lift") == 0.0 and document.supply.word("surface_influence") == "no"
    assert document.goals.word("disinfect") == "auto" and document.design_sample == "worst"


def test_unknown_keys_are_kept_after_the_known_ones_and_reported(farm_tree: dict[str, Any]) -> None:
    farm_tree["zeta"] = {"deep": [1, {"x": None}]}
    farm_tree["alpha"] = 2.5
    farm_tree["supply"]["brand_of_pump"] = "none"
    farm_tree["stages"][4]["mood"] = "blue"
    farm_tree["stages"][4]["settings"]["glow"] = "12 lm"
    farm_tree["links"][0]["colour"] = "red"
    farm_tree["stages"][1]["settings"]["drain"] = {"height": "4 ft", "smell": "none"}
    document = Document.of(farm_tree)
    assert plain(document.tree) == farm_tree
    assert list(document.tree)[-2:] == ["alpha", "zeta"]
    assert {str(report).partition(": ")[0] for report in document.reports} == {
        "alpha", "zeta", "supply.brand_of_pump", "stages.uv.mood", "stages.uv.settings.glow", "links.supply>screen.colour",
        "stages.iron.settings.drain.smell",
    }  # fmt: skip


def test_byte_order_mark_is_accepted(tmp_path: Any, farm: Document) -> None:
    path = tmp_path / "farm.train.json"
    path.write_bytes(b"\xef\xbb\xbf" + dumps(farm).encode())
    assert load(path) == farm


def test_document_does_not_share_the_tree_it_was_made_of(farm_tree: dict[str, Any]) -> None:
    document = Document.of(farm_tree)
    before = dumps(document)
    farm_tree["stages"][0]["settings"]["rating"] = "1 um"
    farm_tree["links"].clear()
    assert dumps(document) == before


def test_blank_document_is_canonical_and_valid(root: Any) -> None:
    assert dumps(blank()) == (root / "resources/train/blank.train.json").read_text("utf-8")


# Meaning ----------------------------------------------------------------------------------------------------------------------


def test_quantities_in_internal_units(farm: Document) -> None:
    assert farm.supply.value("yield") == pytest.approx(12 * GPM)
    assert farm.supply.curve[1] == pytest.approx((6 * GPM, 78 * PSI))
    assert farm.supply.temperatures == (9.0, 13.0)
    assert farm.supply.precharge_pressure == pytest.approx(38 * PSI)
    assert farm.outlets["garden"].value("peak") == pytest.approx(5 * GPM) and not farm.outlets["garden"].flag("drinking")
    assert farm.outlet_pressure("garden") == farm.outlet_pressure("house") == pytest.approx(25 * PSI)
    assert farm.room.value("height") == pytest.approx(2.4384)
    assert farm.daily_volume == pytest.approx(1.0599, rel=1e-4)


def test_defaults_follow_from_the_kind_of_supply(changed: Any) -> None:
    well = changed(("supply", "temperature"), ..., ("supply", "precharge"), ..., ("supply", "surface_influence"), ...)
    assert well.supply.temperatures == (8.0, 14.0)
    assert well.supply.precharge_pressure == pytest.approx(38 * PSI)  # cut-in less 2 psi
    assert well.supply.word("surface_influence") == "unknown"
    rain = changed(("supply", "temperature"), ..., ("supply", "source"), "rain")
    assert rain.supply.temperatures == (2.0, 24.0)
    assert changed(("site", "use"), "food").demand.word("table") == "ipc_tank"
    assert changed(("site", "use"), "food", ("demand", "fixtures"), {"urinal_flush_valve": 2}).demand.word("table") == "ipc_valve"
    assert changed(("site", "people"), 3, ("demand", "daily"), ...).daily_volume == pytest.approx(3 * 76.7 * 3.785411784e-3)


def test_every_default_is_valid_and_has_a_source() -> None:
    for row in all_defaults():
        assert source(row.source), row.key
        assert row.status in STATUSES and row.meaning
    sections: dict[str, Any] = {"people": 4}
    assert {row.key for row in all_defaults() if row.section == "site"} >= sections.keys()


def test_common_settings_beside_and_inside_settings(changed: Any) -> None:
    document = changed(("stages", 2, "count"), 2, ("stages", 2, "service_flow"), "8 gpm", ("stages", 2, "settings", "count"), "3")
    settings = settings_of(document.stage("softener"))
    assert settings["count"] == 3 and settings.number("service_flow") == pytest.approx(8 * GPM)
    assert {"count", "service_flow", "resin_volume"} <= settings.given
    assert document.tree["stages"][2]["count"] == 2 and document.tree["stages"][2]["settings"]["count"] == "3"


def test_tables_of_a_stage_are_read(changed: Any) -> None:
    uv = {
        "inlet_limits": {"iron": {"max": "0.1 mg/L", "source": "data sheet 7"}, "ph": {"min": "6.5", "max": 9.5}},
        "drain": {"height": "-2 ft", "length": "20 ft", "size": "3/4 in", "to": "septic"},
        "head_loss": [["5 gpm", "1 psi"], ["10 gpm", "4 psi"]],
    }
    settings = settings_of(changed(*(x for key, value in uv.items() for x in (("stages", 4, key), value))).stage("uv"))
    iron, ph = settings["inlet_limits"]
    assert isinstance(iron, Limit)
    assert (iron.analyte, iron.minimum, iron.maximum, iron.source, iron.strict) == ("iron", None, 0.1, "data sheet 7", True)
    assert (ph.minimum, ph.maximum, ph.source, ph.strict) == (6.5, 9.5, "", False)
    assert settings["drain"] == {
        "height": pytest.approx(-0.6096),
        "length": pytest.approx(6.096),
        "size": pytest.approx(0.01905),
        "to": "septic",
    }
    assert settings["head_loss"] == (pytest.approx((5 * GPM, PSI)), pytest.approx((10 * GPM, 4 * PSI)))


def test_declared_removal_is_a_fraction_by_analyte(changed: Any) -> None:
    entry = {"id": "ro", "kind": "declared", "settings": {"name": "old unit", "removal": {"nitrate": "90 %", "arsenic": 0.5}}}
    assert settings_of(changed(("stages", "+"), entry).stage("ro"))["removal"] == {"nitrate": 0.9, "arsenic": 0.5}


def test_pipe_of_a_link(changed: Any) -> None:
    document = changed(
        ("links", 0, "pipe"),
        {"size": "1-1/4 in"},
        ("links", 2, "pipe"),
        [{"length": "3 ft"}, {"size": "3/4 in", "length": "1 m", "fittings": {"union": 1}}],
    )
    (wide,) = document.pipe_of(document.links[0])
    assert (wide.word("material"), wide.value("length")) == ("pex", pytest.approx(1.8288)) and wide.fitting_counts == {"elbow_90": 2}
    first, second = document.pipe_of(document.links[2])
    assert first.fitting_counts == {} and first.value("size") == pytest.approx(0.0254)
    assert second.fitting_counts == {"union": 1} and second.value("length") == 1.0
    assert plain(document.tree["links"][0]) == {"from": "supply", "to": "screen", "pipe": {"size": "1-1/4 in"}}


def test_what_is_neither_given_nor_has_a_default(changed: Any) -> None:
    document = changed(("supply", "yield"), ..., ("room",), ..., ("stages", 4, "existing"), True)
    assert document.supply.get("yield") is None and document.room.get("width") is None
    for ask in (
        lambda: document.supply.value("yield"),
        lambda: document.supply.get("kind"),
        lambda: document.stage("x"),
        lambda: document.sample("x"),
    ):
        with pytest.raises(KeyError):
            ask()
    assert settings_of(document.stage("uv"))["existing"] is True
    assert document.item_of(document.stage("uv")) is None and document != "a text"


def test_more_stages_or_values_than_a_train_has_are_refused(farm_tree: dict[str, Any]) -> None:
    crowd = [{"id": f"s{i}", "kind": "carbon_bed"} for i in range(1001)]
    with pytest.raises(DocumentError, match="^stages: a train has at most 1000 stages"):
        Document.of({**farm_tree, "stages": [*farm_tree["stages"], *crowd]})
    with pytest.raises(DocumentError, match="more than 400000 values"):
        loads('{"log": [' + "1," * 400_000 + "1]}")


def test_a_stage_whose_kind_or_item_has_gone(farm: Document) -> None:
    entry = farm.stage("softener")
    with pytest.raises(DocumentError, match='^stages.softener.kind: "sun_lamp" is not a kind of stage$'):
        settings_of(entry.model_copy(update={"kind": "sun_lamp"}))
    with pytest.raises(DocumentError, match='^stages.softener.item: "gone" is neither'):
        settings_of(entry.model_copy(update={"item": "gone"}))
    with pytest.raises(DocumentError, match='^stages.softener.settings.salt_dose: "much" is not'):
        settings_of(entry.model_copy(update={"settings": {"salt_dose": "much"}}))


# Laws -------------------------------------------------------------------------------------------------------------------------

JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**9), 10**9) | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=8,
)


@given(st.dictionaries(st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=8).map("x-".__add__), JSON, max_size=4))
def test_unknown_keys_survive_any_number_of_round_trips(extra: dict[str, Any]) -> None:
    document = Document.of({**FARM, **extra, "site": {**FARM["site"], **extra}})
    again = loads(dumps(document))
    assert again == document and dumps(again) == dumps(document)
    assert {key: again.tree[key] for key in extra} == {key: plain(value) for key, value in extra.items()}
    assert len(document.reports) == 2 * len(extra)


@given(st.floats(0.1, 500), st.sampled_from(["gpm", "L/min", "m3/h", "gpd"]))
def test_a_flow_means_the_same_in_every_unit(amount: float, unit: str) -> None:
    internal = units.parse(f"{amount!r} {unit}", "flow")
    document = Document.of({**FARM, "demand": {"peak": f"{amount!r} {unit}"}})
    assert document.demand.value("peak") == internal
    assert dumps(document).count(f'"{amount!r} {unit}"') == 1
