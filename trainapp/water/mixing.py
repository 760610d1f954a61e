"""Waters that meet: what is dissolved or carried mixes by flow; pH follows from the alkalinity and carbon of the mixture."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from trainapp.water.analytes import ROW_INDEX
from trainapp.water.carbonate import Ions, from_carbon, from_ph
from trainapp.water.stream import Array, Stream

_IONS = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate", "nitrate", "ammonia")


def mix(streams: Sequence[Stream], flows: Sequence[Array]) -> Stream:
    """The mixture of several waters, closed to air.

    Args:
        streams: waters of one shape.
        flows: m3/s of each, broadcastable to (flows, waters). Where none flows, they count alike.

    What is unknown in a water that flows is unknown in the mixture. Where alkalinity is unknown pH is that of the mixed hydrogen ions.
    """
    shares = _shares(flows)
    values = np.sum([_part(s.values, share) for s, share in zip(streams, shares, strict=True)], axis=0)
    known = np.logical_and.reduce([s.known for s in streams])
    mixed = Stream(np.ascontiguousarray(values), known)
    if not all(np.array_equal(s.row("ph"), streams[0].row("ph"), equal_nan=True) for s in streams[1:]) or _unlike(streams):
        mixed.set("ph", _mixed_ph(streams, shares, mixed))
    else:
        mixed.set("ph", streams[0].row("ph"))
    return mixed


def _shares(flows: Sequence[Array]) -> list[Array]:
    stacked = np.stack(np.broadcast_arrays(*(np.maximum(f, 0.0) for f in flows)))
    total = stacked.sum(axis=0)
    shares = np.where(total > 0.0, stacked / np.where(total > 0.0, total, 1.0), 1.0 / len(flows))
    return list(shares)


def _part(values: Array, share: Array) -> Array:
    """A share of a water; what does not flow cannot make the mixture unknown."""
    return np.where(share > 0.0, values * share, 0.0)


def _unlike(streams: Sequence[Stream]) -> bool:
    """Whether anything that pH depends on differs between them."""
    rows = [ROW_INDEX[name] for name in ("alkalinity", "temperature", *_IONS)]
    return not all(np.array_equal(s.values[rows], streams[0].values[rows], equal_nan=True) for s in streams[1:])


def _ions(stream: Stream) -> Ions:
    # An ion that no one measured changes the activity a little and the balance not at all.
    return Ions(**{name: np.nan_to_num(stream.row(name)) for name in _IONS})


def _mixed_ph(streams: Sequence[Stream], shares: Sequence[Array], mixed: Stream) -> Array:
    carbon = np.zeros(mixed.row("ph").shape)
    protons = np.zeros_like(carbon)
    for stream, share in zip(streams, shares, strict=True):
        own = from_ph(stream.row("ph"), stream.row("alkalinity"), _ions(stream), stream.row("temperature"))
        carbon += _part(own.carbon, share)
        protons += _part(10.0 ** -stream.row("ph"), share)
    by_carbon = from_carbon(carbon, mixed.row("alkalinity"), _ions(mixed), mixed.row("temperature")).ph
    return np.where(np.isnan(by_carbon), -np.log10(protons), by_carbon)
