"""The analytes of a water sample, and the rows that a stream of water carries.

An *analyte* is a name that a laboratory sheet may use (the public contract lists them). A *row* is a quantity that a
:class:`~trainapp.water.stream.Stream` carries from stage to stage. Most analytes are rows of the same name; iron, manganese,
turbidity and UVT are split into parts that behave differently in a filter, and are summed again when they are read.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Adverse = Literal["high", "low", "range", "none"]


@dataclass(frozen=True, slots=True)
class Analyte:
    """One analyte of the sample sheet.

    Attributes:
        key: name in files.
        label: plain name on screen and paper.
        dimension: key into :data:`trainapp.units.DIMENSIONS`; its JSON unit is the unit a stream carries.
        basis: what the number counts the analyte as ("CaCO3", "N"), empty for the analyte itself.
        equivalent: grams per equivalent of the basis, 0 where meq/L means nothing.
        molar: grams per mole of the basis, 0 where mmol/L means nothing.
        adverse: which end of an interval is the adverse reading.
        states: words that a result may be instead of a number.
    """

    key: str
    label: str
    dimension: str = "concentration"
    basis: str = ""
    equivalent: float = 0.0
    molar: float = 0.0
    adverse: Adverse = "high"
    states: tuple[str, ...] = ()


_BACTERIA = ("absent", "present", "TNTC")

ANALYTES: tuple[Analyte, ...] = (
    Analyte("hardness", "Hardness", "hardness", "CaCO3", 50.0435, 100.087),
    Analyte("calcium", "Calcium", equivalent=20.039, molar=40.078),
    Analyte("magnesium", "Magnesium", equivalent=12.1525, molar=24.305),
    Analyte("alkalinity", "Alkalinity", "hardness", "CaCO3", 50.0435, 100.087, adverse="none"),
    Analyte("ph", "pH", "ph", adverse="range"),
    Analyte("temperature", "Temperature", "temperature", adverse="none"),
    Analyte("tds", "Dissolved solids"),
    Analyte("conductivity", "Conductivity", "conductivity"),
    Analyte("carbon_dioxide", "Carbon dioxide", molar=44.0095),
    Analyte("iron", "Iron", equivalent=27.9225, molar=55.845),
    Analyte("iron_dissolved", "Iron, dissolved", equivalent=27.9225, molar=55.845),
    Analyte("manganese", "Manganese", equivalent=27.469, molar=54.938),
    Analyte("manganese_dissolved", "Manganese, dissolved", equivalent=27.469, molar=54.938),
    Analyte("turbidity", "Turbidity", "turbidity"),
    Analyte("turbidity_filtered_5um", "Turbidity after 5 µm", "turbidity"),
    Analyte("settles_overnight", "Settles overnight", "state", states=("yes", "no")),
    Analyte("suspended_solids", "Suspended solids"),
    Analyte("uvt", "UVT", "uvt", adverse="low"),
    Analyte("uvt_filtered", "UVT, filtered", "uvt", adverse="low"),
    Analyte("colour", "Colour", "colour"),
    Analyte("tannin", "Tannin"),
    Analyte("toc", "Organic carbon", molar=12.011),
    Analyte("hydrogen_sulfide", "Hydrogen sulfide", molar=34.081, equivalent=17.04),
    Analyte("dissolved_oxygen", "Dissolved oxygen", molar=31.998, adverse="none"),
    Analyte("nitrate", "Nitrate", basis="N", equivalent=14.007, molar=14.007),
    Analyte("nitrite", "Nitrite", basis="N", equivalent=14.007, molar=14.007),
    Analyte("ammonia", "Ammonia", basis="N", equivalent=14.007, molar=14.007),
    Analyte("sulfate", "Sulfate", equivalent=48.03, molar=96.06),
    Analyte("chloride", "Chloride", equivalent=35.453, molar=35.453),
    Analyte("sodium", "Sodium", equivalent=22.990, molar=22.990),
    Analyte("potassium", "Potassium", equivalent=39.098, molar=39.098),
    Analyte("fluoride", "Fluoride", equivalent=18.998, molar=18.998),
    Analyte("silica", "Silica", basis="SiO2", molar=60.084),
    Analyte("arsenic", "Arsenic", molar=74.922),
    Analyte("lead", "Lead", molar=207.2),
    Analyte("copper", "Copper", molar=63.546),
    Analyte("uranium", "Uranium", molar=238.029),
    Analyte("radon", "Radon", "activity"),
    Analyte("barium", "Barium", equivalent=68.665, molar=137.33),
    Analyte("boron", "Boron", molar=10.811),
    Analyte("aluminium", "Aluminium", equivalent=8.994, molar=26.982),
    Analyte("free_chlorine", "Free chlorine", molar=70.906),
    Analyte("total_chlorine", "Total chlorine", molar=70.906),
    Analyte("total_coliform", "Total coliform", "count", states=_BACTERIA),
    Analyte("e_coli", "E. coli", "count", states=_BACTERIA),
    Analyte("iron_bacteria", "Iron bacteria", "count", states=_BACTERIA),
)

BY_KEY: dict[str, Analyte] = {a.key: a for a in ANALYTES}

#: Lower edges of the six particle size classes, micrometres; the classes are those of NSF/ANSI 42 (from memory), finest first.
#: Below the first edge lies the colloid row, which no cartridge takes.
CLASS_EDGES_UM: tuple[float, ...] = (0.5, 1.0, 5.0, 15.0, 30.0, 50.0)

#: Turbidity by size class, NTU: colloid, then the six classes, finest first. Their sum is the turbidity.
PARTICLE_ROWS: tuple[str, ...] = ("colloid", "class_1", "class_2", "class_3", "class_4", "class_5", "class_6")

#: Analytes that are read as a sum or a function of rows, and are never rows themselves.
DERIVED: frozenset[str] = frozenset(
    {"iron", "manganese", "turbidity", "turbidity_filtered_5um", "uvt", "uvt_filtered", "settles_overnight"}
)

#: Rows that no laboratory reports under this name.
#: absorbance: decadic absorbance at 254 nm, 1/cm, all of it. absorbance_particles, absorbance_iron: the parts of it that leave
#: with the particles and with the iron; in the adverse reading only what a filtered sample has proven.
INTERNAL_ROWS: tuple[str, ...] = (
    "iron_particulate", "manganese_particulate", "absorbance", "absorbance_particles", "absorbance_iron",
    "permanganate", "peroxide", *PARTICLE_ROWS,
)  # fmt: skip

ROWS: tuple[str, ...] = tuple(a.key for a in ANALYTES if a.key not in DERIVED) + INTERNAL_ROWS
ROW_INDEX: dict[str, int] = {name: i for i, name in enumerate(ROWS)}
