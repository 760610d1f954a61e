"""The worked steps of what a stage takes from the pressure: the two terms of its loss, clean and when it is due to be cleaned."""

from __future__ import annotations

from trainapp.hydraulics.elements import Resistance
from trainapp.stages.base import Stage
from trainapp.stages.working import Working
from trainapp.train.hydraulic import Pipework

_CURVE = "the maker's curve at Q"
_LAW = "{a} · {q} + {b} · {q}^2"
#: Share of a flow below which two are one.
_SHIFT = 1e-4


def loss_steps(work: Pipework, stage: Stage, peak: float, later: float, clean: float, dirty: float, w: Working) -> None:
    """Record flow and loss of all units of a stage at the peak, with the terms that they follow from.

    Args:
        peak, later: m3/s through all its units, filters clean and due to be cleaned. clean, dirty: Pa that it takes then, what a regulator
            holds back among it.
    """
    w.step("Q", "flow through the stage at peak", peak, "flow", result="flow", formula="sum of the pipes that enter it")
    shifts = abs(later - peak) > _SHIFT * peak
    if shifts:
        w.step(
            "Q_d", "the same with filters due to be cleaned: lanes share otherwise", later, "flow", formula="sum of the pipes that enter it"
        )
    for symbol, when, value, element, mark, flow in (
        ("Δp", "clean", clean, work.clean[stage.id], "", "Q"),
        ("Δp_d", "dirty", dirty, work.dirty[stage.id], "d", "Q_d" if shifts else "Q"),
    ):
        formula, note = _terms(stage, element, mark, flow, peak, w)
        w.step(symbol, f"pressure it takes when {when}", value, "pressure", result=f"headloss_{when}", formula=formula, note=note)


def _terms(stage: Stage, element: object, mark: str, flow: str, peak: float, w: Working) -> tuple[str, str]:
    """Record a and b of an element; the formula that they go into, and a note."""
    curve = stage.settings.get("head_loss")
    if curve:
        beyond = peak / stage.count > curve[-1][0] * (1.0 + 1e-9)
        said = "this flow lies beyond the last point of the maker's curve: the square of the flow was drawn on from there"
        return _CURVE, said if beyond else ""
    held = "what it holds back, and its own loss" if stage.holds_pressure is not None else ""
    set_by_share = "the valve is set for the share that it takes" if stage.wanted_share is not None else ""
    if held or set_by_share or not isinstance(element, Resistance) or element.curve:
        return held or set_by_share, ""
    of = "" if stage.count == 1 else f", {stage.count} units side by side"
    when = "clean" if not mark else "due to be cleaned"
    a, b = f"R_1{mark}", f"R_2{mark}"
    w.step(a, f"part of the loss that goes with the flow, {when}{of}", element.linear, unit="Pa/(m3/s)", source="computed")
    w.step(b, f"part of the loss that goes with its square, {when}{of}", element.quadratic, unit="Pa/(m3/s)2", source="computed")
    return _LAW.format(a=a, b=b, q=flow), ""
