"""Stages, waters and duties for the tests of stages, in the units that people write."""

from __future__ import annotations

from functools import partial
from typing import Any

import numpy as np

from trainapp.dimensions import GALLON, GPM
from trainapp.stages.base import Duty, Remark, Settings, Stage
from trainapp.stages.leaving import leaving_steps
from trainapp.stages.registry import kind
from trainapp.stages.working import Working
from trainapp.train.settings import read_setting
from trainapp.water.analytes import PARTICLE_ROWS
from trainapp.water.stream import Stream

#: Rows that are nothing in a clean water, where a test names no other value.
_NOTHING = (
    "iron_dissolved", "iron_particulate", "manganese_dissolved", "manganese_particulate", "absorbance", "absorbance_particles",
    "absorbance_iron", "hydrogen_sulfide", "ammonia", "free_chlorine", "total_chlorine", "dissolved_oxygen", "permanganate", "peroxide",
    *PARTICLE_ROWS,
)  # fmt: skip


def make_stage(name: str, /, stage_id: str = "it", **settings: Any) -> Stage:
    """A stage of a kind, with settings as a document writes them."""
    cls = kind(name)
    assert cls is not None, name
    specs = cls.spec.settings
    unknown = settings.keys() - specs.keys()
    assert not unknown, unknown
    texts = {key: settings.get(key, spec.default) for key, spec in specs.items()}
    values = {key: None if text is None else read_setting(specs[key], text) for key, text in texts.items()}
    return cls(stage_id, Settings(values, frozenset(settings)))


def make_water(flows: int = 3, waters: int = 1, unknown: tuple[str, ...] = (), **rows: Any) -> Stream:
    """A water by rows, in JSON units.

    A row is one number, a pair (favourable, adverse), or an array that broadcasts to (2, flows, waters). Iron, oxidants and particles are
    nothing where they are not named; other rows stay unknown. `unknown` are rows whose value is only an assumption.
    """
    stream = Stream.unknown(flows, waters)
    for name in _NOTHING:
        stream.set(name, 0.0, known=True)
    for name, value in rows.items():
        array = np.reshape(value, (2, 1, 1)) if isinstance(value, tuple) else np.asarray(value, dtype=float)
        stream.set(name, array, known=name not in unknown)
    return stream


def make_duty(peak: float = 7.0, daily: float = 300.0, cold: float = 10.0, warm: float = 15.0, **more: Any) -> Duty:
    """A duty by peak flow in gpm and gallons a day; trickle is 0.3 gpm."""
    flows = np.array([[0.3], [daily / 1440.0], [peak]]) * GPM
    return Duty(flows=flows, daily=daily * GALLON, cold=cold, warm=warm, **more)


def run(stage: Stage, water: Stream, duty: Duty) -> tuple[Stream, Working, list[Remark]]:
    """Treat a water, with the working kept as the engine keeps it."""
    working, remarks = Working(), list[Remark]()
    out = stage.treat(water, duty, working, remarks)
    working.later(partial(leaving_steps, stage.laws, water, out))
    return out, working, remarks


def codes(remarks: list[Remark]) -> dict[str, str]:
    """Severity of each remark by its code; of several the last."""
    return {remark.code: remark.severity for remark in remarks}


def step_values(working: Working, result: str) -> list[float]:
    """The shown values of the steps that carry a result's name."""
    return [step.value for step in working.steps if step.result == result]
