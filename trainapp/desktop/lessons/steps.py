"""The steps of a lesson: Scene, Guess, Watch, Point. Each press of a key brings one new thing; each press back takes it away again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Step = Literal["Scene", "Guess", "Watch", "Point"]
STEPS: Final[tuple[Step, ...]] = ("Scene", "Guess", "Watch", "Point")

#: What can come into sight: the two trains, the question, what to watch, the big numbers, the chart, its run to the end, what may be
#: changed, the right answer against the guesses, the point.
Thing = Literal["first", "second", "question", "watch", "numbers", "chart", "run", "try", "answer", "point"]

_ORDER: Final[tuple[tuple[Step, Thing], ...]] = (
    ("Scene", "first"),
    ("Scene", "second"),
    ("Guess", "question"),
    ("Watch", "watch"),
    ("Watch", "numbers"),
    ("Watch", "chart"),
    ("Watch", "run"),
    ("Watch", "try"),
    ("Point", "answer"),
    ("Point", "point"),
)


@dataclass(frozen=True, slots=True)
class Reveal:
    """One press of a key: the step that it belongs to and what it brings."""

    step: Step
    thing: Thing


def reveals(*, two: bool, runs: bool, tries: bool) -> tuple[Reveal, ...]:
    """What a lesson brings, in order.

    Args:
        two: whether there are two trains. runs: whether a clock runs under its chart. tries: whether anything may be changed.
    """
    left_out = {thing for thing, there in (("second", two), ("run", runs), ("try", tries)) if not there}
    return tuple(Reveal(step, thing) for step, thing in _ORDER if thing not in left_out)


@dataclass(slots=True)
class Walk:
    """Where a class stands in a lesson.

    Attributes:
        way: from :func:`reveals`. at: place of the last thing in sight.
    """

    way: tuple[Reveal, ...]
    at: int = 0

    def __post_init__(self) -> None:
        self.at = min(max(self.at, 0), len(self.way) - 1)

    @property
    def step(self) -> Step:
        """The step that the class is in."""
        return self.way[self.at].step

    @property
    def thing(self) -> Thing:
        """What came into sight last."""
        return self.way[self.at].thing

    @property
    def done(self) -> tuple[Step, ...]:
        """Steps that lie behind."""
        return STEPS[: STEPS.index(self.step)]

    @property
    def at_end(self) -> bool:
        """Whether everything is in sight."""
        return self.at == len(self.way) - 1

    def shows(self, thing: Thing) -> bool:
        """Whether that is in sight."""
        return any(reveal.thing == thing for reveal in self.way[: self.at + 1])

    def forward(self) -> bool:
        """Bring the next thing; whether there was one."""
        if self.at_end:
            return False
        self.at += 1
        return True

    def back(self) -> bool:
        """Take the last thing away; whether there was another before it."""
        if self.at == 0:
            return False
        self.at -= 1
        return True

    def turn_to(self, step: Step) -> None:
        """Go to the first thing of a step."""
        self.at = next(i for i, reveal in enumerate(self.way) if reveal.step == step)
