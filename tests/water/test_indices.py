"""Sums and indices: what an analysis does not name counts as none, and unknown stays unknown."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.water.carbonate import Ions, from_ph
from trainapp.water.indices import charge_balance, conductivity, dissolved_solids, langelier, sodium_by_charge

_MG = st.floats(1.0, 300.0)


@given(_MG, _MG, _MG, _MG, _MG)
def test_sodium_by_charge_closes_the_balance(calcium: float, magnesium: float, alkalinity: float, chloride: float, sulfate: float) -> None:
    analysis = {"calcium": calcium, "magnesium": magnesium, "alkalinity": alkalinity, "chloride": chloride, "sulfate": sulfate}
    sodium = float(sodium_by_charge(analysis | {"sodium": 999.0}))
    balance = charge_balance(analysis | {"sodium": sodium})
    if sodium > 0.0:
        assert float(balance.error) == pytest.approx(0.0, abs=1e-9)
    else:
        assert balance.cations >= balance.anions - 1e-9


def test_protons_count_in_acid_water() -> None:
    assert float(charge_balance({"ph": 4.0, "chloride": 3.5453}).error) == pytest.approx(0.0, abs=1e-6)


def test_unknown_stays_unknown() -> None:
    assert np.isnan(float(dissolved_solids({"calcium": np.nan, "sodium": 3.0})))
    assert np.isnan(float(charge_balance({"calcium": np.nan, "sodium": 3.0, "chloride": 2.0}).error))


@given(st.floats(1.01, 3.0))
def test_more_salt_conducts_more(times: float) -> None:
    def of(factor: float) -> float:
        return float(
            conductivity(from_ph(7.4, 150.0 * factor, Ions(50.0 * factor, 10.0 * factor, 20.0 * factor, chloride=30.0 * factor), 12.0))
        )

    assert of(1.0) < of(times) < times * of(1.0)


@given(st.floats(1.0, 300.0), st.floats(1.01, 5.0))
def test_langelier_rises_by_the_logarithm_of_calcium(calcium: float, times: float) -> None:
    one, more = (langelier(7.5, c, 150.0, 300.0, 12.0) for c in (calcium, times * calcium))
    assert float(more.index - one.index) == pytest.approx(np.log10(times), abs=1e-9)
