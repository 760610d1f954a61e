"""Waters of private wells with the train that a careful designer would give each: what the checks say of them must be worth reading."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from tests.checks.build import GOOD_WELL, METAL, uv
from tests.train.trains import document, stage
from tests.water.real_waters import REAL_WATERS
from trainapp.train.document import Document

DRAWN = 300


def designs() -> Iterator[tuple[str, Document]]:
    """The 17 real groundwaters, then drawn wells, each with a full train."""
    for name, results in REAL_WATERS.items():
        yield name, full(results)
    random = np.random.default_rng(20260504)
    for i in range(DRAWN):
        yield f"drawn {i}", full(drawn(random))


def drawn(random: np.random.Generator) -> dict[str, Any]:
    """A sheet of a domestic well: log-normal where nature is, mostly without germs; about a dozen results, as laboratories sell them.

    Medians and spreads are judgement; the share of coliform is that of domestic wells (34 %, USGS Circular 1332, from memory).
    """
    def log(median: float, spread: float) -> float:
        return float(median * np.exp(spread * random.standard_normal()))

    iron, manganese = min(log(0.25, 1.5), 9.0), min(log(0.04, 1.2), 1.5)
    ph = float(np.clip(random.normal(7.3, 0.5), 5.9, 8.6))
    hardness = min(log(160.0, 0.7), 700.0)
    uvt = float(np.clip(random.normal(90.0, 4.0), 76.0, 98.0))
    coliform = random.random() < 0.34
    return {
        "ph": f"{ph:.1f}", "hardness": f"{hardness:.0f} mg/L",
        "alkalinity": f"{min(0.8 * hardness + 30.0, 450.0):.0f} mg/L",
        "iron": f"{iron:.2f} mg/L", "iron_dissolved": f"{0.95 * iron:.2f} mg/L",
        "manganese": f"{manganese:.3f} mg/L",
        "turbidity": f"{min(log(0.8, 0.7), 4.0) + 0.3:.1f} NTU", "turbidity_filtered_5um": "0.3 NTU",
        "uvt": f"{uvt:.0f} %/cm",
        "nitrate": f"{min(log(1.2, 1.2), 30.0):.1f} mg/L as N", "tds": f"{1.3 * hardness + 100.0:.0f} mg/L", 
        "hydrogen_sulfide": "<0.02 mg/L",
        "total_coliform": f"{int(log(8.0, 1.0)) + 1} /100mL" if coliform else "absent", "e_coli": "absent",
    }  # fmt: skip


def full(results: Mapping[str, Any]) -> Document:
    """The train that the sheet asks for."""
    iron, manganese = (max(_number(results, key), _number(results, f"{key}_dissolved")) for key in ("iron", "manganese"))
    hardness = _number(results, "hardness") or 2.497 * _number(results, "calcium") + 4.118 * _number(results, "magnesium")
    ph = _number(results, "ph")
    acid = 0 < ph < 6.8
    stages = [stage("screen", "sediment_cartridge", rating="50 um", length="20 in", diameter="4.5 in")]
    if acid and iron <= 3.0:
        stages.append(neutralizer())
    if iron > 0.25 or manganese > 0.045:
        stages.append(stage(
            "iron", "iron_filter", tank_diameter="14 in", bed_depth="36 in", media="coated_zeolite", oxidant="chlorine",
            during_cleaning="closed",
        ))  # fmt: skip
    if acid and iron > 3.0:
        stages.append(neutralizer())
    if hardness > 110.0 or acid:
        volume = "5 ft3" if hardness > 350 else "3 ft3"
        stages.append(stage(
            "softener", "softener", resin_volume=volume, tank_diameter="16 in", salt_dose="10 lb/ft3", tanks="2", valve="1-1/4 in",
        ))  # fmt: skip
    stages.append(stage("fine", "sediment_cartridge", rating="5 um", length="20 in", diameter="4.5 in"))
    stages.append(uv())
    return document(stages, water=results, supply=GOOD_WELL, plumbing=METAL, peak="6 gpm")


def neutralizer() -> dict[str, Any]:
    """Calcite, large enough for the peak, that lets no raw water by while it cleans itself."""
    return stage("neutralizer", "neutralizer", tank_diameter="18 in", bed_depth="36 in", during_cleaning="closed")


def _number(results: Mapping[str, Any], key: str) -> float:
    text = results.get(key, "0")
    return float(str(text).split(" ")[0].lstrip("<>")) if not isinstance(text, Mapping) else 0.0
