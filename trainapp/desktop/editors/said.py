"""What the findings say of one place, for an editor to show beside what it edits."""

from __future__ import annotations

from collections.abc import Callable, Collection

from trainapp import units
from trainapp.checks.finding import Finding
from trainapp.desktop.session import Session
from trainapp.reports.drawing.marks import Mark
from trainapp.reports.in_units import in_units

Said = tuple[Mark | None, str]


def findings_where(session: Session, holds: Callable[[Finding], bool]) -> list[Said]:
    """Mark and message of every finding of which that holds, worst first."""
    found = session.assessment.findings if session.assessment is not None else ()
    told = session.system
    return [(finding.severity, units.typeset(in_units(finding.message, told))) for finding in found if holds(finding)]


def findings_at(session: Session, places: Collection[str], codes: Collection[str] = ()) -> list[Said]:
    """Findings that are about any of these places; of these codes alone where some are named."""

    def holds(finding: Finding) -> bool:
        here = any(place in places for place in (finding.stage, *finding.also_at))
        return here and (not codes or finding.code in codes)

    return findings_where(session, holds)
