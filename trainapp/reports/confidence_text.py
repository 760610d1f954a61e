"""The answer of `trainapp confidence` as text: counts of drawn cases, never a chance of being safe."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from trainapp.spelling import spelt
from trainapp.studies.confidence import Confidence, Met, Share

_WIDTH = 100
#: Shares of the variance of less than this are not told.
_LEAST = 0.01
_MOST = 6
NOT_SAFE = (
    "A count of drawn cases is no chance that the water is fit to drink, and says nothing of germs: only tests after start-up do. "
    "Sample again, in another season, where a case could go wrong."
)
NOT_DRAWN = (
    "Not drawn: what was not measured, results that are only less or more than something, what a stage says of its capacity, contact and "
    "upkeep, raw water that passes while a stage cleans itself, scale on a sleeve, the order of stages and the class of a device."
)


_TAIL = "of these spreads; says nothing about what was not sampled"


def headline(answer: Confidence) -> str:
    """The sentence above all: how often nothing failed, of what, and what that leaves out."""
    fixed = [finding.title for finding in answer.fixed if finding.severity == "fail"]
    if fixed:
        more = f" and {len(fixed) - 1} more" if len(fixed) > 1 else ""
        return f"{fixed[0]}{more}: a failure in every drawn case {_TAIL}"
    if not answer.sampled:
        return "the sample has no figure that could be drawn: nothing can be said of how sure this is"
    if not is_counted(answer):
        how = _how_many(answer.draws - answer.no_fail, answer.draws).replace("cases", "drawn cases")
        return f"a limit of health or disinfection is broken in {how} {_TAIL}"
    return f"no failure in {answer.no_fail:,} of {answer.draws:,} drawn cases {_TAIL}"


def is_counted(answer: Confidence) -> bool:
    """Whether a number may be told: not where only what touches health or disinfection fails."""
    failing = [met for met in answer.met if met.fails]
    return any(met.counted for met in failing) or not failing


def clean(answer: Confidence) -> str:
    """How often there was no caution either; "" where the headline has said enough."""
    told = answer.sampled and is_counted(answer) and not answer.fixed
    return f"Neither failure nor caution in {answer.no_caution:,} of them." if told else ""


def confidence_lines(answer: Confidence) -> Iterator[str]:
    """Lines to print."""
    yield from _wrapped(spelt(answer.warning))
    name = answer.document.site.name or "This train"
    yield from _wrapped(f"{name}: {spelt(headline(answer))}.")
    yield from _wrapped(clean(answer))
    for severity in ("fail", "caution"):
        fixed = [finding for finding in answer.fixed if finding.severity == severity]
        if fixed:
            yield ""
            yield "Fails in every case, whatever is drawn:" if severity == "fail" else "A caution in every case, whatever is drawn:"
            yield from (f"  {spelt(finding.title)}" for finding in fixed)
    if answer.met:
        yield ""
        yield "Found among the cases:"
        for met in answer.met:
            yield from _wrapped(f"{spelt(met.what)}: {met_words(met, answer.draws)}", "  ")
    yield ""
    yield from _wrapped(spelt(matters(answer)))
    yield ""
    yield from _wrapped(NOT_DRAWN)
    yield from _wrapped(NOT_SAFE)


def met_words(met: Met, draws: int) -> str:
    """How often something was found; in words alone where it touches health or disinfection."""
    parts = []
    for count, word in ((met.fails, "fails"), (met.cautions, "caution")):
        if count:
            parts.append(f"{word} in {_how_many(count, draws) if not met.counted else f'{count:,} of {draws:,}'}")
    return ", ".join(parts)


def _how_many(count: int, draws: int) -> str:
    if count == draws:
        return "all cases"
    return "most cases" if 2 * count > draws else "some cases"


def matters(answer: Confidence) -> str:
    """Which uncertain things matter, most first."""
    told = [share for share in answer.shares if share.total >= _LEAST][:_MOST]
    what = "whether it fails" if answer.of_failing else "how near the nearest limit is"
    if not told:
        return "Nothing that is drawn changes the answer."
    first = told[0]
    more = "".join(f", then {share.label} ({_share(share)})" for share in told[1:])
    return (
        f"What matters most for {what}: {first.label} ({_share(first)} of the variance, together with others){more}; such shares overlap "
        "and may add to more than 1. Narrow the first of them down before anything else."
    )


def _share(share: Share) -> str:
    return f"{share.total:.2f}"


def _wrapped(text: str, indent: str = "") -> list[str]:
    return textwrap.wrap(text, _WIDTH, initial_indent=indent, subsequent_indent=indent)
