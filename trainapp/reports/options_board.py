"""A board of options as a list of words and shares: the one source of the window that shows it and of the pages that print it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainapp.checks import safety
from trainapp.checks.drinking import warning
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.marks import Mark
from trainapp.reports.options_cells import ILLUSTRATIVE, Bar, Board, Cell, Head, Row, Section, Unsolved
from trainapp.reports.options_health import licensed_rows, meant, unsolved_rows, untested
from trainapp.reports.options_rows import BANDS, asked_rows, cost_rows, pressure_row, settle_row, sure_row, treated_rows
from trainapp.reports.unjudged import unjudged
from trainapp.spelling import spelt
from trainapp.studies.cost import PriceList
from trainapp.studies.options.contender import Contender, reason_now
from trainapp.studies.options.proposal import Proposal
from trainapp.studies.options.reasons import share_of
from trainapp.studies.options.site import Site
from trainapp.studies.options.trains import not_all


def board(site: Site, contenders: Sequence[Contender], prices: PriceList, years: int, proposal: Proposal | None = None) -> Board:
    """Lay contenders side by side.

    Args:
        site: what all of them stand on, as it is supposed. contenders: columns from the left.
        prices, years: what they were counted with. proposal: what else was looked at; None where nothing was sought yet.
    """
    # what the search found that no train helps is not solved here, either
    site = site.giving_up(proposal.site.given_up) if proposal is not None else site
    sections = tuple(_sections(site, contenders, prices, years))
    return Board(
        site=site.document.site.word("name") or "This site",
        system=site.system,
        warning=_warning(site, contenders),
        unsolved=unsolved_rows(site),
        licensed=licensed_rows(site, contenders),
        health=tuple(filter(None, (meant(site, contenders), untested(site)))),
        heads=tuple(head_of(contender, contenders) for contender in contenders),
        pictures=tuple(bench_model(c.measured.evaluation, c.measured.findings, site.system) for c in contenders),
        sections=sections,
        looked=_looked(proposal),
        left_out=tuple(_left_out(proposal)),
        obstacles=tuple(obstacle.sentence for obstacle in proposal.obstacles) if proposal is not None else (),
        prices=_prices(prices, contenders),
        safety=tuple(dict.fromkeys(text for c in contenders for text in map(spelt, safety(c.measured.evaluation)))),
        not_judged=tuple(dict.fromkeys(text for c in contenders for text in unjudged(c.measured.evaluation))),
        illustrative=BANDS if any(cell.word for section in sections for row in section.rows for cell in row.cells) else "",
        currency=prices.currency,
    )


def _sections(site: Site, contenders: Sequence[Contender], prices: PriceList, years: int) -> Iterator[Section]:
    does = tuple(treated_rows(site, contenders))
    if does:
        yield Section("does", "What it does", does)
    yield Section("costs", "What it costs", tuple(cost_rows(contenders, prices, years)))
    yield Section("asks", "What it asks of you", tuple(asked_rows(contenders, site.system)))
    yield Section("gives", "What you get", (pressure_row(contenders, site.system), sure_row(contenders)))
    yield Section("settle", "What is left to settle", (settle_row(contenders, site.system),))


def head_of(contender: Contender, beside: Sequence[Contender] = ()) -> Head:
    """The head of a column, `beside` all that stand there."""
    fails = contender.fails
    mark: Mark = "fail" if fails else "caution" if _cautions(contender) else "ok"
    words = ", ".join(filter(None, (_counted(fails, "fail") or "no fail", _counted(_cautions(contender), "caution"))))
    return Head(contender.key, contender.kind, contender.name, reason_now(contender, beside), mark, words, contender.kept)


def _cautions(contender: Contender) -> int:
    """How many cautions are listed: those that read alike are one."""
    return len({finding.title for finding in contender.measured.findings if finding.severity == "caution"})


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'s' * (number != 1)}" if number else ""


def _warning(site: Site, contenders: Sequence[Contender]) -> str:
    return warning([*site.findings, *(f for c in contenders for f in c.measured.findings)])


def _looked(proposal: Proposal | None) -> str:
    if proposal is None:
        return ""
    if proposal.nothing_treats:
        return "What is wrong here nothing in this program treats, so nothing is proposed."
    if proposal.nothing_needed:
        return "Among what was measured nothing asks for treatment, so nothing is proposed."
    considered, fit = proposal.tally.considered, len(proposal.front)
    missed = f" {not_all(proposal.tally)}" if proposal.tally.followed else ""
    if not proposal.options:
        return f"Looked at {considered:,} trains from the catalogue; none does without a failure of its own.{missed}"
    short = f" Each has {proposal.unfit} or more pieces of equipment that fall short." if proposal.unfit else ""
    fine = f"{fit:,} have no failure of their own and are beaten by no other"
    return f"Looked at {considered:,} trains from the catalogue; {fine}.{missed}{short}"


def _left_out(proposal: Proposal | None) -> Iterator[str]:
    """What was left out, and why: what was never built first, then by how many trains it took with it."""
    for row in proposal.left_out if proposal is not None else ():
        count = share_of(row.trains, proposal.tally) if proposal is not None and row.trains else "not built"
        yield f"{row.what}: {row.why} ({count})"


def _prices(prices: PriceList, contenders: Sequence[Contender]) -> str:
    """Where prices are from; one that is invented anywhere makes every sum illustrative."""
    if prices.rows and prices.invented == len(prices.rows):
        return f"Prices: {prices.name}, every figure invented: every sum here is {ILLUSTRATIVE}."
    if prices.invented or any(contender.measured.bill.invented for contender in contenders):
        return f"Prices: {prices.name}, some figures invented: every sum here is {ILLUSTRATIVE}."
    return f"Prices: {prices.name}."


__all__ = ["Bar", "Board", "Cell", "Head", "Row", "Section", "Unsolved", "board"]
