"""One pass over the layouts with one price list: what trains cost, how unfit they may be, and what became of them."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

import numpy as np

from trainapp.checks.policy import amount
from trainapp.studies.cost import PriceList, Use, Writer, stage_lines, visit_lines
from trainapp.studies.options.choices import Choice
from trainapp.studies.options.layouts import drawn
from trainapp.studies.options.trains import Tally

if TYPE_CHECKING:
    from trainapp.studies.options.search import Search

#: By id of a use, which is kept so that its id stays its own, what it costs to buy and to own.
Costs = dict[int, tuple[Use, tuple[float, float]]]


class Sweep:
    """One pass.

    Attributes:
        search: whose. budget: how many cautions about unfit equipment a train may have. tally: what became of trains.
        gap: m between bodies. height, width: of the room, None where nothing is known. drawn: m3/s at the peak behind the train.
        mere: it only matters whether any train stands up. beam: how many waters are followed behind each place, 0 for all.
    """

    def __init__(
        self, search: Search, prices: PriceList, years: int | None, budget: int, tally: Tally, *, mere: bool = False, beam: int = 0
    ) -> None:
        self.search, self.site, self.budget, self.tally, self.mere, self.beam = search, search.site, budget, tally, mere, beam
        self.gap = amount("room_gap")
        self.width = self.site.document.room.get("width")
        self.height = self.site.document.room.get("height")
        self.drawn = drawn(self.site)
        self._writer = Writer(prices, years)
        self._unit = Decimal(1).scaleb(-prices.decimals)
        self._costs = search.costs(prices, years)

    def cost(self, use: Use) -> tuple[float, float]:
        """What a stage costs to buy and to own, in whole units of the last decimal of money."""
        if id(use) not in self._costs:
            lines = list(stage_lines(use, self._writer))
            buy = sum((line.due for line in lines if line.bought), Decimal(0))
            self._costs[id(use)] = use, self._whole(buy, sum((line.present for line in lines), Decimal(0)))
        return self._costs[id(use)][1]

    def visits(self, buys: bool, stands: bool) -> tuple[float, float]:
        """What belongs to the whole train, likewise."""
        lines = list(visit_lines(self._writer, buys, stands))
        buy = sum((line.due for line in lines if line.bought), Decimal(0))
        return self._whole(buy, sum((line.present for line in lines), Decimal(0)))

    def _whole(self, buy: Decimal, own: Decimal) -> tuple[float, float]:
        return float(buy / self._unit), float(own / self._unit)

    @property
    def money(self) -> float:
        """What one of those units is worth."""
        return float(self._unit)

    def is_priced(self, choice: Choice) -> bool:
        """Whether what a choice costs to buy is known."""
        use = Use.of(choice.stage, choice.item, choice.row, None, (), self.site.document)
        return choice.exists or next(stage_lines(use, self._writer)).priced.price is not None


def least(values: Sequence[float]) -> float:
    """The least of some values, 0 of none."""
    return float(np.min(values)) if len(values) else 0.0
