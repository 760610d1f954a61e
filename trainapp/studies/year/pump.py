"""How often a well pump starts: its pressure tank gives and takes its drawdown, draw by draw."""

from __future__ import annotations

from collections.abc import Iterable

from trainapp.dimensions import DAY
from trainapp.hydraulics.supply import Well
from trainapp.studies.year.layout import wash_flow
from trainapp.studies.year.pieces import Pieces
from trainapp.train.zones import SUPPLY

#: m3/s below which nothing is drawn: what is left of sums of flows.
_NOTHING = 1e-12
Draws = Iterable[tuple[float, float, float]]


def pump_starts(drawdown: float, pump: float, draws: Draws) -> int:
    """Starts of a pump on a pressure switch.

    Args:
        drawdown: m3 between cut-out and cut-in. pump: m3/s that it gives while it fills the tank.
        draws: (start s, length s, flow m3/s), none over the next, in time order.
    """
    starts, level, running, clock = 0, drawdown, False, 0.0
    for begin, seconds, flow in draws:
        if running:
            level = min(level + pump * (begin - clock), drawdown)
            running = level < drawdown
        left = seconds
        while left > 0.0:
            net = (pump if running else 0.0) - flow
            room = drawdown - level if net > 0.0 else level
            if net == 0.0 or room / abs(net) >= left:
                # a pump that gives less than is drawn leaves the tank empty
                level = min(max(level + net * left, 0.0), drawdown)
                break
            left -= room / abs(net)
            if net > 0.0:
                level, running = drawdown, False
            elif not running:
                level, running, starts = 0.0, True, starts + 1
            else:
                level = 0.0
                break
        clock = begin + seconds
    return starts


def starts_of(pieces: Pieces) -> int | None:
    """Starts over a run, washes included; None without a pump on a switch. That it rests through power cuts is left out."""
    source = pieces.machine.plan.sources[SUPPLY]
    if not isinstance(source, Well) or source.tank is None or source.tank.drawdown <= 0.0:
        return None
    return pump_starts(source.tank.drawdown, source.refill_flow, _draws(pieces))


def _draws(pieces: Pieces) -> Draws:
    machine = pieces.machine
    through, days = machine.layout.through[SUPPLY], machine.demand.days
    washes: dict[int, list[tuple[float, float, float]]] = {}
    for happening in pieces.track.happenings:
        if happening.kind in ("backwash", "regeneration"):
            ageing = machine.ageings[happening.stage]
            assert ageing.washing is not None
            cleaning = ageing.washing.cleaning
            length = cleaning.total_minutes * 60.0 * ageing.stage.count
            washes.setdefault(int(happening.time // DAY), []).append((happening.time, length, wash_flow(cleaning)))
    for day, kind in enumerate(machine.clock.kinds):
        own = [(day * DAY + s.start, s.seconds, float(through[s.column])) for s in days[machine.clock.names[kind]]]
        yield from _merged(own, washes.get(day, []))


def _merged(own: list[tuple[float, float, float]], washes: list[tuple[float, float, float]]) -> list[tuple[float, float, float]]:
    """Draws and washes of a day in one line; where they fall together their flows add."""
    if not washes:
        return own
    turns = sorted(turn for start, seconds, flow in (*own, *washes) for turn in ((start, flow), (start + seconds, -flow)))
    found, flow, since = [], 0.0, turns[0][0]
    for at, change in turns:
        if at - since > 1e-6 and flow > _NOTHING:
            found.append((since, at - since, flow))
        flow, since = flow + change, at
    return found
