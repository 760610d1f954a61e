"""The answer of `trainapp options` as text for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from trainapp.checks import not_judged
from trainapp.checks.drinking import warning
from trainapp.checks.taste import taste
from trainapp.reports.options_extra import sodium_line
from trainapp.reports.options_treated import germs_told
from trainapp.spelling import inside, name_inside, spelt
from trainapp.studies.cost.lines import NOT_ALL
from trainapp.studies.options import Option, Proposal, criteria, money, shown
from trainapp.studies.options.contender import of_option
from trainapp.studies.options.reasons import share_of
from trainapp.studies.options.trains import not_all
from trainapp.studies.options.words import span
from trainapp.train.evaluation import Evaluation

_WIDTH = 100
_LEFT_OUT = 8
#: Stands under every proposal.
_NO_PROOF = (
    "A calculation is no certificate of safe water: what is meant to be treated has to be proven by tests after start-up, "
    "and local codes and licensed trades decide what may be built."
)


def options_lines(proposal: Proposal) -> Iterator[str]:
    """Lines to print: what nothing here solves, the options one after the other, what was left out, what was not judged."""
    name = proposal.site.document.site.name or "This site"
    now = warning(proposal.site.findings)
    if now:
        yield from _wrapped(now)
        yield ""
    yield from textwrap.wrap(f"{name}: {spelt(_headline(proposal))}", _WIDTH)
    if proposal.unsolved:
        yield ""
        yield "Not solved by any option here:"
        for finding in proposal.unsolved:
            yield from _wrapped(" ".join((f"{finding.title}. {finding.message}", *finding.cautions)), "  ")
    for number, option in enumerate(proposal.options, 1):
        yield ""
        yield from _option(number, option, proposal)
    if proposal.obstacles:
        yield ""
        yield "What stands in the way:"
        for obstacle in proposal.obstacles:
            yield from _wrapped(obstacle.sentence, "  ")
    yield from _left_out(proposal)
    yield ""
    yield from _wrapped("Not judged: " + "; ".join(not_judged(_evaluation(proposal))) + ".")
    yield ""
    yield from _wrapped(_NO_PROOF)


def _evaluation(proposal: Proposal) -> Evaluation:
    return proposal.options[0].evaluation if proposal.options else proposal.site.bare


def _headline(proposal: Proposal) -> str:
    tally = proposal.tally
    seen, missed = (" that was looked at", f" {not_all(tally)}") if tally.followed else ("", "")
    if proposal.nothing_treats:
        return "what is wrong here nothing in this program treats, so nothing is proposed."
    if proposal.nothing_needed:
        return "among what was measured nothing asks for treatment, so nothing is proposed."
    if not proposal.options:
        return f"none of {tally.considered:,} trains{seen} does without a failure of its own.{missed}"
    short = f" Each has {proposal.unfit} or more pieces of equipment that fall short." if proposal.unfit else ""
    prices = f"Costs are by {name_inside(proposal.prices.name)}, to own over {span(proposal.years)}."
    many = len(proposal.options)
    found = f"{many} option{'s' * (many != 1)} out of {tally.considered:,} trains, {len(proposal.front)} of which no other{seen} beats."
    return f"{found}{missed} {prices}{short}"


def _option(number: int, option: Option, proposal: Proposal) -> Iterator[str]:
    currency, system = proposal.prices.currency, proposal.site.system
    also = f" (also {', '.join(inside(name) for name in option.also)})" if option.also else ""
    yield f"{number}  {option.name}{also}"
    yield from _wrapped(option.reason, "   ")
    for place, label in option.parts:
        yield f"   {place:<12}{label}"
    bill = option.bill
    for by, value in zip(criteria(), option.measured.values, strict=True):
        label = by.label if by.key != "own" else f"cost to own over {span(proposal.years)}"
        lacks = bill.missing(later=by.key != "buy") if by.dimension == "money" else ()
        yield from _row(label, shown(by, value, currency, system, bill.decimals) + _partly(lacks))
    later = _partly(bill.missing(once=False))
    yield from _row("upkeep, water and power a month", money(float(bill.month), currency, bill.decimals) + later)
    if bill.rent is not None:
        yield from _row("rented, a month with upkeep", money(float(bill.rent), currency, bill.decimals) + later)
    each = bill.per_1000_gal if system == "us" else bill.per_m3
    if each is not None:
        yield from _row(
            f"levelised cost of {'1,000 gallons' if system == 'us' else '1 m³'}",
            money(float(each), currency, bill.decimals) + _partly(bill.unpriced),
        )
    if bill.unpriced:
        yield from _row("without a price, and in no sum", "; ".join(bill.unpriced))
    for row in option.treats:
        unmet = ", not enough" if row.met is False else ""
        # a pH has no unit that would tell it
        scale = "pH " if row.analyte == "ph" else ""
        figures = f"{scale}{row.before} to {row.after}{unmet}" if row.before else ""
        caution = germs_told(proposal.site, option) if row.need == "germs" else row.caution
        told = " ".join(part for part in (figures, f"({caution})" if caution else "") if part)
        yield from _row(f"against {row.complaint}", told or row.treats)
    sodium = sodium_line(of_option(option), system)
    if sodium:
        yield from _row("sodium at the house", sodium)
    way_out = next((finding.message for finding in option.findings if finding.code == "taste"), "")
    tasted = taste(option.evaluation, system)
    if tasted:
        yield from _wrapped(way_out if way_out.startswith(tasted) else f"{tasted}.", "   ")
    for finding in option.findings:
        if finding.code == "flow-short" and finding.severity == "note":
            yield from _wrapped(f"note: {finding.title}. {finding.message}", "   ")
        if finding.severity != "note":
            yield from _wrapped(f"{finding.severity}: {finding.title}. {' '.join(finding.cautions)}".rstrip(), "   ")


def _partly(lacks: Sequence[str]) -> str:
    return f", {NOT_ALL}" if lacks else ""


def _row(label: str, value: str) -> Iterator[str]:
    yield from textwrap.wrap(spelt(f"{label + ':':<44}{value}"), _WIDTH, initial_indent="   ", subsequent_indent=" " * 47)


def _left_out(proposal: Proposal) -> Iterator[str]:
    if not proposal.left_out:
        return
    yield ""
    yield "Left out:"
    rows = sorted(proposal.left_out, key=lambda row: -row.trains)
    for row in [*(r for r in rows if not r.trains), *[r for r in rows if r.trains][:_LEFT_OUT]]:
        count = share_of(row.trains, proposal.tally) if row.trains else "not built"
        yield from _wrapped(f"{row.what}: {row.why} ({count})", "  ")


def _wrapped(text: str, indent: str = "") -> list[str]:
    return textwrap.wrap(spelt(text), _WIDTH, initial_indent=indent, subsequent_indent=indent)
