"""Where everything of a lesson stands on a screen of any size, and how large its letters are."""

from __future__ import annotations

from dataclasses import dataclass

from trainapp.reports.drawing.display import Box, Measure
from trainapp.reports.drawing.measure import wrap
from trainapp.reports.drawing.tokens import LESSON_QUESTION, LESSON_TEXT

#: The least text of a lesson, px at 100 %: what can be read from the back of a room.
LEAST = 16.0
#: The screen that a lesson is made for at 100 %, px; a larger one shows all of it larger.
WIDTH, HEIGHT = 1200.0, 720.0
_LARGEST = 3.0

MARGIN, GAP = 24.0, 16.0
HEADER, FOOT = 40.0, 56.0
#: Of a card: its head with letter and title, and the number below the train.
CARD_HEAD, CARD_NUMBER = 46.0, 90.0
_LEAST_CARD, _LEAST_CHART, _MOST_CHART = 190.0, 120.0, 260.0
_COLUMN = (216.0, 252.0)

QUESTION_LEADING, TEXT_LEADING, LEAST_LEADING = 37.0, 27.0, 21.0


@dataclass(frozen=True, slots=True)
class Places:
    """Boxes of a lesson's parts, px at 100 %; `scale` is what they are multiplied with on the screen.

    Attributes:
        width, height: of the whole. slot: where scene, question and point are told. cards: of the trains. safety: under their numbers.
        chart: below. column: at the right, for guesses, changes and what to watch. foot: the bar of steps.
    """

    scale: float
    width: float
    height: float
    slot: Box
    cards: tuple[Box, ...]
    safety: Box
    chart: Box
    story: Box
    column: Box
    foot: Box

    @property
    def rule(self) -> float:
        """The y of the line under the header."""
        return HEADER


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a lesson has to place: its texts and how many trains it shows."""

    title: str
    question: str
    point: str
    caution: str
    sides: int


def scale_of(width: float, height: float, dots: float = 1.0) -> float:
    """How much larger than at 100 % a lesson is shown on a screen, px: never smaller, or the back of the room could not read it.

    Args:
        dots: of the screen a px: what is shown at 200 % already may be told in fewer px, and is as large as at 100 %.
    """
    return min(max(min(width / WIDTH, height / HEIGHT), 1.0 / dots), _LARGEST)


def place(width: float, height: float, wanted: Wanted, measure: Measure, dots: float = 1.0) -> Places:
    """Places on a screen of that many px, each of so many dots."""
    scale = scale_of(width, height, dots)
    w, h = width / scale, height / scale
    column_width = min(max(0.2 * w, _COLUMN[0]), _COLUMN[1])
    left, main = MARGIN, w - 2 * MARGIN - column_width - 1.5 * GAP
    top = HEADER + 12.0
    slot = Box(left, top, main, slot_height(wanted, main, measure))
    bottom = h - FOOT
    lines = len(wrap(wanted.caution, main - 28.0, LEAST, False, measure)) if wanted.caution else 0
    safety_height = lines * LEAST_LEADING + (14.0 if lines else 6.0)
    room = bottom - slot.bottom - 10.0 - safety_height - 8.0
    least = max(_LEAST_CHART, told_height(wanted.point, main, measure))
    chart_height = min(max(0.36 * room, least), max(_MOST_CHART, least), max(room - _LEAST_CARD, 0.0))
    card_top = slot.bottom + 10.0
    card_height = room - chart_height - 4.0
    each = (main - (wanted.sides - 1) * GAP) / wanted.sides
    cards = tuple(Box(left + i * (each + GAP), card_top, each, card_height) for i in range(wanted.sides))
    safety = Box(left, card_top + card_height + 4.0, main, safety_height)
    chart = Box(left, safety.bottom, main, chart_height)
    column = Box(left + main + 1.5 * GAP, HEADER + 14.0, column_width, bottom - HEADER - 22.0)
    story = Box(left, safety.y + 4.0, main, bottom - safety.y - 8.0)
    return Places(scale, w, h, slot, cards, safety, chart, story, column, Box(0.0, bottom, w, FOOT))


def slot_height(wanted: Wanted, width: float, measure: Measure) -> float:
    """Room that question or title takes, px at 100 %."""
    lines = (len(wrap(text, width, LESSON_QUESTION, True, measure)) for text in (wanted.title, wanted.question))
    return QUESTION_LEADING * max(lines)


def told_height(text: str, width: float, measure: Measure) -> float:
    """Room that a text under a small heading takes, px at 100 %."""
    return LEAST_LEADING + 6.0 + TEXT_LEADING * len(wrap(text, width, LESSON_TEXT, False, measure))
