"""Two trains on one clock: with and without a stage, with and without all pre-treatment."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import cast

from trainapp.stages import registry
from trainapp.studies.year.happenings import GoneWrong
from trainapp.studies.year.march import Progress
from trainapp.studies.year.options import Options
from trainapp.studies.year.result import Year
from trainapp.studies.year.running import run
from trainapp.train.document import Document
from trainapp.train.edits import AnyEdit, Batch, RemoveStage, plan_edit
from trainapp.train.patch import apply

#: What a train keeps when its pre-treatment is taken away: what disinfects, and what only leads the water there.
KEPT_TAGS: frozenset[str] = frozenset({"disinfection", "flow_control", "regulator", "storage"})


@dataclass(frozen=True, slots=True)
class Measure:
    """One number of two runs.

    Attributes:
        key, label: in results, on screen. dimension: key into the dimensions; "hours" stands for hours of drawing, "energy" for kWh.
        first, second: of each run, None where it has none.
        band: (least, most) of each run where a teaching picture decides, else None: such a measure is illustrative and has no single value.
    """

    key: str
    label: str
    dimension: str
    first: float | None
    second: float | None
    band: tuple[tuple[float, float] | None, tuple[float, float] | None] | None = None

    @property
    def illustrative(self) -> bool:
        """Whether it rests on figures for teaching."""
        return self.band is not None


@dataclass(frozen=True, slots=True)
class Both:
    """One thing that goes wrong in either run: its first time in each, None where it never does there."""

    first: GoneWrong | None
    second: GoneWrong | None

    @property
    def either(self) -> GoneWrong:
        """The first run's, or else the second's."""
        found = self.first or self.second
        assert found is not None, "what goes wrong in neither run is no row"
        return found


@dataclass(frozen=True, slots=True)
class Pair:
    """Two runs with the same options, so that an hour of one is that hour of the other.

    Attributes:
        first, second: the runs. labels: what each is called.
    """

    first: Year
    second: Year
    labels: tuple[str, str]

    @property
    def measures(self) -> tuple[Measure, ...]:
        """The runs beside each other, in the order in which they are told."""
        return tuple(_measures(self.first, self.second))

    @property
    def gone_wrong(self) -> tuple[Both, ...]:
        """What goes wrong in either run, its first days side by side; soonest first, teaching pictures, which have no date, last."""
        sides = [{(wrong.code, wrong.stage): wrong for wrong in year.gone_wrong} for year in (self.first, self.second)]
        rows = [Both(sides[0].get(key), sides[1].get(key)) for key in {**sides[0], **sides[1]}]
        return tuple(sorted(rows, key=_soonest))

    @property
    def only_first(self) -> tuple[GoneWrong, ...]:
        """What goes wrong in the first run alone."""
        return _unlike(self.first, self.second)

    @property
    def only_second(self) -> tuple[GoneWrong, ...]:
        """What goes wrong in the second run alone."""
        return _unlike(self.second, self.first)


def _soonest(row: Both) -> tuple[bool, float]:
    days = [wrong.day for wrong in (row.first, row.second) if wrong is not None and wrong.day is not None and not wrong.illustrative]
    return not days, min(days, default=0.0)


def _unlike(one: Year, other: Year) -> tuple[GoneWrong, ...]:
    codes = {(wrong.code, wrong.stage) for wrong in other.gone_wrong}
    return tuple(wrong for wrong in one.gone_wrong if (wrong.code, wrong.stage) not in codes)


def compare(
    document: Document,
    other: Document,
    options: Options | None = None,
    *,
    labels: tuple[str, str] = ("with", "without"),
    folder: Path | None = None,
    progress: Progress | None = None,
) -> Pair:
    """Run two trains on one clock; arguments as of :func:`trainapp.studies.year.run`, `progress` told of both together.

    Raises:
        DocumentError, YearError, Cancelled: as there.
    """
    runs = []
    for i, train in enumerate((document, other)):
        told = None if progress is None else (lambda share, i=i: progress(0.5 * (i + share)))
        runs.append(run(train, options, folder=folder, progress=cast("Progress | None", told)))
    return Pair(runs[0], runs[1], labels)


def without(document: Document, stages: Iterable[str]) -> Document:
    """The train without some stages, the pipes closed behind them.

    Raises:
        DocumentError: no such stage, or nothing usable is left.
    """
    edits: list[AnyEdit] = [RemoveStage(id=stage) for stage in stages]
    if not edits:
        return document
    return apply(document, plan_edit(document, Batch(edits=edits, name="Without")))


def bare(document: Document) -> Document:
    """The train without its pre-treatment."""
    return without(document, [entry.id for entry in document.stages if not _is_kept(entry.kind)])


def _is_kept(kind: str) -> bool:
    found = registry.kind(kind)
    return found is not None and bool(found.spec.tags & KEPT_TAGS)


def before_and_after(
    document: Document, options: Options | None = None, *, folder: Path | None = None, progress: Progress | None = None
) -> Pair:
    """Run a train without its pre-treatment and with it; arguments as of :func:`trainapp.studies.year.run`."""
    labels = ("without pre-treatment", "with pre-treatment")
    return compare(bare(document), document, options, labels=labels, folder=folder, progress=progress)


def _measures(first: Year, second: Year) -> Iterable[Measure]:
    a, b = first.totals, second.totals
    cuts = ", illustrative cuts" if first.options.cuts else ""
    if first.lights or second.lights:
        label = "Water outside the UV rating, the sleeve's film left out"
        yield Measure("sure", label, "hours", _light(first, "sure"), _light(second, "sure"))
        outside = _light(first, "outside"), _light(second, "outside")
        yield Measure("outside", "Water outside the UV rating", "hours", *outside, (_band(first), _band(second)))
        yield Measure("inlet", "Water at the UV beyond its inlet limits", "hours", _light(first, "beyond"), _light(second, "beyond"))
        yield Measure("unlit", f"Water past an unlit lamp{cuts}", "hours", _light(first, "unlit"), _light(second, "unlit"))
    if a.untreated_hours or b.untreated_hours:
        yield Measure("untreated", "Drinking water that nothing disinfects", "hours", a.untreated_hours, b.untreated_hours)
    yield Measure("hard", "Scale: hard water at the house", "hours", a.judged.get("hard"), b.judged.get("hard"))
    yield Measure("rusty", "Staining: iron at the house", "hours", a.judged.get("rusty"), b.judged.get("rusty"))
    yield Measure("black", "Staining: manganese at the house", "hours", a.judged.get("black"), b.judged.get("black"))
    yield Measure("iron", "Iron brought to the house", "grams", _brought(first, "iron"), _brought(second, "iron"))
    yield Measure("hardness", "Hardness brought to the house", "mass", _brought(first, "hardness"), _brought(second, "hardness"))
    yield Measure("pressure", "Lowest pressure at the house", "pressure", a.lowest_pressure, b.lowest_pressure)
    yield Measure("dry", f"House without all the water it wanted{cuts}", "hours", a.dry_hours, b.dry_hours)
    yield Measure("salt", "Salt", "mass", a.salt, b.salt)
    yield Measure("drained", "Water to drain", "volume", a.drained_water, b.drained_water)
    yield Measure("energy", "Electricity for lamp and pump", "energy", a.energy_lamp + a.energy_pump, b.energy_lamp + b.energy_pump)
    yield Measure("cartridges", "Cartridges", "none", a.cartridges, b.cartridges)
    yield Measure("lamps", "UV lamps", "none", a.lamps, b.lamps)


def _light(year: Year, name: str) -> float | None:
    return max((float(getattr(light, name)) for light in year.totals.lights.values()), default=None)


def _band(year: Year) -> tuple[float, float] | None:
    worst = max(year.totals.lights.values(), key=lambda light: light.outside, default=None)
    return None if worst is None else worst.band


def _brought(year: Year, substance: str) -> float | None:
    balance = year.balances.get(substance)
    return None if balance is None else balance.delivered["house"]
