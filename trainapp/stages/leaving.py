"""What leaves a stage, step by step: each analyte that it changed stands among its worked steps as KEY_out, with the law it follows.

A stage states its laws as formulas in :attr:`Stage.laws`; values are those of the water itself, so that a step and the number shown beside
it cannot differ. Only what is known is told. Steps are of the peak; where the adverse end is worse at another flow, that stands too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from trainapp import spelling
from trainapp.stages.working import FLOWS, PEAK, Array, FlowName, Law, Working
from trainapp.water.analytes import ANALYTES, BY_KEY, Analyte
from trainapp.water.stream import Stream

#: What an analyte is called in a formula; its key where nothing else is usual.
SYMBOLS: Mapping[str, str] = {
    "hardness": "H", "calcium": "Ca", "magnesium": "Mg", "alkalinity": "Alk", "ph": "pH", "temperature": "T", "tds": "TDS",
    "conductivity": "κ", "carbon_dioxide": "CO₂", "iron": "Fe", "iron_dissolved": "Fe_d", "manganese": "Mn", "manganese_dissolved": "Mn_d",
    "turbidity": "N", "turbidity_filtered_5um": "N_5", "suspended_solids": "TSS", "uvt": "UVT", "uvt_filtered": "UVT_f", "colour": "Col",
    "tannin": "Tan", "toc": "TOC", "hydrogen_sulfide": "H₂S", "dissolved_oxygen": "DO", "nitrate": "NO₃-N", "nitrite": "NO₂-N",
    "ammonia": "NH₃-N", "sulfate": "SO₄", "chloride": "Cl", "sodium": "Na", "potassium": "K", "fluoride": "F", "silica": "SiO₂",
    "arsenic": "As", "lead": "Pb", "copper": "Cu", "uranium": "U", "radon": "Rn", "barium": "Ba", "boron": "B", "aluminium": "Al",
    "free_chlorine": "Cl₂", "total_chlorine": "Cl₂,t",
}  # fmt: skip
#: Middle of 6.5 to 8.5, the range of 40 CFR 143.3.
_USUAL_PH = 7.5
#: Where a stage states no law of its own.
UNSTATED: Law = ("as the steps above leave it", "")
_MIXED: Law = ("Σ Q_i c_i/Σ Q_i", "logic")
_MIXED_BY_OTHERS: Mapping[str, Law] = {
    "ph": ("pH of the mixture's alkalinity and inorganic carbon, closed to air", "plummer-busenberg-1982"),
    "uvt": ("100 · 10^(−Σ Q_i A_i/Σ Q_i)", "definition"),
    "uvt_filtered": ("100 · 10^(−Σ Q_i A_f,i/Σ Q_i)", "definition"),
}


def leaving_steps(laws: Mapping[str, Law], inlet: Stream, outlet: Stream, w: Working) -> None:
    """Record every analyte of water 0 that a stage changed: what entered, and what leaves by which law."""
    told = {step.result: step for step in w.steps if step.result}
    for analyte in changed(inlet, outlet):
        key, symbol = analyte.key, SYMBOLS.get(analyte.key, analyte.key)
        result, meaning = f"{key}_out", f"{inside(analyte)} leaving"
        own = told.get(result)
        formula, source = (own.formula, own.source) if own else laws.get(key, UNSTATED)
        if own is None:
            if key in laws:
                w.step(f"{symbol}_in", f"{inside(analyte)} entering", inlet.get(key), analyte.dimension)
            w.step(f"{symbol}_out", meaning, outlet.get(key), analyte.dimension, formula=formula, source=source, result=result)
        if f"{result}_{worst_flow(outlet, analyte)}" not in told:
            at_worst(w, outlet, analyte, f"{symbol}_out", meaning, (formula, source), result)


def mixed_steps(streams: Sequence[Stream], mixed: Stream, w: Working) -> None:
    """Record every analyte of water 0 that is not the same in all waters that meet here, as KEY_in."""
    first = streams[0]
    unlike = dict.fromkeys(analyte.key for other in streams[1:] for analyte in changed(first, other, both=False))
    for key in unlike:
        analyte = BY_KEY[key]
        if analyte.states or not mixed.is_known(key)[0]:
            continue
        formula, source = _MIXED_BY_OTHERS.get(key, _MIXED)
        meaning = f"{inside(analyte)} where {len(streams)} pipes meet"
        symbol, value = f"{SYMBOLS.get(key, key)}_in", mixed.get(key)
        w.step(symbol, meaning, value, analyte.dimension, formula=formula, source=source, result=f"{key}_in")
        at_worst(w, mixed, analyte, symbol, meaning, (formula, source), f"{key}_in")


def at_worst(w: Working, water: Stream, analyte: Analyte, symbol: str, meaning: str, law: Law, result: str) -> None:
    """One line more where another flow than the peak is worse: its adverse end there."""
    flow = worst_flow(water, analyte)
    if flow != "peak":
        reading = int(_adverse_reading(water, analyte)[FLOWS.index(flow)])
        w.step(
            symbol, f"{meaning}, worst at the {flow}", water.get(analyte.key), analyte.dimension, formula=law[0], source=law[1],
            result=f"{result}_{flow}", at=flow, reading=reading,
        )  # fmt: skip


def changed(inlet: Stream, outlet: Stream, both: bool = True) -> Iterator[Analyte]:
    """Analytes of water 0 that are known in `outlet` and not the same in the two, at any flow.

    Args:
        both: leave out what is not known in `outlet`.
    """
    if np.array_equal(inlet.values[..., 0], outlet.values[..., 0], equal_nan=True):
        return
    for analyte in ANALYTES:
        if analyte.key == "settles_overnight" or (both and not outlet.is_known(analyte.key)[0]):
            continue
        after = outlet.get(analyte.key)[..., 0]
        before = inlet.get(analyte.key)[..., 0]
        if np.array_equal(before, after):  # most of them, and far faster told
            continue
        if not np.isnan(after).any() and not np.isclose(before, after, rtol=1e-9, atol=1e-12).all():
            yield analyte


def adverse_ends(water: Stream, analyte: Analyte) -> Array:
    """The adverse end of water 0 at each flow, shape (flows,): of pH the end farther from the middle of what houses are used to."""
    pair = water.get(analyte.key)[..., 0]
    return np.asarray(np.take_along_axis(pair, _adverse_reading(water, analyte)[None], axis=0)[0])


def worst_flow(water: Stream, analyte: Analyte) -> FlowName:
    """The flow at which the adverse end of water 0 is worst: the peak unless another is worse beyond rounding."""
    if analyte.states:
        return "peak"
    ends = adverse_ends(water, analyte)
    at = int(np.argmax(badness(ends, analyte)))
    worst = float(ends[at])
    same = math.isclose(worst, ends[PEAK], rel_tol=1e-9, abs_tol=1e-12) or not math.isfinite(worst)
    return "peak" if same else FLOWS[at]


def _adverse_reading(water: Stream, analyte: Analyte) -> NDArray[np.intp]:
    """Which reading holds the adverse end, shape (flows,)."""
    return np.asarray(badness(water.get(analyte.key)[..., 0], analyte).argmax(axis=0))


def badness(value: Array, analyte: Analyte) -> Array:
    """What grows as a value gets worse."""
    if analyte.adverse == "range":
        return np.abs(value - _USUAL_PH)
    return -value if analyte.adverse == "low" else value


def inside(analyte: Analyte) -> str:
    """Its name inside a sentence: "iron", but "UVT", "pH" and "E. coli"."""
    return spelling.inside(analyte.label)
