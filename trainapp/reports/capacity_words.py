"""What the most that a train gives means, in one sentence: for screen, page and prompt alike."""

from __future__ import annotations

from trainapp import units
from trainapp.checks import Context
from trainapp.stages.working import PEAK
from trainapp.train.evaluation import Capacity, Evaluation

#: A part of a flow within which two count as the same.
_SAME = 1e-9


def capacity_told(evaluation: Evaluation, system: units.System) -> str:
    """The most that the train gives at the house, what stops it there, and what a peak beyond it lives on."""
    capacity, context = evaluation.capacity, Context(evaluation, system)
    most = units.show(capacity.flow, "flow", system)
    place = context.name(capacity.at)
    if capacity.lasting:
        return f"Without a pause the train gives at most {most}, {_refill(evaluation, place)}{_peak(evaluation, system)}."
    if capacity.limited_by == "supply":
        return f"The train gives at most {most}: {place} gives no more."
    if capacity.limited_by == "rating":
        return f"The train gives at most {most}: then {place} is at its rating."
    if capacity.at in evaluation.plan.sources:
        return f"The train gives at most {most} at the pressure that is wanted: {place} has no more pressure to give."
    state = {"": "", "dirty": " when filters are dirty", "cut-in": " at cut-in", "dirty, cut-in": " at cut-in when filters are dirty"}
    return f"The train gives at most {most} at the pressure that is wanted: {place} takes most of it{state[governing(capacity)]}."


def governing(capacity: Capacity) -> str:
    """What stops the flow where pressure does: "dirty", "cut-in", "dirty, cut-in", or "" where it stops at once, clean and running."""
    return ", ".join(word for word, holds in (("dirty", capacity.dirty), ("cut-in", capacity.cut_in)) if holds)


def lasting_told(evaluation: Evaluation, system: units.System) -> str:
    """In a few words, where refilling is what gives in first and the peak is more: how much of it lasts."""
    most, peak = evaluation.capacity.flow, _drawn(evaluation)
    shown = units.show_against_limit(most, peak, "flow", system).split(" ")[0]
    place = Context(evaluation).name(evaluation.capacity.at)
    return f"Without a pause {shown} of {units.show(peak, 'flow', system)}, {_refill(evaluation, place)}."


def _refill(evaluation: Evaluation, place: str) -> str:
    return f"what fills {place}" if evaluation.capacity.at in evaluation.plan.fills else "what the well yields"


def _peak(evaluation: Evaluation, system: units.System) -> str:
    peak = _drawn(evaluation)
    if peak <= evaluation.capacity.flow * (1 + _SAME):
        return ""
    stands = "in it" if evaluation.capacity.at in evaluation.plan.fills else "in the casing"
    return f"; what the peak of {units.show(peak, 'flow', system)} takes beyond that comes from what stands {stands}"


def _drawn(evaluation: Evaluation) -> float:
    """m3/s wanted at the house at the peak."""
    demand = evaluation.plan.demands.get("house")
    return float(demand.flows[PEAK]) if demand is not None else 0.0
