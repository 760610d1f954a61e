"""Any water through any kind of stage: no error, no warning, nothing below zero, the inlet untouched, results equal to their steps."""

from __future__ import annotations

import numpy as np
import pytest

from tests.stages.building import make_duty, make_stage, run
from trainapp.sources import STATUSES, sources
from trainapp.stages.base import Duty
from trainapp.stages.registry import kinds
from trainapp.stages.working import Working, pick
from trainapp.water.analytes import ROWS
from trainapp.water.stream import Stream

WAYS: dict[str, list[dict[str, str]]] = {
    "oxidant_feed": [{"oxidant": o, "paced_by": p} for o in ("chlorine", "permanganate", "peroxide") for p in ("pump", "flow")],
    "neutralizer": [{}, {"media": "calcite_magnesia"}, {"flow": "up"}],
    "carbon_bed": [{}, {"carbon": "catalytic"}],
    "sediment_bed": [{}, {"media": "sand"}],
    "contact_tank": [{}], "storage_pump": [{}], "tannin_resin": [{}], "pressure_regulator": [{}], "declared": [{}],
}  # fmt: skip
CASES = [(kind, way) for kind, ways in WAYS.items() for way in ways]


def _drawn(draw: np.random.Generator, waters: int) -> Stream:
    """A water in which each row is drawn, nothing or unknown; parts never make more than their whole."""
    stream = Stream.unknown(3, waters)
    for row in ROWS:
        mode = draw.integers(0, 4)
        top = 10 ** draw.uniform(-2, 2.5)
        value = draw.uniform(0, top, (2, 3, waters)) if mode > 1 else np.zeros((2, 3, waters)) if mode else np.full((2, 3, waters), np.nan)
        stream.set(row, value, known=mode > 0)
    stream.set("ph", draw.uniform(4, 10, (2, 3, waters)))
    stream.set("absorbance", stream.row("absorbance") + stream.row("absorbance_iron") + stream.row("absorbance_particles") + 1.0)
    stream.set("total_chlorine", stream.row("total_chlorine") + stream.row("free_chlorine"))
    return stream


@pytest.mark.parametrize(("kind", "way"), CASES)
@pytest.mark.filterwarnings("error")
def test_any_water_passes(kind: str, way: dict[str, str]) -> None:
    draw = np.random.default_rng(len(kind) + len(way))
    stage = make_stage(kind, **way)
    for trial in range(8):
        water = _drawn(draw, 1 + trial % 3)
        duty = make_duty(peak=float(10 ** draw.uniform(-1, 1.5)), daily=float(10 ** draw.uniform(1, 3)))
        if trial == 0:
            duty = Duty(np.full((3, 1), 1e-9), 0.0, 10.0, 15.0)
        before = water.values.copy()
        out, working, _ = run(stage, water, duty)
        assert np.array_equal(water.values, before, equal_nan=True)
        assert out.values.shape == water.values.shape
        assert not np.isinf(out.values).any()
        assert np.nanmin(np.append(out.values, 0.0)) >= -1e-9
        for step in working.steps:
            if step.result:
                assert working.results[step.result].shown == pytest.approx(step.value, nan_ok=True)
                assert pick(working.results[step.result].value) is not None
        stage.cleaning(water, duty)
        stage.chores(water, duty)


@pytest.mark.parametrize(("kind", "way"), CASES)
def test_the_water_is_the_same_with_and_without_working(kind: str, way: dict[str, str]) -> None:
    water = _drawn(np.random.default_rng(7), 4)
    kept, _, _ = run(make_stage(kind, **way), water, make_duty())
    bare = make_stage(kind, **way).treat(water, make_duty(), Working(False), [])
    assert np.array_equal(kept.values, bare.values, equal_nan=True)


@pytest.mark.parametrize("kind", WAYS)
def test_what_it_shows_has_a_source(kind: str) -> None:
    spec = kinds()[kind].spec
    for setting in spec.settings.values():
        assert setting.source in sources() and setting.status in STATUSES, setting.key
    for limit, _ in spec.limits:
        assert limit.source in sources() and limit.status in STATUSES, limit.analyte
    for way in WAYS[kind]:
        stage = make_stage(kind, **way)
        water = _drawn(np.random.default_rng(3), 1)
        _, working, remarks = run(stage, water, make_duty())
        assert all(not step.source or step.source in sources() for step in working.steps)
        assert all(remark.source in sources() and remark.status in STATUSES for remark in remarks)
        assert all(chore.source in sources() and chore.status in STATUSES for chore in stage.chores(water, make_duty()))
