"""The ledger uses the room there is: a nudge takes no limits away, a long train opens whole, the rows that are worked on stay."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.reports import drawing_models as models
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.view import View, layout

#: The bench inside a window of 1280 x 800 and of 1920 x 1080.
SMALL, LARGE = (956.0, 700.0), (1400.0, 984.0)


def view(model: BenchModel, size: tuple[float, float], **options: object) -> View:
    return layout(model, Options(*size, headline=False, **options), measure_dejavu)  # type: ignore[arg-type]


def as_placed(model: BenchModel, made: View, moved: dict[str, float]) -> BenchModel:
    """The same bench with everything where it stands, as places of its own; `moved` are metres to the right."""
    stages = tuple(replace(s, x=made.metres(made.spread.centres[s.id]) + moved.get(s.id, 0.0)) for s in model.stages)
    return replace(model, stages=stages, supply=replace(model.supply, x=made.metres(made.spread.centres["supply"])))


def test_a_nudge_leaves_limits_house_and_person() -> None:
    model = models.row_of_six()
    before = view(model, LARGE)
    after = view(as_placed(model, before, dict.fromkeys(("softener", "carbon", "fine", "uv"), -0.05)), LARGE)
    assert before.grid.tier == after.grid.tier == "full"
    assert after.grid.columns["house"] == pytest.approx(before.grid.columns["house"], abs=40.0)
    assert after.spread.end == pytest.approx(after.grid.end)
    assert after.display.find(("person",)) is not None and before.display.find(("person",)) is not None


def test_two_that_stand_close_take_nothing_from_the_others() -> None:
    """Columns spread into the free width, each joined to its vessel where it had to move."""
    model = models.three()
    made = view(as_placed(model, view(model, LARGE), {"iron": -0.6}), LARGE)
    xs = list(made.grid.columns.values())
    assert made.grid.tier == "full"
    assert all(b - a >= 124.0 - 1e-6 for a, b in zip(xs, xs[1:], strict=False))
    assert {"screen", "iron"} <= set(made.grid.leaders)
