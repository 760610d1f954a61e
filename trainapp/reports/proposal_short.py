"""The short form of a proposal: one page. It gives up pictures and details before it gives up a caution, and says what it left out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from trainapp import units
from trainapp.checks.summary import untested_for_health
from trainapp.reports.drawing.display import Line, Text
from trainapp.reports.drawing.lineup import lineups
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.measure import clip_letters
from trainapp.reports.drawing.page import gathered, hazard
from trainapp.reports.drawing.tokens import BODY, CAPTION, MARK_LEAST, TITLE
from trainapp.reports.options_extra import sodium_row
from trainapp.reports.options_rows import NO_HEALTH
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import Paper
from trainapp.reports.print_text import fold
from trainapp.reports.proposal_basis import basis
from trainapp.reports.proposal_extras import Extras
from trainapp.reports.proposal_front import NONE, grave
from trainapp.reports.proposal_offer import Column, Offer
from trainapp.reports.proposal_options import models
from trainapp.reports.proposal_rows import ASKS, COSTS, GETS, UNPRICED, Cell, comparison
from trainapp.reports.proposal_water import in_short
from trainapp.reports.proposal_words import (
    ILLUSTRATIVE,
    NO_PROOF,
    not_included,
    not_now,
    safety_of,
    severity_of,
    tastes,
    unjudged,
)
from trainapp.spelling import inside, name_inside

_PITCH = CAPTION * 1.3
#: Widths of the figures with what parts them, px: to buy, a month, over the years, chores, pressure.
_CELLS, _GAP = (58.0, 78.0, 92.0, 56.0, 64.0), 4.0
#: Letters of a name that are shown on this page: a longer one stands whole in the full proposal.
_LETTERS = 120
#: Box of a logo beside the name: as high as the name and what stands under it.
_LOGO_WIDTH, _LOGO_HEIGHT = 150.0, 36.0


@dataclass(frozen=True, slots=True)
class _Level:
    """How much is shown: height of a picture (0 for none), reasons, what is not included, the water's figures, what was not judged."""

    picture: float
    reasons: bool = True
    included: bool = True
    figures: bool = True
    judged: bool = True
    safety: bool = True
    sizes: bool = True
    terms: bool = False

    @property
    def left_out(self) -> list[str]:
        """What this page does not say."""
        names = (
            (self.picture > 0, "the pictures"), (self.reasons, "the reasons"), (self.included, "what is not included"),
            (self.figures, "what was measured"), (self.sizes, "the sizes of the stages"), (self.judged, "what was not judged"),
            (self.safety, "the other cautions under Safety"),
        )  # fmt: skip
        return [name for shown, name in names if not shown]


#: From the fullest to the barest.
_LEVELS = (
    _Level(84.0), _Level(64.0), _Level(64.0, False), _Level(52.0, False, False), _Level(44.0, False, False),
    _Level(44.0, False, False, sizes=False), _Level(36.0, False, False, sizes=False), _Level(0.0, False, sizes=False),
    _Level(0.0, False, False, sizes=False), _Level(0.0, False, False, False, sizes=False),
    _Level(0.0, False, False, False, False, sizes=False), _Level(0.0, False, False, False, False, False, sizes=False),
)  # fmt: skip


def short_form(offer: Offer, extras: Extras, paper: Paper) -> PrintJob:
    """One page, as full as it can be; terms stand on it where they fit beside all else."""
    for level in _LEVELS:
        page = _set(offer, extras, paper, level)
        if page.flow.count == 1:
            break
    if extras.terms:
        whole = _set(offer, extras, paper, replace(level, terms=True))
        page = whole if whole.flow.count == 1 else page
    return page.flow.finish(f"{offer.name}: proposal in short", "What could be done about this water, on one page")


def _set(offer: Offer, extras: Extras, paper: Paper, level: _Level) -> _Short:
    page = _Short(offer, extras, paper, level)
    page.set()
    return page


def _kind(column: Column, place: str) -> str:
    """What kind of stage stands at a place."""
    return column.measured.evaluation.stages[place].stage.spec.label


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
        flow, free = self.flow, self.flow.width
        if self.extras.logo is not None:
            logo = self.extras.logo.within(_LOGO_WIDTH, _LOGO_HEIGHT)
            free -= logo.width + 12.0
            flow.picture_beside(logo.at(0.0, 0.0), flow.width - logo.width)
        flow.mark("Proposal in short")
        for text in fold(clip_letters(self.offer.name, _LETTERS), free, TITLE, True, flow.measure):
            flow.y += TITLE * 1.3
            flow.items.append(Text(flow.left, flow.y - 5.0, text, "ink", TITLE, "start", True))
        self.line(f"Proposal in short. {self.extras.day}".rstrip(), token="ink2", size=BODY)
        first, *others = basis(self.offer)
        self.line(first, bold=True)
        self.line(" ".join((*others, NO_PROOF)))
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
                self.flow.marked(finding.severity, units.typeset(f"{finding.title} ({severity_of(self.offer, finding)})"), bold=True)
        untested = untested_for_health(self.offer.site.bare)
        if untested:
            self.line(f"For health not tested, so nothing is known of it: {', '.join(untested)}.", token="ink2")

    def water(self) -> None:
        if not self.offer.site.needs:
            beyond = "What is wrong here nothing in this program treats."
            self.line(beyond if self.offer.unsolved else "Among what was measured nothing asks for treatment.")
            return
        self.line(f"In this water: {'; '.join(in_short(self.offer, self.level.figures))}.")
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
        rights = [flow.width - sum(_CELLS[i + 1 :]) for i in range(5)]
        names = flow.width - pictures - sum(_CELLS) - 12.0
        flow.skip(6.0)
        self._heads(heads, rights)
        drawn = lineups(models(offer), pictures - 8.0, self.level.picture, flow.measure, False) if self.level.picture else None
        for place, column in enumerate(offer.columns):
            lines = self._name(column, names)
            cells = [self._folded(row.cells[place], width - _GAP) for row, width in zip(shown, _CELLS, strict=True)]
            tall = drawn.displays[place].height * drawn.factor + 4.0 if drawn else 0.0
            parts = self._parts(column, flow.width - pictures)
            above = max(len(lines), *map(len, cells))
            height = max((above + len(parts)) * _PITCH + 6.0, tall)
            flow.keep(height)
            if drawn is not None:
                flow.beside(drawn.displays[place], 0.0, drawn.factor, height - tall)
            for number, (text, bold) in enumerate(lines, 1):
                flow.items.append(Text(flow.left + pictures, flow.y + number * _PITCH, text, "ink", CAPTION, "start", bold))
            for row, folded, right in zip(shown, cells, rights, strict=True):
                best = row.cells[place].best
                for number, text in enumerate(folded, 1):
                    flow.items.append(Text(flow.left + right, flow.y + number * _PITCH, text, "ink", CAPTION, "end", best))
            for number, text in enumerate(parts, above + 1):
                flow.items.append(Text(flow.left + pictures, flow.y + number * _PITCH, text, "ink2", CAPTION))
            flow.y += height
            flow.items.append(Line(flow.left, flow.y, flow.left + flow.width, flow.y, "hair", 0.7))
        told = " Pictures are to one scale." if drawn else ""
        prices = f"{offer.prices.currency}, by {name_inside(offer.prices.name)}"
        self.line(f"{prices}; {offer.years} years in today's money.{told} {NO_HEALTH}", token="ink2")
        for said in self._brought():
            self.line(said)
        for number, column in enumerate(offer.columns, 1):
            if lacks := column.measured.bill.missing():
                self.line(f"{UNPRICED}: {'; '.join(lacks)} ({number}).", bold=True)

    def _parts(self, column: Column, width: float) -> list[str]:
        """Lines of what a train is made of, and what it does not treat enough."""
        names = [label if self.level.sizes else _kind(column, place) for place, label in column.parts]
        counted = (f"{names.count(name)} \u00d7 {name}" if names.count(name) > 1 and not self.level.sizes else name for name in names)
        told = [f"{'; '.join(dict.fromkeys(counted))}."] if names else []
        open_ = [answer.complaint for answer in column.answers if answer.verdict in ("stays", "short", "void")]
        told += [f"Not or not enough: {', '.join(open_)}."] if open_ and column.kind != "left" else []
        return fold(units.typeset(" ".join(told)), width, CAPTION, False, self.flow.measure) if told else []

    def _brought(self) -> Iterator[str]:
        """What these trains bring into the water, with the numbers of the choices."""
        row = sodium_row([column.contender for column in self.offer.columns], self.offer.system)
        if row is not None:
            alike: dict[str, list[str]] = {}
            for number, cell in enumerate(row.cells, 1):
                if not cell.quiet:
                    alike.setdefault(cell.text, []).append(str(number))
            told = (f"{text} ({', '.join(numbers)})" for text, numbers in alike.items())
            yield f"{row.label}: {', '.join(told)}. {row.note}".rstrip()
        yield from tastes(self.offer)

    def _folded(self, cell: Cell, width: float) -> list[str]:
        """The lines of a cell; a band that is too wide is parted between its ends."""
        measure = self.flow.measure
        words = (word if measure(word, CAPTION, cell.best) <= width else word.replace("\u2013", "\u2013 ") for word in cell.text.split(" "))
        return fold(" ".join(words), width, CAPTION, cell.best, measure)

    def _heads(self, heads: Sequence[str], rights: Sequence[float]) -> None:
        flow = self.flow
        folded = [fold(head, width - _GAP, CAPTION, True, flow.measure) for head, width in zip(heads, _CELLS, strict=True)]
        tall = max(map(len, folded))
        for lines, right in zip(folded, rights, strict=True):
            for number, text in enumerate(lines):
                flow.items.append(
                    Text(flow.left + right, flow.y + (tall - len(lines) + number + 1) * _PITCH, text, "ink", CAPTION, "end", True)
                )
        flow.y += tall * _PITCH + 4.0
        flow.items.append(Line(flow.left, flow.y, flow.left + flow.width, flow.y, "hair", 0.7))

    def _name(self, column: Column, width: float) -> list[tuple[str, bool]]:
        """Name and reason."""
        number = self.offer.columns.index(column) + 1
        lines = [(text, True) for text in fold(clip_letters(f"{number}  {column.name}", _LETTERS), width, CAPTION, True, self.flow.measure)]
        if self.level.reasons:
            lines += [(text, False) for text in fold(units.typeset(column.reason), width, CAPTION, False, self.flow.measure)]
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
        told = [
            (severity, f"{title} ({severity}: {', '.join(map(str, numbers))})")
            for severity in ("fail", "caution")
            for (kind, title), numbers in carried.items()
            if kind == severity
        ]
        for severity in ("fail", "caution"):
            self._marked([pair for pair in told if pair[0] == severity])

    def _marked(self, told: Sequence[tuple[str, str]]) -> None:
        """Marked lines; those that are short enough stand two by two."""
        flow = self.flow
        half = flow.width / 2
        fits = {text: flow.measure(units.typeset(text), CAPTION, False) <= half - 20.0 for _, text in told}
        short = [pair for pair in told if fits[pair[1]]]
        rows = [[pair] for pair in told if not fits[pair[1]]] + [short[i : i + 2] for i in range(0, len(short), 2)]
        for pairs in rows:
            width = half - 20.0 if fits[pairs[0][1]] else flow.width - 16.0
            row = [(kind, fold(units.typeset(text), width, CAPTION, False, flow.measure)) for kind, text in pairs]
            flow.keep(max(len(lines) for _, lines in row) * _PITCH)
            for place, (kind, lines) in enumerate(row):
                x = flow.left + place * half
                flow.items.extend(mark("fail" if kind == "fail" else "caution", x + 5.0, flow.y + _PITCH - 4.0, MARK_LEAST))
                for number, line in enumerate(lines, 1):
                    flow.items.append(Text(x + 16.0, flow.y + number * _PITCH, line, "ink", CAPTION))
            flow.y += max(len(lines) for _, lines in row) * _PITCH

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
        if self.extras.terms and self.level.terms:
            self.line("Terms", bold=True)
            for line in self.extras.terms.splitlines():
                self.line(line)
        left_out = [*self.level.left_out, *(["the terms"] if self.extras.terms and not self.level.terms else [])]
        if left_out:
            self.line(f"Not on this page: {', '.join(left_out)}. The full proposal has it, and belongs to this page.", bold=True)


__all__ = ["short_form"]
