"""What a bed of grains holds back of the particles, and what goes with them: floc of iron and manganese, dirt, and their UV absorbance.

A bed holds a class of particles by a number of removals N: what is left is 10^-N. N is stated for each class at the medium's own rate and
depth; it grows with the depth, and above that rate falls with the root of the speed, between interception, which does not depend on
speed, and settling, which goes with its inverse. Below the rate nothing is gained.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from trainapp.stages._beds import MediaTank
from trainapp.stages.base import Duty
from trainapp.stages.working import Array, Working
from trainapp.water.analytes import PARTICLE_ROWS
from trainapp.water.stream import ADVERSE, FAVOURABLE, Stream

#: Class that floc of iron and manganese strains like: 5 to 15 um at the favourable reading, 1 to 5 um at the adverse.
FLOC_CLASSES = (PARTICLE_ROWS.index("class_3"), PARTICLE_ROWS.index("class_2"))


class Strainer:
    """The bed of one tank as a strainer.

    Args:
        tank: the tank.
        medium: its table with `strain_rate` (m/s), `strain_depth` (m) and, by class from class_1 to class_6, `best_CLASS` and
            `least_CLASS`: the shares held at that rate and depth in the favourable and the adverse reading. Colloids pass.
    """

    def __init__(self, tank: MediaTank, medium: Mapping[str, Any]) -> None:
        shares = [[0.0, *(float(medium[f"{end}_{name}"]) for name in PARTICLE_ROWS[1:])] for end in ("best", "least")]
        depth = tank.depth / float(medium["strain_depth"])
        # shape (7 classes, 2 readings, 1, 1)
        self._removals = np.moveaxis(-np.log10(1.0 - np.array(shares)) * depth, 0, 1)[:, :, None, None]
        self._rate, self._area = float(medium["strain_rate"]), tank.area

    def left(self, duty: Duty, w: Working) -> Array:
        """Share of each class that passes, shape (7, 2, flows, 1 or waters)."""
        speed = w.step("v", "speed through the empty tank", duty.flows / self._area, "rate", formula="Q/A", result="rate")
        slower = np.minimum(np.sqrt(self._rate / speed), 1.0)
        w.step("f_v", "what this speed leaves of the straining", slower, "fraction", formula="min(√(v₀/v), 1)", source="common-practice")
        left: Array = 10.0 ** -(self._removals * slower)
        w.step("x₅", "share of 5 to 15 µm that passes", left[3], "fraction", formula="10^(−N · L/L₀ · f_v)", result="left_5_15_um")
        return left


def strain(water: Stream, left: Array) -> None:
    """Take particles out of `water`, in place.

    Args:
        left: share of each class that passes, shape (7, 2, flows, waters or 1).
    """
    turbidity, iron = water.get("turbidity"), water.get("iron")
    water.particles[...] *= left
    dirt = _ratio(water.get("turbidity"), turbidity)
    floc = np.stack([left[FLOC_CLASSES[0]][FAVOURABLE], left[FLOC_CLASSES[1]][ADVERSE]])
    water.scale(("iron_particulate", "manganese_particulate"), floc)
    water.scale(("suspended_solids",), dirt)
    for row, share in (("absorbance_particles", dirt), ("absorbance_iron", _ratio(water.get("iron"), iron))):
        gone = water.row(row) * (1.0 - share)
        water.set("absorbance", np.maximum(water.row("absorbance") - gone, 0.0))
        water.add(row, -gone)


def _ratio(after: Array, before: Array) -> Array:
    """What is left of what was there; all of nothing."""
    return np.divide(after, before, out=np.ones_like(after), where=before != 0.0)
