"""The upkeep plan as a calendar: iCalendar (RFC 5545), written here because one page of it needs no library, and so that it is repeatable.

Every chore is a repeating all-day event with notice before it, from the day on which it is due next. The same train gives the same
events under the same names (UID), whatever the upkeep log says by then, so that a calendar that is read in again renews them and doubles
none.
"""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Iterator
from pathlib import Path

from trainapp import __version__, units
from trainapp.dimensions import DAY
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.export_file import ExportError, check_target, write_export
from trainapp.reports.job_sheet_lines import all_lines
from trainapp.reports.print_flow import standing
from trainapp.reports.print_sources import label_of
from trainapp.reports.upkeep import Task
from trainapp.reports.upkeep_log import Due, due_in_order, entries
from trainapp.train.evaluation import Evaluation
from trainapp.units import System

#: Octets of a line without its end (RFC 5545, 3.1).
_LINE = 75
_FREQUENCY = {"day": "DAILY", "week": "WEEKLY", "month": "MONTHLY", "year": "YEARLY"}
_NAMES = uuid.uuid5(uuid.NAMESPACE_URL, "trainapp/calendar")


def write_calendar(evaluation: Evaluation, path: str | Path, start: datetime.date, system: System = "us") -> int:
    """Write the calendar; the file is whole or is not touched. How many events it holds.

    Args:
        evaluation: of the design sample.
        path: a name that ends in .ics.
        start: day of start-up, from which is counted what the upkeep log of the document does not know as done.
        system: units of the amounts.

    Raises:
        ExportError: another ending, or a place that cannot be written to; one sentence.
    """
    target = Path(path)
    check_target(target, (".ics",), "a calendar")
    raw = calendar_text(evaluation, start, system).encode("utf-8")
    write_export(target, lambda file: file.write(raw))
    return raw.count(b"\r\nBEGIN:VEVENT\r\n")


def day_of(text: str, option: str = "--start") -> datetime.date:
    """A day as it is typed after an option, "2026-05-04"; of an empty text today.

    Raises:
        ExportError: it is no day between the years 1970 and 2200.
    """
    if not text:
        return datetime.date.today()
    try:
        day = datetime.date.fromisoformat(text)
    except ValueError:
        day = datetime.date.min
    if not 1970 <= day.year <= 2200:
        raise ExportError(f'{option}: "{text[:40]}" is not a day such as 2026-05-04')
    return day


def calendar_text(evaluation: Evaluation, start: datetime.date, system: System = "us") -> str:
    """The calendar: lines of at most 75 octets that end in CRLF."""
    return "".join(f"{folded}\r\n" for line in _calendar(evaluation, start, system) for folded in _fold(line))


def _calendar(evaluation: Evaluation, start: datetime.date, system: System) -> Iterator[str]:
    model = bench_model(evaluation, (), system)
    document = evaluation.plan.document
    site = document.site.word("name") or "This train"
    places = {stage.id: f"{stage.title}, {site}" for stage in model.stages}
    # No clock: the stamp is the latest day that the log knows, so that the same train gives the same file and a longer log a newer one.
    stamp = max([start, *(entry.date for entry in entries(document) if entry.date is not None)])
    yield from ("BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:-//trainapp//trainapp {__version__}//EN", "CALSCALE:GREGORIAN")
    yield f"NAME:{_text(f'Upkeep, {site}')}"  # RFC 7986, 5.1
    seen: dict[str, int] = {}
    for item in due_in_order(evaluation, document, start, start):
        task = item.task
        name = f"{site}\n{task.stage}\n{task.short}"
        seen[name] = seen.get(name, 0) + 1
        yield from _event(item, f"{name}\n{seen[name]}", places.get(task.stage, site), stamp, system)
    yield "END:VCALENDAR"


def _event(item: Due, name: str, place: str, stamp: datetime.date, system: System) -> Iterator[str]:
    task, rhythm = item.task, item.task.rhythm
    notice = notice_of(task)
    # The chore first: a telephone shows no more than the beginning.
    summary = f"{task.short} ({place})"
    yield "BEGIN:VEVENT"
    yield f"UID:{uuid.uuid5(_NAMES, name)}"
    yield f"DTSTAMP:{stamp:%Y%m%d}T000000Z"
    yield f"DTSTART;VALUE=DATE:{item.date:%Y%m%d}"
    if not task.once:
        yield f"RRULE:FREQ={_FREQUENCY[rhythm.unit]}" + (f";INTERVAL={rhythm.count}" if rhythm.count > 1 else "")
    yield f"SUMMARY:{_text(summary)}"
    yield f"DESCRIPTION:{_text(chr(10).join(_description(task, system)))}"
    yield f"CATEGORIES:{_text('Upkeep')}"
    yield "TRANSP:TRANSPARENT"
    yield from (
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        f"TRIGGER:-P{notice}D",
        f"DESCRIPTION:{_text(f'In {_days(notice)}: {summary}')}",
        "END:VALARM",
    )
    yield "END:VEVENT"


def _description(task: Task, system: System) -> Iterator[str]:
    yield f"{task.told}{'' if task.told.endswith('.') else '.'} Due {task.when}."
    if uses := task.uses(system):
        yield f"Uses: {uses}."
    yield f"Source: {label_of(task.source)} ({task.status})."
    if task.stage:
        yield from (line.text for line in all_lines("service"))
    yield standing()


def notice_of(task: Task) -> int:
    """Days of notice before a chore: the first rule that fits what it uses or how seldom it comes."""
    for line in all_lines("notice"):
        item, least = line.row.get("item"), line.row.get("least_every")
        if item is not None and item != task.item:
            continue
        if least is None or task.every_days * DAY >= units.parse(str(least), "time"):
            return int(line.row["days"])
    return 0


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


def _text(text: str) -> str:
    """A value of type TEXT (RFC 5545, 3.3.11): signs that mean something are escaped, others that nobody sees are left out."""
    plain = "".join(c if c.isprintable() or c == "\n" else " " if c.isspace() else "" for c in text.strip())
    return plain.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")


def _fold(line: str) -> Iterator[str]:
    """A line in pieces of at most 75 octets, all but the first behind a space (RFC 5545, 3.1); no letter is cut."""
    piece, room = "", _LINE
    for letter in line:
        size = len(letter.encode("utf-8"))
        if size > room:
            yield piece
            piece, room = " ", _LINE - 1
        piece += letter
        room -= size
    yield piece
