"""A lesson on paper: the worksheet for the class, and the answer sheet for whoever teaches it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from trainapp.reports.drawing.display import Line, Rect, Text
from trainapp.reports.drawing.tokens import BODY, CAPTION, HEADING, TITLE
from trainapp.reports.export_file import check_target
from trainapp.reports.lesson_chart import lesson_chart
from trainapp.reports.lesson_picture import lesson_picture, stages_line
from trainapp.reports.lesson_words import (
    behind_rows,
    changed_words,
    control_rows,
    fact_text,
    how_it_is_judged,
    outcome_rows,
    place_words,
    try_row,
    what_is_read,
)
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import Paper, paper_here
from trainapp.reports.print_pdf import write_pages
from trainapp.reports.print_table import PrintTable, set_table
from trainapp.reports.print_text import fold
from trainapp.sources import source
from trainapp.studies.lessons import Played, said
from trainapp.units import System

_PICTURE, _CHART = 232.0, 210.0
_WHAT = "a lesson's sheet"
#: px between lines to write on.
_RULED = 26.0


def write_lesson_sheet(
    played: Played,
    path: str | Path,
    *,
    answers: bool = False,
    tried: Sequence[Played] = (),
    system: System = "us",
    paper: Paper | None = None,
) -> None:
    """Print a lesson into a PDF; the file is whole or is not touched.

    Args:
        played: the lesson as its scene has it.
        path: a name that ends in .pdf.
        answers: the answer sheet instead of the worksheet.
        tried: what is to be tried, played (:func:`trainapp.studies.lessons.play_tries`), for the answer sheet.
        system: "us" or "metric". paper: by default that of this machine's locale.

    Raises:
        ExportError: another ending, or a place that cannot be written to; one sentence.
    """
    write_pages(path, _WHAT, lambda: lesson_sheet(played, answers=answers, tried=tried, system=system, paper=paper))


def check_sheet_target(path: str | Path) -> None:
    """Where a sheet is to go, before anything is worked out for it.

    Raises:
        ExportError: another ending, or no such folder.
    """
    check_target(Path(path), (".pdf",), _WHAT)


def lesson_sheet(
    played: Played, *, answers: bool = False, tried: Sequence[Played] = (), system: System = "us", paper: Paper | None = None
) -> PrintJob:
    """The pages of a worksheet or an answer sheet; arguments as of :func:`write_lesson_sheet`."""
    kind = "Answer sheet" if answers else "Worksheet"
    title = f"{played.lesson.title}: {kind.lower()}"
    sheet = _Sheet(Flow(paper or paper_here(system), title), played, system)
    sheet.flow.title(played.lesson.title, kind)
    if answers:
        sheet.answers(tried)
    else:
        sheet.work()
    return sheet.flow.finish(title, "A lesson")


class _Sheet:
    """Sets one sheet."""

    def __init__(self, flow: Flow, played: Played, system: System) -> None:
        self.flow, self.played, self.lesson, self.system = flow, played, played.lesson, system

    def said(self, text: str) -> str:
        """A text of the lesson with its quantities."""
        return said(self.lesson, text, self.system, self.played.values)

    # Worksheet ------------------------------------------------------------------------------------------------------------------

    def work(self) -> None:
        self.blanks(("Name", 0.5), ("Class", 0.25), ("Date", 0.25))
        self.flow.heading("Scene")
        self.flow.text(self.said(self.lesson.scene))
        self.pictures(later=False)
        self.question()
        for answer in self.lesson.answers:
            self.choice(answer.text)
        self.flow.new_page()
        self.guess()
        self.count()
        self.watch()
        self.changes()

    def blanks(self, *parts: tuple[str, float]) -> None:
        """Lines to write names on, beside each other; each with its share of the width."""
        flow, x = self.flow, self.flow.left
        flow.y += 24.0
        for label, share in parts:
            room = share * flow.width
            start = x + flow.measure(label, CAPTION, False) + 6.0
            flow.items.append(Text(x, flow.y, label, "ink2", CAPTION))
            flow.items.append(Line(start, flow.y + 2.0, x + room - 14.0, flow.y + 2.0, "edge"))
            x += room
        flow.y += 4.0

    def pictures(self, later: bool) -> None:
        """The benches, one above the other."""
        for bench in self.played.benches:
            self.flow.skip(8.0)
            picture = lesson_picture(
                self.played,
                bench.letter,
                width=self.flow.width,
                height=_PICTURE,
                later=later,
                system=self.system,
                measure=self.flow.measure,
            )
            self.flow.drawing(picture)
            self.flow.text(stages_line(bench, self.system), token="ink2", size=CAPTION)

    def question(self) -> None:
        lines = fold(self.said(self.lesson.question), self.flow.width, TITLE, True, self.flow.measure)
        self.flow.skip(14.0)
        self.flow.keep(1.4 * TITLE * len(lines) + 1.8 * HEADING * len(self.lesson.answers) + 8.0)
        self.flow.mark("Question")
        for line in lines:
            self.flow.y += 1.4 * TITLE
            self.flow.items.append(Text(self.flow.left, self.flow.y - 5.0, line, "ink", TITLE, "start", True))

    def choice(self, text: str, chosen: bool | None = None) -> None:
        """An answer with a box; `chosen` None on a worksheet."""
        flow, side = self.flow, 12.0
        flow.y += 1.8 * HEADING
        flow.items.append(Rect(flow.left, flow.y - side, side, side, "page", "ink2", 1.2))
        if chosen:
            x, y = flow.left, flow.y
            flow.items.append(Line(x + 2.0, y - 6.0, x + 5.0, y - 2.5, "ink", 2.0))
            flow.items.append(Line(x + 5.0, y - 2.5, x + 10.5, y - 10.0, "ink", 2.0))
        words = f"{text} (right)" if chosen else text
        flow.items.append(Text(flow.left + side + 8.0, flow.y - 1.5, words, "ink", HEADING, "start", bool(chosen)))

    def guess(self) -> None:
        flow = self.flow
        flow.heading("Guess")
        flow.text("My guess, before anything is shown, and why I think so:")
        self.ruled(3)

    def ruled(self, count: int) -> None:
        """Lines to write on."""
        for _ in range(count):
            self.flow.keep(_RULED)
            self.flow.y += _RULED
            self.flow.items.append(Line(self.flow.left, self.flow.y, self.flow.left + self.flow.width, self.flow.y, "edge", 0.7))
        self.flow.y += 4.0

    def count(self) -> None:
        """What the class guessed."""
        self.flow.heading("What the class guessed")
        rows = [(answer.text, "", "") for answer in self.lesson.answers]
        set_table(self.flow, PrintTable(("answer", "tally", "how many"), (34, 48, 18), rows, bold=frozenset({0}), size=BODY, lines=2))

    def watch(self) -> None:
        flow = self.flow
        flow.heading("Watch")
        flow.text(self.said(self.lesson.watch.text))
        flow.text(f"{self.lesson.measure.label}{f', {self.lesson.measure.note}' if self.lesson.measure.note else ''}:", token="ink2")
        rows = [(f"{bench.letter}  {bench.label}", "", "") for bench in self.played.benches]
        set_table(flow, PrintTable(("bench", "number", "what it means"), (44, 22, 34), rows, bold=frozenset({0}), size=BODY, lines=2))
        self.caution()

    def changes(self) -> None:
        """What the class may change, and a table for what came of it."""
        if not self.lesson.controls:
            return
        flow = self.flow
        flow.heading("Try")
        shown = [f"{label}: {span} (in the scene {start})" for label, span, start in control_rows(self.played, self.system)]
        flow.points(shown)
        heads = ("what I changed", *(bench.letter for bench in self.played.benches), "what I saw")
        rows = [("", *("" for _ in self.played.benches), "") for _ in range(2)]
        set_table(flow, PrintTable(heads, (30, *(14 for _ in self.played.benches), 42), rows, size=BODY, lines=2))
        flow.heading("The point, in my own words")
        self.ruled(2)

    def caution(self) -> None:
        self.flow.safety([self.said(self.lesson.safety)])

    # Answer sheet -----------------------------------------------------------------------------------------------------------------

    def answers(self, tried: Sequence[Played]) -> None:
        self.question()
        for answer in self.lesson.answers:
            self.choice(answer.text, answer is self.played.right)
        if self.played.right is None:
            self.flow.skip(6.0)
            self.flow.text(self.played.answer_text(), bold=True)
        self.outcome()
        self.caution()
        self.point()
        self.flow.heading("How it looks")
        self.pictures(later=True)
        self.chart()
        self.behind()
        self.tries(tried)
        self.facts()

    def outcome(self) -> None:
        """The number of each bench and how the answer follows."""
        flow, measure = self.flow, self.lesson.measure
        flow.heading("Worked answer")
        heads = ("", "bench", f"{measure.label}{f', {measure.note}' if measure.note else ''}", "so it is")
        rows = outcome_rows(self.played, self.system)
        set_table(flow, PrintTable(heads, (4, 34, 36, 26), rows, bold=frozenset({0, 2}), size=BODY))
        flow.skip(4.0)
        right = self.played.right
        so = f"So the right answer is: {right.text}." if right else self.played.answer_text()
        flow.points([what_is_read(self.played), how_it_is_judged(self.played, self.system), so], sign="number")
        if self.played.illustrative:
            flow.text("Illustrative: a picture for teaching, told as a band. Nothing in it is a forecast for any house.", token="ink2")

    def point(self) -> None:
        self.flow.heading("The point")
        self.flow.text(self.played.point(self.system))
        if not self.played.as_told:
            self.flow.text("The point tells of the scene as it was written; the values above are others.", token="ink2")

    def chart(self) -> None:
        self.flow.skip(12.0)
        self.flow.drawing(
            lesson_chart(self.played.chart, width=self.flow.width, height=_CHART, system=self.system, measure=self.flow.measure)
        )

    def behind(self) -> None:
        rows = behind_rows(self.played, self.system)
        if not rows:
            return
        self.flow.heading("The numbers behind it")
        of_run = self.lesson.measure.read == "total"
        place = "Over the whole run." if of_run else f"At {place_words(self.played)}, on the same day or at the same flow."
        self.flow.text(place, token="ink2", size=CAPTION)
        heads = ("quantity", *(bench.letter for bench in self.played.benches))
        set_table(self.flow, PrintTable(heads, (40, *(30 for _ in self.played.benches)), rows, bold=frozenset({0})))

    def tries(self, tried: Sequence[Played]) -> None:
        if not self.lesson.tries:
            return
        self.flow.heading("What to try", keep=150.0)
        heads = ("try", "told", *(bench.letter for bench in self.played.benches), "answer")
        rows = []
        for i in range(len(self.lesson.tries)):
            row = try_row(self.played, i, tried[i] if i < len(tried) else None, self.system)
            rows.append((changed_words(self.played, i, self.system), *row))
        set_table(self.flow, PrintTable(heads, (22, 32, *(17 for _ in self.played.benches), 16), rows, bold=frozenset({0})))

    def facts(self) -> None:
        if not self.lesson.facts:
            return
        self.flow.heading("What the lesson rests on")
        rows = [
            (fact_text(fact, self.system), source(fact.source).label, fact.status or source(fact.source).status_default)
            for fact in self.lesson.facts
        ]
        set_table(self.flow, PrintTable(("fact of the trade", "source", "how sure"), (50, 34, 16), rows))


__all__ = ["check_sheet_target", "lesson_sheet", "write_lesson_sheet"]
