"""The printed papers of one train: which there are, their pages, and the files that each can become."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from trainapp.checks import findings
from trainapp.checks.finding import Finding
from trainapp.reports.calendar import write_calendar
from trainapp.reports.export_file import ExportError, check_target, write_export
from trainapp.reports.handover_sheets import comparison_job, sampling_job, upkeep_job
from trainapp.reports.job_sheet import job_sheet
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import Paper
from trainapp.reports.print_pdf import write_job
from trainapp.reports.proposal import proposal_job
from trainapp.reports.proposal_extras import Extras
from trainapp.reports.proposal_offer import Asked, Offer, Told
from trainapp.reports.proposal_table import write_comparison
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan
from trainapp.units import System


@dataclass(frozen=True, slots=True)
class Kind:
    """One paper.

    Attributes:
        key, label: name, and what it is called. holds: what is in it, a sentence.
        endings: of the files that it can become. offer: whether options have to be sought for it.
    """

    key: str
    label: str
    holds: str
    endings: tuple[str, ...]
    offer: bool = False


KINDS: tuple[Kind, ...] = (
    Kind("job-sheet", "Job sheet", "What an installer takes along: dimensions, pipes, order of work, start-up.", (".pdf",)),
    Kind("proposal", "Proposal", "What a customer keeps: the water, the options, their cost, chores and cautions.", (".pdf",), True),
    Kind("short", "Proposal, short form", "The same on one page.", (".pdf",), True),
    Kind("comparison", "Comparison", "The options side by side, with every line of cost in the workbook.", (".xlsx", ".csv", ".pdf"), True),
    Kind("sampling", "Sampling order", "What still has to be tested, why, and into which bottle.", (".pdf",)),
    Kind("upkeep", "Upkeep plan", "Every chore with its next day, and the upkeep log; as a calendar, or to print.", (".ics", ".pdf")),
)  # fmt: skip


def kind_of(key: str) -> Kind:
    """A paper by its key."""
    return next(kind for kind in KINDS if kind.key == key)


@dataclass(frozen=True, slots=True)
class Papers:
    """What the papers of one train are made from.

    Attributes:
        document, evaluation, findings: the train. system: units. paper: sheet. extras: logo and terms. start: day of start-up.
        today: from which upkeep is counted. offer: the options, None where they were not sought.
    """

    document: Document
    evaluation: Evaluation
    findings: Sequence[Finding]
    system: System
    paper: Paper
    extras: Extras
    start: datetime.date
    today: datetime.date
    offer: Offer | None = None

    @classmethod
    def of(
        cls, document: Document, system: System, paper: Paper, today: datetime.date, start: datetime.date | None = None,
        extras: Extras | None = None, offer: Offer | None = None,
    ) -> Papers:  # fmt: skip
        """The papers of a document.

        Raises:
            DocumentError: it cannot be evaluated.
        """
        evaluation = evaluate(open_plan(document))
        found = findings(evaluation, system=system)
        return cls(document, evaluation, found, system, paper, extras or Extras(), start or today, today, offer)


def pages_of(key: str, papers: Papers, progress: Told | None = None, cancelled: Asked | None = None) -> PrintJob:
    """The pages of a paper, as they print.

    Raises:
        ExportError: it needs options and there are none. SearchCancelled: `cancelled` said so.
    """
    if key == "job-sheet":
        return job_sheet(papers.evaluation, papers.findings, papers.system, papers.paper)
    if key == "sampling":
        return sampling_job(papers.evaluation, papers.paper)
    if key == "upkeep":
        return upkeep_job(papers.evaluation, papers.document, papers.system, papers.paper, papers.today)
    offer = _offer(papers)
    if key == "comparison":
        return comparison_job(offer, papers.paper)
    extras = replace(papers.extras, issued=papers.today)
    return proposal_job(offer, extras, papers.paper, key == "short", progress=progress, cancelled=cancelled)


def write_paper(key: str, papers: Papers, path: Path, progress: Told | None = None, cancelled: Asked | None = None) -> None:
    """Write a paper into a file of one of its endings; the file is whole or is not touched.

    Raises:
        ExportError: another ending, or a place that cannot be written to; one sentence. SearchCancelled: `cancelled` said so.
    """
    kind = kind_of(key)
    check_target(path, kind.endings, f"the {kind.label.lower()}")
    ending = path.suffix.lower()
    write: dict[str, Callable[[], object]] = {
        ".ics": lambda: write_calendar(papers.evaluation, path, papers.start, papers.system),
        ".xlsx": lambda: write_comparison(_offer(papers), path, paper=papers.paper.name),
        ".csv": lambda: write_comparison(_offer(papers), path),
    }
    if ending in write:
        write[ending]()
        return
    job = pages_of(key, papers, progress, cancelled)
    write_export(path, lambda file: write_job(job, file))


def _offer(papers: Papers) -> Offer:
    if papers.offer is None:
        raise ExportError("no options were sought yet")
    return papers.offer


__all__ = ["KINDS", "Kind", "Papers", "kind_of", "pages_of", "write_paper"]
