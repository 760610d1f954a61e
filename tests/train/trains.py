"""Documents that tests of the engine are built from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from trainapp.train.document import Document

WATER = {
    "hardness": "18 gpg", "iron": "2.4 mg/L", "iron_dissolved": "2.2 mg/L", "manganese": "0.12 mg/L", "turbidity": "1.2 NTU",
    "turbidity_filtered_5um": "0.4 NTU", "uvt": "82 %/cm", "uvt_filtered": "86 %/cm", "ph": "7.3", "alkalinity": "210 mg/L",
    "sulfate": "20 mg/L", "chloride": "12 mg/L", "sodium": "9 mg/L", "tds": "380 mg/L", "total_coliform": "absent", "e_coli": "absent",
    "hydrogen_sulfide": "<0.02 mg/L", "ammonia": "0.1 mg/L", "dissolved_oxygen": "1.5 mg/L", "tannin": "<0.1 mg/L", "toc": "1 mg/L",
    "nitrate": "<0.5 mg/L",
}  # fmt: skip

WELL = {
    "kind": "well", "yield": "12 gpm", "temperature": ["9 degC", "13 degC"],
    "pump_curve": [["0 gpm", "92 psi"], ["6 gpm", "78 psi"], ["16 gpm", "52 psi"]],
    "control": "switch", "cut_in": "40 psi", "cut_out": "60 psi", "tank_volume": "44 gal", "precharge": "38 psi",
}  # fmt: skip

MAIN = {"kind": "mains", "static": "62 psi", "residual": "50 psi", "at_flow": "20 gpm"}


def stage(stage_id: str, kind: str, **settings: Any) -> dict[str, Any]:
    """One stage as a document writes it."""
    return {"id": stage_id, "kind": kind, "settings": settings}


def chain(*nodes: str) -> list[dict[str, str]]:
    """Links through nodes one behind the other."""
    return [{"from": a, "to": b} for a, b in zip(nodes, nodes[1:], strict=False)]


def document(
    stages: Sequence[Mapping[str, Any]],
    links: Sequence[Mapping[str, Any]] | None = None,
    *,
    supply: Mapping[str, Any] = WELL,
    water: Mapping[str, Any] = WATER,
    peak: str = "7 gpm",
    **more: Any,
) -> Document:
    """A train of these stages, one behind the other unless links are given."""
    return Document.of({
        "format": "trainapp/train", "version": 1,
        "site": {"name": "Test"},
        "supply": supply,
        "demand": {"peak": peak, "daily": "280 gal"},
        "samples": [{"id": "s", "at": "supply", "results": water}],
        "plumbing": {"material": "pex", "size": "1 in", "length": "6 ft", "fittings": {"elbow_90": 2}},
        "stages": list(stages),
        "links": list(links if links is not None else chain("supply", *(s["id"] for s in stages), "house")),
        **more,
    })  # fmt: skip


def full_train(**more: Any) -> Document:
    """A farm well's train: screen, iron filter, softener, fine cartridge, UV."""
    return document([
        stage("screen", "sediment_cartridge", rating="50 um"),
        stage("iron", "iron_filter", tank_diameter="12 in", media="manganese_greensand", oxidant="chlorine"),
        stage("softener", "softener", resin_volume="2 ft3", tank_diameter="12 in", salt_dose="8 lb/ft3"),
        stage("fine", "sediment_cartridge", rating="5 um"),
        stage("uv", "uv_chamber", rated_flow="9 gpm", rated_uvt="75 %/cm", flow_control="9 gpm"),
    ], **more)  # fmt: skip


def twelve_stages(second: str = "neutralizer") -> Document:
    """Every kind that a long train may have, one behind the other, and an outdoor tap; the second stage is of the kind given."""
    stages = [
        stage("screen", "sediment_cartridge", rating="50 um"),
        stage("second", second),
        stage("feed", "oxidant_feed", oxidant="chlorine", dose="3 mg/L"),
        stage("contact", "contact_tank", volume="80 gal"),
        stage("iron", "iron_filter", tank_diameter="12 in", media="manganese_greensand", oxidant="chlorine"),
        stage("bed", "sediment_bed"),
        stage("softener", "softener", resin_volume="2 ft3", tank_diameter="12 in"),
        stage("tannin", "tannin_resin"),
        stage("carbon", "carbon_bed"),
        stage("fine", "sediment_cartridge", rating="5 um"),
        stage("control", "flow_control", flow="9 gpm"),
        stage("uv", "uv_chamber", rated_flow="9 gpm", rated_uvt="75 %/cm"),
    ]
    links = [*chain("supply", *(s["id"] for s in stages), "house"), {"from": "screen", "to": "garden"}]
    return document(stages, links, outlets={"garden": {"peak": "4 gpm", "daily": "50 gal", "drinking": False}})


def fifteen_stages() -> Document:
    """The long train behind a regulator, with two softeners side by side, a second carbon bed and an outdoor tap."""
    base = dict(twelve_stages().tree)
    extra = [
        stage("regulator", "pressure_regulator", set_pressure="55 psi"),
        stage("softener2", "softener", resin_volume="1.5 ft3"),
        stage("carbon2", "carbon_bed"),
    ]
    pairs = [(link["from"], link["to"]) for link in base["links"]]
    pairs.remove(("supply", "screen"))
    pairs.remove(("carbon", "fine"))
    pairs += [("supply", "regulator"), ("regulator", "screen"), ("bed", "softener2"), ("softener2", "tannin")]
    pairs += [("carbon", "carbon2"), ("carbon2", "fine")]
    return Document.of({**base, "stages": [*base["stages"], *extra], "links": [{"from": a, "to": b} for a, b in pairs]})
