"""Arithmetic of money: exact, rounded half up where it is written, and what later payments are worth today."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache

from trainapp import dimensions

#: d, the year of all upkeep.
YEAR = dimensions.YEAR / dimensions.DAY
#: d, a year as many intervals of upkeep count it: the shorter of the two.
_PLAIN_YEAR = 365.0
ZERO = Decimal(0)


def rounded(amount: Decimal, decimals: int = 2) -> Decimal:
    """Money as it is written, half up."""
    return amount.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)


def quantity_of(value: float) -> Decimal:
    """An amount as it stands on a bill, to a thousandth."""
    return Decimal(repr(float(value))).quantize(Decimal("0.001"), ROUND_HALF_UP)


@lru_cache(maxsize=4096)
def payments(every_days: float, years: int) -> int:
    """How often something that comes up every so many days is paid within the years.

    What would fall on the last day is left to the time after it: nobody renews what he gives up. A year is 365 days in what some parts are
    due by and 365.25 in that of others: by both the last day is the same.
    """
    times = int(years * _PLAIN_YEAR / every_days * (1.0 - 1e-9))
    return max(times, 0)


@lru_cache(maxsize=4096)
def worth_of_payments(every_days: float, years: int, rate: Decimal) -> Decimal:
    """What one unit of money is worth today if it is paid each time.

    The sum over k of (1 + rate)^(−k · every/365.25) for the times that :func:`payments` counts.
    """
    times = payments(every_days, years)
    if not rate or not times:
        return Decimal(times)
    each = (1 + rate) ** Decimal(-every_days / YEAR)
    return each * (1 - each**times) / (1 - each)


@lru_cache(maxsize=256)
def worth_of_years(years: int, rate: Decimal) -> Decimal:
    """What one unit of money a year, paid at the end of each of the years, is worth today: (1 − (1 + rate)^−years)/rate."""
    return Decimal(years) if not rate else (1 - (1 + rate) ** -years) / rate
