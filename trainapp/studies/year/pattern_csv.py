"""A demand pattern of one's own: a CSV of times and flows, for every day or for each day of the week.

Columns are `time` (06:30), `flow` and, if days differ, `day` (all, weekday, weekend, mon to sun). A flow holds until the next row of its
day; before the first row nothing is drawn. It is a quantity ("2.5 gpm"), or a number with its unit in the head of the column
("flow (gpm)"). The flows are taken as they stand, whatever the document says of a day's volume.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

import numpy as np

from trainapp import units
from trainapp.dimensions import DAY, HOUR, MINUTE
from trainapp.studies.year.patterns import PLACE, WEEK, Draw, Pattern
from trainapp.train.errors import DocumentError, quoted
from trainapp.train.reading import read_file

#: Flows that are told apart; more of them are each split between their neighbours, time and volume kept.
MOST_FLOWS = 16
_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_TIME = re.compile(r"(\d{1,2}):(\d{2})$")
_HEAD = re.compile(r"flow\s*[(\[]?\s*([^)\]]*)")
Rows = dict[str, list[tuple[float, float]]]


def read_pattern(path: Path) -> Pattern:
    """The pattern of a file.

    Raises:
        DocumentError: a file that cannot be read or used, naming file and line.
    """
    try:
        text = read_file(path, "a pattern")
    except DocumentError as error:
        raise DocumentError(PLACE, f"the file {quoted(path.name)} cannot be read: {error.sentence}") from None
    rows = _rows(path.name, text)
    levels = _levels([flow for day in rows.values() for _, flow in day])
    days = {kind: tuple(_draws(_of(rows, kind), levels)) for kind in _DAYS}
    if not any(days.values()):
        raise DocumentError(PLACE, f"{path.name}: nothing is drawn on any day")
    return Pattern(path.stem, days, _DAYS, source="document", status="common practice")


def _rows(name: str, text: str) -> Rows:
    lines = _lines(name, text)
    head = [cell.strip().lower() for cell in lines[0]] if lines else []
    flow_at = next((i for i, cell in enumerate(head) if cell.startswith("flow")), None)
    if "time" not in head or flow_at is None:
        raise DocumentError(PLACE, f'{name}: its first line must name the columns "time" and "flow"')
    found = _HEAD.match(head[flow_at])
    unit = found[1].strip() if found else ""
    rows: Rows = {}
    for number, line in enumerate(lines[1:], 2):
        if not any(cell.strip() for cell in line):
            continue
        cells = dict(zip(head, (cell.strip() for cell in line), strict=False))
        try:
            day = cells.get("day", "all").lower()
            if day not in ("all", "weekday", "weekend", *_DAYS):
                raise ValueError(f'"{day}" is not a day: all, weekday, weekend, mon to sun')
            rows.setdefault(day, []).append((_time(cells.get("time", "")), _flow(cells.get(head[flow_at], ""), unit)))
        except ValueError as error:
            raise DocumentError(PLACE, f"{name}, line {number}: {error}") from None
    return {day: sorted(found) for day, found in rows.items()}


def _lines(name: str, text: str) -> list[list[str]]:
    reader = csv.reader(text.splitlines())
    try:
        return list(reader)
    except csv.Error as error:
        raise DocumentError(PLACE, f"{name}, line {reader.line_num}: this is not CSV: {error}") from None


def _time(text: str) -> float:
    found = _TIME.match(text)
    if not found or int(found[1]) > 23 or int(found[2]) > 59:
        raise ValueError(f'"{text}" is not a time of day such as 06:30')
    return int(found[1]) * HOUR + int(found[2]) * MINUTE


def _flow(text: str, unit: str) -> float:
    return units.parse(f"{text} {unit}".strip(), "flow")


def _of(rows: Mapping[str, list[tuple[float, float]]], day: str) -> list[tuple[float, float]]:
    """Rows of one day of the week: its own, else those of its part of the week, else those of every day."""
    part = "weekend" if _DAYS.index(day) >= WEEK - 2 else "weekday"
    return rows.get(day) or rows.get(part) or rows.get("all") or []


def _levels(flows: list[float]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """The flows that are told apart, none first."""
    found = np.unique([0.0, *flows])
    return found if len(found) <= MOST_FLOWS + 1 else np.linspace(0.0, found[-1], MOST_FLOWS + 1)


def _draws(rows: list[tuple[float, float]], levels: np.ndarray[tuple[int], np.dtype[np.float64]]) -> Iterator[Draw]:
    ends = [start for start, _ in rows[1:]] + [DAY]
    for (start, flow), end in zip(rows, ends, strict=False):
        upper = int(np.searchsorted(levels, flow * (1.0 - 1e-12)))
        high = float(levels[upper])
        low = float(levels[upper - 1]) if upper else 0.0
        share = (flow - low) / (high - low) if high > low else 1.0
        for level, part, at in ((high, share, 0.0), (low, 1.0 - share, share)):
            if level > 0.0 and part * (end - start) > 1e-9:
                yield Draw(start + at * (end - start), part * (end - start), level)
