"""Paper: Letter or A4, as is usual where the reader is."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass

from trainapp.units import System

#: px of a printed inch and points of a px: text of 11 px prints at 8.25 pt.
PX_PER_INCH = 96.0
POINTS_PER_PX = 72.0 / PX_PER_INCH
_MM = PX_PER_INCH / 25.4


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet, px."""

    name: str
    width: float
    height: float

    @property
    def turned(self) -> Paper:
        """The same sheet lying."""
        return Paper(self.name, self.height, self.width)


#: By key; US Letter is 8.5 x 11 in, A4 is 210 x 297 mm (ISO 216).
PAPERS: Mapping[str, Paper] = {
    "letter": Paper("letter", 8.5 * PX_PER_INCH, 11.0 * PX_PER_INCH),
    "a4": Paper("a4", 210.0 * _MM, 297.0 * _MM),
}

#: Territories that use Letter; all others use A4 (Unicode CLDR, supplemental measurement data, paperSize; from memory).
_LETTER = frozenset(["BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"])
#: What says where the reader is, the strongest first (POSIX.1-2017, 8.2; LC_PAPER is GNU's).
_VARIABLES = ("LC_ALL", "LC_PAPER", "LANG")


def paper_of(locale: str, system: System = "us") -> Paper:
    """The paper of a locale ("en_US", "de-AT.UTF-8"); where it names no territory, of the units: Letter with US units, else A4."""
    found = re.match(r"[A-Za-z]{2,3}(?:[_-][A-Za-z]{4})?[_-]([A-Za-z]{2})(?![A-Za-z])", locale)
    if found:
        return PAPERS["letter" if found[1].upper() in _LETTER else "a4"]
    return PAPERS["letter" if system == "us" else "a4"]


def paper_here(system: System = "us", environment: Mapping[str, str] | None = None) -> Paper:
    """The paper of this machine's locale."""
    settings = os.environ if environment is None else environment
    return paper_of(next((settings[name] for name in _VARIABLES if settings.get(name)), ""), system)
