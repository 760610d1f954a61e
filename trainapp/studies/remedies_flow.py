"""Remedies where pressure or flow is short, or pipes are too narrow: larger pipe, larger stages, units side by side, the pump's range."""

from __future__ import annotations

from collections.abc import Iterator

from trainapp import units
from trainapp.dimensions import PSI
from trainapp.hydraulics.pipes import pipe_sizes
from trainapp.hydraulics.supply import Well
from trainapp.spelling import inside
from trainapp.studies.remedies_case import Candidate, Case
from trainapp.studies.remedies_parts import doubled, first, insert, resized, setting
from trainapp.train.edits import Edit, RemoveValue, SetValue
from trainapp.train.model import PipeSegment
from trainapp.train.zones import HOUSE, SUPPLY

_STEP = 10 * PSI
#: Volumes of pressure tanks to try, gallons.
_TANKS = (40, 60, 80, 120)


def candidates(case: Case) -> Iterator[Candidate]:
    """For the finding's code."""
    code = case.finding.code
    if code in ("low-pressure", "flow-short") and not case.is_stage:
        yield from _short(case)
    elif code == "velocity":
        yield from larger_pipe(case, 3)
    elif code == "high-pressure":
        yield from _too_high(case)
    elif code in ("precharge", "tank-cycling"):
        yield from _tank(case)


def _short(case: Case) -> Iterator[Candidate]:
    yield from first(_opened(case), 3)
    pipe, pump = list(larger_pipe(case, 2)), list(higher_range(case))
    yield from pipe
    yield from pump
    greedy = _greedy(case)
    for stage in greedy[:2]:
        yield from resized(case, stage)
        yield from _sooner(case, stage)
        yield from _wider_valve(case, stage)
        yield doubled(case, stage)
    larger = [list(resized(case, stage))[-1:] for stage in greedy[:3]]
    eased = [list(_at_ease(case, stage)) for stage in greedy]
    for step in (larger[:1], larger, eased[:1], eased[:2], eased[:3], eased):
        yield from joined(case, pipe[-1:], *step)
        yield from joined(case, pump[:1], pipe[-1:], *step)
    yield from _smooth_pipe(case)
    yield from _stored(case)


def joined(case: Case, *groups: list[Candidate]) -> Iterator[Candidate]:
    """Several candidates as one."""
    parts = [group[0] for group in groups if group]
    if len(parts) > 1:
        said = [part.label.rstrip(".") for part in parts]
        label = "; ".join([said[0], *(inside(text) for text in said[1:])])
        edits = tuple(edit for part in parts for edit in part.edits)
        words = list(dict.fromkeys(part.tried for part in parts))
        tried = words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]} together"
        yield Candidate(f"{label}.", edits, tried, tuple(work for part in parts for work in part.works))


def _greedy(case: Case) -> list[str]:
    """Stages ahead of the place by what they take when dirty, the greediest first; one of each group of twins."""
    ahead = [s for s in case.evaluation.stages if s in case.context.before(case.place) and case.twins(s)[0] == s]
    return sorted(ahead, key=lambda s: -case.evaluation.stages[s].headloss_dirty)


# What holds the flow ------------------------------------------------------------------------------------------------------------


def _opened(case: Case) -> Iterator[Candidate]:
    """Controls, chambers with their own control and regulators that hold back, a size larger."""
    for stage in case.evaluation.stages:
        cap = case.context.stage(stage).flow_cap
        if stage not in case.context.before(case.place):
            continue
        if cap is not None and cap < float(case.plan.demands[HOUSE].flows[2]) * 1.15:
            yield from resized(case, stage)
        if case.context.stage(stage).holds_pressure is not None:
            yield from resized(case, stage)


# Pipes --------------------------------------------------------------------------------------------------------------------------


def larger_pipe(case: Case, most: int) -> Iterator[Candidate]:
    """The next sizes of pipe everywhere between the stages, the smallest first."""
    plumbing = case.document.plumbing
    here = plumbing.value("size")
    sizes = [size for size in pipe_sizes().get(plumbing.word("material"), ()) if size.nominal > here * 1.01]
    for size in sizes[:most]:
        text = size.label.rpartition(", ")[2]
        edits: list[Edit] = [SetValue(path="plumbing.size", value=text)]
        narrow = [link for link in case.document.links if _has_less(link.pipe, size.nominal)]
        edits += [RemoveValue(path=("links", f"{link.from_}>{link.to}", "pipe", "size")) for link in narrow]
        yield Candidate(f"Lay {text} pipe between the stages.", tuple(edits), "larger pipe", ("pipe",) * len(case.evaluation.links))


def _has_less(pipe: PipeSegment | list[PipeSegment] | None, nominal: float) -> bool:
    """Whether a link has a single pipe of its own that is smaller."""
    return isinstance(pipe, PipeSegment) and pipe.given("size") and pipe.value("size") < nominal


def _smooth_pipe(case: Case) -> Iterator[Candidate]:
    """Copper for PEX: its fittings do not sit inside the pipe."""
    if case.document.plumbing.word("material") == "pex":
        edit = SetValue(path="plumbing.material", value="copper_l")
        label = "Lay copper pipe between the stages: its fittings leave the bore open."
        yield Candidate(label, (edit,), "copper pipe", ("copper_pipe",) * len(case.evaluation.links))


# Stages -------------------------------------------------------------------------------------------------------------------------


def _sooner(case: Case, stage: str) -> Iterator[Candidate]:
    """A cartridge that is changed before it takes so much."""
    at = case.setting(stage, "change_at") if case.kind(stage) == "sediment_cartridge" else None
    for less in (6, 4):
        if at is not None and at > less * PSI * 1.01:
            text = f"{less} psi"
            label = f"Change {case.name(stage)} at {case.show(less * PSI, 'pressure')} above clean instead of {case.show(at, 'pressure')}."
            yield setting(case, stage, "change_at", text, label, "changing the cartridge sooner")


def _at_ease(case: Case, stage: str) -> Iterator[Candidate]:
    """As little loss as a stage can have: a cartridge of the largest size that is changed soon, else two units side by side."""
    if case.kind(stage) != "sediment_cartridge":
        yield doubled(case, stage)
        return
    parts = [list(resized(case, stage))[-1:], list(_sooner(case, stage))[-1:]]
    yield from joined(case, *parts) if all(parts) else (part for part in (*parts[0], *parts[1], doubled(case, stage)))


def _wider_valve(case: Case, stage: str) -> Iterator[Candidate]:
    spec = case.context.stage(stage).spec.settings.get("valve")
    if spec is not None and case.setting(stage, "valve") != spec.choices[-1]:
        label = f"Put a {spec.choices[-1]} control valve on {case.name(stage)}."
        yield setting(case, stage, "valve", spec.choices[-1], label, "a larger control valve", work="control_valve")


# Supply -------------------------------------------------------------------------------------------------------------------------


def higher_range(case: Case) -> Iterator[Candidate]:
    """The pump switch set 10 psi up, with the tank's air behind it, where the pump can still reach the cut-out."""
    well = case.plan.sources[SUPPLY]
    if not isinstance(well, Well) or well.control != "switch":
        return
    cut_in, cut_out = well.cut_in + _STEP, well.cut_out + _STEP
    if cut_out > well.shut_off - 0.5 * _STEP or cut_out > 80 * PSI:
        return
    edits: list[Edit] = [SetValue(path=f"supply.{key}", value=_psi(value)) for key, value in (("cut_in", cut_in), ("cut_out", cut_out))]
    air = ""
    if well.tank is not None:
        edits.append(SetValue(path="supply.precharge", value=_psi(cut_in - 2 * PSI)))
        air = f", and the tank's air to {case.show(cut_in - 2 * PSI, 'pressure')}"
    label = f"Set the pump switch to {case.show(cut_in, 'pressure')} on and {case.show(cut_out, 'pressure')} off{air}."
    yield Candidate(label, tuple(edits), "a higher range of the pump switch")


def _stored(case: Case) -> Iterator[Candidate]:
    """A tank with its own pump, filled slowly."""
    link = case.slot(8)
    if link is not None and not case.context.having("storage"):
        for item in case.items("storage_pump", link, 2):
            yield from insert(case, item, link)


def _too_high(case: Case) -> Iterator[Candidate]:
    link = case.slot(5)
    if link is None:
        return
    for item in ("regulator-60", "regulator-50"):
        if case.catalogue.row(item) is not None:
            yield from insert(case, item, link)
    for stage in case.context.having("regulator"):
        yield from resized(case, stage, up=False)


def _tank(case: Case) -> Iterator[Candidate]:
    """The right air, a larger tank, or a drive that holds one pressure."""
    well = case.plan.sources[SUPPLY]
    if not isinstance(well, Well) or well.tank is None:
        return
    right = well.tank.best_precharge
    label = f"Set the tank's air to {case.show(right, 'pressure')} with the tank empty."
    yield Candidate(label, (SetValue(path="supply.precharge", value=_psi(right)),), "the right air in the tank")
    for gallons in _TANKS:
        volume = units.parse(f"{gallons} gal", "volume")
        if volume > well.tank.volume * 1.1 and case.finding.code == "tank-cycling":
            edits = [SetValue(path="supply.tank_volume", value=f"{gallons} gal"), SetValue(path="supply.precharge", value=_psi(right))]
            label = f"Take a pressure tank of {case.show(volume, 'volume')}, its air at {case.show(right, 'pressure')}."
            yield Candidate(label, tuple(edits), "a larger pressure tank", (f"pressure_tank_{gallons}",))
    held = (well.cut_in + well.cut_out) / 2
    edits = [SetValue(path="supply.control", value="constant"), SetValue(path="supply.set_pressure", value=_psi(held))]
    label = f"Take a pump drive that holds {case.show(held, 'pressure')} instead of a switch."
    yield Candidate(label, tuple(edits), "a pump drive that holds one pressure", ("pump_drive",))


def _psi(pressure: float) -> str:
    return units.write(pressure, "pressure", "us")
