"""What `trainapp year` is asked and answers, whatever prints it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import cast

from trainapp import units
from trainapp.reports.json_text import json_text
from trainapp.reports.year_json import pair_json, year_json
from trainapp.reports.year_text import pair_lines, year_lines
from trainapp.reports.year_words import is_failing
from trainapp.studies.year import (
    Options,
    Pair,
    Progress,
    Upkeep,
    Year,
    YearError,
    before_and_after,
    compare,
    read_spike,
    run,
    usual_cuts,
    without,
)
from trainapp.studies.year.options import MOST_LATE_DAYS, Detail, Upkeeping, days_told
from trainapp.train.document import Document


@dataclass(frozen=True, slots=True)
class Asked:
    """The words of the command as they were typed; see its help."""

    days: int = 365
    upkeep: str = "on-time"
    late_days: float | None = None
    detail: str = "minute"
    spike: str = ""
    power_cuts: int | None = None
    without: tuple[str, ...] = ()
    before_and_after: bool = False
    as_json: bool = False
    system: units.System = "us"

    def check(self) -> None:
        """Refuse words that would be left unheard.

        Raises:
            YearError: one sentence.
        """
        if self.before_and_after and self.without:
            raise YearError("--before-and-after and --without each name the train beside it: give one of them")
        if self.late_days is not None and self.upkeep != "late":
            raise YearError("--late-days says how late --upkeep late comes, and upkeep is not late")
        if self.late_days is not None and not 0.0 <= self.late_days <= MOST_LATE_DAYS:
            raise YearError(f"--late-days: {self.late_days:g} is not between 0 and {MOST_LATE_DAYS}")

    @property
    def options(self) -> Options:
        """What a run is asked.

        Raises:
            YearError: a word that says nothing.
        """
        self.check()
        kept = cast(Upkeeping, self.upkeep)
        upkeep = Upkeep(kept) if self.late_days is None else Upkeep(kept, self.late_days)
        cuts = usual_cuts()
        if self.power_cuts is not None:
            if not 0 <= self.power_cuts <= len(cuts):
                raise YearError(f"--power-cuts: {self.power_cuts} is not between 0 and {len(cuts)}")
            cuts = cuts[: self.power_cuts]
        try:
            spike = read_spike(self.spike) if self.spike else None
        except YearError as error:
            raise YearError(f"--spike: {error}") from None
        options = Options(days=self.days, detail=cast(Detail, self.detail), upkeep=upkeep, spike=spike, cuts=cuts)
        if spike is not None and not options.reaches(spike):
            raise YearError(
                f"--spike: it begins on day {spike.day:g} of the year, and {days_told(self.days)} from 1 January never come to it"
            )
        return options


@dataclass(frozen=True, slots=True)
class Answered:
    """What was run: lines to print, whether something failed, the trains with their names ("" for one alone), and the pair of two."""

    lines: list[str]
    is_failing: bool
    trains: tuple[tuple[str, Year], ...]
    pair: Pair | None = None


def answer(document: Document, asked: Asked, folder: Path, progress: Progress) -> Answered:
    """Run what is asked.

    Raises:
        DocumentError, YearError: as :func:`trainapp.studies.year.run`.
    """
    options = asked.options
    if asked.before_and_after:
        pair = before_and_after(document, options, folder=folder, progress=progress)
    elif asked.without:
        pair = compare(
            document, without(document, asked.without), options, folder=folder, progress=progress,
            labels=("as it is", f"without {', '.join(asked.without)}"),
        )  # fmt: skip
    else:
        year = run(document, options, folder=folder, progress=progress)
        lines = [json_text(year_json(year))] if asked.as_json else list(year_lines(year, asked.system))
        return Answered(lines, is_failing(year), (("", year),))
    own = pair.second if asked.before_and_after else pair.first
    lines = [json_text(pair_json(pair))] if asked.as_json else list(pair_lines(pair, asked.system))
    return Answered(lines, is_failing(own), ((pair.labels[0], pair.first), (pair.labels[1], pair.second)), pair)


__all__ = ["Answered", "Asked", "YearError", "answer"]
