"""Laws of light in water: round trips, ends, more never lets more through."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.data import load_toml
from trainapp.water.uvt import LEAST_UVT, absorbance, absorptivity, transmittance


@given(st.floats(LEAST_UVT, 100.0))
def test_there_and_back(uvt: float) -> None:
    assert float(transmittance(absorbance(uvt))) == pytest.approx(uvt, rel=1e-12)


def test_darkness_stays_finite() -> None:
    assert float(absorbance(0.0)) == pytest.approx(4.0) and np.isnan(float(absorbance(np.nan)))


@given(st.floats(0.0, 2.0), st.floats(0.5, 10.0))
def test_paths_multiply(a: float, path: float) -> None:
    assert float(transmittance(a, path)) == pytest.approx(100.0 * (float(transmittance(a)) / 100.0) ** path, rel=1e-9)


@pytest.mark.parametrize("species", load_toml("water/absorptivity.toml"))
def test_every_species_absorbs_something_small(species: str) -> None:
    assert 0.0 < absorptivity(species) < 0.1
