"""What happens in a run: washes, services, power cuts, and the first time that each thing goes wrong, in a sentence."""

from __future__ import annotations

from dataclasses import dataclass

from trainapp.dimensions import DAY
from trainapp.stages.base import Severity


@dataclass(frozen=True, slots=True)
class Happening:
    """One thing that happened.

    Attributes:
        time: s since the start. stage: where, "" for the whole train.
        kind: "regeneration", "backwash", "service", "power-cut", "mode", "wash" for what went wrong with one.
        code: name in results. severity: "" where nothing is wrong with it.
        sentence: what is told; "" where nothing needs to be.
        illustrative: whether when it happens is a teaching picture.
    """

    time: float
    stage: str
    kind: str
    code: str
    severity: Severity | None = None
    sentence: str = ""
    illustrative: bool = False

    @property
    def day(self) -> float:
        """Days since the start."""
        return self.time / DAY


@dataclass(frozen=True, slots=True)
class GoneWrong:
    """The first time that one thing goes wrong.

    Attributes:
        code, stage, severity: name in results, where ("house" at the house), how bad.
        day: days since the start; None where only a teaching picture says when.
        invented: whether it comes of a power cut, which is invented for teaching: `day` is then for the order of things and never told.
        months: (soonest, latest) months of use after which a teaching picture shows it; the latter infinite where it may never come.
        sentence: what went wrong and why.
    """

    code: str
    stage: str
    severity: Severity
    day: float | None
    sentence: str
    months: tuple[float, float] | None = None
    invented: bool = False

    @property
    def illustrative(self) -> bool:
        """Whether it rests on figures for teaching: then it has no date."""
        return self.months is not None or self.invented
