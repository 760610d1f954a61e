"""Pressures at the peak in three states, and the flows at which the water is judged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from trainapp.hydraulics.supply import Mains, Well
from trainapp.stages.working import PEAK, Array, Working
from trainapp.train.hydraulic import ZoneState, distribute, propagate
from trainapp.train.plan import Plan
from trainapp.train.zones import HOUSE, SUPPLY, Link, Zone


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
    return flows


def peak_states(plan: Plan, flows: Mapping[Link, Array]) -> PeakStates:
    """Clean, dirty and lowest pressures of every zone at the peak; `flows` as :func:`water_flows` gives them."""
    zones: dict[str, Triple] = {}
    home: dict[str, str] = {SUPPLY: SUPPLY}
    delivered: dict[str, float] = {}
    for zone in plan.zones:
        demands = held_back(plan, zone, zone_demands(plan, zone, PEAK))
        source, total = plan.sources[zone.root], sum(demands.values())
        clean = {link: float(flows[link][PEAK]) for link in zone.links}
        dirty = distribute(zone, plan.work, demands, dirty=True) if zone.merges else clean
        running, lowest = source.running(total), source.lowest(total)
        zones[zone.root] = Triple(
            propagate(zone, plan.work, clean, running, dirty=False),
            propagate(zone, plan.work, dirty, running, dirty=True),
            propagate(zone, plan.work, dirty, lowest, dirty=True),
        )
        home.update({node: zone.root for node in zone.nodes[1:]})
        delivered.update({end: flow for end, flow in demands.items() if end in plan.demands})
    return PeakStates(zones, home, delivered)


def pressure_working(plan: Plan, node: str, states: PeakStates) -> Working:
    """How flow and pressure at a point follow from the supply and what lies between."""
    w, state = Working(), states.at(node)
    if node in plan.sources:
        total = sum(state.clean.flows[link] for link in state.clean.flows if link[0] == node)
        w.step("Q", "flow drawn at peak", total, "flow", formula="sum of the ends", result="flow")
        running = state.clean.outlet[node]
        source = plan.sources[node]
        note = source.range_note(total) if isinstance(source, Well | Mains) else ""
        w.step("p", "pressure while the supply runs", running, "pressure", formula="supply curve at Q", result="clean", note=note)
        w.step("p_d", "the same: filters do not reach back", state.dirty.outlet[node], "pressure", result="dirty")
        lowest = state.lowest.outlet[node]
        w.step("p_l", "lowest over the cycle of the supply", lowest, "pressure", formula="min(curve(Q), cut-in)", result="lowest")
        return w
    _point_steps(plan, node, state, w)
    return w


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
        w.step("p₀", f"pressure leaving {link[0]}, {name}", before, "pressure")
        w.step(
            "Δp_p", "lost in the pipe between", pipe, "pressure", formula="f · (L/d) · ρ · v²/2 + ΣK · ρ · v²/2", source="darcy-weisbach",
            note=plan.pipes[link].range_note(zone.flows[link]),
        )  # fmt: skip
        w.step("Δp", "lost here, lift included", zone.inlet[node] - zone.outlet[node], "pressure")
        w.step(mark, f"pressure leaving, {name}", zone.outlet[node], "pressure", formula="p₀ − Δp_p − Δp", result=name)


__all__ = ["HOUSE", "PeakStates", "Triple", "held_back", "peak_states", "pressure_working", "water_flows", "zone_demands"]
