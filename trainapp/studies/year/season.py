"""What comes from outside: the water's temperature through the year, and raw water that a spike changes for a while."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainapp.stages.working import Array
from trainapp.studies.year.options import YEAR_DAYS, Options, Spike, season
from trainapp.train.plan import Plan
from trainapp.train.scenarios import scenarios_of
from trainapp.water.analytes import PARTICLE_ROWS
from trainapp.water.stream import Stream
from trainapp.water.uvt import absorptivity

#: Where a sample shows no turbidity at all: half of what comes is colloid, half of it fine (as for a sample without a jar test).
_UNSEEN = ("colloid", "class_2")


@dataclass(frozen=True, slots=True)
class Season:
    """The outside world by day of the run.

    Attributes:
        temperatures: degC of each step of temperature. raws: raw water at each height of the spike, none first.
        temperature_of, raw_of: index into those by day, shape (days,).
    """

    temperatures: tuple[float, ...]
    raws: tuple[Stream, ...]
    temperature_of: np.ndarray[tuple[int], np.dtype[np.intp]]
    raw_of: np.ndarray[tuple[int], np.dtype[np.intp]]

    def changes(self) -> list[int]:
        """Days from the start at whose midnight something changes."""
        both = np.stack([self.temperature_of, self.raw_of])
        return [int(day) for day in np.flatnonzero(np.any(both[:, 1:] != both[:, :-1], axis=0)) + 1]


def season_of(plan: Plan, options: Options) -> Season:
    """The outside world of a run."""
    days = (options.start_day + np.arange(options.days)) % YEAR_DAYS
    table = season("temperature")
    middle, swing = 0.5 * (plan.cold + plan.warm), 0.5 * (plan.warm - plan.cold)
    steps = int(np.clip(np.ceil(2.0 * swing / table["step"]), 1, table["most_steps"]))
    temperature = middle - swing * np.cos(2.0 * np.pi * (days - table["coldest_day"]) / YEAR_DAYS)
    width = 2.0 * swing / steps
    place = np.zeros(len(days)) if width == 0.0 else (temperature - plan.cold) / width
    index = np.clip(place.astype(np.intp), 0, steps - 1)
    heights = np.array([0.0 if options.spike is None else options.spike.height(int(day)) for day in days])
    levels, raw_of = np.unique(np.concatenate([[0.0], heights]), return_inverse=True)
    base = plan.once(scenarios_of).water
    usual = base.part(slice(1)).copy()
    raws = tuple(usual if height == 0.0 or options.spike is None else spiked(usual, options.spike, height) for height in levels)
    return Season(tuple(plan.cold + (i + 0.5) * width for i in range(steps)), raws, index, raw_of[1:].astype(np.intp))


def spiked(raw: Stream, spike: Spike, height: float) -> Stream:
    """Raw water at a height (0 to 1) of a spike; never clearer than it was."""
    out = raw.copy()
    before = np.nan_to_num(raw.get(spike.analyte))
    added = height * np.maximum(spike.peak - before, 0.0)
    times = 1.0 + np.divide(added, before, out=np.zeros_like(added), where=before > 0.0)
    if spike.analyte == "turbidity":
        _cloud(out, before, added, times)
    else:
        _rust(out, before, added, times)
    return out


def _cloud(out: Stream, before: Array, added: Array, times: Array) -> None:
    for row in PARTICLE_ROWS:
        new = 0.5 * added if row in _UNSEEN else 0.0 * added
        out.set(row, np.where(before > 0.0, np.nan_to_num(out.row(row)) * times, new), known=out.is_known("turbidity"))
    out.scale(("suspended_solids",), times)
    light = added * float(season("spike_light")["per_turbidity"])
    seen = out.particles.sum(axis=0)
    strained = np.divide(out.particles[1:].sum(axis=0), seen, out=np.zeros_like(seen), where=seen > 0.0)
    out.add("absorbance", light)
    out.add("absorbance_particles", light * strained)


def _rust(out: Stream, before: Array, added: Array, times: Array) -> None:
    floc, dissolved = out.row("iron_particulate").copy(), out.row("iron_dissolved").copy()
    known = out.is_known("iron")
    out.set("iron_particulate", np.where(before > 0.0, np.nan_to_num(floc) * times, 0.0), known=known)
    out.set("iron_dissolved", np.where(before > 0.0, np.nan_to_num(dissolved) * times, added), known=known)
    gained = out.row("iron_particulate") - np.nan_to_num(floc), out.row("iron_dissolved") - np.nan_to_num(dissolved)
    light = gained[0] * absorptivity("ferric_iron") + gained[1] * absorptivity("ferrous_iron")
    out.add("absorbance", light)
    out.add("absorbance_iron", light)
