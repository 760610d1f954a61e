"""The way in: from a document to its year."""

from __future__ import annotations

from pathlib import Path

from trainapp.studies.year.march import March, Progress
from trainapp.studies.year.options import Options
from trainapp.studies.year.pressure import Pressures
from trainapp.studies.year.result import Year
from trainapp.studies.year.setup import machine_of
from trainapp.train.document import Document


def run(document: Document, options: Options | None = None, *, folder: Path | None = None, progress: Progress | None = None) -> Year:
    """Run a train through time.

    Args:
        document: the train. options: what is asked, a year looked after on time where None.
        folder: where the document lies; a demand pattern of its own (a CSV) is looked for there.
        progress: told the share that is done, 0 to 1, at least once for each day of the run; where it answers False the run stops.

    Raises:
        DocumentError: a document that cannot be used. YearError: options that cannot be.
        Cancelled: `progress` stopped it.
    """
    chosen = options or Options()
    machine = machine_of(document, chosen, folder)
    pressures = Pressures(machine.plan, machine.demand, machine.layout, machine.season.temperatures)
    return Year(machine, pressures, March(machine, pressures, chosen, progress).run(), chosen)
