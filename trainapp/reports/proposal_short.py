"""The short form of a proposal: one page. It gives up pictures and details before it gives up a caution, and says what it left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainapp import units
from trainapp.checks.summary import untested_for_health
from trainapp.reports.drawing.display import Line, Text
from trainapp.reports.drawing.lineup import lineups
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.measure import clip_letters
from trainapp.reports.drawing.page import gathered, hazard
from trainapp.reports.drawing.tokens import BODY, CAPTION, MARK_LEAST, TITLE
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import Paper
from trainapp.reports.print_text import fold
from trainapp.reports.proposal_extras import Extras
from trainapp.reports.proposal_front import NONE, grave
from trainapp.reports.proposal_offer import Column, Offer, complaint_of
from trainapp.reports.proposal_options import models
from trainapp.reports.proposal_rows import ASKS, COSTS, GETS, UNPRICED, Cell, comparison
from trainapp.reports.proposal_words import ILLUSTRATIVE, NO_PROOF, not_included, not_now, safety_of, unjudged
from trainapp.spelling import inside, name_inside
from trainapp.water.analytes import BY_KEY

_PITCH = CAPTION * 1.3
#: Width of a figure, px.
_CELL = 62.0
#: Letters of a name that are shown on this page: a longer one stands whole in the full proposal.
_LETTERS = 120


@dataclass(frozen=True, slots=True)
class _Level:
    """How much is shown: height of a picture (0 for none), reasons, what is not included, the water's figures, what was not judged."""

    picture: float
    reasons: bool = True
    included: bool = True
    figures: bool = True
    judged: bool = True
    safety: bool = True

    @property
    def left_out(self) -> list[str]:
        """What this page does not say."""
        names = (
            (self.picture > 0, "the pictures"), (self.reasons, "the reasons"), (self.included, "what is not included"),
            (self.figures, "what was measured"), (self.judged, "what was not judged"), (self.safety, "the other cautions under Safety"),
        )  # fmt: skip
        return [name for shown, name in names if not shown]


#: From the fullest to the barest.
_LEVELS = (
    _Level(84.0), _Level(64.0, False), _Level(64.0, False, False), _Level(52.0, False, False), _Level(44.0, False, False),
    _Level(0.0, False), _Level(0.0, False, False), _Level(0.0, False, False, False), _Level(0.0, False, False, False, False),
    _Level(0.0, False, False, False, False, False),
)  # fmt: skip


def short_form(offer: Offer, extras: Extras, paper: Paper) -> PrintJob:
    """One page, as full as it can be."""
    for level in _LEVELS:
        page = _Short(offer, extras, paper, level)
        page.set()
        if page.flow.count == 1:
            break
    return page.flow.finish(f"{offer.name}: proposal in short", "What could be done about this water, on one page")


class _Short:
    """Sets the page at one level."""

    def __init__(self, offer: Offer, extras: Extras, paper: Paper, level: _Level) -> None:
        self.offer, self.extras, self.level = offer, extras, level
        self.flow = Flow(paper, f"{offer.name}: proposal in short")

    def set(self) -> None:
        self.head()
        self.first()
        self.water()
        self.table()
        self.cautions()
        self.limits()

    def line(self, text: str, *, token: str = "ink", bold: bool = False, size: float = CAPTION) -> None:
        self.flow.text(units.typeset(text), token=token, size=size, bold=bold)

    def head(self) -> None:
        flow = self.flow
        if self.extras.logo is not None:
            flow.picture(self.extras.logo.at(0.0, 0.0))
            flow.skip(2.0)
        flow.mark("Proposal in short")
        for text in fold(clip_letters(self.offer.name, _LETTERS), flow.width, TITLE, True, flow.measure):
            flow.y += TITLE * 1.3
            flow.items.append(Text(flow.left, flow.y - 5.0, text, "ink", TITLE, "start", True))
        self.line("Proposal in short", token="ink2", size=BODY)
        self.line(NO_PROOF)
        if self.offer.invented:
            self.line(ILLUSTRATIVE, bold=True)

    def first(self) -> None:
        """What to do now, and what of health is open."""
        now = not_now(self.offer)
        if now:
            self.flow.skip(2.0)
            self.flow.marked("fail", now, bold=True)
        for heading, found in grave(self.offer):
            if found:
                self.line(f"{heading}:", bold=True)
            for finding in found:
                self.flow.marked(finding.severity, units.typeset(f"{finding.title} ({finding.severity})"), bold=True)
        untested = untested_for_health(self.offer.site.bare)
        if untested:
            self.line(f"For health not tested, so nothing is known of it: {', '.join(untested)}.", token="ink2")

    def water(self) -> None:
        if not self.offer.site.needs:
            self.line("Among what was measured nothing asks for treatment.")
            return
        told = []
        for need in self.offer.site.needs:
            text = complaint_of(need.rule)
            if self.level.figures and need.value is not None and need.limit is not None:
                dimension, analyte = BY_KEY[need.rule.analyte].dimension, need.rule.analyte
                shown = units.show_against_limit(need.value, need.limit, dimension, self.offer.system, analyte=analyte)
                side = "\u2265" if need.rule.below is not None else "\u2264"
                limit = units.show(need.limit, dimension, self.offer.system, analyte=analyte)
                text += f" ({BY_KEY[analyte].label.lower() if analyte != 'ph' else 'pH'} {shown}, wanted {side} {limit})"
            told.append(text)
        self.line(f"In this water: {'; '.join(told)}.")
        if not self.offer.options:
            self.line(NONE, bold=True)
            for obstacle in self.offer.obstacles:
                self.line(obstacle.sentence)

    # Table --------------------------------------------------------------------------------------------------------------------

    def table(self) -> None:
        """A row for each column: picture, name, what is treated, and its sums."""
        flow, offer = self.flow, self.offer
        rows = [row for row in comparison(offer) if row.section in (COSTS, ASKS, GETS)]
        shown = [*rows[:3], next(r for r in rows if r.section == ASKS), next(r for r in rows if r.section == GETS)]
        heads = ["To buy", "A month", f"{offer.years} years", "Chores a year", f"Pressure, {shown[-1].unit}"]
        pictures = 206.0 if self.level.picture else 0.0
        names = flow.width - pictures - 5 * 66.0 - 12.0
        rights = [flow.width - (4 - i) * 66.0 for i in range(5)]
        flow.skip(6.0)
        self._heads(heads, rights)
        drawn = lineups(models(offer), pictures - 8.0, self.level.picture, flow.measure, False) if self.level.picture else None
        for place, column in enumerate(offer.columns):
            lines = self._name(column, names)
            cells = [self._folded(row.cells[place]) for row in shown]
            tall = drawn.displays[place].height * drawn.factor + 4.0 if drawn else 0.0
            height = max(max(len(lines), *map(len, cells)) * _PITCH + 6.0, tall)
            flow.keep(height)
            if drawn is not None:
                flow.beside(drawn.displays[place], 0.0, drawn.factor, height - tall)
            for number, (text, bold) in enumerate(lines, 1):
                flow.items.append(Text(flow.left + pictures, flow.y + number * _PITCH, text, "ink", CAPTION, "start", bold))
            for row, folded, right in zip(shown, cells, rights, strict=True):
                best = row.cells[place].best
                for number, text in enumerate(folded, 1):
                    flow.items.append(Text(flow.left + right, flow.y + number * _PITCH, text, "ink", CAPTION, "end", best))
            flow.y += height
            flow.items.append(Line(flow.left, flow.y, flow.left + flow.width, flow.y, "hair", 0.7))
        told = " Pictures are to one scale." if drawn else ""
        prices = f"{offer.prices.currency}, by {name_inside(offer.prices.name)}"
        self.line(f"{prices}; {offer.years} years in today's money.{told}", token="ink2")
        for number, column in enumerate(offer.columns, 1):
            if lacks := column.measured.bill.missing():
                self.line(f"{UNPRICED}: {'; '.join(lacks)} ({number}).", bold=True)

    def _folded(self, cell: Cell) -> list[str]:
        """The lines of a cell; a band that is too wide is parted between its ends."""
        measure = self.flow.measure
        words = (word if measure(word, CAPTION, cell.best) <= _CELL else word.replace("\u2013", "\u2013 ") for word in cell.text.split(" "))
        return fold(" ".join(words), _CELL, CAPTION, cell.best, measure)

    def _heads(self, heads: Sequence[str], rights: Sequence[float]) -> None:
        flow = self.flow
        folded = [fold(head, _CELL, CAPTION, True, flow.measure) for head in heads]
        tall = max(map(len, folded))
        for lines, right in zip(folded, rights, strict=True):
            for number, text in enumerate(lines):
                flow.items.append(
                    Text(flow.left + right, flow.y + (tall - len(lines) + number + 1) * _PITCH, text, "ink", CAPTION, "end", True)
                )
        flow.y += tall * _PITCH + 4.0
        flow.items.append(Line(flow.left, flow.y, flow.left + flow.width, flow.y, "hair", 0.7))

    def _name(self, column: Column, width: float) -> list[tuple[str, bool]]:
        """Name, reason, and what is not treated enough."""
        number = self.offer.columns.index(column) + 1
        lines = [(text, True) for text in fold(clip_letters(f"{number}  {column.name}", _LETTERS), width, CAPTION, True, self.flow.measure)]
        if self.level.reasons:
            lines += [(text, False) for text in fold(units.typeset(column.reason), width, CAPTION, False, self.flow.measure)]
        open_ = [answer.complaint for answer in column.answers if answer.verdict in ("stays", "short", "void")]
        if open_ and column.kind != "left":
            lines += [(text, False) for text in fold(f"not or not enough: {', '.join(open_)}", width, CAPTION, False, self.flow.measure)]
        return lines

    # What belongs beside it ---------------------------------------------------------------------------------------------------

    def cautions(self) -> None:
        """Every fail and caution by its title, with the numbers of the choices that carry it."""
        carried: dict[tuple[str, str], list[int]] = {}
        shown = {finding.title for _, found in grave(self.offer) for finding in found}
        for number, column in enumerate(self.offer.columns, 1):
            for finding in column.findings if column.kind != "left" else ():
                if finding.severity != "note" and finding.title not in shown:
                    numbers = carried.setdefault((finding.severity, finding.title), [])
                    if number not in numbers:
                        numbers.append(number)
        if not carried:
            return
        self.flow.skip(4.0)
        self.line("Fails and cautions, with the numbers of the choices that carry them", bold=True)
        for severity in ("fail", "caution"):
            for (kind, title), numbers in carried.items():
                if kind == severity:
                    self._marked(severity, f"{title} ({severity}: {', '.join(map(str, numbers))})")

    def _marked(self, severity: str, text: str) -> None:
        flow = self.flow
        lines = fold(units.typeset(text), flow.width - 16.0, CAPTION, False, flow.measure)
        flow.keep(len(lines) * _PITCH)
        flow.items.extend(mark("fail" if severity == "fail" else "caution", flow.left + 5.0, flow.y + _PITCH - 4.0, MARK_LEAST))
        for line in lines:
            flow.y += _PITCH
            flow.items.append(Text(flow.left + 16.0, flow.y, line, "ink", CAPTION))

    def limits(self) -> None:
        """What is not included, what was not judged, Safety, and what this page leaves out."""
        offer, flow = self.offer, self.flow
        flow.skip(6.0)
        if self.level.included:
            texts = [said.text.rstrip(".") for said in not_included(offer.columns)]
            self.line(f"Not included: {'; '.join(inside(text) for text in texts)}.", token="ink2")
        if self.level.judged:
            self.line(f"Not judged. {' '.join(gathered(unjudged(offer.columns)))}", token="ink2")
        sentences = safety_of(offer.columns)
        kept = sentences if self.level.safety else sentences[:4]
        flow.skip(4.0)
        flow.keep(3 * _PITCH)
        flow.items.extend(hazard(flow.left + 8.0, flow.y + 8.0))
        flow.text(f"Safety. {' '.join(kept)}", size=CAPTION, indent=22.0)
        if self.level.left_out:
            self.line(f"Not on this page: {', '.join(self.level.left_out)}. The full proposal has it, and belongs to this page.", bold=True)


__all__ = ["short_form"]
