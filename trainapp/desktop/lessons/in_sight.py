"""What of a lesson is in sight: from where the class stands to the board, the hint at the foot, and the words of the column."""

from __future__ import annotations

from dataclasses import dataclass

from trainapp.desktop.lessons.board import Card, Figure, Screen, bench_box
from trainapp.desktop.lessons.clock import Clock
from trainapp.desktop.lessons.material import Material
from trainapp.desktop.lessons.places import Places
from trainapp.desktop.lessons.steps import Walk
from trainapp.desktop.lessons.working_out import WorkingOut
from trainapp.reports.print_pages import Placed

#: While the clock runs the trains are drawn every so many hours.
_STRIDE = 72.0


@dataclass(frozen=True, slots=True)
class In:
    """Where a class stands in a lesson; `hinted` is the index of what it tries at the moment, -1 for nothing of that."""

    material: Material
    walk: Walk
    working: WorkingOut
    clock: Clock
    hinted: int = -1

    @property
    def right(self) -> int | None:
        """Index of the right answer once it is out."""
        first = self.working.first
        return first.right if first is not None and self.walk.shows("answer") else None

    @property
    def open_answer(self) -> str:
        """Why there is no right answer, once that is out."""
        first = self.working.first
        return first.answer if first is not None and self.walk.shows("answer") and first.right is None else ""

    @property
    def tried(self) -> str:
        """What is told under the changes: how far it is, or what the answer is now."""
        if self.working.told or self.working.busy:
            return self.working.told
        played = self.working.played
        return f"Now: {played.answer}" if played is not None and played is not self.working.first else ""

    @property
    def watched(self) -> tuple[str, str]:
        """Heading and text of what to watch, or of what is worth trying."""
        hints = self.material.hints
        if self.hinted >= 0:
            return f"To try, {self.hinted + 1} of {len(hints)}", hints[self.hinted].text
        if self.walk.shows("try") and hints:
            return "To try", "T shows something." if len(hints) == 1 else f"T shows one of {len(hints)} things."
        return "Watch", self.material.watch


def hint(now: In) -> str:
    """Which keys go on from here."""
    walk, material = now.walk, now.material
    if now.working.busy and walk.shows("try"):
        return "Esc stops the working out"
    if walk.step == "Scene":
        return "Right arrow goes on, Left goes back"
    if walk.step == "Guess":
        return f"Keys 1 to {len(material.answers)} count, Right arrow goes on"
    if walk.at_end:
        return "Left arrow goes back, Esc leaves"
    plays = material.runs and walk.shows("chart") and walk.step == "Watch"
    return "Space plays, Right arrow goes on" if plays else "Right arrow goes on"


def screen(now: In) -> Screen:
    """What stands on the board."""
    material, walk, first = now.material, now.walk, now.working.first
    question = walk.shows("question")
    return Screen(
        counted=material.counted,
        title=material.title,
        headline=material.question if question else material.title,
        scene="" if question else material.scene,
        point=(first.point if first is not None else material.point) if walk.shows("point") else "",
        cards=_cards(now),
        caution=material.caution if walk.shows("numbers") else "",
        chart=walk.shows("chart"),
        changed=now.working.played is not first,
    )


def _cards(now: In) -> tuple[Card | None, ...]:
    walk, played = now.walk, now.working.played
    numbers = walk.shows("numbers")
    figures: tuple[Figure | None, ...] = (None,) * len(now.material.sides)
    if played is not None and numbers:
        figures = played.figures(now.clock.hour)
    waiting = now.working.told or "Working it out…" if numbers and played is None else ""
    seen = (True, walk.shows("second"))
    return tuple(
        Card(side.letter, side.title, figures[i], waiting) if seen[i] else None for i, side in enumerate(now.material.sides)
    )  # fmt: skip


def benches(now: In, places: Places) -> tuple[tuple[Placed, ...], ...]:
    """The trains of the cards that are in sight."""
    shown = now.working.played or now.working.still
    boxes = [bench_box(box) for box in places.cards]
    if shown is None:
        return tuple(() for _ in boxes)
    seen = (True, now.walk.shows("second"))
    hour = now.clock.hour // _STRIDE * _STRIDE if now.clock.playing else now.clock.hour
    return tuple(shown.bench(i, hour, boxes) if seen[i] else () for i in range(len(boxes)))
