"""What a lesson shows beside its controls, as one drawing: header, question, the trains with their numbers, Safety, the chart."""

from __future__ import annotations

from dataclasses import dataclass

from trainapp.desktop.lessons.places import (
    CARD_HEAD,
    CARD_NUMBER,
    HEADER,
    LEAST,
    LEAST_LEADING,
    MARGIN,
    QUESTION_LEADING,
    TEXT_LEADING,
    Places,
)
from trainapp.reports.drawing.display import Box, Display, Line, Measure, Rect, Shape, Text
from trainapp.reports.drawing.marks import Mark, mark
from trainapp.reports.drawing.measure import shorten, wrap
from trainapp.reports.drawing.page import hazard
from trainapp.reports.drawing.tokens import CARD_CORNER, LESSON_NUMBER, LESSON_QUESTION, LESSON_TEXT

#: Side of the square that a train's letter stands in, and of a mark beside a number.
_LETTER, _MARK = 30.0, 20.0


@dataclass(frozen=True, slots=True)
class Figure:
    """The one big number of a train.

    Attributes:
        number, unit: as shown. label: what it is. when: of what time or flow it is. mark, words: how it stands to what is wanted.
        illustrative: whether it is a teaching picture, which the word beside it says.
    """

    number: str
    unit: str
    label: str = ""
    when: str = ""
    mark: Mark | None = None
    words: str = ""
    illustrative: bool = False


@dataclass(frozen=True, slots=True)
class Card:
    """One train: its letter and title, its number once that is in sight, and what is said while it is worked out."""

    letter: str
    title: str
    figure: Figure | None = None
    waiting: str = ""


@dataclass(frozen=True, slots=True)
class Screen:
    """What is in sight.

    Attributes:
        counted: "Lesson 1 of 8". title: of the lesson. headline: the title, then the question.
        scene: told under the trains, "" once the question stands. point: in the place of the chart, "" before.
        cards: of the trains, None where one is not in sight yet. caution: the Safety line, "" while there is no number.
        chart: whether the chart is in sight. changed: whether the numbers are of something that the class changed.
    """

    counted: str
    title: str
    headline: str
    scene: str = ""
    point: str = ""
    cards: tuple[Card | None, ...] = ()
    caution: str = ""
    chart: bool = False
    changed: bool = False


def board(screen: Screen, places: Places, measure: Measure) -> Display:
    """The drawing, px at 100 %; trains and chart are drawn over it, into :func:`bench_box` and the chart's place."""
    items = [*_header(screen, places, measure), *_headline(screen, places.slot, measure)]
    for card, box in zip(screen.cards, places.cards, strict=True):
        if card is not None:
            items += _card(card, box, measure)
    if screen.caution:
        items += _safety(screen.caution, places.safety, measure)
    if screen.scene:
        items += _told("Scene", screen.scene, places.story, measure)
    if screen.point:
        items += _told("Point, of the lesson as it is written" if screen.changed else "Point", screen.point, places.chart, measure)
    return Display(places.width, places.height, items)


def _header(screen: Screen, places: Places, measure: Measure) -> list[Shape]:
    y, right = 26.0, places.width - MARGIN
    left = MARGIN + (measure(screen.counted, LEAST, False) + 14.0 if screen.counted else 0.0)
    leaves = "Esc leaves the lesson"
    title = shorten(screen.title, right - measure(leaves, LEAST, False) - 24.0 - left, LEAST, True, measure)
    return [
        Text(MARGIN, y, screen.counted, "ink3", LEAST),
        Text(left, y, title, "ink", LEAST, "start", True),
        Text(right, y, leaves, "ink3", LEAST, "end"),
        Line(0.0, HEADER, places.width, HEADER, "hair"),
    ]


def _headline(screen: Screen, box: Box, measure: Measure) -> list[Shape]:
    return [
        Text(box.x, box.y + 0.8 * LESSON_QUESTION + 2.0 + i * QUESTION_LEADING, line, "ink", LESSON_QUESTION, "start", True)
        for i, line in enumerate(wrap(screen.headline, box.w, LESSON_QUESTION, True, measure))
    ]


def _told(heading: str, text: str, box: Box, measure: Measure) -> list[Shape]:
    """A text under a small heading."""
    items: list[Shape] = [Text(box.x, box.y + 17.0, heading, "ink3", LEAST)]
    for i, line in enumerate(wrap(text, box.w, LESSON_TEXT, False, measure)):
        items.append(Text(box.x, box.y + LEAST_LEADING + 6.0 + 18.0 + i * TEXT_LEADING, line, "ink", LESSON_TEXT))
    return items


# Cards ------------------------------------------------------------------------------------------------------------------------


def bench_box(card: Box) -> Box:
    """Where the train of a card is drawn."""
    return Box(card.x + 12.0, card.y + CARD_HEAD, card.w - 24.0, max(card.h - CARD_HEAD - CARD_NUMBER, 40.0))


def _card(card: Card, box: Box, measure: Measure) -> list[Shape]:
    left, top = box.x + 14.0, box.y + 10.0
    items: list[Shape] = [Rect(box.x, box.y, box.w, box.h, "page", "hair", 1.0, CARD_CORNER)]
    if card.letter:
        items.append(Rect(left, top, _LETTER, _LETTER, "ink", "", 0.0, CARD_CORNER))
        items.append(Text(left + _LETTER / 2, top + 22.0, card.letter, "page", LESSON_TEXT, "middle", True))
        left += _LETTER + 12.0
    items += _title(card.title, left, top, box.right - 14.0 - left, measure)
    if card.waiting:
        items.append(Text(box.x + box.w / 2, box.bottom - 24.0, card.waiting, "ink3", LEAST, "middle"))
    elif card.figure is not None:
        items += _figure(card.figure, box, measure)
    return items


def _title(title: str, left: float, top: float, width: float, measure: Measure) -> list[Shape]:
    """On one line, or on two smaller ones."""
    if measure(title, LESSON_TEXT, True) <= width:
        return [Text(left, top + 22.0, title, "ink", LESSON_TEXT, "start", True)]
    first, *rest = wrap(title, width, LEAST, True, measure)
    if not rest:
        return [Text(left, top + 21.0, first, "ink", LEAST, "start", True)]
    lines = [first, shorten(" ".join(rest), width, LEAST, True, measure)]
    return [Text(left, top + 11.0 + i * 20.0, line, "ink", LEAST, "start", True) for i, line in enumerate(lines)]


def _figure(figure: Figure, box: Box, measure: Measure) -> list[Shape]:
    """The number at the left, what it is above it; what it means beside either."""
    left, right, y = box.x + 18.0, box.right - 18.0, box.bottom - 18.0
    beside = left + measure(figure.number, LESSON_NUMBER, True) + 12.0
    above = "illustrative" if figure.illustrative else ""
    items: list[Shape] = [
        Text(left, y, figure.number, "ink", LESSON_NUMBER, "start", True),
        Text(beside, y, figure.unit, "ink2", LESSON_TEXT),
        Text(beside, y - 27.0, above, "ink2", LEAST),
    ]
    after = beside + measure(figure.unit, LESSON_TEXT, False) + 16.0
    # A band grows and shrinks while the clock runs: its words keep above it.
    low = [] if figure.illustrative else _fitting(figure.words, right - after - _MARK - 10.0, measure)
    taken = 0.0 if low or not figure.words else measure(figure.words, LESSON_TEXT, True) + _MARK + 20.0
    room = right - left - taken
    labels = (", ".join(filter(None, (figure.label, figure.when))), figure.label)
    label = next((text for text in labels if measure(text, LEAST, False) <= room), shorten(figure.label, room, LEAST, False, measure))
    items.append(Text(left, y - 55.0, label, "ink2", LEAST))
    high = [shorten(figure.words, right - left - 30.0, LESSON_TEXT, True, measure)]
    return items + (_standing(low or high, figure.mark, right, y if low else y - 53.0, measure) if figure.words else [])


def _fitting(words: str, room: float, measure: Measure) -> list[str]:
    """Words on one line or two; nothing where they do not fit."""
    lines = wrap(words, max(room, 1.0), LESSON_TEXT, True, measure) if words else []
    return lines if len(lines) <= 2 and " ".join(lines) == words else []


def _standing(lines: list[str], kind: Mark | None, right: float, y: float, measure: Measure) -> list[Shape]:
    """Words that end at the right, the last on the line at y, with the mark before them."""
    top = y - 24.0 * (len(lines) - 1)
    items: list[Shape] = [Text(right, top + 24.0 * i, line, "ink", LESSON_TEXT, "end", True) for i, line in enumerate(lines)]
    if kind is not None:
        widest = max(measure(line, LESSON_TEXT, True) for line in lines)
        items += mark(kind, right - widest - 10.0 - _MARK / 2, top - 7.0, _MARK)
    return items


def _safety(caution: str, box: Box, measure: Measure) -> list[Shape]:
    """The Safety line, led by the sign of a hazard."""
    items = hazard(box.x + 9.0, box.y + 11.0)
    for i, line in enumerate(wrap(caution, box.w - 28.0, LEAST, False, measure)):
        items.append(Text(box.x + 28.0, box.y + 16.0 + i * LEAST_LEADING, line, "ink2", LEAST))
    return items
