"""What an edit would do to the findings, worked out on a copy and off the window's thread before anything is dropped."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QObject, Signal

from trainapp.checks.finding import SEVERITIES, Finding
from trainapp.desktop.background import Cancelled, Errands
from trainapp.desktop.session import Session
from trainapp.desktop.typed import Refusal
from trainapp.stages.base import Severity
from trainapp.train.document import Document, DocumentError
from trainapp.train.edits import Edit, apply, plan_edit
from trainapp.units import System, typeset


@dataclass(frozen=True, slots=True)
class Outlook:
    """What would change.

    Attributes:
        come, go: how many findings of each severity come and go, worst first, those of none left out.
        worst: title of the worst that comes, "" for none. refused: why the edit cannot be done, "" where it can.
    """

    come: tuple[tuple[Severity, int], ...] = ()
    go: tuple[tuple[Severity, int], ...] = ()
    worst: str = ""
    refused: str = ""

    @property
    def words(self) -> str:
        """In one line: "+1 fail, \u22122 cautions"."""
        if self.refused:
            return f"not possible: {self.refused}"
        told = [f"+{count}\u202f{plural(word, count)}" for word, count in self.come]
        told += [f"\u2212{count}\u202f{plural(word, count)}" for word, count in self.go]
        return ", ".join(told) or "findings stay as they are"


def plural(word: str, count: int) -> str:
    """A severity with its s."""
    return word if count == 1 else f"{word}s"


def outlook(before: Sequence[Finding], after: Sequence[Finding]) -> Outlook:
    """What comes and goes between two lists of findings; one that only changes its figure stays."""
    come, go = _beyond(after, before), _beyond(before, after)
    return Outlook(_counted(come), _counted(go), typeset(come[0].title) if come else "")


def _beyond(these: Sequence[Finding], those: Sequence[Finding]) -> list[Finding]:
    """Findings of one list that the other has not, however many are of one kind at one place; those of one title are the same first."""
    titles = {(_key(f), f.title) for f in those}
    left = Counter(map(_key, those))
    found: list[Finding] = []
    for finding in sorted(these, key=lambda f: (_key(f), f.title) not in titles):
        if left[_key(finding)]:
            left[_key(finding)] -= 1
        else:
            found.append(finding)
    return sorted(found, key=lambda f: SEVERITIES.index(f.severity))


def _key(finding: Finding) -> tuple[str, str, str, str]:
    return finding.code, finding.severity, finding.stage, finding.analyte


def _counted(findings: Sequence[Finding]) -> tuple[tuple[Severity, int], ...]:
    counts = ((severity, sum(f.severity == severity for f in findings)) for severity in SEVERITIES)
    return tuple((severity, count) for severity, count in counts if count)


Question = tuple[Document, Edit, Sequence[Finding], System]


def foresee(question: Question, cancelled: Cancelled) -> Outlook:
    """The answer; runs on a thread of its own on a document of its own."""
    document, edit, before, system = question
    try:
        planned = apply(document, plan_edit(document, edit))
    except DocumentError as error:
        return Outlook(refused=Refusal.of(document, error))
    if cancelled():
        return Outlook()
    from trainapp.checks import findings
    from trainapp.train.evaluate import evaluate
    from trainapp.train.plan import open_plan

    try:
        evaluation = evaluate(open_plan(planned))
    except DocumentError as error:
        return Outlook(refused=Refusal.of(planned, error))
    return Outlook() if cancelled() else outlook(before, findings(evaluation, system=system))


class Forecast(QObject):
    """Foresees one edit at a time for a session; an answer to an older question is never passed on."""

    #: Signal emitted with the :class:`Outlook` of the edit that was asked about last.
    ready = Signal(object)

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.last: Outlook | None = None
        self._asked: tuple[Document, Edit] | None = None
        self._errands = Errands(foresee, "forecast", self)
        self._errands.answered.connect(self._answered)
        self._errands.failed.connect(self._failed)

    def ask(self, edit: Edit | None) -> None:
        """Foresee an edit; the same one is not worked out twice, none is nothing."""
        document = self.session.document
        if edit is None:
            self.drop()
            return
        if self._asked is not None and self._asked[0] is document and self._asked[1] == edit:
            return
        self._asked = document, edit
        self.last = None
        before = self.session.assessment.findings if self.session.assessment is not None else ()
        self._errands.ask((document, edit, before, self.session.system))

    def drop(self) -> None:
        """Want no answer any more."""
        self._asked = None
        self.last = None
        self._errands.drop()

    def _answered(self, answer: Any) -> None:
        self.last = answer
        self.ready.emit(answer)

    def _failed(self, error: Any) -> None:
        """A fault of the program: nothing is foreseen, and the edit itself will show it."""
        self._answered(Outlook(refused=f"it cannot be foreseen, {type(error).__name__}"))
