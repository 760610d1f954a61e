"""The invented sites that ship: valid, canonical, each with its story, and waters that do not contradict themselves."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from trainapp.data import samples_path
from trainapp.train.document import Document, dumps, load
from trainapp.water.analytes import BY_KEY
from trainapp.water.sample import read_sheet

SITES = {
    "lone-alder-farm", "lone-alder-farm-uv-alone", "pebble-court-3", "marzipan-moth-tea-room", "sorrel-bank-cottage", "inkwell-croft",
}  # fmt: skip
PATHS = sorted(samples_path().glob("*.train.json"))


def test_all_sites_are_there() -> None:
    assert {path.name.removesuffix(".train.json") for path in PATHS} >= SITES


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.name.partition(".")[0])
def test_site_is_canonical_and_tells_its_story(path: Path) -> None:
    document = load(path)
    assert path.read_text("utf-8") == dumps(document)
    assert document.reports == ()
    notes = document.site.word("notes")
    assert notes.startswith("Invented. ") and len(notes) > 150


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.name.partition(".")[0])
def test_waters_do_not_contradict_themselves(path: Path) -> None:
    for sample in load(path).samples:
        assert set(sample.results) <= set(BY_KEY)
        sheet = {name: result.high for name, result in read_sheet(sample.results).items()}
        for metal in ("iron", "manganese"):
            assert sheet.get(f"{metal}_dissolved", 0.0) <= sheet.get(metal, math.inf)
        if {"uvt", "uvt_filtered", "iron", "iron_dissolved"} <= sheet.keys():
            # Ferric iron absorbs 0.0844 per cm and mg/L (EPA 815-R-06-007 after Bolton et al. 2001, from memory).
            leaves = math.log10(sheet["uvt_filtered"] / sheet["uvt"])
            assert leaves >= 0.0844 * (sheet["iron"] - sheet["iron_dissolved"]) - 0.002
        _check_charge(sheet)


def _check_charge(sheet: dict[str, float]) -> None:
    """Charge balance within 5 %, as many agencies ask (Standard Methods 1030 E, from memory)."""
    if not {"hardness", "sodium", "alkalinity", "chloride", "sulfate"} <= sheet.keys():
        return
    cations = sheet["hardness"] / 50.0435 + sheet["sodium"] / 22.99
    anions = sum(sheet.get(ion, 0.0) / BY_KEY[ion].equivalent for ion in ("alkalinity", "chloride", "sulfate", "nitrate"))
    assert abs(cations - anions) / (cations + anions) < 0.05


def test_farm_and_its_uv_alone_stand_on_the_same_well() -> None:
    whole, alone = (load(samples_path(f"{name}.train.json")) for name in ("lone-alder-farm", "lone-alder-farm-uv-alone"))
    for part in ("supply", "demand", "outlets", "samples", "goals"):
        assert whole.tree[part] == alone.tree[part]
    assert len(whole.stages) == 5 and [stage.kind for stage in alone.stages] == ["uv_chamber"]


def test_tea_room_has_two_softeners_in_parallel_and_a_raw_tap() -> None:
    document: Document = load(samples_path("marzipan-moth-tea-room.train.json"))
    softeners = [stage.id for stage in document.stages if stage.kind == "softener"]
    around = [{(link.from_ if link.to == s else link.to) for link in document.links if s in link.ends} for s in softeners]
    assert len(softeners) == 2 and around[0] == around[1]
    assert not document.outlets["yard"].flag("drinking") and ("supply", "yard") in {link.ends for link in document.links}
