"""Pressures at the peak in three states, and the flows at which the water is judged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from trainapp.dimensions import DAY
from trainapp.hydraulics.supply import Mains, Supply, Well
from trainapp.stages.working import AVERAGE, PEAK, Array, Working
from trainapp.train.hydraulic import ZoneState, distribute, propagate
from trainapp.train.naming import Names
from trainapp.train.plan import Plan
from trainapp.train.zones import SUPPLY, Link, Zone


@dataclass(slots=True)
class Triple:
    """One zone at the peak: clean and dirty with the supply running, and dirty at its lowest."""

    clean: ZoneState
    dirty: ZoneState
    lowest: ZoneState


@dataclass(slots=True)
class PeakStates:
    """Every zone at the peak; `delivered` is what reaches each end (m3/s), less than wanted where a flow control holds it back."""

    zones: dict[str, Triple]
    home: dict[str, str]
    delivered: dict[str, float]

    def of(self, node: str) -> Triple:
        """The state of the zone whose pressure reaches the node's inlet."""
        return self.zones[self.home[node]]

    def at(self, node: str) -> Triple:
        """The state of the zone that the node's outlet belongs to."""
        return self.zones[node] if node in self.zones else self.zones[self.home[node]]


def zone_demands(plan: Plan, zone: Zone, index: int) -> dict[str, float]:
    """What the ends of a zone draw at one of the three flows, m3/s; a tank draws its filling flow."""
    draws = {}
    for end in zone.ends:
        fill = plan.fills.get(end)
        draws[end] = float(plan.demands[end].flows[index]) if fill is None else float(fill[index])
    return draws


def held_back(plan: Plan, zone: Zone, demands: Mapping[str, float]) -> dict[str, float]:
    """Demands cut to what the flow controls of the zone let through.

    A control on the only way to some ends cuts them in proportion to what they draw.
    """
    demands = dict(demands)
    for node, cap in plan.work.caps.items():
        ends = plan.only_way.get(node, ())
        total = sum(demands.get(end, 0.0) for end in ends)
        if node in zone.nodes and total > cap:
            demands.update({end: demands[end] * cap / total for end in ends if end in demands})
    return demands


def water_flows(plan: Plan) -> dict[Link, Array]:
    """m3/s in every pipe at trickle, average and peak with clean filters, shape (3,)."""
    flows: dict[Link, Array] = {}
    for zone in plan.zones:
        sets = [distribute(zone, plan.work, held_back(plan, zone, zone_demands(plan, zone, i))) for i in range(3)]
        for link in zone.links:
            flows[link] = np.array([s[link] for s in sets])
    placed = set(plan.order)
    for link in plan.graph.edges:
        if link not in flows and not plan.shut.isdisjoint(link) and placed.issuperset(link):
            flows[link] = np.zeros(3)
    return flows


def daily_volumes(plan: Plan) -> dict[Link, float]:
    """m3 a day through every pipe.

    Lanes share a day's water as they do while it is drawn, at half the peak (common practice, no source): over the day's average, which
    is a trickle that never flows, a bypass would take far more than it does in use.
    """
    volumes: dict[Link, float] = {}
    for zone in plan.zones:
        daily = {end: plan.demands[end].daily if end in plan.demands else float(plan.fills[end][AVERAGE]) * DAY for end in zone.ends}
        whole, peak = sum(daily.values()), sum(zone_demands(plan, zone, PEAK).values())
        scale = 0.5 * peak / whole if whole > 0.0 and peak > 0.0 else 0.0
        flows = distribute(zone, plan.work, {end: volume * scale for end, volume in daily.items()})
        volumes.update({link: flow / scale if scale else 0.0 for link, flow in flows.items()})
    return volumes


def peak_states(plan: Plan, flows: Mapping[Link, Array]) -> PeakStates:
    """Clean, dirty and lowest pressures of every zone at the peak; `flows` as :func:`water_flows` gives them."""
    zones: dict[str, Triple] = {}
    home: dict[str, str] = {SUPPLY: SUPPLY}
    delivered: dict[str, float] = {}
    for zone in plan.zones:
        demands = held_back(plan, zone, zone_demands(plan, zone, PEAK))
        clean = {link: float(flows[link][PEAK]) for link in zone.links}
        zones[zone.root] = zone_states(plan, zone, demands, clean)
        home.update({node: zone.root for node in zone.nodes[1:]})
        delivered.update({end: flow for end, flow in demands.items() if end in plan.demands})
    for valve in plan.shut:
        source = next(s for s in plan.graph.predecessors(valve) if s in home)
        home[valve] = source if source in zones else home[source]
        for state in (zones[home[valve]].clean, zones[home[valve]].dirty, zones[home[valve]].lowest):
            state.stand(source, valve)
    return PeakStates(zones, home, delivered)


def zone_states(plan: Plan, zone: Zone, demands: Mapping[str, float], clean: Mapping[Link, float]) -> Triple:
    """The three states of one zone when its ends draw `demands` (m3/s); `clean` the flows that this makes with clean filters."""
    source, total = plan.sources[zone.root], sum(demands.values())
    dirty = distribute(zone, plan.work, demands, dirty=True) if zone.merges else clean
    running, lowest = source.running(total), source.lowest(total)
    return Triple(
        propagate(zone, plan.work, clean, running, dirty=False),
        propagate(zone, plan.work, dirty, running, dirty=True),
        propagate(zone, plan.work, dirty, lowest, dirty=True),
    )


def drawn_alone(plan: Plan) -> dict[str, Triple]:
    """The zone of each outlet that is drawn at a time of its own, while it alone draws its peak."""
    states = {}
    for end, demand in plan.demands.items():
        if demand.alone > 0.0:
            zone = plan.zone_of(end)
            demands = held_back(plan, zone, {end: demand.alone})
            states[end] = zone_states(plan, zone, demands, distribute(zone, plan.work, demands))
    return states


def gauge(pressure: float) -> float:
    """A pressure as a gauge shows it: where more is drawn than arrives there is none, never less."""
    return max(pressure, 0.0)


def pressure_working(plan: Plan, node: str, states: PeakStates) -> Working:
    """How flow and pressure at a point follow from the supply and what lies between."""
    w, state = Working(), states.at(node)
    if node in plan.sources:
        total = sum(state.clean.flows[link] for link in state.clean.flows if link[0] == node)
        w.step("Q", "flow drawn at peak", total, "flow", formula="sum of the ends", result="flow")
        running = state.clean.outlet[node]
        source = plan.sources[node]
        note = source.range_note(total) if isinstance(source, Well | Mains) else ""
        formula, lowest_formula = _supply_steps(source, total, w)
        w.step("p", "pressure while the supply runs", running, "pressure", formula=formula, result="clean", note=note)
        w.step("p_d", "the same: filters do not reach back", state.dirty.outlet[node], "pressure", result="dirty")
        lowest = state.lowest.outlet[node]
        w.step("p_l", "lowest over the cycle of the supply", lowest, "pressure", formula=lowest_formula, result="lowest")
        return w
    _point_steps(plan, node, state, w)
    return w


def _supply_steps(source: Supply, flow: float, w: Working) -> tuple[str, str]:
    """What the pressures of a supply follow from; their formulas, running and at the lowest."""
    if isinstance(source, Well):
        curve = source.on_curve(flow)[0]
        w.step("p_c", "pressure on the curve of the pump at Q, 0 beyond its end", curve, "pressure", formula="p of the curve at Q")
        if source.control == "constant":
            w.step("p_s", "pressure that the pump is held at", source.set_pressure, "pressure")
            return "min(p_c, p_s)", "min(p_c, p_s)"
        w.step("p_o", "pressure at which the pump stops: it never holds more", source.cut_out, "pressure")
        w.step("p_i", "pressure at which the pump starts", source.cut_in, "pressure")
        return "min(p_c, p_o)", "min(p_c, p_i)"
    if isinstance(source, Mains):
        w.step("p_s", "pressure at rest", source.static, "pressure")
        if source.residual < source.static:
            w.step("p_r", "pressure at the flow it was tested at", source.residual, "pressure")
            w.step("Q_r", "flow it was tested at", source.at_flow, "flow")
            return "max(0, p_s − (p_s − p_r) · (Q/Q_r)^2)", "p"
        return "p_s", "p"
    return "", ""


def _demand_steps(plan: Plan, node: str, w: Working) -> None:
    """How the peak of an end follows from its fixtures, where they are counted."""
    demand = plan.demands.get(node)
    answer = demand.by_table if demand else None
    if answer is None:
        return
    for part in answer.parts:
        w.step("n q", f"{part.count} x {part.label}", part.total, unit=answer.load_unit, formula=f"{part.count} · {part.each:g}")
    w.step("Σ", f"all fixtures, {answer.title}", answer.load, unit=answer.load_unit, formula="Σ n q", source=answer.source)
    note = " ".join(answer.notes)
    w.step("Q_t", f"peak by {answer.title}", answer.flow, "flow", formula=answer.formula, source=answer.source, result="demand", note=note)


def _point_steps(plan: Plan, node: str, state: Triple, w: Working) -> None:
    _demand_steps(plan, node, w)
    links = [link for link in state.clean.flows if link[1] == node]
    w.step("Q", "flow at peak", sum(state.clean.flows[link] for link in links), "flow", formula="sum of the pipes", result="flow")
    for name, mark, zone in (("clean", "p", state.clean), ("dirty", "p_d", state.dirty), ("lowest", "p_l", state.lowest)):
        link = min(links, key=lambda lk: zone.outlet[lk[0]] - plan.pipes[lk].loss(zone.flows[lk]))
        before, pipe = zone.outlet[link[0]], zone.outlet[link[0]] - zone.inlet[node]
        w.step("p₀", f"pressure leaving {Names(plan.document).inside(link[0])}, {name}", before, "pressure")
        w.step(
            "Δp_p", "lost in the pipe between", pipe, "pressure", formula="f · (L/d) · ρ · v²/2 + ΣK · ρ · v²/2", source="darcy-weisbach",
            note=plan.pipes[link].range_note(zone.flows[link]),
        )  # fmt: skip
        w.step("Δp", "lost here, lift included", zone.inlet[node] - zone.outlet[node], "pressure")
        w.step(mark, f"pressure leaving, {name}", gauge(zone.outlet[node]), "pressure", formula="max(0; p₀ − Δp_p − Δp)", result=name)
