"""The full train that a careful designer lays for a sheet, a pump and a peak: rules of thumb, catalogue sizes, nothing tuned to findings.

screen, neutralizer where the water is acid (behind the iron filter where there is much iron), iron filter for iron, manganese or sulfide,
softener with two tanks for hardness, tannin resin for brown water, fine cartridges, a class A chamber with its control and valve. What the
sheet does not say is not treated. Beds are as wide as the pump can wash, and so many side by side as the peak asks for.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from tests.checks.wells import Well
from tests.train.trains import document, stage
from trainapp.train.document import Document
from trainapp.units import convert, parse
from trainapp.water.analytes import BY_KEY

#: in, tanks as they are sold.
TANKS = (8, 9, 10, 12, 13, 14, 16, 18, 21, 24)
METAL = {"material": "copper_l", "size": "1-1/4 in", "length": "5 ft", "fittings": {"elbow_90": 2}}
WIDE = {"valve": "1-1/4 in"}


def read(sheet: Mapping[str, Any], key: str) -> float:
    """A result as a number in its JSON unit, a detection limit as nothing, and nothing where it was not asked for."""
    text = str(sheet.get(key, "")).split(" as ")[0]
    if not text or text.startswith("<") or text in ("absent", "present"):
        return 0.0
    dimension = BY_KEY[key].dimension
    return convert(parse(text, dimension), dimension, "json")


def hardness_of(sheet: Mapping[str, Any]) -> float:
    return read(sheet, "hardness") or 2.497 * read(sheet, "calcium") + 4.118 * read(sheet, "magnesium")


def design(well: Well) -> Document:
    """The train for a well."""
    return lay(well.sheet, well.supply, well.peak, well.daily)


def lay(sheet: Mapping[str, Any], supply: Mapping[str, Any], peak: float, daily: float) -> Document:
    """The train for these results."""
    iron, manganese = (max(read(sheet, key), read(sheet, f"{key}_dissolved")) for key in ("iron", "manganese"))
    ph, sulfide = read(sheet, "ph"), read(sheet, "hydrogen_sulfide")
    acid, ferrous = 0.0 < ph < 6.9, iron > 0.3 or manganese > 0.05 or sulfide > 0.05
    washes = 0.85 * _gives(supply)
    stages = [cartridge("screen", "50 um", peak)]
    filters = [iron_filter(peak, washes, iron + manganese)] if ferrous else []
    beds = [neutralizer(sheet, peak, washes)] if acid else []
    stages += filters + beds if iron > 3.0 and ph >= 6.5 else beds + filters
    hardness = hardness_of(sheet) + (120.0 if acid else 0.0)
    brown = read(sheet, "tannin") > 0.3 or read(sheet, "colour") > 15.0
    # an anion resin wants soft water
    if hardness > (20.0 if brown else 120.0):
        stages.append(softener(hardness, peak, daily))
    if brown:
        stages.append(tannin_resin(peak))
    stages += [cartridge("fine", "5 um", peak), chamber(sheet, peak)]
    laid = document(stages, supply=supply, water=sheet, peak=f"{peak} gpm", plumbing=METAL)
    return Document.of({**laid.tree, "demand": {"peak": f"{peak} gpm", "daily": f"{daily} gal"}})


def _gives(supply: Mapping[str, Any]) -> float:
    """gpm of the pump where its switch turns it on."""
    return float(str(supply["pump_curve"][-1][0]).split()[0])


def _tank(washes: float, rate: float) -> int:
    """The widest tank (in) that so many gpm can wash at `rate` gpm/ft2."""
    fitting = [inches for inches in TANKS if math.pi * (inches / 24.0) ** 2 * rate <= washes]
    return fitting[-1] if fitting else TANKS[0]


def _side_by_side(inches: int, rate: float, peak: float) -> int:
    """Tanks side by side so that the peak passes at `rate` gpm/ft2 or less."""
    return max(math.ceil(peak / (rate * math.pi * (inches / 24.0) ** 2) - 1e-9), 1)


def cartridge(name: str, rating: str, peak: float) -> dict[str, Any]:
    """20 x 4-1/2 in housings, two from 6 gpm on, changed before they take much."""
    count = 2 if peak > 6.0 else 1
    return stage(name, "sediment_cartridge", rating=rating, length="20 in", diameter="4.5 in", change_at="6 psi") | {"count": count}


def iron_filter(peak: float, washes: float, metals: float) -> dict[str, Any]:
    """Greensand with a chlorine feed at 5 gpm/ft2, at less where the metals are many; one tank keeps its raw water back while it washes."""
    inches = _tank(washes, 9.0)
    count = _side_by_side(inches, 5.0 if metals < 5.0 else 3.5, peak)
    settings = {"tank_diameter": f"{inches} in", "bed_depth": "36 in", "media": "manganese_greensand", "oxidant": "chlorine"}
    return stage("iron", "iron_filter", **settings, during_cleaning="closed") | {"count": count}


def neutralizer(sheet: Mapping[str, Any], peak: float, washes: float) -> dict[str, Any]:
    """Calcite at 4 gpm/ft2 or less, with magnesia below pH 6."""
    inches = _tank(washes, 9.5)
    media = "calcite_magnesia" if read(sheet, "ph") < 6.0 else "calcite"
    settings = {"tank_diameter": f"{inches} in", "bed_depth": "36 in", "media": media}
    return stage("neutralizer", "neutralizer", **settings, clean_at="1 h", during_cleaning="closed") | {
        "count": _side_by_side(inches, 4.0, peak)
    }


def softener(hardness: float, peak: float, daily: float) -> dict[str, Any]:
    """Two tanks that take turns: 4 gpm/ft3 at the peak, four days at the least."""
    grains = hardness / 17.118 * daily
    volume = math.ceil(2.0 * max(peak / 4.0, 4.0 * grains / 24000.0, 1.0)) / 2.0
    inches = next(i for i in TANKS if volume / (math.pi * (i / 24.0) ** 2) <= 3.0 or i == TANKS[-1])
    settings = {"resin_volume": f"{volume} ft3", "tank_diameter": f"{inches} in", "salt_dose": "8 lb/ft3", "tanks": "2"}
    return stage("softener", "softener", **settings, **WIDE)


def tannin_resin(peak: float) -> dict[str, Any]:
    """2.5 gpm/ft3 at the peak."""
    volume = math.ceil(peak / 2.5)
    inches = next(i for i in TANKS if volume / (math.pi * (i / 24.0) ** 2) <= 3.0)
    settings = {"resin_volume": f"{volume} ft3", "tank_diameter": f"{inches} in", "regenerate_every": "3 d"}
    return stage("tannin", "tannin_resin", **settings, **WIDE, clean_at="4 h", during_cleaning="closed")


def chamber(sheet: Mapping[str, Any], peak: float) -> dict[str, Any]:
    """Class A with its own control and a valve; one that is rated for darker water where the sheet says that it is dark."""
    dark = 0.0 < max(read(sheet, "uvt"), read(sheet, "uvt_filtered")) < 78.0
    flow = "12 gpm" if peak > 6.5 else "10 gpm"
    return stage(
        "uv", "uv_chamber", device_class="A", rated_flow=flow, rated_dose="40 mJ/cm2", rated_uvt="60 %/cm" if dark else "75 %/cm",
        flow_control=flow, metal_run="12 in", shutoff="valve", certificate="its listing",
    )  # fmt: skip
