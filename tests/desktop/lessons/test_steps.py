"""The four steps: one new thing a press, back again, and what is left out where a lesson has no such thing."""

from __future__ import annotations

import pytest

from trainapp.desktop.lessons.steps import STEPS, Walk, reveals


def test_every_press_brings_one_new_thing_in_the_order_of_the_steps() -> None:
    walk = Walk(reveals(two=True, runs=True, tries=True))
    seen = [walk.thing]
    while walk.forward():
        seen.append(walk.thing)
        assert sum(walk.shows(reveal.thing) for reveal in walk.way) == len(seen)
    assert seen == ["first", "second", "question", "watch", "numbers", "chart", "run", "try", "answer", "point"]
    steps = [reveal.step for reveal in walk.way]
    assert sorted(steps, key=STEPS.index) == steps and set(steps) == set(STEPS)
    assert not walk.forward() and walk.at_end


def test_nothing_of_the_answer_is_in_sight_before_the_guess() -> None:
    walk = Walk(reveals(two=True, runs=True, tries=True))
    walk.turn_to("Guess")
    assert not any(walk.shows(thing) for thing in ("numbers", "chart", "run", "try", "answer", "point"))  # type: ignore[arg-type]


@pytest.mark.parametrize(("kind", "gone"), [("two", {"second"}), ("runs", {"run"}), ("tries", {"try"})])
def test_what_a_lesson_lacks_takes_no_press(kind: str, gone: set[str]) -> None:
    asked = {"two": True, "runs": True, "tries": True} | {kind: False}
    whole = {reveal.thing for reveal in reveals(two=True, runs=True, tries=True)}
    assert whole - {reveal.thing for reveal in reveals(**asked)} == gone


def test_back_takes_the_last_thing_away_and_stops_at_the_first() -> None:
    walk = Walk(reveals(two=True, runs=False, tries=False), 3)
    assert walk.thing == "watch" and walk.done == ("Scene", "Guess")
    assert walk.back() and walk.back() and walk.back() and not walk.back()
    assert walk.thing == "first" and walk.done == ()


def test_a_class_is_taken_up_no_further_than_its_lesson_goes() -> None:
    assert Walk(reveals(two=False, runs=False, tries=False), 99).thing == "point"
    assert Walk(reveals(two=False, runs=False, tries=False), -3).thing == "first"
