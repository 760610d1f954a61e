"""Guesses: counted, taken back, kept, and dropped where the answers are others or the text was meddled with."""

from __future__ import annotations

import pytest

from trainapp.desktop.lessons.guesses import MOST, GuessBook, Guessed
from trainapp.desktop.prefs import Prefs

ANSWERS = ("A only", "B only", "both")


def test_guesses_are_counted_for_each_answer_and_taken_back_from_the_last() -> None:
    guessed = Guessed(ANSWERS).counted(0).counted(1).counted(1).counted(2)
    assert guessed.counts == (1, 2, 1) and guessed.total == 4
    assert guessed.taken_back().counts == (1, 2, 0)
    assert guessed.taken_back(0).counts == (0, 2, 1)
    assert Guessed(ANSWERS).taken_back() == Guessed(ANSWERS)
    assert guessed.counted(7) == guessed


def test_a_key_that_is_leant_on_stops_somewhere() -> None:
    guessed = Guessed(ANSWERS, order=(0,) * MOST)
    assert guessed.counted(1).total == MOST


def test_a_class_is_found_again_by_another_book(book: GuessBook, prefs: Prefs) -> None:
    book.keep("lesson", Guessed(ANSWERS, (1, 1, 0), 4))
    book.keep("other", Guessed(ANSWERS, (2,), 1))
    again = GuessBook(prefs)
    assert again.of("lesson", ANSWERS) == Guessed(ANSWERS, (1, 1, 0), 4)
    again.forget("lesson")
    assert again.of("lesson", ANSWERS) == Guessed(ANSWERS)
    assert again.of("other", ANSWERS).counts == (0, 0, 1)


def test_guesses_for_other_answers_are_not_taken_for_these(book: GuessBook) -> None:
    book.keep("lesson", Guessed(ANSWERS, (1,), 4))
    assert book.of("lesson", ("yes", "no")) == Guessed(("yes", "no"))


@pytest.mark.parametrize(
    "text",
    [
        "not json",
        "[]",
        '{"lesson": 3}',
        '{"lesson": {"answers": ["A only", "B only", "both"], "order": [5], "reached": 1}}',
        '{"lesson": {"answers": ["A only", "B only", "both"], "order": [0], "reached": "far"}}',
    ],
)
def test_a_text_that_was_meddled_with_is_a_class_that_guessed_nothing(book: GuessBook, prefs: Prefs, text: str) -> None:
    prefs.guesses = text
    assert book.of("lesson", ANSWERS) == Guessed(ANSWERS)
    book.keep("lesson", Guessed(ANSWERS, (0,)))
    assert book.of("lesson", ANSWERS).counts == (1, 0, 0)
