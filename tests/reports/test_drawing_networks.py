"""Networks that are no plain forks: bench and path line draw each pipe of the document, from where to where it leads, and no other."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.reports import drawing_models as models
from trainapp.reports.drawing.display import Circle, Group, Text, walk
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.pipes import Plumber
from trainapp.reports.drawing.view import View, layout

KINDS = ("iron", "softener1", "softener2", "carbon", "control", "uv", "bypass")


def network(*links: str) -> BenchModel:
    pairs = [link.split("-") for link in links]
    nodes = [kind for kind in KINDS if any(kind in pair for pair in pairs)]
    ends = (("house", "house", "to the house"), ("garden", "outdoor", "outdoor taps"))
    return models.bench([(n, str(i + 1)) for i, n in enumerate(nodes)], [(a, b, 1.0) for a, b in pairs], ends)


def seen(model: BenchModel) -> View:
    return layout(model, Options(1400.0, 1300.0), measure_dejavu)


def piped(view: View) -> set[tuple[str, str]]:
    """Pipes of the path line."""
    tags = {shape.tag for shape, _ in walk(view.layer("bands").shapes) if isinstance(shape, Group)}
    return {(str(tag[1]), str(tag[2])) for tag in tags if len(tag) == 3 and tag[0] == "link"}


def false_runs(view: View, model: BenchModel) -> list[tuple[str, str]]:
    """Runs of the bench that do not begin at an outlet of their source or end at an inlet of their target."""
    plumber = Plumber(model, view.route, view.spread, 500.0, 0.0)
    runs = plumber.lay().runs
    assert {run.key for run in runs} == {link.key for link in model.links}
    found = []
    for run in runs:
        for node, side, end in ((run.key[0], 1, 0), (run.key[1], 0, -1)):
            ports = [plumber._ports(node, x, 0)[side].stub[0][0] for x in view.spread.units.get(node, ())]
            if ports and not any(abs(run.points[end][0] - x) < 0.01 for x in ports):
                found.append(run.key)
    return found


NETTED = ("supply-iron", "iron-softener1", "softener1-uv", "uv-house", "iron-softener2", "softener2-uv", "softener1-bypass", "bypass-house")


def test_what_passes_the_chamber_is_drawn_through_it() -> None:
    model = network(*NETTED)
    view = seen(model)
    assert piped(view) == {link.key for link in model.links}
    assert false_runs(view, model) == []


def test_stages_beside_the_main_path_are_dots_at_their_pressure() -> None:
    """The staircase follows the main path to the house and marks the others where they are."""
    view = seen(network(*NETTED))
    aside = [node for fork in view.route.forks() for lane in fork.lanes if lane.aside for node in lane.items]
    assert aside
    stairs = next(s for s, _ in walk(view.layer("bands").shapes) if isinstance(s, Group) and s.tag == ("staircase",))
    dots = [shape.x for shape, _ in walk([stairs]) if isinstance(shape, Circle)]
    assert all(any(abs(x - view.grid.nodes[str(node)]) < 0.01 for x in dots) for node in aside)


@pytest.mark.parametrize(
    "links",
    [
        "supply-iron iron-softener1 iron-softener2 softener1-uv softener2-uv uv-house supply-bypass bypass-uv",
        "supply-softener1 supply-softener2 softener1-carbon softener2-carbon carbon-uv uv-house supply-bypass bypass-uv",
        "supply-iron supply-softener1 iron-softener2 softener1-softener2 softener2-house supply-garden iron-garden",
    ],
)
def test_a_bypass_round_a_pair_needs_no_bridge(links: str) -> None:
    model = network(*links.split())
    view = seen(model)
    assert view.route.bridges == ()
    assert piped(view) == {link.key for link in model.links} and false_runs(view, model) == []


@settings(max_examples=30)
@given(st.data())
def test_every_pipe_is_drawn_and_no_other(data: st.DataObject) -> None:
    """Each stage has a pipe into it and one out of it, and any others besides."""
    count = data.draw(st.integers(2, 6))
    order = ["supply", *KINDS[:count], "house"]
    links = {(order[data.draw(st.integers(0, i - 1))], order[i]) for i in range(1, count + 1)}
    for i in range(1, count + 1):
        if not any(a == order[i] for a, _ in links):
            links.add((order[i], order[data.draw(st.integers(i + 1, count + 1))]))
    extra = [(a, b) for i, a in enumerate(order) for b in order[i + 1 :] if (a, b) not in links]
    links |= set(data.draw(st.lists(st.sampled_from(extra), max_size=4))) if extra else set()
    if data.draw(st.booleans()):
        links.add((data.draw(st.sampled_from(order[:-1])), "garden"))
    model = network(*(f"{a}-{b}" for a, b in sorted(links, key=lambda pair: (order.index(pair[0]), pair[1]))))
    view = seen(model)
    assert piped(view) == {link.key for link in model.links}
    assert false_runs(view, model) == []


def test_figures_of_lanes_add_up_to_that_of_the_line() -> None:
    names = [("iron", "1"), ("softener1", "2a"), ("softener2", "2b"), ("uv", "3")]
    links = [("supply", "iron", 7.5), ("iron", "softener1", 3.75), ("iron", "softener2", 3.75), ("softener1", "uv", 3.75)]
    model = models.bench(names, [*links, ("softener2", "uv", 3.75), ("uv", "house", 7.5)])
    texts = [shape.text for shape, _ in walk(seen(model).layer("bands").shapes) if isinstance(shape, Text)]
    assert {"7.5", "3.8", "3.7"} <= set(texts) and texts.count("3.7") == 1


@pytest.mark.parametrize(("width", "told"), [(660.0, "1.8"), (900.0, "1.8, bypass 18 %")])
def test_a_short_bypass_keeps_its_flow_and_drops_its_share(width: float, told: str) -> None:
    made = layout(models.bypass(), Options(width, 760.0), measure_dejavu)
    assert told in [shape.text for shape, _ in walk(made.display.items) if isinstance(shape, Text)]
