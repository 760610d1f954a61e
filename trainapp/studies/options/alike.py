"""Which waters are one to all that follows: alike in every row that is looked at, and elsewhere on the same side of every limit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from trainapp.checks.limits import LimitSet
from trainapp.checks.readings import readable
from trainapp.studies.options.choices import Choice
from trainapp.studies.options.site import Need
from trainapp.studies.options.traced import rows_of
from trainapp.train.overrides import limits_in_force
from trainapp.water.analytes import ROW_INDEX
from trainapp.water.stream import Stream

#: Share of a limit by which a value has to lie inside it to count as inside: sums of rows are not added in one order everywhere.
_EDGE = 1e-9
_LIGHT = tuple(row for row in ROW_INDEX if row.startswith("absorbance"))


@dataclass(frozen=True, slots=True)
class Bound:
    """What an analyte is judged by; None where that side is open."""

    analyte: str
    least: float | None
    most: float | None

    @property
    def inside(self) -> tuple[float, float]:
        """Between which values it surely holds; infinite where a side is open."""
        least = -np.inf if self.least is None else self.least + _EDGE * abs(self.least)
        return least, np.inf if self.most is None else self.most - _EDGE * abs(self.most)

    def holds(self, water: Stream) -> bool:
        """Whether its analyte lies inside in every reading, at every flow; what is not known does not."""
        values, (least, most) = water.get(self.analyte), self.inside
        return bool(((values >= least) & (values <= most)).all())


class Alike:
    """Tells waters apart by the rows that are read and by those limits that they do not keep."""

    def __init__(self, read: Iterable[int], bounds: Iterable[Bound]) -> None:
        rows, strictest = set(read), _strictest(bounds)
        parts = {analyte: rows_of(analyte) for analyte in strictest}
        # a part that is looked at may be changed on the way: what it adds up to then follows from all parts
        valued = {analyte for analyte, own in parts.items() if not rows.isdisjoint(own)}
        rows.update(row for analyte in valued for row in parts[analyte])
        self._rows = sorted(rows)
        told = [bound for analyte, bound in strictest.items() if analyte not in valued and (bound.least, bound.most) != (None, None)]
        plain = [bound for bound in told if bound.analyte in ROW_INDEX]
        self._sums = [(bound, parts[bound.analyte]) for bound in told if bound.analyte not in ROW_INDEX]
        self._plain = np.array([ROW_INDEX[bound.analyte] for bound in plain], dtype=np.intp)
        sides = np.array([bound.inside for bound in plain], dtype=np.float64).reshape(-1, 2)
        self._least, self._most = sides[:, 0, None, None, None], sides[:, 1, None, None, None]

    def key(self, water: Stream) -> bytes:
        """The same for waters that are one."""
        values, known = water.values, water.known
        told = [bytes(str(values.shape), "ascii"), values[self._rows].tobytes(), known[self._rows].tobytes()]
        limited = values[self._plain]
        # what is not known is inside of nothing
        out = np.flatnonzero(~((limited >= self._least) & (limited <= self._most)).all(axis=(1, 2, 3)))
        told += [len(out).to_bytes(2, "big"), out.tobytes(), limited[out].tobytes(), known[self._plain[out]].tobytes()]
        for number, (bound, rows) in enumerate(self._sums):
            if not bound.holds(water):
                told += [bytes([number]), values[rows].tobytes(), known[rows].tobytes()]
        return b"|".join(told)


def _strictest(bounds: Iterable[Bound]) -> Mapping[str, Bound]:
    """By analyte what lies inside all its bounds."""
    found: dict[str, Bound] = {}
    for bound in bounds:
        known = found.get(bound.analyte, bound)
        least = max((side for side in (known.least, bound.least) if side is not None), default=None)
        most = min((side for side in (known.most, bound.most) if side is not None), default=None)
        found[bound.analyte] = Bound(bound.analyte, least, most)
    return {analyte: bound for analyte, bound in found.items() if readable(analyte)}


def bounds_of(choice: Choice) -> list[Bound]:
    """What may enter a choice."""
    found = [Bound(limit.analyte, limit.minimum, limit.maximum) for limit in limits_in_force(choice.stage)]
    # a guide stays beside what a document says of the maker's limits
    found += [Bound(limit.analyte, limit.minimum, limit.maximum) for limit in choice.stage.limits()]
    return [*found, Bound("uvt", choice.stage.settings.get("rated_uvt"), None)]


def bounds_at_house(limits: LimitSet, needs: Iterable[Need]) -> list[Bound]:
    """What the water at the house is judged by."""
    found = [Bound(row.analyte, row.minimum, row.maximum) for row in limits.rows if row.most is not None]
    for need in needs:
        if need.limit is not None:
            least, most = (need.limit, None) if need.rule.below is not None else (None, need.limit)
            found.append(Bound(need.rule.analyte, least, most))
    return found


def without_light(water: Stream) -> Stream:
    """The water with its absorbances unknown: where no lamp follows nothing else depends on them."""
    blind = Stream(water.values.copy(), water.known.copy())
    for row in _LIGHT:
        blind.set(row, np.nan, known=False)
    return blind


__all__ = ["Alike", "Bound", "bounds_at_house", "bounds_of", "without_light"]
