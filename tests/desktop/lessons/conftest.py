"""What the tests of lessons share: a lesson on the screen, worked out for real."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from functools import cache
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from tests.desktop.opening import opened
from trainapp.desktop.lessons.adapter import LessonWork, material_of
from trainapp.desktop.lessons.guesses import GuessBook
from trainapp.desktop.lessons.player import Player
from trainapp.desktop.lessons.view import LessonsView
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.studies import lessons
from trainapp.studies.lessons import Lesson
from trainapp.train.document import load

Open = Callable[..., Player]

#: One moment, judged by a limit; and a run through months, judged by a limit.
FLOW, CARTRIDGE = "too-much-flow", "clogged-cartridge"


@cache
def lesson_named(name: str) -> Lesson:
    """One of the program's lessons, with sliders of few steps: its chart is worked out for each."""
    tree = lessons.tree_of(lessons.find(name))
    for control in tree.get("controls", ()):
        if "step" in control:
            control["step"] = (control["max"] - control["min"]) / 3
    return lessons.lesson_of(tree)


@cache
def work_of(name: str) -> LessonWork:
    """What works a lesson out; what it has run once it does not run again for the next test."""
    return LessonWork(lesson_named(name), "us")


@cache
def numbers(name: str, *changed: tuple[str, float]) -> list[str]:
    """The big numbers of a lesson as the engine has them, with some of it changed."""
    played = lessons.play(lesson_named(name), dict(changed))
    return [played.number(bench.letter, "us") for bench in played.benches]


@pytest.fixture(scope="module")
def farm_session(farm_well: Path) -> Session:
    """The farm well, evaluated once: lessons do not change it."""
    return Session(load(farm_well))


@pytest.fixture
def view(qtbot: QtBot, farm_session: Session, prefs: Prefs) -> Iterator[LessonsView]:
    """The Lessons view on the farm well, in a window of its own."""
    with opened(qtbot, LessonsView(farm_session, prefs), (1280, 760)) as made:
        yield made
        made.editor.forget_changes()


@pytest.fixture
def book(prefs: Prefs) -> GuessBook:
    """Guesses of nobody yet."""
    return GuessBook(prefs)


@pytest.fixture
def play(qtbot: QtBot, book: GuessBook) -> Iterator[Open]:
    """Opens a lesson at a size, and waits until it is worked out."""
    players = ExitStack()

    def open_lesson(name: str = FLOW, size: tuple[int, int] = (1280, 800), *, wait: bool = True) -> Player:
        lesson = lesson_named(name)
        player = Player(material_of(lesson, name, "Lesson 1 of 9", "us"), work_of(name), book)
        player.clock.seconds = 0.2
        players.enter_context(opened(qtbot, player, size))
        if wait:
            qtbot.waitUntil(lambda: player.working.played is not None, timeout=20_000)
        return player

    with players:
        yield open_lesson
