"""What a board is asked to suppose: another family, peak, price of salt, span of years or discount rate. The document itself stays."""

from __future__ import annotations

import copy
from dataclasses import dataclass
from decimal import Decimal

from trainapp import units
from trainapp.studies.cost import PriceList
from trainapp.train.document import Document

SALT = "salt"
#: Of people that a household is counted with.
MOST_PEOPLE = 500


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Suppositions; None leaves what the document and the price list say.

    Attributes:
        people: how many draw water; a day's use that is given goes with them.
        peak: m3/s at the house. salt: money for each unit of the list's row. years: counted. discount: fraction a year.
    """

    people: int | None = None
    peak: float | None = None
    salt: Decimal | None = None
    years: int | None = None
    discount: Decimal | None = None

    @property
    def changes_water(self) -> bool:
        """Whether trains have to be evaluated anew; else only money is counted anew."""
        return self.people is not None or self.peak is not None

    def document(self, document: Document) -> Document:
        """A document with the demand that is supposed.

        Raises:
            DocumentError: no house is like that.
        """
        if not self.changes_water:
            return document
        tree = copy.deepcopy(dict(document.tree))
        demand = dict(tree.get("demand", {}))
        if self.people is not None:
            if document.demand.given("daily"):
                demand["daily"] = units.write(document.daily_volume * self.people / max(document.people, 1), "volume")
            demand["people"] = self.people
        if self.peak is not None:
            demand["peak"] = units.write(self.peak, "flow")
        return Document.of({**tree, "demand": demand})

    def prices(self, prices: PriceList) -> PriceList:
        """A price list with the salt and the discount rate that are supposed."""
        if self.salt is not None:
            for index, row in enumerate(prices.rows):
                if row.section == "part" and row.item == SALT:
                    prices = prices.with_row(index, price=self.salt)
        return prices if self.discount is None else prices.with_(discount=self.discount)


def salt_price(prices: PriceList) -> tuple[Decimal, str] | None:
    """What salt costs in a list, and for which unit; None where it has no such row."""
    row = next((row for row in prices.section("part") if row.item == SALT), None)
    return None if row is None else (row.price, row.per)
