"""Normal numbers from numbers between 0 and 1, by Wichura's algorithm AS 241 (1988): right to the last digits of a float."""

from __future__ import annotations

import numpy as np

from trainapp.stages.working import Array

#: Numerator and denominator, highest power first, for the middle, the flanks and the tails.
_MIDDLE = (
    (2.509080928730122672e3, 3.343057558358812811e4, 6.726577092700870085e4, 4.592195393154987146e4, 1.373169376550946113e4,
     1.971590950306551443e3, 1.331416678917843775e2, 3.387132872796366608e0),
    (5.226495278852854561e3, 2.872908573572194267e4, 3.930789580009271061e4, 2.121379430158659587e4, 5.394196021424751108e3,
     6.871870074920579083e2, 4.231333070160091125e1, 1.0),
)  # fmt: skip
_FLANK = (
    (7.745450142783414076e-4, 2.272384498926918458e-2, 2.417807251774506118e-1, 1.270458252452368383e0, 3.647848324763204605e0,
     5.769497221460691406e0, 4.630337846156545296e0, 1.423437110749683577e0),
    (1.050750071644416843e-9, 5.475938084995344946e-4, 1.519866656361645720e-2, 1.481039764274800746e-1, 6.897673349851000046e-1,
     1.676384830183803849e0, 2.053191626637758822e0, 1.0),
)  # fmt: skip
_TAIL = (
    (2.010334399292288133e-7, 2.711555568743487578e-5, 1.242660947388078439e-3, 2.653218952657612309e-2, 2.965605718285048912e-1,
     1.784826539917291336e0, 5.463784911164114370e0, 6.657904643501103777e0),
    (2.044263103389939786e-15, 1.421511758316445889e-7, 1.846318317510054682e-5, 7.868691311456132591e-4, 1.487536129085061485e-2,
     1.369298809227358053e-1, 5.998322065558879377e-1, 1.0),
)  # fmt: skip


def normal(uniform: Array) -> Array:
    """Standard normal numbers whose share of smaller ones is `uniform` (0 to 1, ends left out)."""
    q = uniform - 0.5
    found = q * _ratio(_MIDDLE, 0.180625 - q * q)
    outer = np.abs(q) > 0.425
    if outer.any():
        ends = uniform[outer]
        r = np.sqrt(-np.log(np.minimum(ends, 1.0 - ends)))
        found[outer] = np.copysign(np.where(r <= 5.0, _ratio(_FLANK, r - 1.6), _ratio(_TAIL, r - 5.0)), q[outer])
    return np.asarray(found)


def _ratio(pair: tuple[tuple[float, ...], tuple[float, ...]], at: Array) -> Array:
    above, below = (_horner(coefficients, at) for coefficients in pair)
    above /= below
    return above


def _horner(coefficients: tuple[float, ...], at: Array) -> Array:
    """A polynomial, highest power first, in one array."""
    value = np.full_like(at, coefficients[0])
    for coefficient in coefficients[1:]:
        value *= at
        value += coefficient
    return value
