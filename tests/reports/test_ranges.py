"""Intervals in ledger cells: both ends with the same decimals, never onto or across a limit, the adverse end with a sign."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.reports.drawing.ranges import interval


@pytest.mark.parametrize(
    ("ends", "dimension", "key", "largest", "texts"),
    [
        ((0.837, 1.6), "concentration", "free_chlorine", 1.81, ("0.84–1.60", "…1.60")),
        ((0.0323, 0.0668), "concentration", "free_chlorine", 1.81, ("0.03–0.07", "…0.07")),
        ((10.6, 10.9), "concentration", "sodium", 155.0, ("11",)),
        ((150.0, 155.0), "concentration", "sodium", 155.0, ("150–155", "…155")),
        ((2.337, 2.38), "concentration", "iron", 2.4, ("2.34–2.38", "…2.38")),
        ((0.0, 0.5), "concentration", "nitrate", 0.5, ("<0.5",)),
        ((1.0, math.inf), "concentration", "iron", 0.0, (">1.00",)),
    ],
)
def test_both_ends_have_the_decimals_of_their_row(
    ends: tuple[float, float], dimension: str, key: str, largest: float, texts: tuple[str, ...]
) -> None:
    """Decimals of section 6 of the look for iron; of what it does not list three digits of the largest value of the row."""
    assert interval(ends, ends[1], dimension, "us", key, None, largest) == texts


def test_the_low_end_may_be_the_adverse_one() -> None:
    assert interval((82.2, 86.4), 82.2, "uvt", "us", "uvt") == ("82–86", "82…")


@given(low=st.floats(0.01, 1.0), width=st.floats(0.02, 2.0), limit=st.floats(0.01, 3.0))
def test_no_end_reads_equal_to_a_limit_or_across_it(low: float, width: float, limit: float) -> None:
    high = low * (1.0 + width)
    texts = interval((low, high), high, "concentration", "us", "iron", limit, high)
    if "–" not in texts[0] or "just" in texts[0]:
        return
    first, last = texts[0].split("–")
    assert len(first.partition(".")[2]) == len(last.partition(".")[2])
    for text, value in ((first, low), (last, high)):
        if not math.isclose(value, limit, rel_tol=1e-9):
            assert (float(text) > limit) == (value > limit) and float(text) != limit
