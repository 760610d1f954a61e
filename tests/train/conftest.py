"""What tests of the document share."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest

from trainapp.train.document import Document, loads

FARM: dict[str, Any] = {
    "format": "trainapp/train",
    "version": 1,
    "made_with": {"program": "0.1.0", "limits": "us"},
    "site": {"name": "Lone Alder Farm", "use": "household", "people": 4, "notes": ""},
    "room": {"width": "12 ft", "height": "8 ft"},
    "supply": {
        "kind": "well", "source": "drilled_well", "surface_influence": "no", "yield": "12 gpm", "temperature": ["9 degC", "13 degC"],
        "pump_curve": [["0 gpm", "92 psi"], ["6 gpm", "78 psi"], ["12 gpm", "48 psi"]],
        "control": "switch", "cut_in": "40 psi", "cut_out": "60 psi", "tank_volume": "44 gal", "precharge": "38 psi", "lift": "0 ft",
    },
    "demand": {"peak": "7 gpm", "daily": "280 gal", "pattern": "household"},
    "outlets": {"garden": {"peak": "5 gpm", "daily": "100 gal", "drinking": False}},
    "goals": {"outlet_pressure": "25 psi", "house_loss": "8 psi", "limits": "us", "disinfect": "auto", "uv_dose": "40 mJ/cm2"},
    "samples": [{
        "id": "spring", "date": "2026-05-04", "at": "supply", "lab": "",
        "results": {
            "hardness": "18 gpg", "iron": "3.1 mg/L", "iron_dissolved": "2.9 mg/L", "manganese": "0.12 mg/L", "turbidity": "2.4 NTU",
            "uvt": "71 %/cm", "uvt_filtered": "84 %/cm", "ph": "7.3", "alkalinity": "210 mg/L", "total_coliform": "12 /100mL",
            "e_coli": "absent", "nitrate": "<0.5 mg/L", "arsenic": "<0.005 mg/L",
        },
    }],
    "design_sample": "spring",
    "plumbing": {"material": "pex", "size": "1 in", "length": "6 ft", "fittings": {"elbow_90": 2}},
    "stages": [
        {"id": "screen", "kind": "sediment_cartridge", "settings": {"rating": "50 um", "length": "20 in", "diameter": "4.5 in"}},
        {"id": "iron", "kind": "iron_filter", "settings": {
            "tank_diameter": "12 in", "bed_depth": "36 in", "media": "manganese_greensand", "oxidant": "chlorine"}},
        {"id": "softener", "kind": "softener", "settings": {"resin_volume": "2 ft3", "tank_diameter": "12 in", "salt_dose": "8 lb/ft3"}},
        {"id": "fine", "kind": "sediment_cartridge", "settings": {"rating": "5 um", "length": "20 in", "diameter": "4.5 in"}},
        {"id": "uv", "kind": "uv_chamber", "settings": {
            "rated_flow": "9 gpm", "rated_dose": "40 mJ/cm2", "rated_uvt": "75 %/cm", "device_class": "A", "rating_basis": "alarm_point",
            "flow_control": "9 gpm", "metal_run": "12 in"}},
    ],
    "links": [
        {"from": "supply", "to": "screen"}, {"from": "supply", "to": "garden"}, {"from": "screen", "to": "iron"},
        {"from": "iron", "to": "softener"}, {"from": "softener", "to": "fine"}, {"from": "fine", "to": "uv"}, {"from": "uv", "to": "house"},
    ],
    "accepted": [], "items": {}, "log": [],
}  # fmt: skip
"""The example of the public contract, section 1, key by key."""


@pytest.fixture
def farm_tree() -> dict[str, Any]:
    """A fresh tree to change."""
    return copy.deepcopy(FARM)


@pytest.fixture
def farm() -> Document:
    """The document of that tree."""
    return Document.of(FARM)


@pytest.fixture
def changed() -> Callable[..., Document]:
    """Reads the farm with values replaced: changed(("supply", "yield"), "9 gpm", ...); a value of ... removes the key."""

    def read(*pairs: Any) -> Document:
        tree = copy.deepcopy(FARM)
        for path, value in zip(pairs[::2], pairs[1::2], strict=True):
            put(tree, path, value)
        return loads(json.dumps(tree))

    return read


def put(tree: Any, path: tuple[Any, ...], value: Any) -> None:
    """Set or, with a value of ..., remove what stands at a path of a plain tree."""
    for step in path[:-1]:
        tree = tree[step]
    if value is ...:
        del tree[path[-1]]
    elif isinstance(tree, list) and path[-1] == "+":
        tree.append(value)
    else:
        tree[path[-1]] = value
