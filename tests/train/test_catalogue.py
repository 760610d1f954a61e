"""Catalogues: the program's own is whole, the user's is read with row and column, and a document's own row decides."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from trainapp.data import load_toml, resources_path
from trainapp.sources import STATUSES, source
from trainapp.stages import registry
from trainapp.train.catalogue import Catalogue, CatalogueError, read_catalogue
from trainapp.train.document import Document, DocumentError, dumps, item_reports, settings_of
from trainapp.train.edits import AddStage, RemoveStage, SetValue, apply, invert, plan_edit
from trainapp.train.settings import merged_settings

CSV = """item;kind;label;price;resin_volume;tank_diameter
soft-1;softener;Softener small;700;1 ft3;9 in

soft-2;softener;Softener large;990;2 ft3;12 in
"""


def own(tmp_path: Path, text: str, name: str = "mine.csv") -> Path:
    path = tmp_path / name
    path.write_text(text, "utf-8")
    return path


def test_every_kind_has_items_that_its_stage_can_read() -> None:
    catalogue = Catalogue.load()
    assert {row.kind for row in catalogue.rows.values()} == set(registry.kinds())
    from trainapp.train.model import StageEntry

    for name, row in catalogue.rows.items():
        kind = registry.kind(row.kind)
        assert kind is not None and row.label and row.amount, name
        entry = StageEntry.model_validate({"id": "x", "kind": row.kind, "item": name})
        stage = kind("x", merged_settings(kind.spec, entry, row))
        assert stage.figure().width > 0, name


def test_files_say_that_their_items_are_invented() -> None:
    files = sorted(resources_path("catalogue").glob("*.toml"))
    assert {path.stem for path in files} == set(registry.kinds())
    for path in files:
        head = load_toml(f"catalogue/{path.name}")
        assert source(head["source"]).status_default == head["status"] == "invented" and head["status"] in STATUSES
        assert all(row.kind == path.stem for row in read_catalogue(path).values())


def test_find_and_ladder() -> None:
    catalogue = Catalogue.load()
    assert list(catalogue.of_kind("softener"))[0] == "softener-8x44"
    found = catalogue.find("Softener 10 x 54")
    assert "softener-10x54" in found and all(row.kind == "softener" for row in found.values())
    assert catalogue.find("no such thing anywhere") == {} and catalogue.row("nothing") is None


def test_own_items_stand_beside_and_win(tmp_path: Path) -> None:
    path = own(tmp_path, CSV)
    toml = own(tmp_path, '[[item]]\nitem = "softener-9x48"\nkind = "softener"\n[item.settings]\nresin_volume = "0.9 ft3"\n', "mine.toml")
    catalogue = Catalogue.load(path, toml)
    small, taken = catalogue.row("soft-1"), catalogue.row("softener-9x48")
    assert small is not None and small.settings == {"resin_volume": "1 ft3", "tank_diameter": "9 in"} and small.amount == 700
    assert taken is not None and taken.settings == {"resin_volume": "0.9 ft3"}
    assert catalogue.row("softener-10x54") is not None


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        ("mine.csv", CSV.replace("1 ft3", "1 furlong"), 'mine.csv, row 2, column "resin_volume": "1 furlong" is not a volume'),
        (
            "mine.csv",
            CSV.replace("soft-2;softener", "soft-2;sun_lamp"),
            'mine.csv, row 4, column "kind": "sun_lamp" is not a kind of stage',
        ),
        ("mine.csv", CSV.replace("soft-2", "soft-1"), 'mine.csv, row 4, column "item": "soft-1" names two items'),
        ("mine.csv", CSV.replace("soft-2;", ";"), 'mine.csv, row 4, column "item": the item has no name'),
        ("mine.csv", CSV.replace("tank_diameter", "colour"), 'mine.csv, row 2, column "colour": a softener has no such setting'),
        ("mine.csv", CSV.replace("700", "cheap"), 'mine.csv, row 2, column "price": "cheap" is not a plain number'),
        ("mine.csv", CSV.replace("700", "-7"), 'column "price": "-7" must not be below zero'),
        ("mine.csv", CSV.replace("12 in", "12 in;x"), "mine.csv, row 4: it has 7 cells, the heading has 6"),
        ("mine.csv", CSV.replace("kind", "sort"), 'mine.csv, row 1: the heading needs one column "kind"'),
        ("mine.csv", "", "mine.csv: it is empty"),
        ("mine.toml", "item = [", "mine.toml: this is not TOML"),
        ("mine.toml", "x = 1", "mine.toml: it holds no"),
        ("mine.toml", "item = [5]", "mine.toml, row 1: an item is a table"),
        ("mine.toml", '[[item]]\nitem = "a"', 'mine.toml, row 1: "kind" is missing'),
        ("mine.toml", '[[item]]\nitem = "a"\nkind = "softener"\nsettings = 5', "mine.toml, row 1: 5 is not an object"),
        (
            "mine.toml",
            '[[item]]\nitem = "a"\nkind = "softener"\n[item.settings]\ncount = 0',
            'mine.toml, row 1, column "count": 0 is not between',
        ),
    ],
)
def test_refusal_names_row_and_column(name: str, text: str, sentence: str, tmp_path: Path) -> None:
    with pytest.raises(CatalogueError) as caught:
        Catalogue.load(own(tmp_path, text, name))
    assert sentence in str(caught.value) and "\n" not in str(caught.value)


def test_all_faults_are_collected_and_the_first_few_are_told(tmp_path: Path) -> None:
    head = "item,kind,label,price,tanks,tank_diameter,colour\n"
    lines = (",softener,,dear,3,9,red\n", "b,kettle,,,,,\n", "c,softener,,1,1,9 in,\n", "c,softener,,1,1,9 in,,,\n", "c,softener,,1,,,\n")
    with pytest.raises(CatalogueError) as caught:
        read_catalogue(own(tmp_path, head + "".join(lines)))
    faults = [(fault.row, fault.column) for fault in caught.value.faults]
    first = [("row 2", key) for key in ("item", "price", "tanks", "tank_diameter", "colour")]
    assert faults == [*first, ("row 3", "kind"), ("row 5", ""), ("row 6", "item")]
    told = {fault.column: fault.told for fault in caught.value.faults}
    assert "wanted is one of 1, 2" in told["tanks"] and "wanted is a number with its unit, such as 10 in" in told["tank_diameter"]
    assert "its settings are" in told["colour"] and "tank_diameter" in told["colour"]
    assert str(caught.value).startswith("mine.csv, row 2") and str(caught.value).endswith("and 5 more")


def test_faults_stand_in_the_order_of_the_file(tmp_path: Path) -> None:
    """Of TOML as of CSV, whatever the hashes of this process are."""
    odd = [f"mine_{number}" for number in (7, 3, 9, 1, 8, 2)]
    text = '[[item]]\nitem = "a"\nkind = "softener"\n' + "".join(f'{key} = "x"\n' for key in odd)
    with pytest.raises(CatalogueError) as caught:
        read_catalogue(own(tmp_path, text, "mine.toml"))
    assert [fault.column for fault in caught.value.faults] == odd


def test_a_file_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    (tmp_path / "bad.csv").write_bytes(b"item\xff,kind")
    for name in ("bad.csv", "none.toml"):
        with pytest.raises(CatalogueError, match=f"^{name}"):
            Catalogue.load(tmp_path / name)


# In a document ----------------------------------------------------------------------------------------------------------------


def test_defaults_item_entry_settings_in_rising_order(changed: Callable[..., Document]) -> None:
    item = {"kind": "softener", "label": "Old softener", "settings": {"resin_volume": "1 ft3", "tank_diameter": "9 in", "count": 2}}
    document = changed(
        ("items", "old"), item, ("stages", 2),
        {"id": "softener", "kind": "softener", "item": "old", "count": 3, "settings": {"tank_diameter": "10 in"}},
    )  # fmt: skip
    settings = settings_of(document.stage("softener"), items=document.items)
    assert settings.number("tank_diameter") == pytest.approx(0.254) and settings.number("resin_volume") == pytest.approx(
        0.0283168, rel=1e-5
    )
    assert settings["count"] == 3
    assert settings.given == {"resin_volume", "tank_diameter", "count"}
    kind = registry.kind("softener")
    assert kind is not None and settings.word("tanks") == kind.spec.settings["tanks"].default


def test_an_item_comes_with_its_row_and_goes_with_it(farm: Document) -> None:
    patch = plan_edit(farm, AddStage(kind="carbon_bed", item="carbon-10x54"))
    after = apply(farm, patch)
    assert after.items["carbon-10x54"].settings == {"tank_diameter": "10 in", "bed_depth": "36 in"}
    assert after.items["carbon-10x54"].label == "Carbon bed, 10 x 54 in"
    assert dumps(apply(after, invert(patch))) == dumps(farm)
    assert dumps(apply(after, plan_edit(after, RemoveStage(id="carbon-bed")))) == dumps(farm)


def test_the_row_in_the_document_decides_and_a_difference_is_said(farm: Document, tmp_path: Path) -> None:
    catalogue = Catalogue.load()
    after = apply(farm, plan_edit(farm, AddStage(kind="softener", item="softener-9x48")))
    assert list(item_reports(after, catalogue)) == []
    older = apply(after, plan_edit(after, SetValue(path=("items", "softener-9x48", "settings", "resin_volume"), value="0.8 ft3")))
    (report,) = item_reports(older, catalogue)
    assert (report.code, report.place) == ("item-differs", "items.softener-9x48")
    entry = older.stage("softener-2")
    assert settings_of(entry, catalogue, older.items).number("resin_volume") == pytest.approx(0.8 * 0.0283168466)
    assert settings_of(entry, catalogue).number("resin_volume") == pytest.approx(0.0283168466)


def test_items_that_are_not_there_or_of_another_kind(farm_tree: dict[str, Any], tmp_path: Path) -> None:
    farm_tree["stages"][2]["item"] = "uv-a-8"
    with pytest.raises(DocumentError, match='^stages.softener.item: "uv-a-8" is a uv_chamber, not a softener$'):
        Document.of(farm_tree)
    farm_tree["stages"][2]["item"] = "soft-1"
    with pytest.raises(DocumentError, match='^stages.softener.item: "soft-1" is neither an item of the document nor in the catalogue$'):
        Document.of(farm_tree)
    farm = Document.of(
        {**farm_tree, "stages": farm_tree["stages"][:2] + farm_tree["stages"][3:], "links": [{"from": "supply", "to": "house"}]}
    )
    own_catalogue = Catalogue.load(own(tmp_path, CSV))
    after = apply(farm, plan_edit(farm, AddStage(kind="softener", item="soft-1"), own_catalogue))
    assert after.items["soft-1"].amount == 700


def test_unknown_kinds_and_settings_of_kept_rows_are_said(changed: Callable[..., Document]) -> None:
    document = changed(
        ("items", "a"), {"kind": "sun_lamp", "settings": {"x": 1}}, ("items", "b"), {"kind": "softener", "settings": {"glow": 1}}
    )
    assert {report.place for report in document.reports} == {"items.a.kind", "items.b.settings.glow"}
    with pytest.raises(DocumentError, match="^items.b.settings.tank_diameter: "):
        changed(("items", "b"), {"kind": "softener", "settings": {"tank_diameter": "-1 in"}})
