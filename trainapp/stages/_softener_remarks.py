"""What a softener has to say of its duty: too little resin, iron or chlorine on it, water that is soft already."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from trainapp.stages.base import Duty, Remark, Severity
from trainapp.stages.working import Array, FlowName, pick
from trainapp.water.stream import ADVERSE, FAVOURABLE, Stream

if TYPE_CHECKING:
    from trainapp.stages._resin import Run
    from trainapp.stages.softener import Softener


#: Times what counts as soft from which what leaks is told: the model of leakage is of low confidence (common practice, no source).
_LEAKS_FROM = 2.0


def remarks_of(softener: Softener, water: Stream, run: Run, removed: Array, duty: Duty) -> Iterator[Remark]:
    """All of them, for water 0."""
    c = softener.spec.constants
    yield from _effect(softener, water, removed)
    yield from _leak(softener, water, removed)
    yield from _capacity(softener, run)
    yield from _iron(softener, water)
    yield from _chlorine(softener, water)
    if not c["dose_least"] <= softener.resin.dose <= c["dose_most"]:
        yield Remark(
            "outside-model",
            "note",
            "The salt dose is outside the capacity curve",
            "Capacity is only known for salt doses of 3 to 15 lb/ft3 (48 to 240 g/L); the nearer end of the curve is used.",
            value=softener.resin.dose,
            limit=c["dose_least" if softener.resin.dose < c["dose_least"] else "dose_most"],
            dimension="density",
            source="from-memory",
            status="from memory",
        )


def _effect(softener: Softener, water: Stream, removed: Array) -> Iterator[Remark]:
    """Whether there is hardness for it to take, and whether it can."""
    c = softener.spec.constants
    hardness, taken = pick(water.row("hardness"), "average"), pick(removed, "average")
    if taken < c["soft"] < hardness:
        yield Remark(
            "no-effect",
            "caution",
            "Too much salt in this water to soften it",
            "So much dissolved salt keeps the resin from holding hardness: it leaks through as it came.",
            "tds",
            pick(water.row("tds"), "average"),
            c["leakage_tds"],
            "concentration",
            source="from-memory",
            status="from memory",
        )
    elif taken < c["soft"]:
        yield Remark(
            "no-effect",
            "caution",
            "The softener has nothing to do",
            "The water that reaches the softener is about as soft as a softener makes it.",
            "hardness",
            hardness,
            c["soft"],
            "hardness",
            source="nsf-ansi-44",
            status="secondary",
        )
    elif hardness <= c["soft_class"]:
        yield Remark(
            "no-effect",
            "note",
            "The water is soft already",
            "This water is classed as soft before it is softened.",
            "hardness",
            hardness,
            c["soft_class"],
            "hardness",
            source="usgs-hardness",
            status="published",
        )


def _leak(softener: Softener, water: Stream, removed: Array) -> Iterator[Remark]:
    """Hardness that comes through: of salt at any flow, of the flow at the peak. Said from twice what counts as soft on, at the best."""
    c = softener.spec.constants
    hardness, taken, told = water.row("hardness"), removed, _LEAKS_FROM * c["soft"]

    def left(at: FlowName) -> float:
        return min(pick(hardness, at, reading) - pick(taken, at, reading) for reading in (FAVOURABLE, ADVERSE))

    all_day, peak = left("average"), left("peak")
    if pick(taken, "average") < c["soft"] or max(all_day, peak) <= told:
        return
    salty = all_day > told
    yield Remark(
        "hardness-leaks",
        "caution",
        "The softened water stays hard" if salty else "Hard water slips through the softener at the peak",
        "So much salt is dissolved in this water that hardness leaks through the resin all day: more salt at each regeneration lowers it."
        if salty
        else "At the peak the water passes the resin too fast to be softened: more resin or less flow would do it.",
        "hardness",
        all_day if salty else peak,
        c["soft"],
        "hardness",
        source="nsf-ansi-44",
        status="secondary",
    )


def _capacity(softener: Softener, run: Run) -> Iterator[Remark]:
    goal, last = softener.settings.number("goal_days"), pick(run.interval, "average")
    shortest = softener.shortest
    if last >= goal:
        return
    exhausted = pick(run.to_exhaustion, "average") < shortest
    sentence = (
        "The resin is used up before it can be regenerated again: hard water will come through every day."
        if exhausted
        else "The softener regenerates more often than planned: more resin, a higher salt dose or a second tank makes it last."
    )
    yield Remark(
        "capacity-short",
        "fail" if exhausted else "caution",
        "Too little resin for this water",
        sentence,
        "hardness",
        last,
        shortest if exhausted else goal,
        "time",
        source="logic" if exhausted else "mmsd-softening",
        status="computed" if exhausted else "published",
    )


def _iron(softener: Softener, water: Stream) -> Iterator[Remark]:
    """Severity by the policy on softeners as iron removers, with the accuracy of a predicted residual."""
    c = softener.spec.constants
    iron, least = pick(water.get("iron")), pick(water.get("iron"), reading=FAVOURABLE)
    if not iron > c["iron_note"]:
        return
    allowance = 1.0 + (0.0 if _as_measured(water) else c["iron_accuracy"])
    oxidised = _oxidant_known(softener, water)
    severity: Severity = "note"
    limit, source, status = c["iron_note"], "va-590-900", "published"
    sentence = "The softener has to take out iron; expect to clean its resin, and keep air and oxidants away from it."
    if oxidised:
        severity = "fail" if iron > c["iron_note"] * allowance else "caution"
        source = "wi-811.52"
        sentence = "Iron reaches the resin together with oxygen or an oxidant: it turns to rust in the bed and fouls it."
    elif iron > c["iron_fail"]:
        severity = "fail" if min(iron, least * allowance) > c["iron_fail"] else "caution"
        limit, source, status = c["iron_fail"], "from-memory", "from memory"
        sentence = "More iron reaches the resin than a softener can be asked to take: it needs an iron filter ahead of it."
    elif iron > c["iron_caution"]:
        severity = "caution"
        limit, source, status = c["iron_caution"], "softener-best-practice", "secondary"
        sentence = "So much iron fouls the resin in time: an iron filter ahead of the softener keeps it clean."
    yield Remark(
        "iron-on-resin",
        severity,
        "Iron on the softener's resin",
        sentence,
        "iron",
        iron,
        limit,
        "concentration",
        source=source,
        status=status,
        cause="iron-on-resin",
    )


def _as_measured(water: Stream) -> bool:
    """Whether both readings agree on iron, as they do where it was measured and nothing has treated it."""
    iron = water.get("iron")
    return pick(iron) == pick(iron, reading=FAVOURABLE)


def _oxidant_known(softener: Softener, water: Stream) -> bool:
    """Whether oxygen or an oxidant surely arrives: an assumed oxygen content convicts nobody."""
    c = softener.spec.constants
    oxygen = bool(water.is_known("dissolved_oxygen")[0]) and pick(water.row("dissolved_oxygen")) > c["oxygen_free"]
    chlorine = bool(water.is_known("free_chlorine")[0]) and pick(water.row("free_chlorine")) > c["oxidant_free"]
    return oxygen or chlorine or pick(water.row("permanganate")) > c["oxidant_free"]


def _chlorine(softener: Softener, water: Stream) -> Iterator[Remark]:
    most = softener.spec.constants["chlorine_most"]
    chlorine = pick(water.row("free_chlorine"))
    if chlorine > most:
        yield Remark(
            "chlorine-on-resin",
            "caution",
            "Chlorine on the softener's resin",
            "Chlorine of this strength wears out ordinary resin within years: take it out first or ask for resin of 10 % crosslinking.",
            "free_chlorine",
            chlorine,
            most,
            "concentration",
            source="il-604.805",
            status="from memory",
        )
