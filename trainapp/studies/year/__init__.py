"""A year of service: a train run through its days, with what fills up, wears, is washed, served and forgotten.

:func:`run` is the way in; :func:`compare` and :func:`before_and_after` lay two trains on one clock. Everything about how fast a film grows
on a sleeve is illustrative and is told as a band, without a date.
"""

from __future__ import annotations

from pathlib import Path

from trainapp.studies.year.march import March, Progress
from trainapp.studies.year.options import (
    Cancelled,
    ExtraService,
    Options,
    PowerCut,
    Spike,
    Upkeep,
    YearError,
    read_spike,
    usual_cuts,
)
from trainapp.studies.year.pressure import Pressures
from trainapp.studies.year.result import StageCourse, Year
from trainapp.studies.year.setup import machine_of
from trainapp.train.document import Document

__all__ = [
    "Cancelled", "ExtraService", "Options", "PowerCut", "Progress", "Spike", "StageCourse", "Upkeep", "Year", "YearError", "read_spike", "run",
    "usual_cuts",
]  # fmt: skip


def run(document: Document, options: Options | None = None, *, folder: Path | None = None, progress: Progress | None = None) -> Year:
    """Run a train through time.

    Args:
        document: the train. options: what is asked, a year looked after on time where None.
        folder: where the document lies; a demand pattern of its own (a CSV) is looked for there.
        progress: told the share that is done, 0 to 1, a few times a day of the run; where it answers False the run stops.

    Raises:
        DocumentError: a document that cannot be used. YearError: options that cannot be.
        Cancelled: `progress` stopped it.
    """
    chosen = options or Options()
    machine = machine_of(document, chosen, folder)
    pressures = Pressures(machine.plan, machine.demand, machine.layout, machine.season.temperatures)
    return Year(machine, pressures, March(machine, pressures, chosen, progress).run(), chosen)
