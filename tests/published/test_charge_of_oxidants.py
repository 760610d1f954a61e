"""Chlorine that meets ammonia or organic matter keeps the charge: electroneutrality, computed from the ions that are there."""

from __future__ import annotations

import numpy as np
import pytest

from tests.stages.building import make_water
from trainapp.stages import _oxidation as ox
from trainapp.water.stream import Stream


def charge(water: Stream) -> float:
    """meq/L of what the steps below change: sodium, ammonium, chloride, and alkalinity as the base that is left."""
    mg = {name: float(water.row(name)[1, 2, 0]) for name in ("sodium", "ammonia", "chloride", "alkalinity")}
    return mg["sodium"] / 22.99 + mg["ammonia"] / 14.007 - mg["chloride"] / 35.453 - mg["alkalinity"] / 50.0435


@pytest.mark.parametrize("dose", [3.0, 9.0, 14.0])
def test_breakpoint(dose: float) -> None:
    """2 NH4+ + 3 HOCl -> N2 + 3 Cl- + 5 H+ + 3 H2O; by hand alkalinity falls by chloride gained and ammonium lost."""
    water = make_water(ammonia=1.0, alkalinity=80.0, ph=7.5, chloride=10.0, sodium=10.0, free_chlorine=0.0, total_chlorine=0.0)
    before = charge(water)
    ox.add_oxidant(water, "chlorine", np.full(water.row("ph").shape, dose))
    ox.break_ammonia(water)
    left = float(water.row("free_chlorine")[1, 2, 0])
    assert left <= dose
    # free chlorine and chloramine carry no charge; bleach counts as a base until it is used
    assert charge(water) == pytest.approx(before, abs=2e-4 + 1e-3 * dose)


def test_organic_matter() -> None:
    water = make_water(toc=3.0, alkalinity=80.0, ph=7.5, chloride=10.0, sodium=10.0, ammonia=0.0, free_chlorine=0.0, total_chlorine=0.0)
    before = charge(water)
    ox.add_oxidant(water, "chlorine", np.full(water.row("ph").shape, 2.0))
    ox.spend_on_organics(water, np.ones(()))
    assert charge(water) == pytest.approx(before, abs=2e-3)
