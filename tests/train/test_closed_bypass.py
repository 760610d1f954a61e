"""A bypass that is shut: no way to the house is refused with its place, an outlet left dry is told."""

from __future__ import annotations

import pytest

from tests.checks.build import one, train
from tests.train.trains import chain, document, stage
from trainapp.train.errors import DocumentError
from trainapp.train.plan import open_plan

SHUT = stage("by", "bypass", position="closed")


def test_a_house_that_no_water_reaches_is_refused() -> None:
    with pytest.raises(DocumentError, match="^stages.by.settings.position: the valve is closed and no other way leads to the house$"):
        open_plan(document([SHUT]))


def test_an_outlet_that_no_water_reaches_is_told() -> None:
    links = [*chain("supply", "softener", "house"), *chain("supply", "by", "yard")]
    evaluation = train([stage("softener", "softener"), SHUT], links=links, outlets={"yard": {"peak": "1 gpm"}})
    told = one(evaluation, "unfed")
    assert told.severity == "caution" and told.stage == "yard" and "closed bypass" in told.message
    assert "yard" not in evaluation.points


def test_a_second_way_keeps_the_train_alive() -> None:
    links = [*chain("supply", "softener", "house"), *chain("supply", "by", "house")]
    plan = open_plan(document([stage("softener", "softener"), SHUT], links))
    assert plan.shut == {"by"} and "softener" in plan.order
