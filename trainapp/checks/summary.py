"""What stands above and beside the findings: verdict, headline, and what was not judged."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Literal

from trainapp.checks.context import Context, analyte_inside
from trainapp.checks.drinking import warning
from trainapp.checks.finding import Finding
from trainapp.checks.limits import limit_set
from trainapp.train.evaluation import Evaluation
from trainapp.water.analytes import ANALYTES

Verdict = Literal["fail", "caution", "nothing-found"]

_TEST = "Only tests after start-up show whether water is fit to drink."
#: What no sample of the contract holds and no stage models.
_NEVER_JUDGED = (
    "viruses and protozoa: neither measured nor modelled",
    "pesticides, fuels, solvents, PFAS, radium and other metals: neither measured nor modelled",
    "whether the water is disinfected: a dose, a rating or a class is no proof, only tests after start-up are",
    "chlorine as disinfection: it is given no credit",
    "pipes, heaters and fixtures of the house, and what they give to the water",
    "electrical and structural work, permits and local codes",
)
_NAMED = 6
#: Names that do not make a sentence with "was not measured".
_MISSING = {
    "iron_dissolved": "dissolved iron was not measured",
    "manganese_dissolved": "dissolved manganese was not measured",
    "tds": "dissolved solids were not measured",
    "suspended_solids": "suspended solids were not measured",
    "uvt_filtered": "UVT of filtered water was not measured",
    "settles_overnight": "whether the water clears overnight was not tried",
    "iron_bacteria": "iron bacteria were not looked for",
    "total_coliform": "total coliform was not tested",
    "e_coli": "E. coli was not tested",
}


def verdict(findings: Sequence[Finding]) -> Verdict:
    """The worst severity that counts; notes do not."""
    severities = {finding.severity for finding in findings}
    return "fail" if "fail" in severities else "caution" if "caution" in severities else "nothing-found"


def headline(evaluation: Evaluation, findings: Sequence[Finding]) -> str:
    """The sentence above the list. It never says safe, and with E. coli present it begins with what to do now."""
    first = f"{warning(findings)} ".lstrip()
    counts = Counter(finding.severity for finding in findings)
    if counts["fail"] or counts["caution"]:
        parts = [_counted(counts["fail"], "fail"), _counted(counts["caution"], "caution"), _counted(counts["note"], "note")]
        return first + ", ".join(part for part in parts if part) + ". " + _TEST
    untested = untested_for_health(evaluation)
    named = ", ".join(untested[:_NAMED]) + (f" and {len(untested) - _NAMED} more" if len(untested) > _NAMED else "")
    told = f" Not tested: {named}." if named else ""
    notes = f" ({_counted(counts['note'], 'note')})" if counts["note"] else ""
    return f"{first}Nothing found among what was measured and modelled{notes}.{told} {_TEST}"


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}" if number else ""


def not_judged(evaluation: Evaluation) -> list[str]:
    """Everything that stands outside the verdict: analytes not measured, names not known, what is never judged here."""
    return [*_unmeasured(evaluation), *_unlimited(evaluation), *_unknown_names(evaluation), *_declared(evaluation), *_NEVER_JUDGED]


def is_measured(evaluation: Evaluation, key: str) -> bool:
    """Whether the design sample, or a sample of treated water, says something of an analyte."""
    return key in evaluation.plan.raw.sheet or any(key in point.measured for point in evaluation.points.values())


def _unmeasured(evaluation: Evaluation) -> Iterator[str]:
    for analyte in ANALYTES:
        # the document itself gives the year's span of temperature
        given = analyte.key == "temperature" and evaluation.plan.document.supply.given("temperature")
        if not given and not is_measured(evaluation, analyte.key):
            yield _MISSING.get(analyte.key, f"{analyte_inside(analyte.key)} was not measured")


def _unlimited(evaluation: Evaluation) -> Iterator[str]:
    """Chlorine that reaches the taps where the set of limits gives no figure for it."""
    limits = limit_set(evaluation.plan.document.goals.word("limits") or "us")
    reaches = any(bool((evaluation.points[end].water.high("free_chlorine") > 0.0).any()) for end in evaluation.delivered)
    if reaches and not limits.of("free_chlorine"):
        yield f"free chlorine at the taps: no figure for it is held from {limits.label}"


def _unknown_names(evaluation: Evaluation) -> Iterator[str]:
    for name in evaluation.plan.raw.unnamed:
        yield f"{name} is not among the analytes that are judged"


def _declared(evaluation: Evaluation) -> Iterator[str]:
    context = Context(evaluation)
    for stage in context.having("declared"):
        yield f"what {context.setting(stage, 'name') or stage} does: it is declared, not modelled"


def untested_for_health(evaluation: Evaluation) -> list[str]:
    """What the limit set's health rows name and nobody measured, germs first."""
    rows = limit_set(evaluation.plan.document.goals.word("limits") or "us").rows
    # of wells nobody asks for chlorine: what is in their water was put there, and is predicted
    own = {"free_chlorine"} if not evaluation.plan.chlorinated else set[str]()
    named = (row.analyte for row in rows if row.kind == "health" and row.analyte not in own)
    health = dict.fromkeys(["total_coliform", "e_coli", *named])
    return [analyte_inside(key) for key in health if not is_measured(evaluation, key)]
