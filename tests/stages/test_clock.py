"""The hour at which stages clean themselves: as set, else filters before resins; overlapping hours are found, round midnight too."""

from __future__ import annotations

from itertools import pairwise

import pytest

from tests.checks.build import found, stage, train
from trainapp.checks.finding import Finding

IRON = {"tank_diameter": "10 in", "media": "coated_silicate", "oxidant": "air"}
WATER = {"iron": "1 mg/L", "iron_dissolved": "0.9 mg/L"}


def together(iron_at: str | None, softener_at: str | None) -> list[Finding]:
    """What is found of an iron filter and a softener whose clocks are set so."""
    times = [{"clean_at": at} if at else {} for at in (iron_at, softener_at)]
    stages = [stage("iron", "iron_filter", **IRON, **times[0]), stage("softener", "softener", **times[1])]
    return found(train(stages, WATER), "cleaning-together")


def hours(*stages: dict[str, object]) -> list[float]:
    """The hour at which each of these stages begins to clean itself."""
    cleanings = [result.cleaning for result in train(list(stages), WATER).stages.values()]
    return [cleaning.hour for cleaning in cleanings if cleaning is not None]


def test_filters_begin_before_resins_where_nothing_is_set() -> None:
    train_hours = hours(
        stage("bed", "sediment_bed"), stage("iron", "iron_filter", **IRON), stage("neutralizer", "neutralizer"),
        stage("carbon", "carbon_bed"), stage("softener", "softener"), stage("tannin", "tannin_resin"),
    )  # fmt: skip
    assert train_hours == sorted(train_hours) and len(train_hours) == 6
    assert [later - sooner for sooner, later in pairwise(train_hours)] == [0.0, 0.0, 0.0, 2.0, 0.0]


def test_a_clock_that_is_set_counts() -> None:
    assert hours(stage("softener", "softener", clean_at="3.5 h"), stage("carbon", "carbon_bed", clean_at="90 min")) == [3.5, 1.5]


@pytest.mark.parametrize(
    ("iron_at", "softener_at", "overlap"),
    [
        (None, None, False), ("2 h", None, True), ("3 h", "2 h", True), ("23 h", "22.5 h", True), ("0 h", "23.5 h", True),
        ("4 h", "1 h", False),
    ],
)  # fmt: skip
def test_hours_that_overlap_are_found(iron_at: str | None, softener_at: str | None, overlap: bool) -> None:
    assert bool(together(iron_at, softener_at)) is overlap
