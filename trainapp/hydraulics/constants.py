"""Standard gravity and atmosphere, and the customary units that published hydraulic figures come in."""

from __future__ import annotations

from trainapp.dimensions import FOOT, GALLON, GPM, INCH, PSI

__all__ = ["ATMOSPHERE", "FOOT", "GALLON", "GPM", "GRAVITY", "INCH", "PSI"]

#: m/s2, standard gravity (CGPM 1901).
GRAVITY = 9.80665
#: Pa, standard atmosphere.
ATMOSPHERE = 101325.0
