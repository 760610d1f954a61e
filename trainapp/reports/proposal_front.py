"""The first page of a proposal: who it is for, what of health nothing here solves, the water and what it does, what is proposed."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from trainapp import units
from trainapp.checks.finding import Finding
from trainapp.checks.readings import readable
from trainapp.checks.summary import untested_for_health
from trainapp.reports.drawing.tokens import BODY, CAPTION, HEADING
from trainapp.reports.ledger import Ledger, Record
from trainapp.reports.options_health import HEALTH
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_sources import Citations, label_of
from trainapp.reports.print_table import PrintTable, Row, height_of, set_table
from trainapp.reports.print_text import fold
from trainapp.reports.proposal_basis import basis
from trainapp.reports.proposal_extras import Extras
from trainapp.reports.proposal_offer import Offer
from trainapp.reports.proposal_rows import COSTS, comparison
from trainapp.reports.proposal_water import seen, shown_value
from trainapp.reports.proposal_words import (
    ILLUSTRATIVE,
    NO_PROOF,
    asked,
    carried,
    does_not_any,
    health,
    licensed,
    not_now,
    noted,
    severity_of,
    simulated,
    tastes,
    unsolved,
)
from trainapp.spelling import name_inside
from trainapp.train.zones import HOUSE
from trainapp.water.analytes import ANALYTES

TITLE = "Proposal: how this water could be treated"
UNSOLVED = "Not solved by any option here"
LICENSED = "Needs licensed design beside any option"
ASKED = "Ask the authority before anything is bought"
NOTED = "Worth knowing, and treated by no option here"
NONE = "None of the trains that can be built does without a failure of its own."
GLANCE = "What is proposed"
#: Height of what is said of the prices under the table of it, px.
_USD = 20.0
CARRIED = "What every option still carries"
NONE_DOES = "What none of these does"


def set_front(flow: Flow, offer: Offer, extras: Extras, citations: Citations) -> None:
    """Everything of the first page; what does not fit on it goes on, but the names of what nothing solves never do."""
    if extras.logo is not None:
        flow.picture(extras.logo.at(0.0, 0.0))
        flow.skip(6.0)
    flow.title(offer.name, TITLE)
    now = not_now(offer)
    if now:
        flow.marked("fail", now, bold=True)
    first, *others = basis(offer)
    flow.text(f"{first} {extras.day}".rstrip(), bold=True)
    flow.text(" ".join(others), token="ink2")
    flow.text(NO_PROOF)
    if offer.invented:
        flow.text(ILLUSTRATIVE, bold=True)
    set_health(flow, offer, now)
    set_water(flow, offer, citations)
    set_glance(flow, offer)


# Health ---------------------------------------------------------------------------------------------------------------------------


def set_health(flow: Flow, offer: Offer, now: str) -> None:
    """What no option solves first; then what they are meant to treat; where there is neither, what was not tested."""
    flow.heading("Health first")
    groups = [(heading, found) for heading, found in grave(offer) if found]
    everything = [finding for _, found in groups for finding in found]
    whole = _fits(flow, offer, everything)
    for heading, found in groups:
        flow.text(f"{heading}:", bold=True)
        _set_findings(flow, offer, found, whole, now)
    if not any(finding.code in HEALTH for finding in everything):
        flow.text("Among what was measured, nothing is over a limit for health.")
    untested = untested_for_health(offer.site.bare)
    if untested:
        flow.text(f"Not tested, so nothing is known of it: {', '.join(untested)}.", token="ink2")
    if not whole:
        flow.new_page()
        flow.heading("Health, in full")
        _set_findings(flow, offer, everything, True, now)


def grave(offer: Offer) -> tuple[tuple[str, tuple[Finding, ...]], ...]:
    """What is told before anything else, by what can be done about it."""
    first = (UNSOLVED, unsolved(offer)), (LICENSED, licensed(offer))
    return (*first, *health(offer), (ASKED, asked(offer)), (NOTED, noted(offer)))


def _fits(flow: Flow, offer: Offer, found: Sequence[Finding]) -> bool:
    """Whether all of it fits on the page in full."""
    trial = Flow(flow.paper, flow.running, flow.measure, flow.y)
    trial.y = flow.y + 3 * HEADING
    _set_findings(trial, offer, found, True, "")
    return trial.count == 1 and trial.room > 40.0


def _set_findings(flow: Flow, offer: Offer, found: Sequence[Finding], whole: bool, now: str, *, carried_by_all: bool = False) -> None:
    """Findings by their titles, or with their sentence, cautions and source; one of the raw water says how grave it is with a train."""
    for finding in found:
        severity = finding.severity if carried_by_all else severity_of(offer, finding)
        if whole:
            keep_finding(flow, finding, now)
        flow.marked(finding.severity, units.typeset(f"{finding.title} ({severity})"), bold=True)
        if whole:
            set_sentences(flow, finding, now)


def keep_finding(flow: Flow, finding: Finding, said: str = "") -> None:
    """Begin a new page where a finding with its sentences does not fit on what is left of this one."""
    texts = [finding.message, *(caution for caution in finding.cautions if caution != said)]
    lines = sum(len(fold(units.typeset(text), flow.width - 20.0, BODY, False, flow.measure)) for text in texts)
    flow.keep((lines + 3) * BODY * 1.4)


def set_sentences(flow: Flow, finding: Finding, said: str = "") -> None:
    """The sentence of a finding, its cautions but the one that was `said`, and its source."""
    for text in (finding.message, *(caution for caution in finding.cautions if caution != said)):
        flow.text(units.typeset(text), indent=20.0)
    flow.text(f"Source: {label_of(finding.source)} ({finding.status})", token="ink2", size=CAPTION, indent=20.0)


def set_shared(flow: Flow, offer: Offer, citations: Citations) -> None:
    """What holds for all choices, told once: what none of them does, and the fails and cautions that every option carries."""
    shown = {(f.code, f.title) for _, told in grave(offer) for f in told}
    found = [finding for finding in carried(offer) if (finding.code, finding.title) not in shown]
    if found:
        flow.heading(CARRIED)
        _set_findings(flow, offer, found, True, "", carried_by_all=True)
    nots = does_not_any(offer)
    if nots:
        flow.heading(NONE_DOES)
        flow.points(f"{said.text} [{citations.number(said.source, said.status)}]" for said in nots)


# Water ----------------------------------------------------------------------------------------------------------------------------


def set_water(flow: Flow, offer: Offer, citations: Citations) -> None:
    """What people see, what was measured, and what it does in plain words."""
    flow.heading("Your water and what it does")
    rows: list[Row] = []
    for row in seen(offer):
        rests_on = (row.does.source, row.does.status), (row.source, row.status)
        cited = ", ".join(dict.fromkeys(citations.number(source, status) for source, status in rests_on))
        rows.append((row.what, row.value, row.wanted, row.does.text, cited))
    if rows:
        set_table(flow, PrintTable(("what people see", "measured", "wanted", "what it does", "source"), (16, 23, 11, 42, 8), rows))
    else:
        flow.text(
            "What is wrong here nothing in this program treats."
            if offer.unsolved
            else "Among what was measured nothing asks for treatment."
        )
    told = simulated(offer)
    if told:
        flow.skip(4.0)
        flow.text(told, token="ink2")


def set_measured(flow: Flow, offer: Offer, citations: Citations) -> None:
    """Everything that was measured in the raw water, with the limit that it is held against."""
    ledger = Ledger(offer.site.bare, offer.site.findings, offer.system)
    sheet = offer.site.bare.plan.raw.sheet
    labels = {ledger.label(analyte.key) for analyte in ANALYTES if readable(analyte.key) and analyte.key in sheet}
    rows = [_measured(record, citations) for record in ledger.records if record.at == HOUSE and record.quantity in labels]
    half = -(-len(rows) // 2)
    if not rows:
        return
    flow.heading("Everything that was measured")
    samples = [f"{s.id}{f', {s.date}' if s.date else ''}" for s in offer.site.document.samples if s.word("at") == "supply"]
    if samples:
        flow.text(f"Raw water; {'samples' if len(samples) > 1 else 'sample'} {'; '.join(samples)}.", token="ink2", size=CAPTION)
    # two rows beside each other: most of them are short
    blank = ("",) * 5
    beside = [(*first, *second) for first, second in zip_longest(rows[:half], rows[half:], fillvalue=blank)]
    set_table(flow, PrintTable(("analyte", "value", "limit", "", "src.") * 2, (19, 12, 8, 9, 4) * 2, beside))


def _measured(record: Record, citations: Citations) -> Row:
    limit = f"{record.side}\u202f{record.limit.value:.{record.limit.decimals}f}" if record.limit else ""
    return record.quantity, shown_value(record), limit, record.status.text, citations.number(record.source, record.sure)


# At a glance ----------------------------------------------------------------------------------------------------------------------


def set_glance(flow: Flow, offer: Offer) -> None:
    """The options with their sums, or what stands in the way of any."""
    if not offer.options:
        flow.heading(GLANCE)
        flow.text(
            NONE
            if offer.site.asks
            else "What is wrong here nothing in this program treats."
            if offer.unsolved
            else "Nothing here asks for treatment."
        )
        flow.points(obstacle.sentence for obstacle in offer.obstacles)
        return
    costs = [row for row in comparison(offer) if row.section == COSTS][:3]
    heads = ("", "why", *(row.label for row in costs))
    rows = [
        (column.name, column.reason, *(row.cells[place].text for row in costs))
        for place, column in enumerate(offer.columns)
        if column.kind == "option"
    ]
    table = PrintTable(heads, (18, 40, 13, 15, 16), rows, right=frozenset({2, 3, 4}), bold=frozenset({0}))
    # all of it is read at one glance
    beside = [*([f"Each option has {offer.unfit} or"] if offer.unfit else []), *tastes(offer)]
    around = _USD + BODY * 1.4 * sum(len(fold(text, flow.width - 20.0, BODY, False, flow.measure)) for text in beside)
    flow.heading(GLANCE, keep=min(height_of(flow, table) + around, flow.paper.height / 2))
    if offer.unfit:
        flow.text(f"Each option has {offer.unfit} or more pieces of equipment that fall short; its cautions say which.", bold=True)
    for tasted in tastes(offer):
        flow.marked("note", tasted)
    set_table(flow, table)
    flow.text(f"{offer.prices.currency}, by {name_inside(offer.prices.name)}.", token="ink2", size=CAPTION)


__all__ = [
    "ASKED", "CARRIED", "LICENSED", "NONE", "NOTED", "TITLE", "UNSOLVED", "grave", "keep_finding", "set_front", "set_measured",
    "set_sentences", "set_shared",
]  # fmt: skip
