"""One stage in its duty as a bill sees it, and the lines it brings: equipment, fittings, labour, parts, water, power."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from trainapp.checks.context import Context
from trainapp.dimensions import FOOT, GALLON, POUND
from trainapp.spelling import inside
from trainapp.stages.base import Chore, Cleaning, Duty, Stage
from trainapp.stages.working import Array
from trainapp.studies.cost.lines import Line, Priced, Writer
from trainapp.studies.cost.money import YEAR, quantity_of, rounded
from trainapp.studies.cost.rows import PER, Row
from trainapp.train.document import Document
from trainapp.train.evaluation import Evaluation
from trainapp.train.model import ItemRow
from trainapp.train.plan import Plan

_HOURS_A_YEAR = 24 * YEAR
#: Chores of twins whose days differ by less than this fraction are done on one day.
_TOGETHER = 0.01
#: Internal units in one of each unit that a price may count.
_FACTORS = {"lb": POUND, "kg": 1.0, "ft3": FOOT**3, "L": 1e-3, "1000 gal": 1e3 * GALLON, "m3": 1.0}


@dataclass(frozen=True, slots=True)
class Use:
    """One stage in its duty.

    Attributes:
        stage: the stage; `item`, `label`, `price` of its catalogue item: "" and None where it has none.
        cleaning, chores: of one unit in this duty. mains: whether the water is bought. sewer: whether what drains is paid for.
        beside: ids of earlier stages of its kind that stand side by side with it, each drawn in a lane of its own to the same ends.
    """

    stage: Stage
    item: str
    label: str
    price: Decimal | None
    cleaning: Cleaning | None
    chores: tuple[Chore, ...]
    mains: bool
    sewer: bool
    beside: tuple[str, ...] = ()

    @classmethod
    def of(
        cls, stage: Stage, item: str, row: ItemRow | None, cleaning: Cleaning | None, chores: tuple[Chore, ...], document: Document
    ) -> Use:
        """A stage with the row of its item, None where it has none."""
        mains = document.supply.kind == "mains"
        drain = (stage.settings.get("drain") or {}).get("to")
        label = (row.word("label") if row is not None else "") or stage.spec.label
        price = None if row is None or row.amount is None else Decimal(repr(row.amount))
        return cls(stage, item, label, price, cleaning, chores, mains, drain == "sewer" or (drain is None and mains))

    @property
    def existing(self) -> bool:
        """Whether it is there already: then nothing of it is bought, and only its upkeep is paid."""
        return bool(self.stage.settings.get("existing"))

    @property
    def drained(self) -> float:
        """m3 a year to drain, all units."""
        return 0.0 if self.cleaning is None else self.cleaning.volume * self._cleanings(self.cleaning)

    @property
    def salt(self) -> float:
        """kg of salt a year, all units."""
        return 0.0 if self.cleaning is None else self.cleaning.salt * self._cleanings(self.cleaning)

    def _cleanings(self, cleaning: Cleaning) -> float:
        return self.stage.count * YEAR / cleaning.every_days if cleaning.every_days > 0 else 0.0

    @property
    def chores_a_year(self) -> float:
        """How often a year someone has to do something; units side by side are seen to at one time."""
        return sum(YEAR / chore.every_days for chore in self.chores if chore.every_days > 0)


def use_of(evaluation: Evaluation, stage: str) -> Use:
    """A stage of an evaluated train as a bill sees it."""
    result, document = evaluation.stages[stage], evaluation.plan.document
    entry = document.stage(stage)
    duty = duty_of(evaluation.plan, result.flow, result.daily, result.stage.count)
    chores = result.stage.chores(result.inlet, duty)
    use = Use.of(result.stage, entry.item or "", document.item_of(entry), result.cleaning, chores, document)
    return replace(use, beside=_beside(evaluation, stage))


def _beside(evaluation: Evaluation, stage: str) -> tuple[str, ...]:
    context, kind, order = Context(evaluation), evaluation.stages[stage].stage.spec.kind, list(evaluation.stages)
    alike = [other for other in order[: order.index(stage)] if evaluation.stages[other].stage.spec.kind == kind]
    ends, ahead = frozenset(context.ends), context.before(stage)
    return tuple(other for other in alike if other not in ahead and context.after(other) & ends == context.after(stage) & ends)


def duty_of(plan: Plan, flow: Array, daily: float, count: int) -> Duty:
    """What one of several units side by side has to do.

    Args:
        flow: m3/s through all of them at trickle, average, peak, shape (3,). daily: m3 a day through all of them.
    """
    return replace(plan.duty, flows=np.maximum(flow, 1e-9)[:, None] / count, daily=daily / count)


def stage_lines(use: Use, writer: Writer, beside: Sequence[Use] = ()) -> Iterator[Line]:
    """Every line of one stage: equipment, fittings and labour unless it exists, then parts, water and power.

    Args:
        beside: the stages of :attr:`Use.beside`. What is paid by the time is paid there, where it comes up on the same day.
    """
    if not use.existing:
        yield from _bought(use, writer)
    at_once = [(chore.item, chore.every_days) for other in beside for chore in other.chores]
    for chore in use.chores:
        if chore.item and chore.every_days > 0:
            line = _part(use, chore, writer)
            if line.priced.unit != "time" or not _comes_up(chore, at_once):
                yield line
    if use.drained > 0.0:
        yield from _drained(use, writer)
    yield from _power(use, writer)


def _comes_up(chore: Chore, at_once: Sequence[tuple[str, float]]) -> bool:
    """Whether a chore comes up together with one of these (item, days)."""
    return any(item == chore.item and math.isclose(days, chore.every_days, rel_tol=_TOGETHER) for item, days in at_once)


def _bought(use: Use, writer: Writer) -> Iterator[Line]:
    prices, stage = writer.prices, use.stage
    kind, count = stage.spec.kind, Decimal(stage.count)
    row = prices.find("equipment", kind, stage.settings, use.item)
    price, source = (row.price, writer.told(row)) if row is not None else (use.price, "catalogue" if use.price is not None else "")
    yield writer.once(Priced("equipment", use.label, stage.id, count, "each", price, source), _rent(row, price, count, writer))
    fittings = prices.find("fittings", kind, stage.settings)
    if fittings is not None:
        what = f"Fittings for {inside(use.label)}"
        yield writer.once(Priced("fittings", what, stage.id, count, "each", fittings.price, writer.told(fittings)))
    labour = prices.find("labour", kind, stage.settings)
    if labour is not None:
        what = f"Setting up {inside(use.label)}"
        yield writer.once(Priced("labour", what, stage.id, labour.hours * count, "h", prices.labour, writer.told(labour)))


def _rent(row: Row | None, price: Decimal | None, count: Decimal, writer: Writer) -> Decimal | None:
    each = row.rental if row is not None else None
    if each is None and writer.prices.rental is not None and price is not None:
        each = price * writer.prices.rental
    return None if each is None else rounded(each * count, writer.prices.decimals)


def _part(use: Use, chore: Chore, writer: Writer) -> Line:
    stage = use.stage
    rows = (row for row in writer.prices.section("part") if row.item == chore.item and PER[row.per] in ("none", chore.dimension))
    row = next((row for row in rows if row.fits(stage.spec.kind, stage.settings)), None)
    unit, price = ("each", None) if row is None else (row.per, row.price)
    pieces = chore.amount if chore.dimension == "none" else 1.0
    each = (1 if unit == "time" else stage.count) * (chore.amount / _FACTORS[unit] if unit in _FACTORS else pieces)
    used_all_year = unit in _FACTORS and chore.dimension == "mass"
    quantity = quantity_of(each * YEAR / chore.every_days if used_all_year else each)
    priced = Priced("part", _start(chore.item), stage.id, quantity, unit, price, writer.told(row))
    # salt and chemicals are used all year, however often someone fills up
    return writer.yearly(priced) if used_all_year else writer.again(priced, chore.every_days)


def _drained(use: Use, writer: Writer) -> Iterator[Line]:
    uses = [("water" if use.mains else "well_water", f"Water to clean {inside(use.label)}")]
    uses += [("sewer", f"Sewer for what {inside(use.label)} drains")] if use.sewer else []
    for item, what in uses:
        row = writer.prices.use(item)
        unit, price = ("1000 gal", None) if row is None else (row.per, row.price)
        yield writer.yearly(Priced("use", what, use.stage.id, quantity_of(use.drained / _FACTORS[unit]), unit, price, writer.told(row)))


def _power(use: Use, writer: Writer) -> Iterator[Line]:
    stage = use.stage
    row = writer.prices.find("power", stage.spec.kind, stage.settings)
    if row is None or not row.watts:
        return
    price = writer.prices.use("power")
    hours = quantity_of(float(row.watts) * stage.count * _HOURS_A_YEAR / 1000.0)
    source = "; ".join(filter(None, (writer.told(row), writer.told(price))))
    yield writer.yearly(Priced("use", f"Power of {inside(use.label)}", stage.id, hours, "kWh", price.price if price else None, source))


def visit_lines(writer: Writer, buys: bool, stands: bool) -> Iterator[Line]:
    """What is paid once where something is bought, and each year where anything stands."""
    for row in writer.prices.section("visit"):
        priced = Priced("visit", row.item, "", Decimal(1), "each", row.price, writer.told(row))
        if row.per == "once" and buys:
            yield writer.once(priced)
        elif row.per == "year" and stands:
            yield writer.yearly(priced)


def _start(item: str) -> str:
    """A thing as a line begins: "Salt", but "pH strip"."""
    return item if item[1:2].isupper() else item[:1].upper() + item[1:]
