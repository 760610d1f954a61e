"""Whether scale forms on the warm sleeve of a lamp: the saturation index of calcite in the water that is warmed there."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from trainapp.stages.working import Array
from trainapp.water.analytes import BY_KEY
from trainapp.water.carbonate import Ions, at_temperature, from_ph
from trainapp.water.stream import Stream, zero_where_unknown

_CALCIUM = BY_KEY["calcium"].molar / BY_KEY["hardness"].molar
_OTHERS = ("magnesium", "sodium", "potassium", "chloride", "sulfate", "nitrate", "ammonia")
#: A study asks many chambers about one water: the answer for this many values is kept.
_FEW = 64


def sleeve_index(water: Stream, hardness: float, cold: float, sleeve: float) -> Array | None:
    """Saturation index of calcite at the sleeve, shape (2, flows, waters), NaN where it does not matter or cannot be known.

    Only waters harder than `hardness` (mg/L) are asked about, and the first with them, because the answer takes longer than the rest of a
    stage. None where no water is so hard, or where pH or alkalinity of the first is not known.

    Args:
        cold, sleeve: degC of the water and of the sleeve; nothing is lost on the way.
    """
    shape = water.row("hardness").shape
    asked = np.asarray(water.row("hardness") > hardness)
    if not asked.any():
        return None
    asked[:, :, 0] = True

    calcium = water.row("calcium")[asked]
    # without its parts hardness is taken as calcium, which scales
    calcium = np.where(np.isnan(calcium), water.row("hardness")[asked] * _CALCIUM, calcium)
    others = [zero_where_unknown(water.row(name)[asked]) for name in _OTHERS]
    rows = np.stack([water.row("ph")[asked], water.row("alkalinity")[asked], calcium, *others])
    warmed = _kept(rows.tobytes(), cold, sleeve) if rows.shape[1] <= _FEW else _index(rows, cold, sleeve)
    index = np.full(shape, np.nan)
    index[asked] = warmed
    return None if np.isnan(index[:, :, 0]).any() else index


@lru_cache(maxsize=512)
def _kept(rows: bytes, cold: float, sleeve: float) -> Array:
    return _index(np.frombuffer(rows).reshape(3 + len(_OTHERS), -1), cold, sleeve)


def _index(rows: Array, cold: float, sleeve: float) -> Array:
    """Saturation index of waters given by pH, alkalinity, calcium and the other ions, shape (values,)."""
    ph, alkalinity, *ions = rows
    return np.asarray(at_temperature(from_ph(ph, alkalinity, Ions(*ions), cold), sleeve).calcite_index)
