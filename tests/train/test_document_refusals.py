"""What no document can be is refused in one sentence that names the place."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from trainapp.train import migrate
from trainapp.train.document import Document, DocumentError, load, loads
from trainapp.train.reading import MOST_BYTES

from .conftest import put

STAGE, LINK, RESULT = ("stages", 4, "settings"), ("links", 0), ("samples", 0, "results")
REFUSED: list[tuple[str, tuple[Any, ...], Any]] = [
    ("supply.yield", ("supply", "yield"), "12 bananas"),
    ("supply.yield", ("supply", "yield"), 12),
    ("supply.yield", ("supply", "yield"), "-3 gpm"),
    ("supply.yield", ("supply", "yield"), "nan gpm"),
    ("supply.yield", ("supply", "yield"), "inf gpm"),
    ("supply.yield", ("supply", "yield"), "1e400 gpm"),
    ("supply.lift", ("supply", "lift"), None),
    ("supply.temperature", ("supply", "temperature"), ["13 degC", "9 degC"]),
    ("supply.temperature", ("supply", "temperature"), ["9 degC", "90 degC"]),
    ("supply.pump_curve.#2", ("supply", "pump_curve", 1), ["6 gpm", "98 psi"]),
    ("supply.pump_curve.#3", ("supply", "pump_curve", 2), ["5 gpm", "48 psi"]),
    ("supply.pump_curve", ("supply", "pump_curve"), [["0 gpm", "92 psi"]]),
    ("supply", ("supply", "pump_curve"), ...),
    ("supply.kind", ("supply", "kind"), "pond"),
    ("supply.cut_in", ("supply", "cut_in"), "70 psi"),
    ("supply", ("supply", "kind"), "mains"),
    ("demand.peak", ("demand", "peak"), "0 gpm"),
    ("demand", ("demand", "peak"), ...),
    ("demand.fixtures.shower", ("demand", "fixtures"), {"shower": -1}),
    ("demand.fixtures.fountain of youth", ("demand", "fixtures"), {"fountain of youth": 1}),
    ("outlets.garden.peak", ("outlets", "garden", "peak"), "5 psi"),
    ("outlets.uv", ("outlets", "uv"), {"peak": "1 gpm"}),
    ("outlets.house", ("outlets", "house"), {"peak": "1 gpm"}),
    ("goals.limits", ("goals", "limits"), "mars"),
    ("site.people", ("site", "people"), -1),
    ("site.people", ("site", "people"), True),
    ("site.name", ("site", "name"), 5),
    ("samples.spring.date", ("samples", 0, "date"), "2026-02-30"),
    ("samples.spring.id", ("samples", "+"), {"id": "spring", "results": {}}),
    ("samples.worst.id", ("samples", 0, "id"), "worst"),
    ("design_sample", ("design_sample",), "autumn"),
    ("samples.spring.results.iron", (*RESULT, "iron"), "3 furlongs"),
    ("samples.spring.results.iron", (*RESULT, "iron"), "-1 mg/L"),
    ("samples.spring.results.ph", (*RESULT, "ph"), "71"),
    ("samples.spring.results.uvt", (*RESULT, "uvt"), "140 %/cm"),
    ("plumbing.material", ("plumbing", "material"), "gold"),
    ("plumbing.size", ("plumbing", "size"), "13 in"),
    ("plumbing.fittings", ("plumbing", "fittings"), {"hook": 1}),
    ("links.supply>screen.pipe.length", (*LINK, "pipe"), {"length": "0 kg"}),
    ("links.supply>screen.pipe.#1", (*LINK, "pipe"), [{"size": "1 in"}]),
    ("links.supply>screen.pipe", (*LINK, "pipe"), []),
    ("links.#1", (*LINK, "from"), ...),
    ("links.supply>nowhere", (*LINK, "to"), "nowhere"),
    ("links.uv>supply", ("links", "+"), {"from": "uv", "to": "supply"}),
    ("links.house>uv", ("links", "+"), {"from": "house", "to": "uv"}),
    ("links.uv>house", ("links", "+"), {"from": "uv", "to": "house"}),
    ("links.uv>uv", ("links", "+"), {"from": "uv", "to": "uv"}),
    ("links", ("links", 6), ...),
    ("stages.uv.kind", ("stages", 4, "kind"), "sun_lamp"),
    ("stages.iron.id", ("stages", 4, "id"), "iron"),
    ("stages.supply.id", ("stages", 4, "id"), "supply"),
    ("stages.house.id", ("stages", 4, "id"), "house"),
    ("outlets.garden", ("stages", 4, "id"), "garden"),
    ("stages..id", ("stages", 4, "id"), ""),
    ("stages.uv.settings.rated_flow", (*STAGE, "rated_flow"), "9 psi"),
    ("stages.uv.settings.rated_flow", (*STAGE, "rated_flow"), "0 gpm"),
    ("stages.uv.settings.rated_uvt", (*STAGE, "rated_uvt"), "101 %/cm"),
    ("stages.uv.settings.device_class", (*STAGE, "device_class"), "Z"),
    ("stages.uv.settings.count", (*STAGE, "count"), 0),
    ("stages.uv.count", ("stages", 4, "count"), 1.5),
    ("stages.uv.settings.head_loss.#1", (*STAGE, "head_loss"), [["5 gpm", "0 psi"]]),
    ("stages.uv.inlet_limits.iron.max", ("stages", 4, "inlet_limits"), {"iron": {"max": "0.1 psi"}}),
    ("stages.uv.inlet_limits.kryptonite", ("stages", 4, "inlet_limits"), {"kryptonite": {"max": "0.1 mg/L"}}),
    ("stages.uv.drain.to", ("stages", 4, "drain"), {"to": "river"}),
    ("stages.uv.item", ("stages", 4, "item"), "no-such-item"),
    ("stages.#4", ("stages", 3), 5),
    ("outlets", ("outlets",), []),
    ("samples.spring.date", ("samples", 0, "date"), "2026-W01-1"),
    ("samples.spring.results.iron", (*RESULT, "iron"), {"value": "1 mg/L", "method": "guess"}),
    ("demand.fixtures", ("demand", "fixtures"), 5),
    ("supply.pump_curve.#1", ("supply", "pump_curve", 0), ["0 gpm"]),
    ("supply.temperature", ("supply", "temperature"), ["9 degC"]),
    ("supply", ("supply", "control"), "constant"),
    ("supply.residual", ("supply",), {"kind": "mains", "static": "50 psi", "residual": "50 psi", "at_flow": "9 gpm"}),
    ("stages.uv.settings.certificate", (*STAGE, "certificate"), 7),
    ("stages.uv.settings.existing", (*STAGE, "existing"), "maybe"),
    ("stages.uv.settings.drain", (*STAGE, "drain"), "sewer"),
    ("stages.uv.settings.drain.size", (*STAGE, "drain"), {"size": "0 in"}),
    ("stages.uv.settings.inlet_limits.iron", (*STAGE, "inlet_limits"), {"iron": "0.1 mg/L"}),
    ("stages.uv.settings.inlet_limits.iron.source", (*STAGE, "inlet_limits"), {"iron": {"max": "1 mg/L", "source": 5}}),
    ("stages.uv.settings.inlet_limits.ph", (*STAGE, "inlet_limits"), {"ph": {"min": "9", "max": "7"}}),
    ("stages.uv.settings.head_loss.#2", (*STAGE, "head_loss"), [["5 gpm", "2 psi"], ["9 gpm", "2 psi"]]),
    ("stages.uv.settings.head_loss", (*STAGE, "head_loss"), [["0 gpm", "0 psi"]]),
    (
        "stages.ro.settings.removal.nitrate",
        ("stages", "+"),
        {"id": "ro", "kind": "declared", "settings": {"removal": {"nitrate": "120 %"}}},
    ),
    ("accepted.#1", ("accepted",), [{"code": "velocity"}]),
    ("version", ("version",), 2),
    ("version", ("version",), "1"),
    ("format", ("format",), "something/else"),
]


@pytest.mark.parametrize(("place", "path", "value"), REFUSED, ids=[f"{p}-{i}" for i, (p, _, _) in enumerate(REFUSED)])
def test_refusal_names_the_place_in_one_sentence(place: str, path: tuple[Any, ...], value: Any, farm_tree: dict[str, Any]) -> None:
    put(farm_tree, path, value)
    with pytest.raises(DocumentError) as caught:
        loads(json.dumps(farm_tree))
    assert caught.value.place.startswith(place) and str(caught.value).startswith(place)
    assert "\n" not in str(caught.value) and len(str(caught.value)) < 400


def test_sentence_of_the_contract(farm_tree: dict[str, Any]) -> None:
    farm_tree["samples"][0]["results"]["iron"] = "3 furlongs"
    with pytest.raises(DocumentError, match='^samples.spring.results.iron: "3 furlongs" is not a concentration$'):
        Document.of(farm_tree)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "line 1, column 1: this is not JSON"),
        ("{\n  'a': 1}", "line 2, column 3: this is not JSON"),
        ("[1]", "one JSON object"),
        ('{"site": {"people": NaN}}', "site.people: NaN is not a number"),
        ('{"site": {"people": -Infinity}}', "site.people: -Infinity is not a number"),
        ('{"log": [{"id": "x", "n": 1e999}]}', "log.x.n: this number is too large"),
        ('{"a": ' + "9" * 5000 + "}", "a: a whole number of 5000 digits is too large"),
        ('{"site": {"name": "a", "name": "b"}}', 'site: "name" is written twice'),
        ('{"site": {"name": "\\ud800"}}', "site.name: half a character"),
        ("[" * 100_000, "nested too deeply"),
        ('{"a":' * 3000 + "1" + "}" * 3000, "nested too deeply"),
        ('{"x": ' + "[" * 40 + "]" * 40 + "}", "nested too deeply"),
    ],
)
def test_text_that_no_document_can_be(text: str, sentence: str) -> None:
    with pytest.raises(DocumentError) as caught:
        loads(text)
    assert sentence in str(caught.value)


def test_files_that_cannot_be_read(tmp_path: Any) -> None:
    for path, sentence in (
        (tmp_path / "none.json", "no such file"),
        (tmp_path, "not a file"),
        (tmp_path / "a\0b", "^a.b: there is no such file"),
    ):
        with pytest.raises(DocumentError, match=sentence):
            load(path)
    bad = tmp_path / "bad.json"
    bad.write_bytes(b'{\n"a": "\xff"}')
    with pytest.raises(DocumentError, match="line 2: this is not UTF-8"):
        load(bad)


def test_a_huge_file_is_refused_before_it_is_read(tmp_path: Any) -> None:
    huge = tmp_path / "huge.train.json"
    with huge.open("wb") as file:
        file.truncate(50_000_000)  # a hole: takes no room on disk
    with pytest.raises(DocumentError, match="50 MB"):
        load(huge)
    with pytest.raises(DocumentError, match="million"):
        loads(" " * (MOST_BYTES + 1))


def test_an_older_version_is_lifted_step_by_step(monkeypatch: pytest.MonkeyPatch, farm_tree: dict[str, Any]) -> None:
    def widen(tree: Any) -> dict[str, Any]:
        return {**tree, "site": {**tree["site"], "notes": "lifted"}}

    monkeypatch.setattr(migrate, "VERSION", 2)
    monkeypatch.setitem(migrate.STEPS, 1, widen)
    lifted = Document.of(copy.deepcopy(farm_tree))
    assert lifted.version == 2 and lifted.site.notes == "lifted"
    with pytest.raises(DocumentError, match="^version: 3 is newer"):
        Document.of({**farm_tree, "version": 3})
