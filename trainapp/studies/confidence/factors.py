"""The uncertain things of one train, and the waters that drawn numbers make of its sample."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from trainapp.checks.context import analyte_inside
from trainapp.stages.working import FLOWS, Array
from trainapp.studies.confidence.normal import normal
from trainapp.studies.confidence.spreads import Spread, Spreads
from trainapp.train.plan import Plan
from trainapp.train.scenarios import needed_analytes
from trainapp.water.analytes import BY_KEY
from trainapp.water.plausible import Plausible, fill, plausible_beside
from trainapp.water.raw import Columns, raw_streams
from trainapp.water.sample import Result
from trainapp.water.stream import Stream

SEASON, PEAK_FLOW, DAILY = "season", "peak", "daily"
#: A part may not be more than its whole, whatever is drawn.
_PARTS = (
    ("iron_dissolved", "iron"), ("manganese_dissolved", "manganese"), ("turbidity_filtered_5um", "turbidity"), ("uvt", "uvt_filtered"),
)  # fmt: skip
_NO_NUMBERS = ("count", "state")


@dataclass(frozen=True, slots=True)
class Factor:
    """One uncertain thing: its key ("season", "peak", "daily", or an analyte) and its name in a sentence."""

    key: str
    label: str


class Factors:
    """The uncertain things of a train.

    Attributes:
        plan, spreads: what it is made of. names: the things, season and flows first.
    """

    def __init__(self, plan: Plan, spreads: Spreads, judged: frozenset[str]) -> None:
        self.plan, self.spreads = plan, spreads
        sheet = plan.raw.sheet
        wanted = judged | needed_analytes(plan)
        wanted |= {part for part, whole in _PARTS if whole in wanted} | {whole for part, whole in _PARTS if part in wanted}
        self._results = {name: result for name, result in sheet.items() if BY_KEY[name].dimension not in _NO_NUMBERS}
        drawn = [name for name, result in self._results.items() if result.kind not in ("below", "above")]
        self._lab = [name for name in drawn if name in wanted and self._spread(name) != Spread()]
        self.names = (
            *_named(spreads),
            *(Factor(name, f"the laboratory's error of {analyte_inside(name)}") for name in self._lab),
        )

    @property
    def draws_sample(self) -> bool:
        """Whether any figure of the sample is drawn."""
        return bool(self._lab)

    def _spread(self, name: str) -> Spread:
        return self.spreads.lab(name, self._results[name].method)

    @cached_property
    def _places(self) -> dict[str, int]:
        return {factor.key: i for i, factor in enumerate(self.names)}

    def deviations(self, uniform: Array) -> Array:
        """Standard deviations from numbers between 0 and 1, shape (draws, things), drawn in to what the spreads allow."""
        within = self.spreads.within
        return np.clip(normal(uniform), -within, within)

    def peak(self, z: Array) -> Array:
        """What the peak is multiplied with, shape (draws,)."""
        return _times(self.spreads.peak, self._column(z, PEAK_FLOW))

    def daily(self, z: Array) -> Array:
        """What a day's use is multiplied with."""
        return _times(self.spreads.daily, self._column(z, DAILY))

    def _column(self, z: Array, key: str) -> Array:
        place = self._places.get(key)
        return np.zeros(len(z)) if place is None else np.asarray(z[:, place])

    # Water --------------------------------------------------------------------------------------------------------------------

    def water(self, z: Array) -> Stream:
        """Raw waters, one for each draw, only to be read: what was measured as drawn, what was not as in a design run."""
        ends = {name: self._drawn(name, result, z) for name, result in self._results.items()}
        for part, whole in _PARTS:
            if part in ends and whole in ends:
                ends[part] = tuple(np.minimum(a, b) for a, b in zip(ends[part], ends[whole], strict=True))  # type: ignore[assignment]
        rest = {name: result for name, result in self.plan.raw.sheet.items() if name not in ends}
        low = {name: pair[0] for name, pair in ends.items()} | {name: np.full(len(z), r.low) for name, r in rest.items()}
        high = {name: pair[1] for name, pair in ends.items()} | {name: np.full(len(z), r.high) for name, r in rest.items()}
        guessed = {name: np.ones(len(z), dtype=bool) for name, result in self.plan.raw.sheet.items() if not result.measured}
        stream = raw_streams(Columns(low, high, guessed, len(z)), 1, self.plan.cold)
        fill(stream, self._missing)
        values = stream.values
        return Stream(np.broadcast_to(values, (*values.shape[:2], len(FLOWS), len(z))), stream.known)

    @cached_property
    def _missing(self) -> list[Plausible]:
        """What a design run assumes."""
        raw, lowest = self.plan.raw, {name: result.low for name, result in self.plan.raw.sheet.items()}
        usual = plausible_beside(self.plan.source, lowest)
        return [p for p in usual if p.analyte in self.plan.assumed and np.isnan(raw.stream.get(p.analyte)).any()]

    def _drawn(self, name: str, result: Result, z: Array) -> tuple[Array, Array]:
        """Both ends of a result, as drawn. What a test could only call less or more than something is left as it stands."""
        if result.kind in ("below", "above"):
            return np.full(len(z), result.low), np.full(len(z), result.high)
        lab, season = self._spread(name), self.spreads.season(name, self.plan.source)
        at_lab, at_season = self._column(z, name), self._column(z, SEASON) * (-1.0 if season.falls else 1.0)
        ends = (result.low,) if result.low == result.high else (result.low, result.high)
        moved = [_moved(name, _moved(name, end, season, at_season), lab, at_lab, light=False) for end in ends]
        return np.minimum(moved[0], moved[-1]), np.maximum(moved[0], moved[-1])


def _named(spreads: Spreads) -> Iterator[Factor]:
    yield Factor(SEASON, "the season")
    if spreads.peak:
        yield Factor(PEAK_FLOW, "the peak flow")
    if spreads.daily:
        yield Factor(DAILY, "a day's use")


def _times(share: float, z: Array) -> Array:
    """A factor whose logarithm is normal, its middle 1."""
    return np.asarray(np.exp(np.log1p(share) * z))


def _moved(name: str, value: float | Array, spread: Spread, z: Array, light: bool = True) -> Array:
    """A value moved by a spread. A share moves the absorbance of a light transmittance, an amount the transmittance itself."""
    values = np.broadcast_to(np.asarray(value, dtype=np.float64), z.shape)
    if name.startswith("uvt") and light and spread.share:
        with np.errstate(divide="ignore"):
            absorbance = -np.log10(values / 100.0)
        return np.asarray(100.0 * 10.0 ** -(absorbance * _times(spread.share, z)))
    moved = values * _times(spread.share, z) + spread.amount * z
    most = {"ph": 14.0, "uvt": 100.0}.get(BY_KEY[name].dimension, np.inf)
    return np.asarray(np.clip(moved, 1e-3 if name.startswith("uvt") else 0.0, most))
