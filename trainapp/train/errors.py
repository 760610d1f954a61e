"""What is wrong with a document, or worth saying of it: always one sentence that names the place inside the file."""

from __future__ import annotations

import json
from dataclasses import dataclass

_LONGEST = 60

#: Steps from the top of a document to a value: keys, ids of list members, or numbers of list members counted from 1 ("#2").
Place = tuple[str, ...]


class DocumentError(ValueError):
    """A document cannot be used.

    Attributes:
        place: where, as people read it (`samples.spring.results.iron`); "" for the file as a whole.
        sentence: what is wrong there.
    """

    def __init__(self, place: str | Place, sentence: str) -> None:
        self.place = _printable(place) if isinstance(place, str) else dotted(place)
        self.sentence = _clean(sentence, 6 * _LONGEST)
        super().__init__(f"{self.place}: {self.sentence}" if self.place else self.sentence)


class Bad(ValueError):
    """Raised while one value is read: the sentence, and where below that value (the caller knows the rest of the place)."""

    def __init__(self, sentence: str, at: Place = ()) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.at = at

    def under(self, *steps: str) -> Bad:
        """The same, seen from further up."""
        return Bad(self.sentence, (*steps, *self.at))


@dataclass(frozen=True, slots=True)
class Report:
    """Something to say of a document that can be used all the same.

    Attributes:
        code: "unknown-key", "unknown-setting", "loose", "unfed", "gone", "item-differs".
        place: as in :class:`DocumentError`.
        message: one sentence.
    """

    code: str
    place: str
    message: str

    def __str__(self) -> str:
        return f"{self.place}: {self.message}"


def dotted(place: Place) -> str:
    """A place as people read it; nothing in it can break a line or fail to print."""
    return ".".join(_printable(step) for step in place)


def number(index: int) -> str:
    """The step to a list member that has no id: counted from 1."""
    return f"#{index + 1}"


def numbered(step: str) -> int | None:
    """The index that such a step means ("#2" is 1); None for any other step."""
    digits = step[1:]
    if step[:1] != "#" or not (digits.isascii() and digits.isdecimal() and len(digits) < 10):
        return None
    return int(digits) - 1 if int(digits) else None


def quoted(value: object) -> str:
    """A value of a document inside a sentence, shortened where it is long."""
    text = json.dumps(value, ensure_ascii=False, default=str) if not isinstance(value, list | dict) else _kind(value)
    return _printable(text if len(text) <= _LONGEST else text[:_LONGEST] + "…")


def _kind(value: object) -> str:
    return "a list" if isinstance(value, list) else "an object"


def _printable(text: str) -> str:
    return _clean(text, 2 * _LONGEST)


def _clean(text: str, longest: int) -> str:
    text = text if len(text) <= longest else text[:longest] + "…"
    return "".join(c if c.isprintable() else "?" for c in text)
