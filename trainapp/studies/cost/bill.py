"""The bill of a train: all its lines, and what they come to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from trainapp.dimensions import GALLON
from trainapp.studies.cost.lines import Line, Writer
from trainapp.studies.cost.money import YEAR, ZERO, rounded, worth_of_years
from trainapp.studies.cost.prices import PriceList, default_prices
from trainapp.studies.cost.use import Use, stage_lines, use_of, visit_lines
from trainapp.train.evaluation import Evaluation


@dataclass(frozen=True, slots=True)
class Bill:
    """What a train costs.

    Attributes:
        lines: by stage in flow order, what belongs to the whole train last.
        currency, decimals: of its money. years: over which the cost to own is counted.
        water: m3 a day that the train gives. discount: fraction a year by which later money, and later water, is worth less.
    """

    lines: tuple[Line, ...]
    currency: str
    decimals: int
    years: int
    water: float
    discount: Decimal = ZERO

    @property
    def buy(self) -> Decimal:
        """What is paid at the start, tax included."""
        return sum((line.due for line in self.lines if line.bought), ZERO)

    @property
    def own(self) -> Decimal:
        """Net present cost: what is paid at the start, and what all later payments within the years are worth today."""
        return sum((line.present for line in self.lines), ZERO)

    @property
    def yearly(self) -> Decimal:
        """What upkeep, water, power and visits come to in a year, on the average of many."""
        return sum((line.yearly for line in self.lines), ZERO)

    @property
    def month(self) -> Decimal:
        """A twelfth of it."""
        return rounded(self.yearly / 12, self.decimals)

    @property
    def rent(self) -> Decimal | None:
        """A month if all new equipment is rented: rent, and upkeep as above; None where some of it is not rented out."""
        new = [line.rent for line in self.lines if line.priced.section == "equipment"]
        known = [rent for rent in new if rent is not None]
        return None if not new or len(known) < len(new) else rounded(sum(known, ZERO) + self.month, self.decimals)

    @property
    def per_1000_gal(self) -> Decimal | None:
        """Levelised cost of 1,000 gallons, see :meth:`_levelised`; None where no water is used."""
        return self._levelised(1e3 * GALLON)

    @property
    def per_m3(self) -> Decimal | None:
        """The same of a cubic metre."""
        return self._levelised(1.0)

    def _levelised(self, volume: float) -> Decimal | None:
        """Cost to own by the water of those years, later water discounted as later money is: the price at which all of it comes to the
        cost to own (levelised cost, as of energy: NREL, Short, Packey and Holt, TP-462-5173, 1995; from memory)."""
        if self.water <= 0:
            return None
        used = Decimal(repr(self.water * YEAR / volume)) * worth_of_years(self.years, self.discount)
        return (self.own / used).quantize(Decimal("0.01"), ROUND_HALF_UP)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """What the list has no price for: not in any sum above."""
        return self.missing()

    def missing(self, *, once: bool = True, later: bool = True) -> tuple[str, ...]:
        """What has no price of the lines that are paid once, at the start, and of those that are paid later: of a sum of these alone."""
        asked = (line for line in self.lines if (once if line.bought else later))
        return tuple(dict.fromkeys(line.priced.what for line in asked if line.priced.price is None))

    @property
    def invented(self) -> bool:
        """Whether any price in it is invented: one of the list that says so, or one of the catalogue."""
        return any("invented" in line.priced.source or line.priced.source == "catalogue" for line in self.lines)

    def of(self, stage: str) -> tuple[Line, ...]:
        """Lines of one stage, "" for those of the whole train."""
        return tuple(line for line in self.lines if line.priced.stage == stage)


def bill(evaluation: Evaluation, prices: PriceList | None = None, years: int | None = None) -> Bill:
    """The bill of an evaluated train. Stages that exist already are not bought; their upkeep is paid like any other.

    Args:
        prices: the program's own list, which is invented, where none is given.
        years: those of the list where none are given.
    """
    uses = [use_of(evaluation, stage) for stage in evaluation.stages]
    water = sum(end.daily for name, end in evaluation.plan.demands.items() if name in evaluation.points)
    return bill_of(uses, Writer(prices or default_prices(), years), water)


def bill_of(uses: Iterable[Use], writer: Writer, water: float) -> Bill:
    """The bill of stages in their duty; `water` is m3 a day."""
    prices = writer.prices
    return Bill(tuple(_lines(list(uses), writer)), prices.currency, prices.decimals, writer.years, water, prices.discount)


def _lines(uses: list[Use], writer: Writer) -> Iterator[Line]:
    by_id = {use.stage.id: use for use in uses}
    for use in uses:
        yield from stage_lines(use, writer, [by_id[other] for other in use.beside if other in by_id])
    yield from visit_lines(writer, any(not use.existing for use in uses), bool(uses))
