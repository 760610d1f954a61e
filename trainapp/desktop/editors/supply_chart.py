"""The supply's curve and the train's own on one chart, with the band that the pump works in; and what there is to say about them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from trainapp import units
from trainapp.checks.policy import rule
from trainapp.desktop.editors.chart import Chart, Curve
from trainapp.hydraulics.supply import Mains, Supply, Well
from trainapp.hydraulics.tank import PRECHARGE_BELOW
from trainapp.reports.drawing.marks import Mark
from trainapp.reports.drawing.tokens import DIRTY_DASH, DOTTED, LOWEST_DASH
from trainapp.stages.working import PEAK
from trainapp.train.evaluation import Evaluation
from trainapp.train.needed import TrainCurve, train_curve
from trainapp.train.zones import SUPPLY

Said = tuple[Mark | None, str]
Shown = Callable[[float, float], tuple[float, float]]

_POINTS = 48


@dataclass(frozen=True, slots=True)
class SupplyFacts:
    """What chart and sentences are made of: the supply, what is drawn from it at the peak (m3/s), and the train's curve."""

    supply: Supply
    peak: float
    curve: TrainCurve
    most: float
    system: units.System

    def show(self, value: float, dimension: str) -> str:
        return units.typeset(units.show(value, dimension, self.system))

    def crossing(self, dirty: bool, lowest: bool = False) -> float | None:
        """m3/s at which the supply, running or at the lowest of its cycle, just leaves every end its pressure."""
        gives = self.supply.lowest if lowest else self.supply.running
        return self.curve.crossing(np.array([gives(float(q)) for q in self.curve.flow]), dirty)


def facts_of(evaluation: Evaluation, system: units.System) -> SupplyFacts:
    """The facts of an evaluated train."""
    supply, peak = evaluation.plan.sources[SUPPLY], float(evaluation.points[SUPPLY].flow[PEAK])
    most = supply.max_flow if isinstance(supply, Well) else max(1.5 * peak, getattr(supply, "at_flow", 0.0), 1e-6)
    return SupplyFacts(supply, peak, train_curve(evaluation.plan, most), most, system)


def chart_of(facts: SupplyFacts) -> Chart:
    """The chart, in the units shown."""
    supply, system = facts.supply, facts.system

    def shown(flow: float, pressure: float) -> tuple[float, float]:
        return units.convert(flow, "flow", system), units.convert(pressure, "pressure", system)

    train = [
        Curve(f"train, {word}", tuple(shown(float(q), float(p)) for q, p in zip(facts.curve.flow, row, strict=True)), "series2", 1.5, dash)
        for word, row, dash in (("clean", facts.curve.clean, ()), ("dirty", facts.curve.dirty, DIRTY_DASH))
    ]
    if np.allclose(facts.curve.clean, facts.curve.dirty, atol=500.0):
        train = [Curve("train", train[0].points, "series2")]
    own = _well_curves(supply, shown) if isinstance(supply, Well) else _main_curves(supply, facts.most, shown)
    tops = [y for curve in own for _, y in curve.points]
    if isinstance(supply, Well) and supply.control == "switch":
        tops.append(units.convert(supply.cut_out, "pressure", system))
    return Chart(
        title="Pressure at the gauge",
        unit=units.typeset(units.unit("pressure", system)),
        across=f"flow, {units.typeset(units.unit('flow', system))}",
        curves=(*own, *train),
        band=_band(supply, system),
        stops=((units.convert(facts.peak, "flow", system), f"peak {facts.show(facts.peak, 'flow')}"),) if facts.peak > 0 else (),
        meets=tuple(_meet(facts, flow, shown) for flow in dict.fromkeys((facts.crossing(False), facts.crossing(True))) if flow),
        top=max(tops) * 1.02,
        right=units.convert(max(facts.most, facts.peak * 1.05), "flow", system),
    )


def _meet(facts: SupplyFacts, flow: float, shown: Shown) -> tuple[float, float, str]:
    return (*shown(flow, facts.supply.running(flow)), facts.show(flow, "flow"))


def _well_curves(well: Well, shown: Shown) -> list[Curve]:
    points = tuple(shown(flow, pressure) for flow, pressure in well.curve)
    flows = np.linspace(0.0, well.last_flow, _POINTS)
    runs = tuple(shown(float(q), well.running(float(q))) for q in flows)
    curves = [Curve("pump", points, "series1", 1.5, dots=True), Curve("", runs, "series1", 3.0)]
    if well.max_flow > well.last_flow:
        end = well.last_flow, well.max_flow
        curves.append(Curve("", tuple(shown(q, well.on_curve(q)[0]) for q in end), "series1", 1.5, DOTTED))
    if well.control == "switch":
        curves.append(Curve("", tuple(shown(float(q), well.lowest(float(q))) for q in flows), "ink3", 1.2, LOWEST_DASH))
    return curves


def _main_curves(supply: Supply, most: float, shown: Shown) -> list[Curve]:
    curve = Curve("main", tuple(shown(float(q), supply.running(float(q))) for q in np.linspace(0.0, most, _POINTS)), "series1", 3.0)
    if not isinstance(supply, Mains):
        return [curve]
    return [curve, Curve("", (shown(0.0, supply.static), shown(supply.at_flow, supply.residual)), "series1", 0.0, dots=True)]


def _band(supply: Supply, system: units.System) -> tuple[float, float, str] | None:
    if not isinstance(supply, Well) or supply.control != "switch":
        return None
    low, high = (units.convert(p, "pressure", system) for p in (supply.cut_in, supply.cut_out))
    return low, high, "the switch works between cut-in and cut-out"


# Words ------------------------------------------------------------------------------------------------------------------------


def words_of(facts: SupplyFacts) -> list[Said]:
    """What there is to say, each with its mark."""
    said = _meeting(facts)
    if isinstance(facts.supply, Well):
        said += _pump(facts, facts.supply) + _tank(facts, facts.supply)
    elif note := facts.supply.range_note(facts.peak):
        said.append(("note", f"At the peak of {facts.show(facts.peak, 'flow')}: {note}."))
    return said


def _meeting(facts: SupplyFacts) -> list[Said]:
    """Where supply and train meet."""
    running = facts.show(facts.supply.running(facts.peak), "pressure")
    said: list[Said] = [(None, f"At the peak of {facts.show(facts.peak, 'flow')} the supply holds {running} at the gauge.")]
    for dirty in (False, True):
        flow, low, word = facts.crossing(dirty), facts.crossing(dirty, lowest=True), "dirty" if dirty else "clean"
        least = facts.peak * (1 - 1e-3)
        up_to = f"With filters {word} every end has its pressure up to"
        if flow is not None:
            mark: Mark | None = "fail" if flow < least and not dirty else "caution" if min(flow, low or flow) < least else None
            pauses = low is not None and facts.show(low, "flow") != facts.show(flow, "flow")
            tail = f" while the pump runs, and up to {facts.show(low, 'flow')} at its cut-in" if pauses and low is not None else ""
            said.append((mark, f"{up_to} {facts.show(flow, 'flow')}{tail}."))
        elif low is not None:
            said.append(("caution" if low < least else None, f"{up_to} {facts.show(low, 'flow')} at the pump's cut-in."))
    if facts.curve.held is not None:
        said.append((None, f"Flow controls let no more than {facts.show(facts.curve.held, 'flow')} through."))
    return said


def _pump(facts: SupplyFacts, well: Well) -> list[Said]:
    said: list[Said] = []
    stop = well.cut_out if well.control == "switch" else well.set_pressure
    if well.shut_off <= stop:
        what = "cut-out" if well.control == "switch" else "pressure that it should hold"
        said.append((
            "caution",
            f"The pump comes to {facts.show(well.shut_off, 'pressure')} at most and never reaches the {what} of "
            f"{facts.show(stop, 'pressure')}: it would not stop.",
        ))  # fmt: skip
    if well.yield_flow is not None and well.yield_flow < well.last_flow:
        said.append((None, f"The well itself refills by {facts.show(well.yield_flow, 'flow')}: a longer draw lives on what stands in it."))
    return said


def _tank(facts: SupplyFacts, well: Well) -> list[Said]:
    """Drawdown, cycling and precharge."""
    if well.control == "constant":
        return [(None, "A constant pressure control varies the pump; a small tank is its maker's choice.")]
    tank = well.tank
    if tank is None:
        return [("unknown", "The tank's volume is not given: how much it gives between starts cannot be told.")]
    said: list[Said] = [_charge(facts, well)]
    pump = well.refill_flow
    if pump <= 0.0 or tank.drawdown <= 0.0:
        return said
    least, run = rule("pump_run").value, tank.run_time(pump)
    gives = f"The tank gives {facts.show(tank.drawdown, 'volume')} between cut-out and cut-in; the pump fills it in "
    short = run < least * 0.99
    told = units.typeset(units.show_against_limit(run, least, "duration", facts.system))
    said.append(("caution" if short else None, f"{gives}{told}, at least {facts.show(least, 'duration')} wanted."))
    if short:
        said.append((None, f"A tank of {facts.show(tank.volume_for(pump, least), 'volume')} charged alike would run it so long."))
    hourly = 3600.0 / tank.shortest_cycle(pump)
    said.append(
        (None, f"It starts most often at half the pump's flow: {hourly:.0f} times an hour. The pump's maker says how often it may.")
    )
    return said


def _charge(facts: SupplyFacts, well: Well) -> Said:
    tank = well.tank
    assert tank is not None
    best = facts.show(tank.best_precharge, "pressure")
    if tank.charged_above_cut_in:
        return (
            "caution",
            f"The tank's air of {facts.show(tank.precharge, 'pressure')} is above the cut-in: it runs empty and the water stops before "
            f"the pump starts. {best} is right.",
        )
    if abs(tank.precharge - tank.best_precharge) > PRECHARGE_BELOW / 4:
        below = facts.show(PRECHARGE_BELOW, "pressure")
        return "note", f"The tank holds {facts.show(tank.precharge, 'pressure')} of air; {below} below the cut-in, {best}, is usual."
    return None, f"The tank's air stands right at {best}: check it with the tank empty of water."
