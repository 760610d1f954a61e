"""What classes guessed: counted for each answer, kept beside the preferences, so that a class can be taken up again where it was left."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from trainapp.desktop.prefs import Prefs

#: More guesses than any room holds: a key that is leant on stops here.
MOST = 999


@dataclass(frozen=True, slots=True)
class Guessed:
    """The guesses of one class in one lesson.

    Attributes:
        answers: texts that could be guessed, as they were shown.
        order: index of the answer of every guess, in the order they were made.
        reached: how many things were in sight when the lesson was left, from 0.
    """

    answers: tuple[str, ...]
    order: tuple[int, ...] = ()
    reached: int = 0

    @property
    def counts(self) -> tuple[int, ...]:
        """Guesses for each answer."""
        return tuple(self.order.count(i) for i in range(len(self.answers)))

    @property
    def total(self) -> int:
        """All guesses."""
        return len(self.order)

    def counted(self, answer: int) -> Guessed:
        """With one guess more; as it is where there is no such answer."""
        if not 0 <= answer < len(self.answers) or self.total >= MOST:
            return self
        return replace(self, order=(*self.order, answer))

    def at(self, reached: int) -> Guessed:
        """With the class standing elsewhere."""
        return replace(self, reached=reached)

    def taken_back(self, answer: int | None = None) -> Guessed:
        """Without the last guess, or the last one for an answer."""
        for place in range(self.total - 1, -1, -1):
            if answer is None or self.order[place] == answer:
                return replace(self, order=(*self.order[:place], *self.order[place + 1 :]))
        return self


class GuessBook:
    """Every class that was not yet finished with, by lesson."""

    def __init__(self, prefs: Prefs) -> None:
        self._prefs = prefs

    def of(self, lesson: str, answers: Sequence[str]) -> Guessed:
        """What was guessed in a lesson; nothing where its answers have been written anew since."""
        kept = self._all().get(lesson)
        found = _read(kept) if isinstance(kept, dict) else None
        return found if found is not None and found.answers == tuple(answers) else Guessed(tuple(answers))

    def keep(self, lesson: str, guessed: Guessed) -> None:
        """Keep what was guessed; a class that guessed nothing and saw only the beginning is forgotten."""
        every = self._all()
        every.pop(lesson, None)
        if guessed.order or guessed.reached:
            every[lesson] = {"answers": list(guessed.answers), "order": list(guessed.order), "reached": guessed.reached}
        self._prefs.guesses = json.dumps(every, ensure_ascii=False)

    def forget(self, lesson: str) -> None:
        """A new class: nothing is guessed yet."""
        self.keep(lesson, Guessed(()))

    def _all(self) -> dict[str, Any]:
        try:
            found = json.loads(self._prefs.guesses)
        except ValueError:
            return {}
        return found if isinstance(found, dict) else {}


def _read(kept: dict[str, Any]) -> Guessed | None:
    """Guesses as they were kept; None where the text was meddled with."""
    answers, order, reached = kept.get("answers"), kept.get("order"), kept.get("reached")
    if not (isinstance(answers, list) and isinstance(order, list) and isinstance(reached, int)):
        return None
    if not all(isinstance(text, str) for text in answers) or not all(isinstance(i, int) and 0 <= i < len(answers) for i in order):
        return None
    return Guessed(tuple(answers), tuple(order[:MOST]), max(reached, 0))
