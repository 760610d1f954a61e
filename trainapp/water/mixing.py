"""Waters that flow together, and the major ions of a stream as its chemistry needs them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trainapp.water.analytes import ROW_INDEX
from trainapp.water.carbonate import CarbonateWater, Ions, from_carbon, from_ph
from trainapp.water.indices import sodium_by_charge
from trainapp.water.plausible import assumed
from trainapp.water.rows import CALCIUM_HARDNESS, MAGNESIUM_HARDNESS, both
from trainapp.water.stream import Stream

Array = NDArray[np.float64]

_PH, _ALKALINITY, _TEMPERATURE = (ROW_INDEX[name] for name in ("ph", "alkalinity", "temperature"))
#: Told with a mixture whose pH is a mean of protons.
WITHOUT_ALKALINITY = "alkalinity was not measured, so the pH of mixed water is only the mean of the acidities"


def mix(streams: Sequence[Stream], weights: Sequence[ArrayLike], notes: list[str] | None = None) -> Stream:
    """Waters mixed by flow, closed to the air.

    Every row mixes in proportion to flow; absorbance and particles, too. pH follows from the mixture's alkalinity and inorganic carbon;
    where an alkalinity is not known it is that of the mean proton, and `notes` says so.

    Args:
        streams: of one shape.
        weights: flow of each, any unit, each broadcasting to (flows, waters). Where nothing flows at all the waters count alike.
        notes: gets a sentence where something had to be simplified.

    Returns:
        NaN in a row where a water that flows has NaN there; known where every water that flows is known.
    """
    shape = np.broadcast_shapes(*(s.values.shape[2:] for s in streams), *(np.shape(w) for w in weights))
    flow = np.stack([np.broadcast_to(np.asarray(w, dtype=np.float64), shape) for w in weights])
    total = flow.sum(axis=0)
    share = np.where(total > 0.0, flow / np.where(total > 0.0, total, 1.0), 1.0 / len(streams))
    runs = share > 0.0
    values = np.zeros((streams[0].values.shape[0], 2, *shape))
    known = np.ones((values.shape[0], shape[1]), dtype=bool)
    with np.errstate(invalid="ignore"):
        for stream, part, on in zip(streams, share, runs, strict=True):
            values += np.where(on, part * stream.values, 0.0)
            known &= stream.known | ~on.any(axis=0)
    mixed = Stream(values, known)
    values[_PH] = _mixed_ph(streams, share, runs, mixed, notes)
    return mixed


def _mixed_ph(streams: Sequence[Stream], share: Array, runs: NDArray[np.bool_], mixed: Stream, notes: list[str] | None) -> Array:
    """pH of the mixture, shape (2, flows, waters)."""
    shape = mixed.values.shape[1:]
    on = np.broadcast_to(runs[:, None], (len(streams), *shape))
    rows = {row: np.stack([np.broadcast_to(s.values[row], shape) for s in streams]) for row in (_PH, _ALKALINITY, _TEMPERATURE)}
    alike = np.logical_and.reduce([_alike(values, on) for values in rows.values()])
    part = np.broadcast_to(share[:, None], on.shape)
    ph: Array = np.where(
        alike, np.where(on, rows[_PH], np.inf).min(axis=0), -np.log10(np.where(on, part * 10.0 ** -rows[_PH], 0.0).sum(axis=0))
    )
    different = ~alike & ~np.isnan(ph)
    solvable = different & ~np.isnan(mixed.values[_ALKALINITY])
    if solvable.any():
        # all branches in one go: a solution costs the same for one water and for fifty
        own = _solved(lambda name: np.concatenate([s.row(name)[solvable] for s in streams]))
        weight = part[:, solvable]
        carbon, alkalinity = (
            np.where(weight > 0.0, weight * value.reshape(weight.shape), 0.0).sum(axis=0) for value in (own.carbon, own.alkalinity)
        )
        row = _taken(mixed, solvable)
        ph[solvable] = from_carbon(carbon, alkalinity, _ions(row), _temperature(row)).ph
    if notes is not None and (different & ~solvable).any():
        notes.append(WITHOUT_ALKALINITY)
    return ph


def _alike(values: Array, on: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Whether every water that flows has the same value, or none has one."""
    same = np.where(on, values, np.inf).min(axis=0) == np.where(on, values, -np.inf).max(axis=0)
    return np.asarray(same | ~(on & ~np.isnan(values)).any(axis=0))


# Chemistry of a stream ----------------------------------------------------------------------------------------------------------


#: Values of a row by its name.
_Row = Callable[[str], Array]


def solved(stream: Stream, temperature: ArrayLike | None = None) -> CarbonateWater:
    """The carbonate system of a stream, at its own temperature or another (degC), not heated to it; shape (2 readings, flows, waters)."""
    return _solved(stream.row, temperature)


def _taken(stream: Stream, where: NDArray[np.bool_]) -> _Row:
    """Rows of a stream, flat over the values that a mask takes."""
    return lambda name: np.asarray(stream.row(name)[where])


def _solved(row: _Row, temperature: ArrayLike | None = None) -> CarbonateWater:
    return from_ph(row("ph"), row("alkalinity"), _ions(row), _temperature(row) if temperature is None else temperature)


def _ions(row: _Row) -> Ions:
    calcium, magnesium = row("calcium"), row("magnesium")
    if np.isnan(calcium).any() or np.isnan(magnesium).any():
        hardness, share = _or(row("hardness"), assumed("hardness")), float(both("calcium_share").mean())
        calcium = _or(calcium, hardness * share / CALCIUM_HARDNESS)
        magnesium = _or(magnesium, np.maximum(hardness - CALCIUM_HARDNESS * calcium, 0.0) / MAGNESIUM_HARDNESS)
    ions = {name: _or(row(name), assumed(name)) for name in ("chloride", "sulfate")}
    ions |= {name: _or(row(name), 0.0) for name in ("potassium", "nitrate", "ammonia")}
    sodium = row("sodium")
    if np.isnan(sodium).any():
        named = {"calcium": calcium, "magnesium": magnesium, "alkalinity": row("alkalinity"), **ions}
        sodium = _or(sodium, sodium_by_charge(named))
    return Ions(calcium, magnesium, sodium, **ions)


def _temperature(row: _Row) -> Array:
    return _or(row("temperature"), assumed("temperature"))


def _or(values: Array, missing: ArrayLike) -> Array:
    """Values, and something in the place of those that are not known."""
    unknown = np.isnan(values)
    return np.asarray(np.where(unknown, missing, values)) if unknown.any() else values
