"""Whether a lesson still says what the engine says: its point, and everything that it tells to try."""

from __future__ import annotations

from collections.abc import Sequence

from trainapp.studies.lessons.played import Played
from trainapp.train.errors import quoted


def disagreements(played: Played, tried: Sequence[Played]) -> tuple[str, ...]:
    """One sentence for every place where what is told and what is worked out part ways; none for a sound lesson.

    Args:
        played: the lesson as its scene has it. tried: what it says to try, in order.
    """
    lesson = played.lesson
    told = [("point.answer", played, lesson.point.answer)]
    told += [(f"tries.#{i + 1}.answer", play, attempt.answer) for i, (play, attempt) in enumerate(zip(tried, lesson.tries, strict=True))]
    return tuple(
        f"{place}: the lesson tells {quoted(answer)}, the engine finds {quoted(_found(play))}"
        for place, play, answer in told
        if play.right is None or play.right.text != answer
    )


def _found(play: Played) -> str:
    return play.right.text if play.right else "too close to call"


__all__ = ["disagreements"]
