"""Two runs of a year beside each other on one page: both benches at the end, the numbers, the first days of what goes wrong.

Nothing on it puts a share on disinfection or health. What hangs on a teaching picture is drawn as a band, with the word for it, and has
neither a single value nor a date.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from trainapp import units
from trainapp.reports.drawing.display import Display, Group, Line, Measure, Rect, Shape, Text
from trainapp.reports.drawing.layers import moved
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.measure import measure_dejavu, shorten, wrap
from trainapp.reports.drawing.page import hazard
from trainapp.reports.drawing.tokens import BODY, CAPTION, HEADING, MARK_LIST, TITLE
from trainapp.reports.year_bench import benches_at
from trainapp.reports.year_model import warning_of
from trainapp.reports.year_moment import ILLUSTRATIVE_WORD
from trainapp.reports.year_text import title_line
from trainapp.reports.year_words import FIRST_OF_EACH, ILLUSTRATIVE, NEVER, NOT_SAFE, show, title_of, when
from trainapp.studies.year import GoneWrong, Pair, Year
from trainapp.studies.year import Measure as Told
from trainapp.units import System

#: Least width of the page, height of its benches, of a row, and of the head of its table, px.
LEAST = 760.0
_BENCHES, _ROW, _PAD = 620.0, 24.0, 16.0
#: Share of the width that labels take, and px of a band's track.
_LABELS, _TRACK = 0.46, 96.0
_HOURS_A_DAY = 24


def pair_page(pair: Pair, *, width: float = 1000.0, system: System = "us", measure: Measure = measure_dejavu) -> Display:
    """The page, as high as it must be.

    Args:
        width: px, at least :data:`LEAST`.
    """
    page = _Page(pair, max(width, LEAST), system, measure)
    page.head()
    page.benches()
    page.table()
    page.wrongs()
    page.safety()
    return Display(page.width, page.y + _PAD, page.items, "page")


def last_busy_hour(year: Year) -> int:
    """The hour of the last day in which the house draws most."""
    flow = year.course("house", "flow")[-_HOURS_A_DAY:]
    return year.pieces.slots - _HOURS_A_DAY + int(flow.argmax())


@dataclass(slots=True)
class _Page:
    """Filled from the top down."""

    pair: Pair
    width: float
    system: System
    measure: Measure
    y: float = 0.0
    items: list[Shape] = field(default_factory=list)

    def _text(self, x: float, text: str, token: str = "ink", size: float = BODY, anchor: str = "start", bold: bool = False) -> None:
        self.items.append(Text(x, self.y, text, token, size, anchor, bold))

    def _rule(self) -> None:
        self.items.append(Line(0.0, self.y, self.width, self.y, "hair"))

    def head(self) -> None:
        """What ran."""
        title = title_line(self.pair.first)
        self.y += 26.0
        warned = warning_of(self.pair.first, self.pair.second)
        for line in wrap(warned, self.width - 2 * _PAD, HEADING, True, self.measure) if warned else []:
            self._text(_PAD, line, size=HEADING, bold=True)
            self.y += 20.0
        name, _, rest = title.partition(": ")
        self._text(_PAD, shorten(name, self.width - 2 * _PAD, TITLE, True, self.measure), size=TITLE, bold=True)
        for line in wrap(units.typeset(rest[:1].upper() + rest[1:]), self.width - 2 * _PAD, BODY, False, self.measure):
            self.y += 17.0
            self._text(_PAD, line, "ink2")
        self.y += 12.0
        self._rule()

    def benches(self) -> None:
        """Both trains as they stand at the end of the run."""
        trains = list(zip(self.pair.labels, (self.pair.first, self.pair.second), strict=True))
        named = [(f"{name[:1].upper()}{name[1:]}", year) for name, year in trains]
        drawn = benches_at(
            named, last_busy_hour(self.pair.first), width=self.width, height=_BENCHES, system=self.system, measure=self.measure
        )
        self.items += [Rect(0.0, self.y, self.width, _BENCHES, "sheet"), Group(moved(drawn.items, 0.0, self.y))]
        self.y += _BENCHES
        self._rule()

    # Numbers --------------------------------------------------------------------------------------------------------------------------

    def _columns(self) -> tuple[float, float]:
        """x at which each of the two columns of numbers begins."""
        first = _LABELS * self.width
        return first, first + (self.width - _PAD - first) / 2

    def table(self) -> None:
        """The numbers of both runs."""
        self.y += 24.0
        room = (self.width - _PAD - self._columns()[0]) / 2 - 12.0
        for x, label in zip(self._columns(), self.pair.labels, strict=True):
            self._text(x, shorten(label, room, BODY, True, self.measure), bold=True)
        self.y += 8.0
        for told in self.pair.measures:
            self.items.append(Line(_PAD, self.y, self.width - _PAD, self.y, "hair"))
            self._row(told)
        self.items.append(Line(_PAD, self.y, self.width - _PAD, self.y, "hair"))

    def _row(self, told: Told) -> None:
        self.y += _ROW
        base = self.y - 8.0
        label = told.label + (f", {ILLUSTRATIVE_WORD}" if told.illustrative else "")
        room = self._columns()[0] - 2 * _PAD
        self.items.append(Text(_PAD, base, shorten(label, room, BODY, False, self.measure), "ink", BODY))
        if told.band is not None:
            most = max((band[1] for band in told.band if band is not None), default=0.0)
            for x, band in zip(self._columns(), told.band, strict=True):
                self.items += _band(x, base, band, most) if band is not None else [Text(x, base, "\u2212", "ink3", BODY)]
            return
        for x, value in zip(self._columns(), (told.first, told.second), strict=True):
            text = (
                "\u2212"
                if value is None
                else units.typeset(show(value, "pieces" if told.dimension == "none" else told.dimension, self.system))
            )
            self.items.append(Text(x, base, text, "ink" if value is not None else "ink3", BODY))

    # Words ----------------------------------------------------------------------------------------------------------------------------

    def wrongs(self) -> None:
        """What goes wrong in either run, the first days of both side by side."""
        rows, wide = self.pair.gone_wrong, (self.width - 3 * _PAD) / 2
        self.y += 28.0
        self._text(_PAD, FIRST_OF_EACH, size=HEADING, bold=True)
        self.y += 20.0
        if not rows:
            self._text(_PAD, "Nothing that was modelled.", "ink2")
            return
        for i, label in enumerate(self.pair.labels):
            self._text(_PAD + i * (wide + _PAD), shorten(f"{label[:1].upper()}{label[1:]}", wide, BODY, True, self.measure), bold=True)
        for row in rows:
            self.y += 8.0
            self.items.append(Line(_PAD, self.y, self.width - _PAD, self.y, "hair"))
            top, ends = self.y, []
            for i, (year, wrong) in enumerate(((self.pair.first, row.first), (self.pair.second, row.second))):
                self.y = top
                self._wrong(_PAD + i * (wide + _PAD), wide, year, wrong)
                ends.append(self.y)
            self.y = max(ends)

    def _wrong(self, x: float, wide: float, year: Year, wrong: GoneWrong | None) -> None:
        """One thing that goes wrong in one of the runs, or that it does not."""
        self.y += 20.0
        if wrong is None:
            self._text(x + 20.0, f"{NEVER[:1].upper()}{NEVER[1:]}.", "ink3")
            return
        self.items += mark(wrong.severity, x + 6.5, self.y - 4.5, MARK_LIST)
        told = f"{wrong.severity}: {title_of(wrong)}, {when(year, wrong)}"
        for i, line in enumerate(wrap(told, wide - 20.0, BODY, False, self.measure)):
            self.y += 16.0 if i else 0.0
            self._text(x + 20.0, line)
        for line in wrap(units.typeset(wrong.sentence), wide - 20.0, CAPTION, False, self.measure):
            self.y += 15.0
            self._text(x + 20.0, line, "ink2", CAPTION)

    def safety(self) -> None:
        """The usual cautions."""
        self.y += 16.0
        self._rule()
        self.y += 20.0
        self.items += hazard(_PAD + 7.0, self.y - 4.0)
        self._text(_PAD + 22.0, "Safety", bold=True)
        for sentence in (NOT_SAFE, ILLUSTRATIVE):
            for line in wrap(sentence, self.width - 3 * _PAD - 22.0, CAPTION, False, self.measure):
                self.y += 15.0
                self._text(_PAD + 22.0, line, "ink2", CAPTION)


def _band(x: float, base: float, band: tuple[float, float], most: float) -> list[Shape]:
    """A band on a track from nothing to the most of both runs, and its ends in words."""
    low, high = ((value / most if most > 0.0 else 0.0) * _TRACK for value in band)
    y = base - 4.0
    return [
        Rect(x, y - 4.0, _TRACK, 8.0, "well"),
        Rect(x + low, y - 4.0, max(high - low, 2.0), 8.0, "page", "ink2", 1.2),
        Text(x + _TRACK + 8.0, base, f"{band[0]:.0f} to {band[1]:.0f}\u202fh", "ink", BODY),
    ]


__all__ = ["LEAST", "last_busy_hour", "pair_page"]
