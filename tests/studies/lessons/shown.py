"""Lessons that several tests play: each of the program's own once, and a small one to change."""

from __future__ import annotations

from functools import cache
from typing import Any

from trainapp.studies.lessons import ENDING, Played, find, lessons_path, load, play, play_tries, tree_of

NAMES = tuple(sorted(path.name.removesuffix(ENDING) for path in lessons_path().glob(f"*{ENDING}")))
#: A lesson that plays in no time, for it needs no year.
QUICK = "too-much-flow"


@cache
def played(name: str) -> Played:
    """A lesson as its scene has it."""
    return play(find(name))


@cache
def tried(name: str) -> tuple[Played, ...]:
    """Everything that a lesson says to try."""
    return play_tries(played(name))


def quick() -> dict[str, Any]:
    """The quick lesson as a plain tree, to change."""
    return tree_of(find(QUICK))


def text_of(name: str = QUICK) -> str:
    """The text of a lesson's file."""
    return (lessons_path() / f"{name}{ENDING}").read_text(encoding="utf-8")


find_lesson = find

__all__ = ["NAMES", "QUICK", "find_lesson", "load", "played", "quick", "text_of", "tried"]
