"""The lines of a bill: what is bought once, what is paid again and again. Each line can be opened and says where its price is from."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from trainapp.studies.cost.money import YEAR, ZERO, payments, rounded, worth_of_payments, worth_of_years
from trainapp.studies.cost.prices import PriceList
from trainapp.studies.cost.rows import Row

#: What each section is called on a bill.
HEADINGS = {
    "equipment": "Equipment", "fittings": "Fittings", "labour": "Labour", "visit": "Visits", "part": "Upkeep", "use": "Water and power",
}  # fmt: skip
UNPRICED = "no price in the list"
#: Stands beside every sum that such a line is missing in.
NOT_ALL = "not all priced"


@dataclass(frozen=True, slots=True)
class Priced:
    """So much of something at so much each.

    Attributes:
        section: key of :data:`HEADINGS`. what: in words. stage: id, "" for the whole train. unit: what `price` counts.
        price: None where the list has none. source: where the price is from.
    """

    section: str
    what: str
    stage: str
    quantity: Decimal
    unit: str
    price: Decimal | None
    source: str


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a bill.

    Attributes:
        priced: what, how much, at what price.
        total: quantity times price, without `tax`; nothing where there is no price.
        when: "once", "each year", or "every 180 days".
        every_days: days between payments, None for once. times: payments within the years.
        present: what all payments within the years are worth today, tax included.
        yearly: what it comes to in a year, tax included, 0 for once.
        rent: a month, instead of buying it; None where it is not rented out.
        working: how `present` follows.
    """

    priced: Priced
    total: Decimal
    tax: Decimal
    when: str
    every_days: float | None
    times: int
    present: Decimal
    yearly: Decimal
    rent: Decimal | None
    working: str

    @property
    def due(self) -> Decimal:
        """What is paid each time, tax included."""
        return self.total + self.tax

    @property
    def bought(self) -> bool:
        """Whether it is paid once, at the start."""
        return self.every_days is None


class Writer:
    """Writes lines in the money of one list over some years."""

    def __init__(self, prices: PriceList, years: int | None = None) -> None:
        self.prices, self.years = prices, years or prices.years

    def once(self, priced: Priced, rent: Decimal | None = None) -> Line:
        """Something paid at the start."""
        total, tax = self._due(priced)
        working = "paid at the start" if priced.price is not None else UNPRICED
        return Line(priced, total, tax, "once", None, 1, total + tax, ZERO, rent, working)

    def again(self, priced: Priced, every_days: float) -> Line:
        """Something paid each time it comes up; what would fall on the last day of the years is not."""
        times = payments(every_days, self.years)
        when = "each year" if every_days == YEAR else f"every {_span(every_days)}"
        worth = worth_of_payments(every_days, self.years, self.prices.discount)
        return self._later(priced, when, every_days, times, worth, Decimal(repr(YEAR / every_days)))

    def yearly(self, priced: Priced) -> Line:
        """Something used all year and paid at the end of each year."""
        return self._later(priced, "each year", YEAR, self.years, worth_of_years(self.years, self.prices.discount), Decimal(1))

    def _later(self, priced: Priced, when: str, every_days: float, times: int, worth: Decimal, a_year: Decimal) -> Line:
        total, tax = self._due(priced)
        due = total + tax
        present, rate = self._money(due * worth), f"{(self.prices.discount * 100).normalize():f} %"
        counted = f"{due:,} × {times} time{'s' * (times != 1)} in {self.years} years; at {rate} a year worth {present:,} today"
        working = counted if times else f"not due within {self.years} years"
        if priced.price is None:
            working = UNPRICED
        return Line(priced, total, tax, when, every_days, times, present, self._money(due * a_year), None, working)

    def _due(self, priced: Priced) -> tuple[Decimal, Decimal]:
        if priced.price is None:
            return ZERO, ZERO
        total = self._money(priced.quantity * priced.price)
        return total, self._money(total * self.prices.tax) if priced.section in self.prices.taxed else ZERO

    def _money(self, amount: Decimal) -> Decimal:
        return rounded(amount, self.prices.decimals)

    def told(self, row: Row | None) -> str:
        """Where a price is from: the list, the row, and whether it is invented."""
        if row is None:
            return ""
        where = row.place.partition(", ")[2] or row.place
        return f"{self.prices.name}, {where}{', invented' if row.status == 'invented' else ''}"


def _span(days: float) -> str:
    if days >= 2 * YEAR - 1:
        return f"{days / YEAR:.3g} years"
    return f"{days:.0f} days" if days >= 1.5 else "day"
