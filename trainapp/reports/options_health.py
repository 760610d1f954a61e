"""What is said of health before anything else: what needs licensed design beside any option, what is meant to be treated."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from trainapp.checks.finding import Finding
from trainapp.checks.summary import untested_for_health
from trainapp.reports.drawing.marks import Mark
from trainapp.reports.options_cells import Unsolved
from trainapp.spelling import spelt
from trainapp.studies.options.contender import Contender
from trainapp.studies.options.site import Site

#: Codes of findings of a site that speak of the health of those who drink, and the cause that equipment alone never answers.
HEALTH = ("health", "unprotected-path")
SURFACE = "health:surface"
_GRAVE = ("fail", "caution")


def unsolved_rows(site: Site) -> tuple[Unsolved, ...]:
    """What no option here acts on."""
    return tuple(_row(finding) for finding in site.unsolved)


def licensed_rows(site: Site, contenders: Sequence[Contender]) -> tuple[Unsolved, ...]:
    """Findings of the source that no choice of equipment alone answers, in the words that hold once an option stands there."""
    return tuple(_row(as_beside(finding, contenders)) for finding in licensed(site))


def meant(site: Site) -> str:
    """What of health the options are meant to treat, in one sentence; "" where there is none."""
    titles = dict.fromkeys(finding.title for finding in treatable(site))
    return f"Meant to be treated, and to be proven by test: {'; '.join(titles)}." if titles else ""


def untested(site: Site) -> str:
    """What of health nobody measured, in one sentence; "" where all of it was."""
    names = untested_for_health(site.bare)
    return f"Not tested, so nothing is known of it: {spelt(', '.join(names))}." if names else ""


def licensed(site: Site) -> tuple[Finding, ...]:
    """Findings of the source that no choice of equipment alone answers."""
    return tuple(finding for finding in _of_health(site) if finding.cause == SURFACE)


def treatable(site: Site) -> tuple[Finding, ...]:
    """Findings on health of the raw water, and of its way to the taps, that the options are meant to treat."""
    return tuple(finding for finding in _of_health(site) if finding.cause != SURFACE)


def _of_health(site: Site) -> Iterator[Finding]:
    unsolved = {(finding.code, finding.cause) for finding in site.unsolved}
    for finding in site.findings:
        if finding.code in HEALTH and finding.severity in _GRAVE and (finding.code, finding.cause) not in unsolved:
            yield finding


def as_beside(finding: Finding, contenders: Sequence[Contender]) -> Finding:
    """A finding with the sentences that the first option has for it; it stays as grave as the raw water is."""
    first = next((contender for contender in contenders if contender.kind == "option"), None)
    found = (other for other in (first.measured.findings if first is not None else ()) if other.cause == finding.cause)
    same = next(found, finding)
    return replace(finding, message=same.message, cautions=same.cautions)


def _row(finding: Finding) -> Unsolved:
    mark: Mark = "fail" if finding.severity == "fail" else "caution"
    return Unsolved(mark, finding.title, finding.message, finding.cautions)
