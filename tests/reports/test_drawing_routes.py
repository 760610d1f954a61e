"""Reading links into one main line, forks and spurs, and numbering what stands on them."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from trainapp.reports.drawing.model import LinkModel
from trainapp.train.numbering import numbers
from trainapp.train.routes import Fork, Route, Spur, route


def read(stages: str, links: str, ends: str = "house") -> Route:
    """Stages "a b c", links "supply-a a-b b-house"."""
    made = [LinkModel(*pair.split("-"), 1.0) for pair in links.split()]
    return route(stages.split(), made, ends.split())


def test_a_plain_row() -> None:
    way = read("a b", "supply-a a-b b-house")
    assert way.items == ("a", "b")
    assert numbers(way) == {"a": "1", "b": "2"}


def test_lanes_of_one_stage_are_lettered() -> None:
    way = read("a b c d", "supply-a a-b a-c b-d c-d d-house")
    fork = way.items[1]
    assert isinstance(fork, Fork) and (fork.split, fork.merge) == ("a", "d")
    assert numbers(way) == {"a": "1", "b": "2a", "c": "2b", "d": "3"}


def test_lanes_of_two_count_alike() -> None:
    way = read("s a b c d u", "supply-s s-a a-b s-c c-d b-u d-u u-house")
    assert numbers(way) == {"s": "1", "a": "2a", "b": "3a", "c": "2b", "d": "3b", "u": "4"}


def test_a_bypass_has_no_number_and_gives_no_letter() -> None:
    way = read("s a y u", "supply-s s-a s-y a-u y-u u-house")
    assert numbers(way, {"y"}) == {"s": "1", "a": "2", "u": "3"}


def test_a_lane_with_no_stage_comes_last() -> None:
    way = read("s a u", "supply-s s-u s-a a-u u-house")
    fork = way.items[1]
    assert isinstance(fork, Fork)
    assert [lane.items for lane in fork.lanes] == [("a",), ()]


def test_lanes_that_meet_at_the_house() -> None:
    way = read("a b", "supply-a supply-b a-house b-house")
    fork = way.items[0]
    assert isinstance(fork, Fork) and (fork.split, fork.merge) == ("supply", "house")
    assert way.nodes() == ["a", "b"]


def test_nested_lanes() -> None:
    way = read("a b c d e", "supply-a a-b b-c b-d c-e d-e a-e e-house")
    outer = way.items[1]
    assert isinstance(outer, Fork) and outer.merge == "e"
    assert len(list(way.forks())) == 2
    assert set(way.nodes()) == {"a", "b", "c", "d", "e"}
    assert way.bridges == ()


def test_outlets_are_spurs_where_they_leave() -> None:
    way = read("a b", "supply-garden supply-a a-yard a-b b-house", "house garden yard")
    assert [(spur.source, spur.end) for spur in way.spurs()] == [("supply", "garden"), ("a", "yard")]
    assert isinstance(way.items[0], Spur)


def test_a_spur_may_have_stages() -> None:
    way = read("a c", "supply-a a-c c-garden a-house", "house garden")
    spur = next(way.spurs())
    assert (spur.end, spur.lane.items) == ("garden", ("c",))


def test_what_no_link_touches_is_loose() -> None:
    way = read("a b", "supply-a a-house")
    assert way.loose == ("b",)


def test_a_bridge_between_lanes_is_kept_apart() -> None:
    way = read("a b c d e", "supply-a supply-b a-c b-d a-d c-e d-e e-house")
    assert set(way.nodes()) == {"a", "b", "c", "d", "e"}
    drawn = {("supply", "a"), ("supply", "b"), ("a", "c"), ("b", "d"), ("c", "e"), ("d", "e"), ("e", "house"), ("a", "d")}
    assert set(way.links) == drawn


@given(st.data())
def test_every_stage_is_read_once(data: st.DataObject) -> None:
    """Any graph without a cycle: nothing is lost, nothing drawn twice, and reading always ends."""
    count = data.draw(st.integers(1, 8))
    names = [f"n{i}" for i in range(count)]
    order = ["supply", *names, "house", "garden"]
    pairs = [(a, b) for i, a in enumerate(order) for b in order[i + 1 :] if a not in ("house", "garden")]
    chosen = data.draw(st.lists(st.sampled_from(pairs), unique=True, max_size=16))
    way = route(names, [LinkModel(a, b, 1.0) for a, b in chosen], ["house", "garden"])
    nodes = way.nodes()
    assert len(nodes) == len(set(nodes))
    assert set(nodes) | set(way.loose) == set(names)
    assert set(numbers(way)) == set(nodes)
