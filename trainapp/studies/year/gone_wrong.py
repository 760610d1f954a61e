"""The first time of everything that goes wrong in a run, and why."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from trainapp.checks.rows import analyte_label, because
from trainapp.checks.table import Row
from trainapp.dimensions import DAY, PSI, YEAR
from trainapp.hydraulics.supply import Well
from trainapp.stages.base import Severity
from trainapp.stages.working import Array
from trainapp.studies.year.goals import FAR, AtHouse, conditions_of, is_of_health
from trainapp.studies.year.goals import code_of as code_of_goal
from trainapp.studies.year.happenings import GoneWrong
from trainapp.studies.year.inlet import Beyond, Inlet, as_raw, code_of
from trainapp.studies.year.judged import Judged, unprotected
from trainapp.studies.year.light import Light
from trainapp.studies.year.pieces import Pieces
from trainapp.studies.year.series import Courses
from trainapp.train.zones import HOUSE, SUPPLY
from trainapp.water.stream import Stream

_MONTH = YEAR / 12
_LEAST_SECONDS = 1e-6
_AS_BUILT = "It does so with everything new: nothing in this train prevents it."
_CLEAN = "The train takes that much even with everything clean."
_FILM = (
    "A film on the sleeve took more light than the rating allows for. Real rates must come from the sensor and from looking at the sleeve."
)


def gone_wrong(courses: Courses, judged: Judged) -> tuple[GoneWrong, ...]:
    """The first time of everything that goes wrong, soonest first; teaching pictures, which have no date, last."""
    found = [
        *_told(courses.pieces),
        *_untreated(courses.pieces, judged),
        *_noticed(courses, judged),
        *(wrong for light in courses.lights.values() for wrong in _dark(light)),
        *(wrong for light in courses.lights.values() for wrong in _beyond(light, judged.at_light[light.node])),
    ]
    return tuple(sorted(found, key=lambda wrong: (wrong.illustrative, wrong.day or 0.0, wrong.code)))


def _told(pieces: Pieces) -> Iterator[GoneWrong]:
    """What stages and valves told themselves."""
    seen = set()
    for happening in pieces.track.happenings:
        place, severity = (happening.code, happening.stage), happening.severity
        if severity is None or severity == "note" or place in seen:
            continue
        seen.add(place)
        months = (happening.time / _MONTH, np.inf) if happening.illustrative else None
        day = None if happening.illustrative else happening.day
        yield GoneWrong(happening.code, happening.stage or HOUSE, severity, day, happening.sentence, months)


def _untreated(pieces: Pieces, judged: Judged) -> Iterator[GoneWrong]:
    """Water that nothing disinfects though it must be: at no time of the run is it better."""
    found = unprotected(pieces.machine.plan, pieces.machine.usual)
    for piece in _first(judged.untreated):
        assert found is not None, "what is counted has been found"
        yield _wrong(pieces, piece, "untreated", HOUSE, "fail", f"{found.message} No disinfection: untreated for germs all year.")


def _noticed(courses: Courses, judged: Judged) -> Iterator[GoneWrong]:
    pieces = courses.pieces
    yield from _at_house(pieces, judged.at_house)
    for piece in _first(judged.low_pressure):
        yield _wrong(pieces, piece, "low-pressure", HOUSE, "caution", _pressed(courses, piece))
    for piece in _first(judged.dry - judged.starved):
        cut = _cut(pieces, piece)
        why = "the power was out" if cut else "a valve was closed"
        yield _wrong(pieces, piece, "no-water", HOUSE, "caution", f"The house got no water while {why}.", cut)
    for piece in _first(judged.starved):
        told = "The house got less water than it wanted: too little pressure was left."
        yield _wrong(pieces, piece, "flow-starved", HOUSE, "caution", f"{told} {_dirtiest(courses, piece)}")


def _at_house(pieces: Pieces, at_house: AtHouse) -> Iterator[GoneWrong]:
    """What a house notices, a caution and from where it is one a fail; of all else what is a fail (rules 21)."""
    for condition in conditions_of(pieces.machine):
        found = at_house.noticed.get(condition.key)
        for piece, fails, far in _steps(found):
            beyond = f" It was {_over(found.row)}." if fails and found is not None else ""
            told = f"{condition.sentence}{beyond} {_why(pieces, piece, HOUSE, condition.analyte)}"
            yield _wrong(pieces, piece, f"{condition.key}{FAR * far}", HOUSE, "fail" if fails else "caution", told)
    for analyte, found in at_house.others.items():
        for piece in _first(found.failing):
            over = f"{analyte_label(analyte)} at the house was {_over(found.row)}{because(found.row.limit.reason)}."
            yield _wrong(pieces, piece, code_of_goal(analyte), HOUSE, "fail", f"{over} {_why(pieces, piece, HOUSE, analyte)}")


def _over(row: Row) -> str:
    """On which side of which limit water at the house is, where that is a fail."""
    kind = "the health limit" if is_of_health(row) else "the limit for taste and stains"
    side = "below" if row.limit.maximum is None else "over" if row.limit.minimum is None else "outside"
    return f"{side} {kind} by more than can be in doubt"


def _steps(found: Beyond | None) -> Iterator[tuple[int, bool, bool]]:
    """Of what lasts beyond a limit: the piece it begins in, then the one that it is a fail from, whether it is one, and the later one."""
    if found is None:
        return
    begins, fails = next(_first(found.beyond), None), next(_first(found.failing), None)
    if begins is not None and begins != fails:
        yield begins, False, False
    if fails is not None:
        yield fails, True, begins != fails


def _dark(light: Light) -> Iterator[GoneWrong]:
    pieces = light.pieces
    severity: Severity = "fail" if pieces.machine.plan.unsafe else "caution"
    sentences = {
        "flow": "More water passed the chamber than it is rated for.",
        "water": "The water that passed the chamber was darker than it is rated for.",
        "lamp": "The lamp was older than the rating allows for: it glowed, but gave less light than is counted on.",
        "unlit": "Water passed the chamber while its lamp had no light, and nothing shut it off.",
    }
    for cause, sentence in sentences.items():
        for piece in _first(light.outside(cause)):
            why = f" {_why(pieces, piece, light.node, 'uvt')}" if cause == "water" else ""
            code = "unlit" if cause == "unlit" else f"outside-rating-{cause}"
            yield _wrong(pieces, piece, code, light.node, severity, sentence + why, cause == "unlit" and _cut(pieces, piece))
    low, high = light.ageing.band
    soonest, latest = (pieces.first(light.outside("film", band) > _LEAST_SECONDS) for band in (high, low))
    if soonest is not None:
        months = (soonest / _MONTH, np.inf if latest is None else latest / _MONTH)
        yield GoneWrong("outside-rating-film", light.node, severity, None, _FILM, months)


def _beyond(light: Light, inlet: Inlet) -> Iterator[GoneWrong]:
    """What entered a chamber beyond a limit: a caution from its first time on, and a fail from where it is one (rules 21)."""
    pieces = light.pieces
    for analyte, found in inlet.by_analyte.items():
        for piece, fails, far in _steps(found):
            severity: Severity = "fail" if fails else "caution"
            yield _wrong(pieces, piece, code_of(analyte, far), light.node, severity, _entered(light, piece, found, fails))


def _entered(light: Light, piece: int, found: Beyond, fails: bool) -> str:
    """What entered a chamber beyond which limit, and why it may not."""
    limit, label = found.row.limit, analyte_label(found.row.limit.analyte)
    side = "below" if limit.maximum is None else "above" if limit.minimum is None else "outside"
    guide = found.row.above[1] != found.row.above[2] or found.row.below[1] != found.row.below[2]
    far = f"far {side}" if fails and guide else side
    if fails and found.row.raw_fails and as_raw(light, piece, found.row):
        far = f"as raw as it came and {side}"
    told = f"{label} reached the chamber {far} the {'screening guide' if guide else 'limit'}{because(limit.reason)}."
    return f"{told} {_why(light.pieces, piece, light.node, limit.analyte)}"


def _first(seconds: Array | None) -> Iterator[int]:
    """The first piece in which something lasts, none where it never does."""
    if seconds is not None:
        yield from (int(piece) for piece in np.flatnonzero(seconds > _LEAST_SECONDS)[:1])


def _cut(pieces: Pieces, piece: int) -> bool:
    """Whether the power was out in a piece."""
    return not pieces.regimes[pieces.regime[piece]].situation.power


def _wrong(pieces: Pieces, piece: int, code: str, stage: str, severity: Severity, sentence: str, invented: bool = False) -> GoneWrong:
    return GoneWrong(code, stage, severity, float(pieces.start[piece]) / DAY, sentence, invented=invented)


# Why ----------------------------------------------------------------------------------------------------------------------------


def _why(pieces: Pieces, piece: int, node: str, analyte: str) -> str:
    """What in a piece's situation makes the water at a node other than it is with everything new and running."""
    machine, regime, new = pieces.machine, pieces.regimes[pieces.regime[piece]], pieces.regimes[pieces.regime[0]]
    situation = regime.situation
    if _alike(pieces, regime.response.leaving[node], new.response.leaving[node], analyte):
        return _AS_BUILT
    reasons = []
    for (stage, ageing), mode in zip(machine.ageings.items(), situation.modes, strict=True):
        inlet, outlet = regime.response.entering[stage], regime.response.leaving[stage]
        fresh = ageing.leaving(0, inlet, machine.walker.duty(stage, regime.temperature))
        if _alike(pieces, outlet, fresh, analyte):
            continue
        if stage in situation.passed:
            reasons.append(f"{stage} was cleaning itself and let water by.")
        elif ageing.modes[mode].sentence:
            reasons.append(f"{stage}: {ageing.modes[mode].sentence}")
    if situation.raw:
        reasons.append("The raw water was in its spike.")
    return " ".join(reasons) or "The season's water did it: colder or warmer than at the start."


def _alike(pieces: Pieces, one: Stream, other: Stream, analyte: str) -> bool:
    """Whether an analyte is the same in two waters."""
    row = pieces.machine.row
    return bool(np.allclose(row(one, analyte), row(other, analyte), rtol=1e-3, atol=1e-6, equal_nan=True))


def _pressed(courses: Courses, piece: int) -> str:
    machine = courses.pieces.machine
    source = machine.plan.sources[SUPPLY]
    switched = isinstance(source, Well) and source.control == "switch"
    when = "With the pump at its cut-in less" if switched else "Less"
    return f"{when} pressure was left at the house than is wanted. {_dirtiest(courses, piece)}"


def _dirtiest(courses: Courses, piece: int) -> str:
    """The stage whose dirt takes most of the pressure in a piece."""
    pieces, state = courses.pieces, courses.pieces.states[piece]
    degrees = pieces.regimes[pieces.regime[piece]].temperature
    dirt = {
        node: ageing.added_loss(state[pieces.machine.slices[node]][:, None], degrees) for node, ageing in pieces.machine.ageings.items()
    }
    taken = {node: float(courses.pressures.dirt_loss(node, dirt).max()) for node in dirt}
    worst = max(taken, key=lambda node: taken[node], default="")
    if not worst or taken[worst] < PSI:
        return _CLEAN
    return f"Dirt in {worst} took the most of it: it was due for cleaning or a change."


__all__ = ["gone_wrong"]
