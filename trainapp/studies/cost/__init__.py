"""What a train costs: a price list, and a bill of which every line can be opened. Money is Decimal, rounded half up where it is written."""

from __future__ import annotations

from trainapp.studies.cost.bill import Bill, bill, bill_of
from trainapp.studies.cost.lines import HEADINGS, Line, Priced, Writer
from trainapp.studies.cost.prices import PriceList, default_prices, read_prices
from trainapp.studies.cost.reading import PriceError
from trainapp.studies.cost.rows import Row
from trainapp.studies.cost.use import Use, duty_of, stage_lines, use_of, visit_lines

__all__ = [
    "HEADINGS", "Bill", "Line", "PriceError", "PriceList", "Priced", "Row", "Use", "Writer", "bill", "bill_of", "default_prices", "duty_of",
    "read_prices", "stage_lines", "use_of", "visit_lines",
]  # fmt: skip
