"""How often a well pump starts: its pressure tank gives and takes its drawdown, draw by draw."""

from __future__ import annotations

from collections.abc import Iterable

from trainapp.dimensions import DAY
from trainapp.hydraulics.supply import Well
from trainapp.studies.year.layout import wash_flow
from trainapp.studies.year.pieces import Pieces
from trainapp.train.zones import SUPPLY

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
    """Starts over a run, washes included; None without a pump on a switch. Power cuts are left out: the tank's state then does not matter."""
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
    lanes = [*own, *washes]
    edges = sorted({t for start, seconds, _ in lanes for t in (start, start + seconds)})
    found = []
    for low, high in zip(edges, edges[1:], strict=False):
        flow = sum(q for start, seconds, q in lanes if start <= 0.5 * (low + high) < start + seconds)
        if flow > 0.0 and high - low > 1e-6:
            found.append((low, high - low, flow))
    return found
