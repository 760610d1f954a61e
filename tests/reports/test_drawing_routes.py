"""Reading links into one main line, forks and spurs, and numbering what stands on them."""

from __future__ import annotations

from collections.abc import Sequence

from hypothesis import given
from hypothesis import strategies as st

from trainapp.reports.drawing.model import LinkModel
from trainapp.train.numbering import numbers
from trainapp.train.routes import Fork, Item, Route, Spur, route


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


def pipes_seen(items: Sequence[Item], sources: set[str]) -> tuple[set[tuple[str, str]], set[str]]:
    """The pipes that a row of items shows to who follows it with a finger, and the nodes at its end."""
    seen: set[tuple[str, str]] = set()
    for item in items:
        if isinstance(item, str):
            seen |= {(source, item) for source in sources}
            sources = {item}
        elif isinstance(item, Fork):
            met: set[str] = set()
            for lane in item.lanes:
                pipes, reached = pipes_seen(lane.items[lane.aside :], {str(lane.items[0])} if lane.aside else sources)
                seen |= pipes
                met |= set() if lane.aside else reached
            sources = met
        else:
            pipes, reached = pipes_seen(item.lane.items, {item.source})
            seen |= pipes | {(last, item.end) for last in reached if item.end}
    return seen, sources


def pipes_of(way: Route) -> set[tuple[str, str]]:
    seen, last = pipes_seen(way.items, {"supply"})
    return seen | {(node, "house") for node in last if (node, "house") in way.links}


def agrees(way: Route) -> bool:
    """Whether items and bridges are the links, each once."""
    bridges = {link.key for link in way.bridges}
    return pipes_of(way) | bridges == set(way.links) and not pipes_of(way) & bridges


def test_netted_lanes_show_no_pipe_that_is_not_there() -> None:
    """A way that goes into another lane is none that meets the main line behind it: water of s2 passes the chamber."""
    way = read("iron s1 s2 uv bp", "supply-iron iron-s1 s1-uv uv-house iron-s2 s2-uv s1-bp bp-house")
    assert agrees(way) and ("s2", "house") not in pipes_of(way)
    assert way.bridges and set(way.nodes()) == {"iron", "s1", "s2", "uv", "bp"}


def test_lanes_that_meet_before_others_do_are_lanes() -> None:
    """Two filters in parallel and a softener behind both, a bypass round all: no bridge is needed."""
    way = read("a b c bp u", "supply-a supply-b a-c b-c c-u supply-bp bp-u u-house")
    assert agrees(way) and way.bridges == ()
    assert [fork.merge for fork in way.forks()] == ["u", "c"]
    assert numbers(way, {"bp"}) == {"a": "1a", "b": "1b", "c": "2", "u": "3"}


def test_no_two_of_many_lanes_have_the_same_number() -> None:
    names = [f"s{i}" for i in range(28)]
    way = read(" ".join(names), " ".join(f"supply-{name} {name}-house" for name in names))
    told = numbers(way)
    assert [told[name] for name in (names[0], names[25], names[26], names[27])] == ["1a", "1z", "1aa", "1ab"]
    assert len(set(told.values())) == 28


def test_lanes_behind_a_filter_and_a_bypass_round_all() -> None:
    way = read("i a b bp u", "supply-i i-a i-b a-u b-u supply-bp bp-u u-house")
    assert agrees(way) and way.bridges == ()


def test_a_bridge_between_lanes_is_kept_apart() -> None:
    """The longest way is drawn; what stands beside it hangs on bridges."""
    way = read("a b c d e", "supply-a supply-b a-c b-d a-d c-e d-e e-house")
    assert agrees(way) and set(way.nodes()) == {"a", "b", "c", "d", "e"}
    assert ("a", "d") not in pipes_of(way) or ("b", "d") in {link.key for link in way.bridges}


def test_a_way_out_that_ends_nowhere_has_no_pipe_beyond() -> None:
    way = read("a c", "supply-a a-c a-house")
    assert [spur.lane.lasts for spur in way.spurs()] == [()] and agrees(way)


@given(st.data())
def test_every_stage_is_read_once(data: st.DataObject) -> None:
    """Any graph without a cycle: nothing is lost, nothing drawn twice, and reading always ends."""
    count = data.draw(st.integers(1, 8))
    names = [f"n{i}" for i in range(count)]
    order = ["supply", *names, "house", "garden"]
    pairs = [(a, b) for i, a in enumerate(order) for b in order[i + 1 :] if a not in ("house", "garden")]
    chosen = data.draw(st.lists(st.sampled_from(pairs), unique=True, max_size=20))
    way = route(names, [LinkModel(a, b, 1.0) for a, b in chosen], ["house", "garden"])
    nodes = way.nodes()
    assert len(nodes) == len(set(nodes))
    assert set(nodes) | set(way.loose) == set(names)
    assert set(numbers(way)) == set(nodes)
    assert agrees(way)
