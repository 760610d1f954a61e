"""Pressure left at every end, and pressure that is too high: `low-pressure`, `high-pressure`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from trainapp.checks.context import HOUSE, SUPPLY, Context
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.flow_short import SHORT_SUPPLY, pump_overdrawn
from trainapp.checks.policy import amount, rule
from trainapp.hydraulics.supply import Mains, Well
from trainapp.stages.base import Severity
from trainapp.stages.working import PEAK
from trainapp.train.evaluation import Evaluation

#: Pa by which a pressure may be under what is wanted and still read as it.
_SLACK = 345.0


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Each end's pressure at the peak, then the supply at rest."""
    for end in context.ends:
        yield from _low(evaluation, context, end)
    yield from _high(evaluation, context)


def _low(evaluation: Evaluation, context: Context, end: str) -> Iterator[Finding]:
    pressure, wanted = evaluation.points[end].pressure, context.plan.demands[end].pressure
    clean_at_cut_in = pressure.lowest + pressure.clean - pressure.dirty
    least = amount("least_pressure")
    severity: Severity = "fail"
    asked = "is wanted"
    if pressure.clean <= 0.0:
        yield _none_left(evaluation, context, end)
        return
    if pressure.clean < wanted - _SLACK:
        value, limit, when = pressure.clean, wanted, "even with clean filters and the supply running"
    elif clean_at_cut_in < min(least, wanted) - _SLACK:
        value, limit, when = clean_at_cut_in, min(least, wanted), "with clean filters just before the pump starts"
        asked = "has to be left at the least"
    else:
        severity = "caution"
        if pressure.dirty < wanted - _SLACK:
            value, limit, when = pressure.dirty, wanted, "when the filters are due to be cleaned or changed"
        elif pressure.lowest < wanted - _SLACK:
            value, limit, when = pressure.lowest, wanted, "just before the pump starts"
        else:
            return
    at = "At the house main" if end == HOUSE else f"At {context.name(end)}"
    yield Finding(
        "low-pressure", severity, end, f"Low pressure at {context.name(end)}",
        f"{at} {_shown(context, value, limit)} is left at the peak {when}; {context.show(limit, 'pressure')} {asked}"
        f"{_farther(context, end, value)}.",
        value=Amount.of(value, "pressure"), limit=Amount.of(limit, "pressure"),
        source=rule("least_pressure").source if limit == least else "document",
        status=rule("least_pressure").status if limit == least else "common practice",
        cause=_cause(evaluation, context, end),
    )  # fmt: skip


def _none_left(evaluation: Evaluation, context: Context, end: str) -> Finding:
    """The peak asks for more than pipes and filters let through: no pressure is left at all."""
    peak, most = float(context.plan.demands[end].flows[PEAK]), evaluation.capacity.flow
    given = context.show_against(most, peak, "flow")
    gives = f"; at the pressure that is wanted the train gives {given}" if end == HOUSE and most < peak else ""
    return Finding(
        "flow-short", "fail", end, f"The peak does not reach {context.name(end)}",
        f"{context.show(peak, 'flow')} is drawn at the peak and no pressure is left at {context.name(end)}, "
        f"even with clean filters{gives}.",
        value=Amount.of(most if end == HOUSE else 0.0, "flow"), limit=Amount.of(peak, "flow"), source="document",
        cause=_cause(evaluation, context, end),
    )  # fmt: skip


def _cause(evaluation: Evaluation, context: Context, end: str) -> str:
    """A pump that is asked for more than it has takes the pressure at every end that it feeds by itself."""
    starved = evaluation.points[SUPPLY].pressure.clean < context.plan.demands[end].pressure
    if starved and context.plan.zone_of(end).root == SUPPLY and pump_overdrawn(evaluation):
        return SHORT_SUPPLY
    return f"low-pressure:{end}"


def _farther(context: Context, end: str, value: float) -> str:
    if end != HOUSE:
        return ""
    loss = context.document.goals.get("house_loss") or 0.0
    left = max(value - loss, 0.0)
    return f"; the worst fixture is left with about {context.show(left, 'pressure')}" if loss else ""


def _shown(context: Context, value: float, limit: float) -> str:
    return context.show_against(max(value, 0.0), limit, "pressure")


def _high(evaluation: Evaluation, context: Context) -> Iterator[Finding]:
    """At rest: what the pump or the street can put on pipes and vessels, as far as no regulator holds it back."""
    supply = context.plan.sources["supply"]
    rest = supply.rest() if isinstance(supply, Well | Mains) else 0.0
    most, vessel = rule("static_pressure"), rule("vessel_pressure")
    if isinstance(supply, Well) and wants_relief(evaluation):
        yield _finding(
            context, "note", "supply", "The pump can push far at no flow",
            f"With its switch stuck the pump would push {context.show_against(supply.shut_off, most.value, 'pressure')}: "
            "a relief valve belongs at the tank.",
            supply.shut_off, "static_pressure",
        )  # fmt: skip
    held = _behind_regulator(context)
    if rest > most.value + _SLACK and HOUSE not in held:
        yield _finding(
            context, "caution", HOUSE, "High pressure at the house",
            f"At rest the supply puts {context.show_against(rest, most.value, 'pressure')} on the house; "
            f"above {context.show(most.value, 'pressure')} plumbing codes ask for a pressure regulator.",
            rest, "static_pressure",
        )  # fmt: skip
    exposed = [s for s in context.stages if s not in held and context.figures[s].shape in ("tank", "cartridge", "chamber")]
    if rest > vessel.value + _SLACK and exposed:
        yield _finding(
            context, "fail", exposed[0], f"More pressure than {context.name(exposed[0])} is made for",
            f"At rest {context.show_against(rest, vessel.value, 'pressure')} stands on {context.names(exposed)}; "
            f"common vessels are made for {context.show(vessel.value, 'pressure')}: a regulator belongs ahead.",
            rest, "vessel_pressure", tuple(exposed[1:]),
        )  # fmt: skip


def wants_relief(evaluation: Evaluation) -> bool:
    """Whether the pump of a well, its switch stuck, pushes beyond what plumbing is made for."""
    supply = evaluation.plan.sources.get("supply")
    return isinstance(supply, Well) and supply.shut_off > rule("static_pressure").value


def _behind_regulator(context: Context) -> frozenset[str]:
    """Nodes whose pressure at rest a regulator, or a tank open to air, sets."""
    stops = frozenset(s for s in context.stages if context.stage(s).holds_pressure is not None or context.stage(s).breaks_pressure)
    reached = context.reached_without(stops)
    return frozenset(context.plan.order) - reached - stops


def _finding(
    context: Context, severity: Severity, at: str, title: str, message: str, value: float, key: str, also_at: tuple[str, ...] = ()
) -> Finding:
    limit = rule(key)
    return Finding(
        "high-pressure", severity, at, title, message, value=Amount.of(value, "pressure"), limit=Amount.of(limit.value, "pressure"),
        source=limit.source, status=limit.status, also_at=also_at, cause=f"high-pressure:{at}:{key}",
        cautions=("Shut the supply and let the pressure off before a vessel or housing is opened.",) if severity == "fail" else (),
    )  # fmt: skip
