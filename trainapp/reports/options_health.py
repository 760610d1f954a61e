"""What is said of health before anything else: what needs licensed design beside any option, what is meant to be treated."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from trainapp.checks.finding import Finding
from trainapp.checks.summary import untested_for_health
from trainapp.reports.drawing.marks import Mark
from trainapp.reports.options_cells import Unsolved
from trainapp.reports.options_treated import treated_cell
from trainapp.spelling import spelt
from trainapp.studies.options.contender import Contender
from trainapp.studies.options.site import Site

#: Codes of findings of a site that speak of the health of those who drink, and the cause that equipment alone never answers.
HEALTH = ("health", "unprotected-path")
SURFACE = "health:surface"
_GRAVE = ("fail", "caution")
_OF_NO_TRAIN = (
    ("This train does not treat it", "Nothing here treats it"), ("No stage of this train takes it out", "No option here takes it out"),
)  # fmt: skip
_BEHIND = {"not": "no longer so"}
ANSWERED = "Meant to be treated, and to be proven by test"
PARTLY = "Acted on by the options, and not enough by that alone"
NOBODY = "Treated by no option here"


def unsolved_rows(site: Site) -> tuple[Unsolved, ...]:
    """What no option here acts on."""
    return tuple(_row(finding) for finding in site.unsolved)


def licensed_rows(site: Site, contenders: Sequence[Contender]) -> tuple[Unsolved, ...]:
    """Findings of the source that no choice of equipment alone answers, in the words that hold once an option stands there."""
    return tuple(_row(as_beside(finding, contenders)) for finding in licensed(site))


def meant(site: Site, contenders: Sequence[Contender] = ()) -> str:
    """What is done about health here, by how far it goes; "" where there is nothing to say."""
    return " ".join(
        f"{heading}: {'; '.join(dict.fromkeys(finding.title for finding in found))}."
        for heading, found in by_answer(site, contenders).items()
        if found
    )


def by_answer(site: Site, contenders: Sequence[Contender]) -> dict[str, tuple[Finding, ...]]:
    """Findings on health that options are meant to treat, by how far these do: treated by one at least, not enough by any, no option."""
    groups: dict[str, list[Finding]] = {ANSWERED: [], PARTLY: [], NOBODY: []}
    options = [contender for contender in contenders if contender.kind == "option"]
    for finding in treatable(site):
        met = any(_treats(site, finding, option) for option in options)
        groups[NOBODY if not options else ANSWERED if met else PARTLY].append(finding)
    return {heading: tuple(found) for heading, found in groups.items()}


def _treats(site: Site, finding: Finding, option: Contender) -> bool:
    """Whether an option treats what a finding is about, by the words of its own cell."""
    need = next((need for need in site.needs if finding.analyte and need.rule.analyte == finding.analyte), None)
    need = need or next((need for need in site.needs if need.rule.key == "germs"), None)
    return need is not None and treated_cell(site, need, option).mark == "ok"


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
    if first is None:
        return replace(finding, message=of_no_train(finding.message))
    found = (other for other in first.measured.findings if other.cause == finding.cause)
    same = next(found, finding)
    return replace(finding, message=same.message, cautions=same.cautions)


def of_no_train(text: str) -> str:
    """A sentence on the raw water where no train stands beside it."""
    for train, nobody in _OF_NO_TRAIN:
        text = text.replace(train, nobody)
    return text


def severities(finding: Finding, contenders: Sequence[Contender]) -> str:
    """How grave a finding is, the same wherever it is told: in the raw water, and behind the trains that carry it otherwise."""
    trains = [contender for contender in contenders if contender.kind != "left"]
    behind: dict[str, list[str]] = {}
    for train in trains:
        found = (other.severity for other in train.measured.findings if other.cause == finding.cause)
        behind.setdefault(next(found, "not"), []).append(train.name)
    if set(behind) <= {finding.severity}:
        return finding.severity
    # the kind that most trains share is told last, of the others
    groups = sorted(behind.items(), key=lambda group: len(group[1]))
    told = [f"{_BEHIND.get(kind, kind)} with {' and '.join(names)}" for kind, names in groups]
    kind, names = groups[-1]
    if len(names) > 1:
        told[-1] = f"{_BEHIND.get(kind, kind)} with {'every train' if len(groups) == 1 else 'the others'}"
    return f"{finding.severity} in the raw water, {', '.join(told)}"


def _row(finding: Finding) -> Unsolved:
    mark: Mark = "fail" if finding.severity == "fail" else "caution"
    return Unsolved(mark, finding.title, finding.message, finding.cautions)
