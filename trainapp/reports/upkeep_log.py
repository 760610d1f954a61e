"""The upkeep log of a document, and what is due next: every chore counted from when it was done last, else from start-up."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from trainapp.reports.upkeep import Task, upkeep
from trainapp.train.document import Document
from trainapp.train.evaluation import Evaluation

#: What rows of the document's log that are upkeep carry under "event", and what the first of them is called.
EVENT, START_UP = "upkeep", "Start-up"


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the log.

    Attributes:
        row: its place in the document's log. date: None where the document has none that can be read.
        stage: id, "" for the whole train. what: was done. by: whom. note: anything else.
    """

    row: int
    date: datetime.date | None
    stage: str
    what: str
    by: str
    note: str


@dataclass(frozen=True, slots=True)
class Due:
    """One chore to come.

    Attributes:
        task: what. date: on which day. last: when it was done last, None for never.
        assumed: whether it is counted from today, because the log knows no start-up.
    """

    task: Task
    date: datetime.date
    last: datetime.date | None
    assumed: bool

    def days(self, today: datetime.date) -> int:
        """Days until then; below zero once it is overdue."""
        return (self.date - today).days


def entries(document: Document) -> tuple[Entry, ...]:
    """The upkeep in the log, newest first; what is there for other reasons is left."""
    found = [_entry(place, row) for place, row in enumerate(document.log) if row.get("event") == EVENT]
    return tuple(sorted(found, key=lambda entry: (entry.date or datetime.date.min, entry.row), reverse=True))


def _entry(place: int, row: dict[str, Any]) -> Entry:
    return Entry(place, _day(row.get("date")), *(str(row.get(key, "")) for key in ("stage", "what", "by", "note")))


def _day(value: object) -> datetime.date | None:
    try:
        return datetime.date.fromisoformat(str(value))
    except ValueError:
        return None


def day_done(text: str, today: datetime.date) -> datetime.date:
    """The day on which something was done, as it is typed.

    Raises:
        ValueError: it is no day, or one to come; str() is a clause.
    """
    typed = text.strip()
    if not typed:
        raise ValueError("the date is missing")
    day = _day(typed)
    if day is None or day.year < 1970:
        raise ValueError(f'"{typed[:40]}" is not a day such as {today.isoformat()}')
    if day > today:
        raise ValueError(f"{day.isoformat()} is still to come, and the log holds what was done")
    return day


def doubt_of(document: Document, date: datetime.date, what: str) -> str:
    """What is odd about a line for the log of a document, a clause; "" for nothing."""
    days = sorted(entry.date for entry in entries(document) if entry.what == START_UP and entry.date is not None)
    if not days:
        return ""
    if what != START_UP:
        return f"that is before the start-up on {days[-1].isoformat()}" if date < days[-1] else ""
    last = max(date, days[-1]).isoformat()
    return f"the log has a start-up on {days[-1].isoformat()} already, and upkeep is counted from the last, {last}"


def row_of(date: datetime.date, stage: str, what: str, by: str = "", note: str = "") -> dict[str, str]:
    """A line of the log as documents hold it; what is empty is left out."""
    row = {"event": EVENT, "date": date.isoformat(), "stage": stage, "what": what, "by": by, "note": note}
    return {key: text for key, text in row.items() if text}


def start_up(document: Document) -> datetime.date | None:
    """Day of the last start-up in the log, None where it has none."""
    return next((entry.date for entry in entries(document) if entry.what == START_UP and entry.date is not None), None)


def first_day(task: Task, start: datetime.date) -> datetime.date:
    """When a chore is due: one interval after start-up, or after it was done.

    Counted in months and years it falls on the 28th at the latest, which every month has.
    """
    rhythm = task.rhythm
    if rhythm.unit in ("day", "week"):
        return start + datetime.timedelta(days=rhythm.count * (7 if rhythm.unit == "week" else 1))
    months = start.month - 1 + rhythm.count * (12 if rhythm.unit == "year" else 1)
    return datetime.date(start.year + months // 12, months % 12 + 1, min(start.day, 28))


def due(evaluation: Evaluation, document: Document, today: datetime.date) -> tuple[Due, ...]:
    """What is due next, the soonest first."""
    return tuple(sorted(due_in_order(evaluation, document, today), key=lambda item: item.date))


def due_in_order(evaluation: Evaluation, document: Document, today: datetime.date, start: datetime.date | None = None) -> Iterator[Due]:
    """What is due next, in flow order: the one rule that the list, the paper and the calendar follow.

    Args:
        today: from which is counted what was never done on a site without a start-up.
        start: day of start-up, by default that of the log.
    """
    logged, begun = entries(document), start or start_up(document)
    for task in upkeep(evaluation):
        names = (task.short, task.what)
        last = next((e.date for e in logged if e.date is not None and e.stage == task.stage and e.what in names), None)
        if task.once and last is not None:
            continue
        yield Due(task, first_day(task, last or begun or today), last, last is None and begun is None)


__all__ = ["EVENT", "START_UP", "Due", "Entry", "day_done", "doubt_of", "due", "due_in_order", "entries", "first_day", "row_of", "start_up"]
