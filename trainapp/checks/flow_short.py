"""Whether the supply gives what the house draws: `flow-short`, and the pump's range and tank: `precharge`, `tank-cycling`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from trainapp.checks.context import SUPPLY, Context, start
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.policy import rule
from trainapp.dimensions import DAY
from trainapp.hydraulics.supply import Mains, Well
from trainapp.stages.base import Severity
from trainapp.stages.working import AVERAGE, PEAK
from trainapp.train.evaluation import Evaluation

_SLACK = 1 + 1e-3
#: Cause of whatever is short because more is drawn at the peak than comes.
SHORT_SUPPLY = "flow-short:supply"
#: A run of the pump that is nearly long enough is told and no more: drawdown is known no better than the tank's air.
_NEARLY = 0.8


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Demand against supply, then the well's own figures."""
    supply = context.plan.sources[SUPPLY]
    drawn = evaluation.points[SUPPLY].flow
    if isinstance(supply, Well):
        yield from _well(context, supply, float(drawn[PEAK]), float(drawn[AVERAGE]))
        yield from _tank(context, supply)
        yield from _never_stops(context, supply)
    yield from _longer_than_a_day(context)
    yield from _held_back(evaluation, context)
    if isinstance(supply, Well | Mains) and not pump_overdrawn(evaluation) and (note := supply.range_note(float(drawn[PEAK]))):
        yield Finding(
            "outside-model", "note", SUPPLY, "Beyond what is known of the supply",
            f"At the peak {context.show(float(drawn[PEAK]), 'flow')} is drawn: {note}.",
            value=Amount.of(float(drawn[PEAK]), "flow"), source="document", cause="supply-range",
        )  # fmt: skip


def _never_stops(context: Context, well: Well) -> Iterator[Finding]:
    """A pump that cannot reach the pressure at which its switch stops it runs on against closed taps."""
    if well.control == "switch" and well.shut_off < well.cut_out * (1 - 1e-9):
        yield Finding(
            "pump-runs-on", "fail", SUPPLY, "The pump never reaches its cut-out",
            f"At no flow the pump makes {context.show_against(well.shut_off, well.cut_out, 'pressure')} and its switch stops it at "
            f"{context.show(well.cut_out, 'pressure')}: it runs on against closed taps until it overheats; "
            "set the switch lower, or look at the pump's curve again.",
            value=Amount.of(well.shut_off, "pressure"), limit=Amount.of(well.cut_out, "pressure"), source="document",
            cause="pump-runs-on",
        )  # fmt: skip


def _longer_than_a_day(context: Context) -> Iterator[Finding]:
    """An end whose day's use does not fit into a day at its peak: one of the two figures is wrong."""
    for end in context.ends:
        demand = context.plan.demands[end]
        most = float(demand.flows[PEAK]) * DAY
        if most > 0.0 and demand.daily > most * _SLACK:
            yield Finding(
                "demand-doubt", "caution", end, f"More in a day than the peak gives at {context.name(end)}",
                f"{start(context.name(end))} uses {context.show_against(demand.daily, most, 'volume')} a day; at its peak of "
                f"{context.show(float(demand.flows[PEAK]), 'flow')} a whole day gives {context.show(most, 'volume')}: "
                "one of the two is wrong.",
                value=Amount.of(demand.daily, "volume"), limit=Amount.of(most, "volume"), source="document", status="computed",
                cause=f"demand-doubt:{end}",
            )  # fmt: skip


def _well(context: Context, well: Well, peak: float, average: float) -> Iterator[Finding]:
    most, floor, word = _at_control(well)
    if peak > most * _SLACK:
        yield _finding(
            context, "fail", "The pump gives less than the peak",
            f"{context.show_against(peak, most, 'flow')} is drawn at the peak; at {word} of {context.show(floor, 'pressure')} "
            f"the pump gives {context.show(most, 'flow')}.",
            peak, most, SHORT_SUPPLY,
        )  # fmt: skip
    if well.yield_flow is None:
        return
    if average > well.yield_flow * _SLACK:
        yield _finding(
            context, "fail", "The well yields less than a day's use",
            f"Over a day {context.show_against(average, well.yield_flow, 'flow')} is drawn; "
            f"the well yields {context.show(well.yield_flow, 'flow')}.",
            average, well.yield_flow, "flow-short:yield",
        )  # fmt: skip
    elif peak > well.yield_flow * _SLACK:
        yield _finding(
            context, "note", "The peak is more than the well yields",
            f"{context.show_against(peak, well.yield_flow, 'flow')} is drawn at the peak and the well yields "
            f"{context.show(well.yield_flow, 'flow')}: a long peak lives on what stands in the casing.",
            peak, well.yield_flow, SHORT_SUPPLY,
        )  # fmt: skip


def _at_control(well: Well) -> tuple[float, float, str]:
    """What the pump gives at the pressure that its control should never fall below, m3/s; that pressure, Pa, and what it is called."""
    switched = well.control == "switch"
    floor = well.cut_in if switched else well.set_pressure
    return well.pumped_at(floor), floor, "the pump's cut-in" if switched else "the pressure that the pump should hold"


def pump_overdrawn(evaluation: Evaluation) -> bool:
    """Whether the peak is more than the pump of the well gives: what is then wrong at the ends has that one cause."""
    supply = evaluation.plan.sources[SUPPLY]
    return isinstance(supply, Well) and float(evaluation.points[SUPPLY].flow[PEAK]) > _at_control(supply)[0] * _SLACK


def _held_back(evaluation: Evaluation, context: Context) -> Iterator[Finding]:
    """Ends that get less than they want because something holds the flow back."""
    for end in context.ends:
        wanted, got = float(context.plan.demands[end].flows[PEAK]), evaluation.delivered.get(end, 0.0)
        if wanted <= got * _SLACK:
            continue
        caps = [stage for stage in context.before(end) if stage in context.stages and context.stage(stage).flow_cap is not None]
        why = f"; {context.name(min(caps, key=lambda s: context.stage(s).flow_cap or 0.0))} holds it back" if caps else ""
        yield Finding(
            "flow-short", "fail", end, f"Less than the peak reaches {context.name(end)}",
            f"{start(context.name(end))} draws {context.show(wanted, 'flow')} at the peak "
            f"and gets {context.show_against(got, wanted, 'flow')}{why}.",
            value=Amount.of(got, "flow"), limit=Amount.of(wanted, "flow"), source="document", cause=f"flow-short:{end}",
        )  # fmt: skip


def _finding(context: Context, severity: Severity, title: str, message: str, value: float, limit: float, cause: str) -> Finding:
    return Finding(
        "flow-short", severity, SUPPLY, title, message, value=Amount.of(value, "flow"), limit=Amount.of(limit, "flow"), source="document",
        cause=cause,
    )  # fmt: skip


def _tank(context: Context, well: Well) -> Iterator[Finding]:
    tank = well.tank
    if tank is None:
        return
    if tank.charged_above_cut_in:
        yield Finding(
            "precharge", "caution", SUPPLY, "The tank's air pressure is above the cut-in",
            f"The pressure tank holds {context.show_against(tank.precharge, tank.cut_in, 'pressure')} of air, more than the cut-in of "
            f"{context.show(tank.cut_in, 'pressure')}: it runs empty and the water stops before the pump starts; "
            f"{context.show(tank.best_precharge, 'pressure')} is right.",
            value=Amount.of(tank.precharge, "pressure"), limit=Amount.of(tank.cut_in, "pressure"), source="tank-drawdown-2006",
            status="published",
        )  # fmt: skip
    least = rule("pump_run")
    run = tank.run_time(well.refill_flow) if well.refill_flow > 0 else float("inf")
    if run < least.value * 0.99:
        yield Finding(
            "tank-cycling", "note" if run >= _NEARLY * least.value else "caution", SUPPLY, "The pump starts too often",
            f"The tank gives {context.show(tank.drawdown, 'volume')} between starts, so the pump runs "
            f"{context.show_against(run, least.value, 'duration')} to fill it; "
            f"it should run at least {context.show(least.value, 'duration')}.",
            value=Amount.of(run, "duration"), limit=Amount.of(least.value, "duration"), source=least.source, status=least.status,
        )  # fmt: skip
