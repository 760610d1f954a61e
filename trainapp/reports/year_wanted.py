"""The files that `trainapp year` writes beside its answer: charts, the animation, two trains beside each other.

Every name is looked at before anything runs, and each file is whole or is not touched.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path

from trainapp.reports.export_file import ExportError, check_target
from trainapp.reports.year_answer import Answered
from trainapp.reports.year_chart import ChartError, Line, Window, charts_of, usual
from trainapp.reports.year_files import check_chart, check_table, write_charts, write_table
from trainapp.reports.year_gif import FRAMES, MOST_FRAMES, animation
from trainapp.reports.year_series import days_of
from trainapp.studies.year import Progress
from trainapp.units import System

Telling = Callable[[str], AbstractContextManager[Progress]]


class WantedError(ValueError):
    """A word about a file that says nothing; str() is the sentence."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """The words of the command as they were typed; see its help. None, () and "" for what was not."""

    chart: Path | None = None
    show: tuple[str, ...] = ()
    window: str = ""
    animation: Path | None = None
    frames: int | None = None
    table: Path | None = None
    dark: bool = False

    def check(self, is_pair: bool) -> None:
        """Refuse what cannot be written.

        Raises:
            WantedError, ExportError: one sentence.
        """
        if self.chart is not None:
            check_chart(self.chart)
        if self.animation is not None:
            check_target(self.animation, (".gif",), "an animation")
        if self.table is not None:
            check_table(self.table)
            if not is_pair:
                raise WantedError("--table shows two trains: add --before-and-after or --without")
        files = [path.resolve() for path in (self.chart, self.animation, self.table) if path is not None]
        if len(set(files)) < len(files):
            raise WantedError("two files of one name were asked for")
        if self.chart is None and self.animation is None and self.show:
            raise WantedError("--show says what --chart or --animation draws, and there is neither")
        if self.window and self.chart is None:
            raise WantedError("--window says which days --chart draws, and there is none")
        if self.frames is not None and (self.animation is None or not 1 <= self.frames <= MOST_FRAMES):
            raise WantedError(f"--frames: an --animation takes 1 to {MOST_FRAMES}")
        self.shown, self.days  # noqa: B018 refuses what says nothing

    @property
    def shown(self) -> list[tuple[str, str]]:
        """Place and quantity of what --show asks for."""
        found = []
        for text in (part for words in self.show for part in words.split(",")):
            at, colon, key = text.strip().partition(":")
            if not at or not colon or not key:
                raise WantedError(f'--show: "{text}" is not a place and a quantity such as house:hardness')
            found.append((at, key))
        return found

    @property
    def days(self) -> Window | None:
        """First day and number of days of --window."""
        if not self.window:
            return None
        found = re.fullmatch(r"(\d{1,5})\+(\d{1,5})", self.window.strip())
        if found is None or int(found[2]) < 1:
            raise WantedError(f'--window: "{self.window}" is not a day and a number of days such as 40+7')
        return int(found[1]), int(found[2])

    @property
    def anything(self) -> bool:
        """Whether a file is to be written."""
        return not (self.chart is None and self.animation is None and self.table is None)


def write_wanted(wanted: Wanted, answered: Answered, system: System, telling: Telling) -> list[Path]:
    """Write the files, the longest first.

    Args:
        telling: by what is being drawn, a context that gives what is told how far it is.

    Raises:
        WantedError, ExportError: one sentence.
    """
    trains, theme = answered.trains, "dark" if wanted.dark else "light"
    try:
        rows = charts_of(trains, wanted.shown or _usual(answered))
    except ChartError as error:
        raise WantedError(f"--show: {error}") from None
    try:
        if wanted.days is not None:
            days_of(trains[0][1], wanted.days)
    except ChartError as error:
        raise WantedError(f"--window: {error}") from None
    return list(_written(wanted, answered, rows, theme, system, telling))


def _usual(answered: Answered) -> list[tuple[str, str]]:
    """What is drawn where nothing is asked for: the usual charts of the longest train."""
    return usual(max((year for _, year in answered.trains), key=lambda year: len(year.machine.plan.stages)))


def _written(
    wanted: Wanted, answered: Answered, rows: Sequence[Sequence[Line]], theme: str, system: System, telling: Telling
) -> Iterator[Path]:
    if wanted.animation is not None:
        shown = wanted.shown[0] if wanted.show else None
        named = [(name or year.document.site.word("name"), year) for name, year in answered.trains]
        with telling("Drawing the animation") as told:
            animation(wanted.animation, named, frames=wanted.frames or FRAMES, system=system, dark=wanted.dark, shown=shown, progress=told)
        yield wanted.animation
    if wanted.chart is not None:
        write_charts(rows, wanted.chart, system=system, theme=theme, day_window=wanted.days)
        yield wanted.chart
    if wanted.table is not None and answered.pair is not None:
        write_table(answered.pair, wanted.table, system=system, theme=theme)
        yield wanted.table


__all__ = ["ExportError", "Wanted", "WantedError", "write_wanted"]
