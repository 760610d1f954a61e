"""Plain pipe beside a stage: told with its share; a valve, a lane of its own or an outlet is none."""

from __future__ import annotations

import pytest

from tests.checks.build import FINE, chain, found, one, train, uv
from tests.train.trains import stage
from trainapp.stages.working import PEAK

SOFT = stage("soft", "softener")
HARD = {"hardness": "15 gpg"}


@pytest.mark.parametrize("tees", [(), ("tee1",), ("tee1", "tee2")])
def test_plain_pipe_takes_most_of_the_water_round_a_softener(tees: tuple[str, ...]) -> None:
    ways = [*chain("supply", "soft", "fine", "uv", "house"), *chain("supply", *tees, "fine")]
    evaluation = train([SOFT, *(stage(tee, "tee") for tee in tees), FINE, uv()], HARD, links=ways)
    finding = one(evaluation, "blend")
    assert finding.severity == "caution" and finding.stage == "soft" and "takes plain pipe round the softener" in finding.message
    assert finding.value is not None and finding.value.low > 0.5
    round_it, through = (float(evaluation.links["supply", to].flow[PEAK]) for to in ((tees or ("fine",))[0], "soft"))
    assert finding.value.low == pytest.approx(round_it / (round_it + through))


def test_a_valve_a_lane_or_an_outlet_is_no_open_way() -> None:
    held = [*chain("supply", "soft", "fine", "uv", "house"), *chain("supply", "round", "fine")]
    assert not found(train([SOFT, stage("round", "bypass", share="20 %"), FINE, uv()], HARD, links=held), "blend", stage="soft")
    lanes = [*chain("supply", "tee", "soft", "fine", "uv", "house"), *chain("tee", "soft2", "fine")]
    assert not found(train([stage("tee", "tee"), SOFT, stage("soft2", "softener"), FINE, uv()], HARD, links=lanes), "blend")
    garden = [*chain("supply", "soft", "fine", "uv", "house"), {"from": "supply", "to": "garden"}]
    outlets = {"garden": {"peak": "3 gpm", "daily": "20 gal", "drinking": False}}
    assert not found(train([SOFT, FINE, uv()], HARD, links=garden, outlets=outlets), "blend")
