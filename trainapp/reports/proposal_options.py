"""The choices of a proposal: all pictures at one scale, then each choice on its own with its stages, cautions and chores."""

from __future__ import annotations

from trainapp import units
from trainapp.checks.taste import taste
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.display import Display, Line, Text
from trainapp.reports.drawing.frame import FOOT
from trainapp.reports.drawing.lineup import Lineups, lineups
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.tokens import BODY, CAPTION
from trainapp.reports.options_extra import sodium_line
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_sources import Citations
from trainapp.reports.print_text import fold
from trainapp.reports.proposal_front import keep_finding, set_sentences
from trainapp.reports.proposal_offer import Answer, Column, Offer
from trainapp.reports.proposal_words import does_not, does_not_any, own_findings
from trainapp.stages.base import Stage

#: Words beside a picture, px; the picture has the rest of the page. Highest picture.
_WORDS, _GAP, _TALL = 196.0, 16.0, 150.0
#: The least height that is worth a picture, what stands between two of them, and what stands on the page beside them.
_LOW, _BETWEEN, _REST = 64.0, 22.0, 110.0
_LEADING = 1.36
_NOTE = "Pictures are to one scale; the distances between vessels are the drawing's."


def models(offer: Offer) -> list[BenchModel]:
    """What the picture of each column shows."""
    return [bench_model(column.measured.evaluation, (), offer.system) for column in offer.columns]


def set_pictures(flow: Flow, offer: Offer) -> None:
    """Every column as it will stand, at one scale, with a person beside them."""
    shown = models(offer)
    if flow.room < _REST + len(shown) * (_LOW + _BETWEEN):
        flow.new_page()
    flow.heading("The choices, as they will stand")
    tall = min(max((flow.room - _REST) / len(shown) - _BETWEEN, _LOW), _TALL)
    drawn = lineups(shown, flow.width - _WORDS - _GAP, tall, flow.measure)
    for column, display in zip(offer.columns, drawn.displays, strict=True):
        _set_picture(flow, column, display, drawn.factor)
    _set_scale(flow, offer, drawn)


def _set_picture(flow: Flow, column: Column, display: Display, factor: float) -> None:
    """One column: name and reason at the left, its picture at the right, both on one line."""
    lines = [(line, BODY, True) for line in fold(column.name, _WORDS, BODY, True, flow.measure)]
    lines += [(line, CAPTION, False) for line in fold(units.typeset(column.reason), _WORDS, CAPTION, False, flow.measure)]
    tall = sum(size * _LEADING for _, size, _ in lines)
    height = max(tall, display.height * factor) + 10.0
    flow.keep(height)
    y = flow.y
    for text, size, bold in lines:
        y += size * _LEADING
        flow.items.append(Text(flow.left, y, text, "ink", size, "start", bold))
    flow.beside(display, _WORDS + _GAP, factor)
    flow.y += height
    flow.rule()


def _set_scale(flow: Flow, offer: Offer, drawn: Lineups) -> None:
    """The person, a bar of two feet or half a metre, and what is to scale."""
    metric = offer.system == "metric"
    length, person = (0.5 if metric else 2 * FOOT) * drawn.scale, drawn.person
    flow.keep(person.height * drawn.factor + 8.0)
    flow.beside(person, 0.0, drawn.factor)
    left, y = flow.left + person.width * drawn.factor + 16.0, flow.y + person.height * drawn.factor - 4.0
    flow.items.append(Line(left, y - 4.0, left + length, y - 4.0, "ink", 2.0))
    flow.items.extend(Line(x, y - 8.0, x, y, "ink", 1.2) for x in (left, left + length))
    words = f"{'0.5 m' if metric else '2 ft'}; the person is {'1.73 m' if metric else '5 ft 8 in'}. {_NOTE}"
    flow.items.append(Text(left + length + 8.0, y, words, "ink2", CAPTION))
    flow.y += person.height * drawn.factor + 6.0


# One column -----------------------------------------------------------------------------------------------------------------------


def set_column(flow: Flow, offer: Offer, column: Column, citations: Citations) -> None:
    """One choice on its own: what it is made of, what it is meant to treat, what only it leaves open; cost and chores are in tables."""
    flow.heading(column.name, keep=150.0)
    flow.text(units.typeset(column.reason))
    _set_stages(flow, offer, column)
    _set_treats(flow, offer, column, citations)
    _set_cautions(flow, offer, column)


def _set_stages(flow: Flow, offer: Offer, column: Column) -> None:
    """Its stages in the order of flow, by the numbers of the picture."""
    model = bench_model(column.measured.evaluation, (), offer.system)
    labels = dict(column.parts)
    texts = []
    for shown in model.stages:
        label = labels.get(shown.id, shown.name)
        kept = ", already there, kept" if _exists(column, shown.id) else ""
        texts.append(units.typeset(f"{shown.number + '  ' if shown.number else ''}{label}{kept}"))
    flow.heading("Stages in the order of flow", 1, keep=30.0)
    flow.text(f"{'; '.join(texts)}.")


def _exists(column: Column, node: str) -> bool:
    result = column.measured.evaluation.stages.get(node)
    stage: Stage | None = result.stage if result is not None else None
    return stage is not None and bool(stage.settings.get("existing"))


def _set_treats(flow: Flow, offer: Offer, column: Column, citations: Citations) -> None:
    flow.heading("What it is meant to treat", 1, keep=40.0)
    flow.points(_treated(answer) for answer in column.answers if answer.verdict != "stays")
    if all(answer.verdict == "stays" for answer in column.answers):
        flow.text("Nothing that this water asks for.")
    for told in (_sodium(offer, column), _tasted(offer, column)):
        if told:
            flow.text(told)
    shared = does_not_any(offer)
    nots = [f"{said.text} [{citations.number(said.source, said.status)}]" for said in does_not(offer, column) if said not in shared]
    if nots:
        flow.heading("What it does not do, beside what none does", 1, keep=40.0)
        flow.points(nots)


def _sodium(offer: Offer, column: Column) -> str:
    told = sodium_line(column.contender, offer.system)
    return f"Sodium at the house: {told}." if told else ""


def _tasted(offer: Offer, column: Column) -> str:
    told = taste(column.measured.evaluation, offer.system)
    return units.typeset(f"{told}.") if told else ""


def _treated(answer: Answer) -> str:
    """One thing in one line: from what to what, and that it has to be proven."""
    figures = f"{answer.before} now, {answer.after} at the house as calculated, " if answer.before else ""
    return units.typeset(f"{answer.complaint[:1].upper()}{answer.complaint[1:]}: {figures}{answer.words}")


def _set_cautions(flow: Flow, offer: Offer, column: Column) -> None:
    found = own_findings(offer, column)
    if not found:
        shared = "Fails and cautions: no more than what every option still carries."
        flow.skip(6.0)
        flow.text(shared if column.kind == "option" else "No fail and no caution among what was measured and modelled.")
        return
    flow.heading("Fails and cautions", 1, keep=100.0)
    if column.kind == "option":
        flow.text("Beside what every option still carries, and what none solves:")
    for finding in found:
        keep_finding(flow, finding)
        flow.marked(finding.severity, units.typeset(f"{finding.title} ({finding.severity})"), bold=True)
        set_sentences(flow, finding)


__all__ = ["models", "set_column", "set_pictures"]
