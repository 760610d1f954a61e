"""The raw water in a proposal: what people see, what was measured of it and what is wanted; what no option solves stands first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from trainapp import units
from trainapp.checks.finding import Finding
from trainapp.reports.export_table import Number
from trainapp.reports.ledger import Ledger, Record
from trainapp.reports.proposal_offer import Offer, complaint_of
from trainapp.reports.proposal_words import Said, does, unsolved
from trainapp.spelling import inside, spelt
from trainapp.studies.options.site import Need
from trainapp.train.zones import HOUSE
from trainapp.water.analytes import BY_KEY

_GERMS = ("total_coliform", "e_coli")
#: What stands under "measured" where no sheet of the contract has a number.
_NOT_MEASURED = {"grit": "not measured", "weak": "by the supply's curve", "pressure": "by the supply's curve"}


@dataclass(frozen=True, slots=True)
class Seen:
    """One thing about the raw water.

    Attributes:
        what: what people see, or the substance where they see nothing. value, wanted: in words, with unit.
        does: what it does to a house or its people. source, status: where what is wanted comes from.
    """

    what: str
    value: str
    wanted: str
    does: Said
    source: str
    status: str


def seen(offer: Offer) -> Iterator[Seen]:
    """Everything that the raw water asks for."""
    ledger = Ledger(offer.site.bare, offer.site.findings, offer.system)
    for finding in unsolved(offer):
        if finding.analyte and finding.analyte not in _GERMS:
            yield _unsolved(offer, finding, ledger)
    for need in offer.site.needs:
        complaint = complaint_of(need.rule)
        value, wanted = _figures(offer, need, ledger)
        yield Seen(_start(complaint), value, wanted, does(need.rule.key), need.rule.source, need.rule.status)


def _unsolved(offer: Offer, finding: Finding, ledger: Ledger) -> Seen:
    """A substance that nothing here takes out, with the reason of its limit."""
    rows = [row for row in offer.site.context.limits.of(finding.analyte) if row.source == finding.source]
    reason = rows[0].reason if rows else finding.title
    wanted = ""
    if finding.limit is not None and rows:
        shown = units.show(finding.limit.low, finding.limit.dimension, offer.system, analyte=finding.analyte)
        side = "\u2264" if rows[0].maximum is not None else "\u2265"
        wanted = f"{side}\u202f{shown}"
    said = Said(units.typeset(f"{_start(reason)}. Not solved by any option here."), finding.source, finding.status)
    label = spelt(BY_KEY[finding.analyte].label)
    return Seen(label, f"{label} {measured(ledger, finding.analyte)}", units.typeset(wanted), said, finding.source, finding.status)


def _figures(offer: Offer, need: Need, ledger: Ledger) -> tuple[str, str]:
    """What was measured of a need, and what is wanted."""
    rule = need.rule
    if rule.key == "germs":
        sheet = offer.site.bare.plan.raw.sheet
        found = [f"{spelt(BY_KEY[key].label)} {measured(ledger, key)}" for key in _GERMS if key in sheet]
        return "; ".join(found) or "not tested", "none found"
    if need.value is None or need.limit is None:
        return _NOT_MEASURED.get(rule.key, "not measured"), ""
    dimension, analyte = BY_KEY[rule.analyte].dimension, rule.analyte
    shown = units.show_against_limit(need.value, need.limit, dimension, offer.system, analyte=analyte)
    side = "\u2265" if rule.below is not None else "\u2264"
    wanted = f"{side}\u202f{units.show(need.limit, dimension, offer.system, analyte=analyte)}"
    return units.typeset(f"{spelt(BY_KEY[analyte].label)} {shown}"), units.typeset(wanted)


def measured(ledger: Ledger, analyte: str) -> str:
    """What the raw water holds of an analyte, as the table of everything measured says it; at its adverse end."""
    label = ledger.label(analyte)
    found = next((record for record in ledger.records if record.at == HOUSE and record.quantity == label), None)
    return "not tested" if found is None else shown_value(found)


def shown_value(record: Record) -> str:
    """A value with its unit; of a word the word alone."""
    value = f"{record.value.value:.{record.value.decimals}f}" if isinstance(record.value, Number) else str(record.value)
    return f"{value}\u202f{record.unit}".strip() if any(letter.isdigit() for letter in value) else value


def in_short(offer: Offer, figures: bool) -> Sequence[str]:
    """The same in a few words each: what it is, and with `figures` what was measured and what is wanted."""
    told = []
    for row in seen(offer):
        value, wanted = (inside(text) for text in (row.value, row.wanted))
        beside = ", wanted ".join(filter(None, (value, wanted)))
        told.append(f"{inside(row.what)}{f' ({beside})' if figures and beside else ''}")
    return told


def _start(text: str) -> str:
    return text[:1].upper() + text[1:]


__all__ = ["Seen", "in_short", "measured", "seen", "shown_value"]
