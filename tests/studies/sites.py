"""Documents that tests of remedies are built from: each has one thing wrong."""

from __future__ import annotations

from typing import Any

from tests.train.trains import MAIN, WATER, WELL, chain, document, stage
from trainapp.train.document import Document

#: Nothing of it asks for treatment.
CLEAN = {
    **WATER, "iron": "0.1 mg/L", "iron_dissolved": "0.05 mg/L", "manganese": "0.01 mg/L", "hardness": "5 gpg", "turbidity": "0.5 NTU",
    "turbidity_filtered_5um": "0.3 NTU",
}  # fmt: skip
GERMS = {"total_coliform": "12 /100mL"}
WELL_80 = {**WELL, "tank_volume": "80 gal"}
SOFTENER = {"resin_volume": "2 ft3", "tank_diameter": "12 in"}
WIDE = {"material": "copper_l", "size": "1-1/4 in", "length": "4 ft", "fittings": {"elbow_90": 2}}


def fine() -> dict[str, Any]:
    """A fine cartridge."""
    return stage("fine", "sediment_cartridge", rating="5 um")


def chamber(**changed: Any) -> dict[str, Any]:
    """A class A chamber with its own control; a setting of None is left out."""
    settings = {"rated_flow": "9 gpm", "device_class": "A", "flow_control": "9 gpm", "metal_run": "12 in", "shutoff": "valve", **changed}
    return stage("uv", "uv_chamber", **{key: value for key, value in settings.items() if value is not None})


def site(*stages: dict[str, Any], links: list[dict[str, str]] | None = None, water: dict[str, Any] | None = None, **more: Any) -> Document:
    """A train on a clean well with wide pipes; `water` changes its sample."""
    more = {"plumbing": WIDE, "supply": WELL_80, "peak": "6 gpm", **more}
    return document(stages, links, water={**CLEAN, **(water or {})}, **more)


def iron_water(**changed: Any) -> dict[str, Any]:
    """The iron of a farm well."""
    return {key: WATER[key] for key in ("iron", "iron_dissolved", "manganese")} | changed


def _media(kind: str, **settings: Any) -> dict[str, Any]:
    return stage(kind.split("_")[0], kind, **settings)


IRON = iron_water()
SOFT = _media("softener", **SOFTENER)
#: (what is wrong, document, code, stage, analyte, words that one of the offered labels holds).
CASES: tuple[tuple[str, Document, str, str, str, str], ...] = (
    ("no flow control", site(fine(), chamber(flow_control=None)), "no-flow-control", "uv", "", "a flow control of its own"),
    (
        "plastic at the chamber",
        site(fine(), chamber(metal_run="2 in"), plumbing={"material": "pex", "size": "1-1/4 in"}),
        "uv-plastic",
        "uv",
        "",
        "metal pipe",
    ),
    ("no shut-off", site(fine(), chamber(shutoff="none"), water=GERMS), "no-shutoff", "uv", "", "closes without power"),
    ("no disinfection", site(fine(), water=GERMS), "unprotected-path", "house", "", "UV chamber 8 gpm, class A"),
    (
        "an open bypass",
        site(
            fine(),
            chamber(),
            stage("by", "bypass", position="open"),
            links=[*chain("supply", "fine", "uv", "house"), *chain("supply", "by", "house")],
            water=GERMS,
        ),
        "unprotected-path",
        "house",
        "",
        "Close the bypass",
    ),
    ("class B", site(fine(), chamber(device_class="B", rated_dose="16 mJ/cm2"), water=GERMS), "uv-class", "uv", "", "class A"),
    ("too small a chamber", site(fine(), chamber(rated_flow="5 gpm", flow_control=None)), "outside-rating", "uv", "", "UV chamber 12 gpm"),
    (
        "dark water",
        site(fine(), chamber(), water={"uvt": "70 %/cm", "uvt_filtered": "71 %/cm"}),
        "outside-rating",
        "uv",
        "uvt",
        "at UVT 65",
    ),
    ("no cartridge", site(chamber(), water=GERMS), "order", "uv", "", "20 x 4-1/2 in"),
    (
        "carbon behind",
        site(fine(), chamber(), _media("carbon_bed", tank_diameter="12 in"), water=GERMS),
        "order",
        "carbon",
        "",
        "Move the carbon bed",
    ),
    (
        "a fine cartridge first",
        site(fine(), _media("iron_filter", tank_diameter="16 in", media="coated_zeolite"), water=IRON),
        "order",
        "fine",
        "iron_dissolved",
        "Move",
    ),
    (
        "a neutralizer last",
        site(SOFT, _media("neutralizer", tank_diameter="13 in"), water={"ph": "6.2", "alkalinity": "40 mg/L"}),
        "order",
        "neutralizer",
        "hardness",
        "Move the neutralizer ahead of the softener",
    ),
    (
        "acid water",
        site(fine(), water={"ph": "6.1", "alkalinity": "40 mg/L", "tds": "140 mg/L"}),
        "corrosion",
        "house",
        "ph",
        "a neutralizer, calcite",
    ),
    ("hardness", site(fine(), chamber(), water={"hardness": "22 gpg"}), "inlet-limit", "uv", "hardness", "a softener"),
    ("hardness and iron", site(fine(), chamber(), water={**IRON, "hardness": "18 gpg"}), "inlet-limit", "uv", "hardness", "an iron filter"),
    ("iron", site(fine(), chamber(), water=IRON), "inlet-limit", "uv", "iron", "an iron filter"),
    ("iron on resin", site(SOFT, fine(), water=IRON), "iron-on-resin", "softener", "iron", "an iron filter"),
    ("sulfide", site(SOFT, water={"hydrogen_sulfide": "1.2 mg/L"}), "inlet-limit", "softener", "hydrogen_sulfide", "an iron filter"),
    (
        "cloudy water",
        site(chamber(), water={"turbidity": "6 NTU", "turbidity_filtered_5um": "0.4 NTU"}),
        "inlet-limit",
        "uv",
        "turbidity",
        "sediment cartridge",
    ),
    (
        "chlorine",
        site(SOFT, water={"free_chlorine": "1.6 mg/L", "total_chlorine": "1.7 mg/L"}, supply=MAIN),
        "chlorine-on-resin",
        "softener",
        "free_chlorine",
        "carbon bed",
    ),
    ("sodium", site(SOFT, water={"hardness": "18 gpg", "tds": "300 mg/L"}), "outlet-goal", "house", "sodium", "potassium chloride"),
    (
        "too little resin",
        site(_media("softener", resin_volume="0.75 ft3", tank_diameter="8 in"), water={"hardness": "30 gpg"}, peak="4 gpm"),
        "capacity-short",
        "softener",
        "hardness",
        "Swap the softener",
    ),
    (
        "air and manganese",
        site(_media("iron_filter", tank_diameter="14 in", media="coated_silicate", oxidant="air"), water=IRON),
        "media-limit",
        "iron",
        "ph",
        "zeolite",
    ),
    (
        "a dose too low",
        site(stage("feed", "oxidant_feed", dose="0.5 mg/L", paced_by="flow"), _media("sediment_bed", tank_diameter="13 in"), water=IRON),
        "oxidant-short",
        "feed",
        "",
        "Set the dose",
    ),
    (
        "pink water",
        site(
            stage("feed", "oxidant_feed", oxidant="permanganate", dose="9 mg/L", paced_by="flow"),
            _media("sediment_bed", tank_diameter="13 in"),
            water=IRON,
        ),
        "pink-water",
        "feed",
        "",
        "chlorine",
    ),
    (
        "a feed on a main",
        site(stage("feed", "oxidant_feed"), _media("sediment_bed"), water=IRON, supply=MAIN),
        "feed-pacing",
        "feed",
        "",
        "flow meter",
    ),
    (
        "short contact",
        site(
            stage("feed", "oxidant_feed", paced_by="flow"),
            stage("tank", "contact_tank", volume="40 gal"),
            _media("sediment_bed"),
            water=IRON,
        ),
        "contact-short",
        "tank",
        "",
        "contact tank",
    ),
    ("air in the tank", site(fine(), supply={**WELL_80, "precharge": "48 psi"}), "precharge", "supply", "", "38.0 psi"),
    ("a small tank", site(fine(), supply={**WELL, "tank_volume": "20 gal"}), "tank-cycling", "supply", "", "a pressure tank of"),
    (
        "high pressure",
        site(fine(), supply={**MAIN, "static": "95 psi", "residual": "85 psi"}),
        "high-pressure",
        "house",
        "",
        "regulator 60 psi",
    ),
    (
        "a weak pump",
        site(fine(), supply={**WELL_80, "pump_curve": [["0 gpm", "80 psi"], ["4 gpm", "60 psi"], ["7 gpm", "30 psi"]]}, peak="8 gpm"),
        "flow-short",
        "supply",
        "",
        "booster pump",
    ),
    (
        "narrow pipe",
        site(fine(), peak="11 gpm", plumbing={"material": "copper_l", "size": "3/4 in"}),
        "velocity",
        "fine",
        "",
        "Lay 1 in pipe",
    ),
    (
        "a dirty cartridge",
        site(stage("fine", "sediment_cartridge", rating="5 um", length="10 in", diameter="2.5 in"), peak="4 gpm"),
        "low-pressure",
        "house",
        "",
        "Change the sediment cartridge",
    ),
    (
        "too much to wash",
        site(_media("iron_filter", tank_diameter="13 in", media="manganese_dioxide"), water=IRON, peak="5 gpm"),
        "backwash-short",
        "iron",
        "",
        "Swap the iron filter",
    ),
    (
        "raw water meanwhile",
        site(SOFT, fine(), chamber(), water={"hardness": "22 gpg"}),
        "raw-while-cleaning",
        "softener",
        "hardness",
        "close the way to the house",
    ),
    (
        "a low room",
        site(_media("softener", resin_volume="4 ft3", tank_diameter="16 in"), water={"hardness": "18 gpg"}, room={"height": "6 ft"}),
        "room-fit",
        "softener",
        "",
        "Swap the softener",
    ),
    (
        "nothing to do",
        site(_media("tannin_resin"), water={"hardness": "0.5 gpg"}),
        "no-effect",
        "tannin",
        "tannin",
        "Take the tannin resin out",
    ),
    ("a loose stage", site(fine(), SOFT, links=chain("supply", "fine", "house")), "loose", "softener", "", "Pipe the softener"),
    ("brine", site(_media("softener", drain={"to": "ground"}, **SOFTENER)), "drain", "softener", "", "sewer"),
    (
        "hard water on tannin resin",
        site(_media("tannin_resin"), water={"tannin": "2 mg/L", "hardness": "14 gpg"}),
        "order",
        "tannin",
        "hardness",
        "a softener",
    ),
    (
        "taps of soft water",
        site(
            SOFT,
            links=[*chain("supply", "softener", "house"), *chain("softener", "garden")],
            water={"hardness": "14 gpg"},
            outlets={"garden": {"peak": "2 gpm", "daily": "20 gal", "drinking": False}},
        ),
        "order",
        "garden",
        "",
        "straight from the supply",
    ),
    (
        "a sequestrant",
        site(
            stage("dose", "declared", name="Phosphate feed"),
            _media("iron_filter", tank_diameter="14 in", media="coated_zeolite"),
            water=IRON,
        ),
        "order",
        "dose",
        "",
        "declared treatment",
    ),
    (
        "more than it is made for",
        site(_media("softener", resin_volume="0.75 ft3", tank_diameter="8 in"), water={"hardness": "8 gpg"}, peak="9 gpm"),
        "over-rating",
        "softener",
        "",
        "Swap the softener",
    ),
)
