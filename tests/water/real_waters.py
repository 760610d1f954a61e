"""Seventeen real waters: groundwater of Dutch coastal dunes, rain to brackish, with full analyses.

Source: KWR Water Research Institute, repository KWR-Water/hgc, tests/data/dataset_basic.csv (commit b9c5ef03), MIT licence, copyright (c)
2019 KWR Water Research Institute; figures re-typed. Its alkalinity is mg/L of bicarbonate (its charge balance proves it); ammonium,
nitrate, phosphate and silica count the ion named; iron and manganese passed a filter; conductivity and pH were found in the laboratory.
"""

from __future__ import annotations

from trainapp.water.sample import Result, read_sheet

_COLUMNS = (
    ("temperature", "degC"), ("conductivity", "uS/cm"), ("turbidity", "FTU"), ("alkalinity", "mg/L as HCO3"), ("dissolved_oxygen", "mg/L"),
    ("methane", "mg/L"), ("ph", ""), ("sodium", "mg/L"), ("potassium", "mg/L"), ("calcium", "mg/L"), ("magnesium", "mg/L"),
    ("iron_dissolved", "mg/L"), ("manganese_dissolved", "mg/L"), ("ammonia", "mg/L as NH4"), ("silica", "mg/L"), ("chloride", "mg/L"),
    ("sulfate", "mg/L"), ("nitrate", "mg/L as NO3"), ("phosphate", "mg/L"), ("fluoride", "mg/L"), ("permanganate_index", "mg/L"),
    ("toc", "mg/L"),
)  # fmt: skip

_ = None
_ROWS: dict[str, tuple[float | None, ...]] = {
    "Prec. 1987": (10, 65, 1, 0, 11, 0, 4.5, 9, 0.4, 1, 1.1, 0.1, 0.02, 1.29, 0.2, 16, 7, 3.4, 0.04, 0.027, 5.2, 1.5),
    "14C.041+6.5": (10, 140, 2, 0, 2, 0, 4.3, 15, 1.1, 2, 1.6, 0.29, 0.05, 0.05, 11.2, 19, 16, 22.6, 0.04, 0.08, 17.4, 4.4),
    "14C.041+5.5": (10, 161, 0.5, 0, 1, 0, 4.4, 19, 1.8, 2, 3, 0.12, 0.03, 0.05, 10.6, 31, 18, 12, 0.24, 0.07, 3, 2.3),
    "14C.041+4.5": (10, 157, 0.2, 7, 0, 0, 5.5, 20, 2.1, 3, 3.9, 2.33, 0.06, 0.08, 15.4, 34, 19, 0.1, 0.46, 0.12, 5.3, 3.9),
    "14C.041+3.5": (10, 180, _, 13, 0, 0, 5.7, 21, 2.8, 5, 5.4, 3.43, 0.13, 0.19, 18.6, 41, 20, 0, 0.43, 0.00501, 7.3, 5.8),
    "19A.326-12.5": (10, 209, _, 23, 0, _, 6.2, 24, 1.8, 13, 2.7, 0.7, 0.03, 0.23, 15.1, 41, 24, 0, 0.15, 0.00501, 13.9, 5.1),
    "19A.326-17.5": (10, 332, 1, 92, 0, 0.14, 7.4, 29, 1.9, 38, 2.8, 0.3, 0.09, 0.24, 15.6, 44, 36, 0, 0.34, 0.00501, 16.8, 5.8),
    "19A.326-23.5": (10, 388, 2, 121, 0, _, 7.6, 31, 2, 47, 3.3, 0.4, 0.13, 0.34, 13.3, 50, 35, 0, 0.36, 0.00501, 11.9, 4.8),
    "19A.031-30": (10.1, 390, 0.5, 146, 0, _, 7.7, 29, 2, 51, 3.4, 0.51, 0.13, 0.44, 20, 45, 22, 0, 0.43, 0.01, _, 6.9),
    "19A.021-87": (10.2, 300, 0.2, 151, 0, _, 7.7, 15, 1.4, 48, 3.1, 3.4, 0.18, 0.68, 16, 33, 0, 0, 0.43, 0.01, _, 4.7),
    "19A.159-93": (10.5, 303, _, 156, 0, 5, 7.6, 15, 1.2, 48, 2.5, 1.22, 0.13, 0.45, 17.6, 29, 0, 0, 0.43, 0.03, 16.6, 4.7),
    "19B.014-92": (10.7, 323, _, 169, 0, 9.1, 8.1, 24, 9.5, 13, 21, 0.69, 0.04, 0.83, 22.9, 33, 0, 0, 0.83, 0.1, 11.5, 2.9),
    "19B.088-44": (10.8, 696, 1, 398, 0, 18.2, 8.5, 155, 11.5, 3, 3.1, 0.62, 0.04, 6.19, 17.4, 35, 0, 0, 10.56, 1.5, 84.9, 20),
    "19B.054-25": (10.7, 879, 2, 525, 0, _, 8.2, 190, 16.8, 9, 9.5, 0.17, 0.12, 8.26, 45, 60, 0, 0, 9.18, 1.1, 132, 34),
    "19B.088-20": (10.8, 2040, 0.5, 801, 0, _, 7.7, 445, 58, 27, 19.9, 1.6, 0.12, 20, 83.2, 390, 9, 0, 20.9, _, 470, 117.5),
    "19B.089-19": (10.8, 4730, 0.2, 903, 0, _, 8.5, 910, 134, 66, 71, 5.4, 0.3, 49, 71.6, 1320, 15, 0, 21.2, _, 130, 32.5),
    "19B.090-15": (11, 14950, 0, 2635, 0, _, 7.8, 3380, 95, 160, 390, 2.3, 0.03, 49, 71.6, 5285, 4, 0, 60, _, 160, 40),
}  # fmt: skip

#: Results of each water as a train document writes them.
REAL_WATERS: dict[str, dict[str, str]] = {
    name: {key: f"{value} {unit}".strip() for (key, unit), value in zip(_COLUMNS, row, strict=True) if value is not None}
    for name, row in _ROWS.items()
}


def sheet_of(name: str) -> dict[str, Result]:
    """One of the waters, read."""
    return read_sheet(REAL_WATERS[name])
