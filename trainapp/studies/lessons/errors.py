"""What is wrong with a lesson file: always one sentence that names the place."""

from __future__ import annotations

from trainapp.train.errors import Bad, Place, dotted


class LessonError(ValueError):
    """A lesson cannot be used.

    Attributes:
        file: name of the file, "" for a lesson that has none.
        line: of that file, counted from 1, None where no line can be named.
        place: keys from the top of the lesson, as people read them (`controls.iron.max`); "" for the file as a whole.
        sentence: what is wrong there.
    """

    def __init__(self, place: str | Place, sentence: str, *, file: str = "", line: int | None = None) -> None:
        self.place = place if isinstance(place, str) else dotted(place)
        self.sentence, self.file, self.line = sentence, file, line
        where = ", ".join(part for part in (file, "" if line is None else f"line {line}", self.place) if part)
        super().__init__(f"{where}: {sentence}" if where else sentence)

    def in_file(self, file: str, line: int | None = None) -> LessonError:
        """The same, with the file (and the line) that it was found in."""
        return LessonError(self.place, self.sentence, file=file, line=self.line if line is None else line)


__all__ = ["Bad", "LessonError"]
