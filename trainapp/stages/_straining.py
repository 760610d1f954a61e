"""What a bed of grains holds back of the particles, and what goes with them: floc of iron and manganese, dirt, and their UV absorbance.

A bed holds a class of particles by a number of removals N: what is left is 10^-N. N is stated for each class at the medium's own rate and
depth; it grows with the depth, and above that rate falls with the root of the speed, between interception, which does not depend on
speed, and settling, which goes with its inverse. Below the rate nothing is gained. Floc of iron and manganese has a share of its own: it
sticks, and a filter behind an oxidant holds it far better than dust of its size.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from trainapp.stages._beds import MediaTank
from trainapp.stages._readings import both_ends
from trainapp.stages.base import Duty
from trainapp.stages.working import Array, Law, Working
from trainapp.water.analytes import PARTICLE_ROWS
from trainapp.water.stream import Stream

_CLEARED = "A − A_p (1 − N_out/N_in) − A_Fe (1 − Fe_out/Fe_in)"
#: What leaves a strainer; x_i and x_f are what passes of a class and of floc, A the absorbance and its parts.
STRAINED: Mapping[str, Law] = {
    "iron": ("Fe_d + Fe_p · x_f", "common-practice"),
    "manganese": ("Mn_d + Mn_p · x_f", "common-practice"),
    "turbidity": ("N_colloid + Σ x_i N_i", "common-practice"),
    "turbidity_filtered_5um": ("N_colloid + Σ x_i N_i, up to 5 µm", "common-practice"),
    "suspended_solids": ("TSS_in · N_out/N_in", "common-practice"),
    "uvt": (f"100 · 10^(−({_CLEARED}))", "definition"),
    "uvt_filtered": (f"100 · 10^(−({_CLEARED} − A_p,out))", "definition"),
}


class Strainer:
    """The bed of one tank as a strainer.

    Args:
        tank: the tank.
        medium: its table with `strain_rate` (m/s), `strain_depth` (m) and, by class from class_1 to class_6, `best_CLASS` and
            `least_CLASS`: the shares held at that rate and depth in the favourable and the adverse reading. Colloids pass. `best_floc` and
            `least_floc` for the floc of iron and manganese, where the bed's model does not say itself what becomes of it.
    """

    def __init__(self, tank: MediaTank, medium: Mapping[str, Any]) -> None:
        self._rate, self._area = float(medium["strain_rate"]), tank.area
        depth = tank.depth / float(medium["strain_depth"])

        def removals(name: str) -> Array:
            held = both_ends(*(float(medium.get(f"{end}_{name}", 0.0)) for end in ("best", "least")))
            return np.asarray(-np.log10(1.0 - held) * depth)

        #: numbers of removals, shapes (7 classes, 2 readings, 1, 1) and (2, 1, 1).
        self._classes = np.stack([removals(name) for name in PARTICLE_ROWS])
        self._floc = removals("floc")

    def left(self, duty: Duty, w: Working) -> Array:
        """Share of each class that passes, shape (7, 2, flows, 1 or waters)."""
        slower = self._slower(duty, w)
        left: Array = 10.0 ** -(self._classes * slower)
        w.step("x₅", "share of 5 to 15 µm that passes", left[3], "fraction", formula="10^(−N · L/L₀ · f_v)", result="left_5_15_um")
        return left

    def floc_left(self, duty: Duty) -> Array:
        """Share of iron and manganese floc that passes, shape (2, flows, 1 or waters)."""
        return np.asarray(10.0 ** -(self._floc * self._slower(duty, Working(False))))

    def _slower(self, duty: Duty, w: Working) -> Array:
        speed = w.step("v", "speed through the empty tank", duty.flows / self._area, "rate", formula="Q/A")
        slower = np.minimum(np.sqrt(self._rate / speed), 1.0)
        formula = "min(√(v₀/v), 1)"
        return w.step("f_v", "what this speed leaves of the straining", slower, "fraction", formula=formula, source="common-practice")


def strain(water: Stream, left: Array, floc: Array) -> None:
    """Take particles out of `water`, in place.

    Args:
        left: share of each class that passes, shape (7, 2, flows, waters or 1).
        floc: share of iron and manganese floc that passes, shape (2, flows, waters or 1).
    """
    turbidity, iron = water.get("turbidity"), water.get("iron")
    water.particles[...] *= left
    dirt = share_left(water.get("turbidity"), turbidity)
    water.scale(("iron_particulate", "manganese_particulate"), floc)
    water.scale(("suspended_solids",), dirt)
    for row, share in (("absorbance_particles", dirt), ("absorbance_iron", share_left(water.get("iron"), iron))):
        gone = water.row(row) * (1.0 - share)
        water.set("absorbance", np.maximum(water.row("absorbance") - gone, 0.0))
        water.add(row, -gone)


def share_left(after: Array, before: Array) -> Array:
    """What is left of what was there; all of nothing, and all of what no one measured."""
    return np.divide(after, before, out=np.ones_like(after), where=before > 0.0)
