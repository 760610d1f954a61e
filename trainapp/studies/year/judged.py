"""What is wrong with the water at the house and before a chamber, piece by piece."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from trainapp.checks import paths
from trainapp.checks.context import Context
from trainapp.checks.finding import Finding
from trainapp.stages.working import Array
from trainapp.studies.year.goals import AtHouse, at_house
from trainapp.studies.year.inlet import Inlet, inlet_of
from trainapp.studies.year.pieces import Pieces
from trainapp.studies.year.series import Courses
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import Plan
from trainapp.train.zones import HOUSE


@dataclass(frozen=True, slots=True)
class Judged:
    """Seconds of each piece in which something was wrong, arrays of shape (pieces,).

    Attributes:
        at_house: of what the house draws.
        at_light: by chamber, of the limits of what may enter it.
        untreated: someone drew drinking water that nothing disinfects though it must be.
        low_pressure: below the goal at the house main, with the supply at its lowest.
        dry: the house wanted water and got none or less of it; `starved` for want of pressure alone.
    """

    at_house: AtHouse
    at_light: Mapping[str, Inlet]
    untreated: Array
    low_pressure: Array
    dry: Array
    starved: Array


def judge(courses: Courses) -> Judged:
    """Judge a run."""
    pieces = courses.pieces
    at_light = {node: inlet_of(light) for node, light in courses.lights.items()}
    dry, starved = np.zeros(len(pieces.start)), np.zeros(len(pieces.start))
    for regime, rows in pieces.groups():
        dry[rows] = pieces.seconds[rows] @ regime.unserved
        starved[rows] = 0.0 if regime.situation.shut else dry[rows]
    return Judged(at_house(pieces), at_light, _untreated(pieces), _low(courses), dry, starved)


def unprotected(plan: Plan, usual: Evaluation) -> Finding | None:
    """The finding of a way on which nothing disinfects water that must be, as the check tells it; None without one."""
    return next((found for found in paths.check(usual, Context(usual)) if found.severity == "fail"), None) if plan.unsafe else None


def _untreated(pieces: Pieces) -> Array:
    machine = pieces.machine
    found = unprotected(machine.plan, machine.usual)
    ends = () if found is None else (found.stage, *found.also_at)
    draws = np.any([machine.layout.drawn[end] > 0.0 for end in ends], axis=0) if ends else np.zeros(machine.layout.ways, dtype=bool)
    return pieces.each(lambda _: np.asarray(draws, dtype=np.float64))


def _low(courses: Courses) -> Array:
    goal, draws = courses.pieces.machine.plan.goal_pressure, courses.pressures.draws
    found = np.zeros(len(courses.pieces.start))
    for rows, drawn, pressure in courses.pressures_of(HOUSE):
        found[rows] = (courses.pieces.drawn[rows, :draws] * (drawn & (pressure < goal))).sum(axis=1)
    return found
