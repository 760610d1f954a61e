"""Sentences of the proposal: what the water does, what a train does not do, what no sum holds, what every option still carries."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from trainapp import units
from trainapp.checks import not_judged, safety
from trainapp.checks.drinking import warning
from trainapp.checks.finding import Finding
from trainapp.checks.taste import taste
from trainapp.data import load_toml
from trainapp.reports import options_health
from trainapp.reports.job_sheet_lines import facts
from trainapp.reports.options_health import as_beside
from trainapp.reports.options_rows import is_noticed
from trainapp.reports.proposal_offer import Column, Offer
from trainapp.spelling import inside, spelt
from trainapp.studies.options.contender import Contender

#: What stands beside every sum of invented prices.
ILLUSTRATIVE = "Prices are invented for the demonstration: every sum here is illustrative."
NO_PROOF = (
    "A calculation is no certificate of safe water. What is meant to be treated has to be proven by tests after start-up; local codes and "
    "licensed trades decide what may be built."
)
_GRAVE = ("fail", "caution")


@dataclass(frozen=True, slots=True)
class Said:
    """One sentence, where it comes from and how sure that is."""

    text: str
    source: str
    status: str


@cache
def _table(name: str) -> tuple[Mapping[str, Any], ...]:
    return tuple(load_toml("reports/proposal.toml")[name])


def _said(row: Mapping[str, Any]) -> Said:
    return Said(units.typeset(str(row["text"])), str(row["source"]), str(row["status"]))


# The water ------------------------------------------------------------------------------------------------------------------------


def does(need: str) -> Said:
    """What a need does to a house."""
    return next(_said(row) for row in _table("does") if row["need"] == need)


def not_now(offer: Offer) -> str:
    """What to do now where the water must not be drunk, "" where nothing says so."""
    return warning(offer.site.findings)


def health(offer: Offer) -> tuple[tuple[str, tuple[Finding, ...]], ...]:
    """Findings of the raw water on health that the options are meant to treat, by how far they do, in the words that hold beside them."""
    found = options_health.by_answer(offer.site, contenders(offer))
    return tuple((heading, tuple(_with_options(offer, f) for f in told)) for heading, told in found.items())


def unsolved(offer: Offer) -> tuple[Finding, ...]:
    """What no option solves, in the words that hold where there is none."""
    if offer.options:
        return offer.unsolved
    return tuple(replace(finding, message=options_health.of_no_train(finding.message)) for finding in offer.unsolved)


def contenders(offer: Offer) -> list[Contender]:
    """What stands in its columns."""
    return [column.contender for column in offer.columns]


def severity_of(offer: Offer, finding: Finding) -> str:
    """How grave a finding of the raw water is there, and with the trains that carry it otherwise."""
    return options_health.severities(finding, contenders(offer))


def tastes(offer: Offer) -> Iterator[str]:
    """Chlorine that is tasted behind some of these trains, each sentence with the names of those; nothing where nobody tastes any."""
    found: dict[str, list[str]] = {}
    trains = [column for column in offer.columns if column.kind != "left"]
    for column in trains:
        if tasted := taste(column.measured.evaluation, offer.system):
            found.setdefault(tasted, []).append(column.name)
    for tasted, names in found.items():
        yield units.typeset(f"{tasted} ({'all' if len(names) == len(trains) > 1 else ', '.join(names)}).")


def licensed(offer: Offer) -> tuple[Finding, ...]:
    """Findings of the source that no choice of equipment alone answers."""
    return tuple(_with_options(offer, f) for f in options_health.licensed(offer.site))


def asked(offer: Offer) -> tuple[Finding, ...]:
    """Findings of the site that an authority has a say in."""
    return _of_site(offer, "regulated")


def noted(offer: Offer) -> tuple[Finding, ...]:
    """Notes on what the raw water holds that no option is meant to treat."""
    answered = {need.rule.analyte for need in offer.site.needs}
    found = (f for f in offer.site.findings if f.severity == "note" and f.code in ("health", "outlet-goal"))
    return tuple(f for f in found if f.analyte not in answered)


def _of_site(offer: Offer, *codes: str) -> tuple[Finding, ...]:
    keys = {_key(finding) for finding in offer.unsolved}
    return tuple(f for f in offer.site.findings if f.code in codes and f.severity in _GRAVE and _key(f) not in keys)


def _with_options(offer: Offer, finding: Finding) -> Finding:
    return as_beside(finding, contenders(offer))


def simulated(offer: Offer) -> str:
    """What a year without treatment comes to; "" where the year says nothing."""
    if not offer.simulated:
        return ""
    shares: dict[str, list[str]] = {}
    for told in offer.simulated:
        share = "in all of them" if told.hours >= 0.995 * told.drawn else f"in {told.hours:,.0f} of them"
        shares.setdefault(share, []).append(inside(told.title))
    parts = [f"{_listed(titles)} {share}" for share, titles in shares.items()]
    drawn = offer.simulated[0].drawn
    left = offer.columns[0].contender.served
    counted = left is not None and is_noticed(left) and left.nuisance[1] > 0
    money = "What that may cost, illustrative, stands side by side." if counted else "No money is set on that."
    return f"Left as it is: in a simulated year (illustrative) water is drawn for {drawn:,.0f} hours; {'; '.join(parts)}. {money}"


def _listed(titles: Sequence[str]) -> str:
    """Titles one after the other; the place that all of them name is told once."""
    place = " at the house"
    if len(titles) > 1 and all(title.endswith(place) for title in titles):
        bare = [title.removesuffix(place) for title in titles]
        return f"{', '.join(bare[:-1])} and {bare[-1]}{place}"
    return " and ".join((", ".join(titles[:-1]), titles[-1])) if len(titles) > 1 else titles[0]


# The columns ----------------------------------------------------------------------------------------------------------------------


def carried(offer: Offer) -> tuple[Finding, ...]:
    """Fails and cautions that every option carries, worst first, without those that head everything."""
    options = offer.options
    if not options:
        return ()
    heads = {_key(finding) for finding in offer.unsolved}
    shared = set.intersection(*({_told(f) for f in option.findings if f.severity in _GRAVE} for option in options))
    return tuple(f for f in options[0].findings if _told(f) in shared and _key(f) not in heads)


def own_findings(offer: Offer, column: Column) -> tuple[Finding, ...]:
    """Fails and cautions of one column beside those that are told for all."""
    heads = {_key(finding) for finding in (*offer.unsolved, *asked(offer))}
    told = {_told(finding) for finding in carried(offer)} if column.kind == "option" else set()
    return tuple(f for f in column.findings if f.severity in _GRAVE and _key(f) not in heads and _told(f) not in told)


def does_not(offer: Offer, column: Column) -> Iterator[Said]:
    """What a train does not do: what stays, what is not enough, and what its stages never do."""
    for finding in offer.unsolved:
        yield Said(f"{units.typeset(finding.title)}: not solved by any option here.", finding.source, finding.status)
    for answer in column.answers:
        if answer.verdict in ("stays", "short"):
            told = "stays"
            if not answer.after:
                told = f"not enough by itself. {answer.note}".rstrip(". ") if answer.verdict == "short" else answer.words
            if answer.after and answer.verdict == "short":
                told = f"not enough, {answer.before} to {answer.after}"
            rule = next(need.rule for need in offer.site.needs if need.rule.key == answer.need)
            yield Said(units.typeset(f"{answer.complaint[:1].upper()}{answer.complaint[1:]}: {told}."), rule.source, rule.status)
    results = column.measured.evaluation.stages.values()
    tags = frozenset().union(*(result.stage.spec.tags for result in results)) if results else frozenset()
    yield from (_said(row) for row in _table("does_not") if row["tag"] in tags)


def does_not_any(offer: Offer) -> tuple[Said, ...]:
    """What no choice does: told once for all of them."""
    told = [list(does_not(offer, column)) for column in offer.columns if column.kind != "left"]
    return tuple(said for said in told[0] if all(said in others for others in told[1:])) if told else ()


def unjudged(columns: Sequence[Column]) -> list[str]:
    """What was not judged in any of these columns, each once."""
    return list(dict.fromkeys(units.typeset(text) for column in columns for text in not_judged(column.measured.evaluation)))


def safety_of(columns: Sequence[Column]) -> list[str]:
    """The usual cautions of all these columns, each once."""
    return list(dict.fromkeys(spelt(units.typeset(text)) for column in columns for text in safety(column.measured.evaluation)))


def not_included(columns: Sequence[Column]) -> Iterator[Said]:
    """What no sum of these columns holds."""
    known: frozenset[str] = frozenset().union(*(facts(column.measured.evaluation) for column in columns))
    for row in _table("not_included"):
        if "when" not in row or frozenset(str(row["when"]).split("|")) & known:
            yield _said(row)
    unpriced = dict.fromkeys(what for column in columns for what in column.measured.bill.unpriced)
    if unpriced:
        yield Said(f"What the price list has no price for: {', '.join(unpriced)}.", "document", "")


def _key(finding: Finding) -> tuple[str, str, str]:
    return finding.code, finding.analyte, "" if finding.analyte else finding.stage


def _told(finding: Finding) -> tuple[str, str, str]:
    return finding.code, finding.title, finding.message


__all__ = [
    "ILLUSTRATIVE", "NO_PROOF", "Said", "asked", "carried", "contenders", "does", "does_not", "does_not_any", "health", "licensed",
    "not_included", "not_now", "noted", "own_findings", "safety_of", "severity_of", "simulated", "tastes", "unjudged", "unsolved",
]  # fmt: skip
