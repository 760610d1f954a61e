"""Samples of treated water: what a test found behind a stage or at a tap counts from there on, beside what was predicted.

A test never makes the prediction better than its own better end, but for ultraviolet transmittance, pH and what nobody could predict: there
the test is the answer. While a stage at or ahead of the place cleans itself the test, taken in service, only counts where it is worse.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from trainapp import units
from trainapp.stages.leaving import SYMBOLS, at_worst, changed
from trainapp.stages.working import Law, Working, pick
from trainapp.train.plan import Plan
from trainapp.water.analytes import BY_KEY, PARTICLE_ROWS
from trainapp.water.rows import readings
from trainapp.water.sample import Result
from trainapp.water.stream import Array, Stream
from trainapp.water.uvt import absorbance

Sheet = Mapping[str, Result]

#: Where the test is the answer: rules of light, and what has no worse end.
_ANSWERED = frozenset({"uvt", "ph", "alkalinity", "dissolved_oxygen"})
#: Told by other results of a sheet, or of one day only.
_LEFT = frozenset({"temperature", "uvt_filtered", "turbidity_filtered_5um", "settles_overnight"})
_WITH: Law = ("as its whole or its parts were measured", "logic")
_PARTS = {metal: (f"{metal}_dissolved", f"{metal}_particulate") for metal in ("iron", "manganese")}


@dataclass(frozen=True, slots=True)
class Measured:
    """Tests of treated water in one run.

    Attributes:
        sheets: the worst result of each analyte, by the node that the water left.
        in_service: by node, which waters run with every stage at and ahead of it in service; shape (waters,).
        predicted: water without the test, by node; filled as the train runs.
    """

    sheets: Mapping[str, Sheet]
    in_service: Mapping[str, NDArray[np.bool_]]
    predicted: dict[str, Stream]

    @classmethod
    def of(cls, plan: Plan, while_cleaning: Mapping[str, int], waters: int) -> Measured:
        """Of a run with its cases of cleaning; one of other waters than the document's has none of them."""
        serving = {}
        for node in plan.raw.behind.keys() & plan.graph:
            serving[node] = np.ones(waters, dtype=bool)
            ahead = {node, *nx.ancestors(plan.graph, node)}
            serving[node][[case for stage, case in while_cleaning.items() if stage in ahead]] = False
        return cls({node: plan.raw.behind[node] for node in serving}, serving, {})

    @classmethod
    def none(cls) -> Measured:
        """Of a run without tests."""
        return cls({}, {}, {})

    def counted(self, node: str, water: Stream) -> Stream:
        """The water at a node as the tests there leave it; the same object where there are none."""
        sheet = self.sheets.get(node)
        if sheet is None or node in self.predicted:
            return water
        self.predicted[node] = water
        return counted(water, sheet, self.in_service[node])


def measured_steps(sheet: Sheet, predicted: Stream | None, counts: Stream, w: Working) -> None:
    """Record each result of a sheet beside its prediction, as KEY_measured, and what goes with it in the water that counts from here."""
    for name, result in sheet.items():
        analyte = BY_KEY[name]
        if analyte.dimension == "state" or predicted is None:
            continue
        worse = result.low if analyte.adverse == "low" or not np.isfinite(result.high) else result.high
        guess = float("nan") if analyte.states or not predicted.is_known(name)[0] else pick(predicted.get(name))
        told = "not predicted" if np.isnan(guess) else f"predicted: {units.show(guess, analyte.dimension, 'json', analyte=name)}"
        w.step(
            f"{SYMBOLS.get(name, name)}_m", f"{analyte.label} measured in a sample taken here", worse, analyte.dimension,
            result=f"{name}_measured", note=f"written: {result.text.strip()}; {told}",
        )  # fmt: skip

    if predicted is None:
        return
    for analyte in changed(predicted, counts):
        symbol, told_as = f"{SYMBOLS.get(analyte.key, analyte.key)}_m", f"{analyte.key}_measured"
        meaning = f"{analyte.label} that goes with what was measured"
        if analyte.key not in sheet:
            w.step(symbol, meaning, counts.get(analyte.key), analyte.dimension, formula=_WITH[0], source=_WITH[1], result=told_as)
        at_worst(w, counts, analyte, symbol, meaning, _WITH, told_as)


def counted(water: Stream, sheet: Sheet, in_service: NDArray[np.bool_]) -> Stream:
    """A copy of predicted water with the results of a sheet laid over it."""
    made = water.copy()
    for name, result in sheet.items():
        analyte = BY_KEY[name]
        if name in _LEFT or analyte.states or not result.measured:
            continue
        ends = readings(name, result.low, result.high)[:, :, None]
        straight = in_service & ~made.is_known(name) | (in_service if name in _ANSWERED else False)
        old = made.get(name)
        new = _laid(old, ends, analyte.adverse != "low", straight, in_service)
        if analyte.adverse in ("range", "none"):
            # neither more nor less of it is worse: a test in service says nothing of water that was passed by
            new = np.where(in_service | np.isnan(old), new, old)
        _put(made, name, old, new, sheet)
    return made


def _laid(old: Array, ends: Array, high_is_worse: bool, straight: NDArray[np.bool_], in_service: NDArray[np.bool_]) -> Array:
    """Both readings of an analyte: the test where it is the answer or nothing was predicted, else what the two leave together."""
    sign = 1.0 if high_is_worse else -1.0
    pair = np.sort(sign * old, axis=0)
    best, worst = pair
    test_best, test_worst = np.sort(sign * ends, axis=0)
    beside = test_best > worst
    low = np.maximum(best, test_best)
    high = np.where(beside, test_worst, np.where(test_worst < best, best, np.minimum(worst, test_worst)))
    # a test that was taken in service tells only how bad the water is at the least while something cleans itself
    high = np.where(in_service, high, np.maximum(worst, test_worst))
    only = straight | np.isnan(old).any(axis=0)
    return np.asarray(sign * np.stack([np.where(only, test_best, low), np.where(only, test_worst, high)]))


def _put(water: Stream, name: str, old: Array, new: Array, sheet: Sheet) -> None:
    """Set an analyte and the parts that make it up."""
    special = _SPECIAL.get(name)
    if special is not None:
        special(water, old, new, sheet)
        return
    if name in ("iron_dissolved", "manganese_dissolved") and name.split("_")[0] in sheet:
        return
    water.set(name, new, True)


def _metal(metal: str) -> Callable[[Stream, Array, Array, Sheet], None]:
    dissolved, particulate = _PARTS[metal]

    def put(water: Stream, old: Array, new: Array, sheet: Sheet) -> None:
        share = _share(water.row(dissolved), old, np.array([0.0, 1.0])[:, None, None])
        if dissolved in sheet:
            ends = readings(dissolved, sheet[dissolved].low, sheet[dissolved].high)[:, :, None]
            share = np.minimum(_share(ends + 0.0 * new, new, share), 1.0)
        water.set(dissolved, share * new, True)
        water.set(particulate, (1.0 - share) * new, True)

    return put


def _share(part: Array, whole: Array, otherwise: Array) -> Array:
    with np.errstate(invalid="ignore", divide="ignore"):
        share = part / whole
    return np.asarray(np.where(np.isfinite(share), share, otherwise))


def _turbidity(water: Stream, old: Array, new: Array, sheet: Sheet) -> None:
    """By size as predicted; without a prediction nothing is known to settle or to be caught."""
    for name in PARTICLE_ROWS:
        water.set(name, new * _share(water.row(name), old, np.asarray(float(name == "colloid"))), True)


def _hardness(water: Stream, old: Array, new: Array, sheet: Sheet) -> None:
    factor = _share(new, old, np.asarray(1.0))
    water.set("hardness", new, True)
    for name in ("calcium", "magnesium"):
        if name not in sheet:
            water.row(name)[:] *= factor


def _light(water: Stream, old: Array, new: Array, sheet: Sheet) -> None:
    """Absorbance, and of its parts what the measured whole leaves room for: never more than was proven or hoped of the water ahead."""
    whole, was = absorbance(new), water.row("absorbance")
    with np.errstate(invalid="ignore"):
        clear = np.nan_to_num(was - water.row("absorbance_particles"), nan=np.inf)
        particles = np.clip(whole - clear, 0.0, None)
        if "uvt_filtered" in sheet:
            ends = readings("uvt_filtered", sheet["uvt_filtered"].low, sheet["uvt_filtered"].high)[:, :, None]
            particles = np.clip(whole - absorbance(ends), 0.0, None)
        iron = np.minimum(np.nan_to_num(water.row("absorbance_iron"), nan=0.0), whole - particles)
    water.set("absorbance", whole, True)
    water.set("absorbance_particles", particles, True)
    water.set("absorbance_iron", iron, True)


_SPECIAL: dict[str, Callable[[Stream, Array, Array, Sheet], None]] = {
    "iron": _metal("iron"), "manganese": _metal("manganese"), "turbidity": _turbidity, "hardness": _hardness, "uvt": _light,
}  # fmt: skip

__all__ = ["Measured", "counted", "measured_steps"]
