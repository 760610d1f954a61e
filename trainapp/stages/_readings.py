"""Numbers that the two readings of a sample take at different ends."""

from __future__ import annotations

import numpy as np

from trainapp.stages.working import Array
from trainapp.water.stream import ADVERSE, FAVOURABLE


def both_ends(favourable: float, adverse: float) -> Array:
    """One number for each reading, shape (2, 1, 1): it broadcasts to (2 readings, flows, waters)."""
    ends = np.empty((2, 1, 1))
    ends[FAVOURABLE], ends[ADVERSE] = favourable, adverse
    return ends
