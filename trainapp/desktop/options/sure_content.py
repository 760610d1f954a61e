"""What is said of how sure a train is, and the spreads as rows that can be typed over."""

from __future__ import annotations

from collections.abc import Iterator

from trainapp.checks.context import analyte_label
from trainapp.desktop.editors.sheet_model import Cell, Column, Line
from trainapp.reports.confidence_text import NOT_DRAWN, NOT_SAFE, clean, headline, matters, met_words
from trainapp.reports.drawing.marks import Mark
from trainapp.spelling import spelt
from trainapp.studies.confidence import Confidence, Spreads
from trainapp.studies.confidence.spreads import SpreadsError, with_spread

SHEET = (Column("what", "What varies"), Column("spread", "Spread", 96, True), Column("source", "From", 150))
_FIXED = {
    ("flow", "peak"): "The peak that was taken",
    ("flow", "daily"): "A day's use",
    ("method", "field"): "A field kit, times less sure",
    ("method", "estimate"): "A figure that nobody measured, times less sure",
    ("draw", "within"): "Drawn in to so many spreads",
}
_HEADS = {"lab": "Laboratory, one standard deviation", "season": "Season, one standard deviation", "flow": "Flow and drawing"}
_NAMED = 3


def told(answer: Confidence) -> Iterator[tuple[Mark | None, str]]:
    """Sentences, the one that counts first."""
    if answer.warning:
        yield "fail", answer.warning
    first = headline(answer)
    yield None, f"{first[:1].upper()}{first[1:]}."
    if rest := clean(answer):
        yield None, rest
    for finding in answer.fixed:
        mark: Mark = finding.severity
        yield mark, f"In every case, whatever is drawn: {finding.title}."
    for met in answer.met:
        yield ("fail" if met.fails else "caution"), f"{met.what}: {met_words(met, answer.draws)}."
    yield None, matters(answer)
    yield None, NOT_DRAWN
    yield None, NOT_SAFE


def lines(spreads: Spreads) -> Iterator[Line]:
    """Spreads as rows: what they are of, how wide, and how sure that is."""
    for section, rows in (("lab", spreads.lab_rows), ("season", spreads.season_rows)):
        yield Line(f"heading {section}", _HEADS[section], (Cell(_HEADS[section], bold=True),), heading=True)
        for place, row in enumerate(rows):
            text = dict(row.text)
            split = any(other.analytes == row.analytes and other.sources for other in rows)
            what = _analytes(row.analytes, row.sources, split)
            shown = str(text.get("share") or text.get("amount") or "")
            yield _line(f"{section} {place}", what, shown, str(text.get("status", "own")))
    yield Line("heading flow", _HEADS["flow"], (Cell(_HEADS["flow"], bold=True),), heading=True)
    shares = {("flow", "peak"): f"{100 * spreads.peak:g} %", ("flow", "daily"): f"{100 * spreads.daily:g} %"}
    numbers = {("draw", "within"): spreads.within, **{("method", key): value for key, value in spreads.method.items()}}
    values = shares | {key: f"{value:g}" for key, value in numbers.items()}
    for (section, key), label in _FIXED.items():
        if (section, key) in values:
            yield _line(f"{section} {key}", label, values[section, key], "common practice")


def _line(key: str, what: str, shown: str, status: str) -> Line:
    return Line(key, what, (Cell(what, note=what), Cell(shown, editable=True), Cell(status, token="ink3")))


def _analytes(analytes: tuple[str, ...], sources: tuple[str, ...], split: bool) -> str:
    """What a row is of; `split` where sources of some kinds have a row of their own."""
    named = "; ".join(spelt(analyte_label(key)) for key in analytes[:_NAMED]) or "All others"
    more = f" and {len(analytes) - _NAMED} more" if len(analytes) > _NAMED else ""
    where = f" ({', '.join(source.replace('_', ' ') for source in sources)})" if sources else " (other sources)" if split else ""
    return f"{named}{more}{where}"


def edited(spreads: Spreads, key: str, text: str) -> Spreads:
    """Spreads with another figure in one row.

    Raises:
        SpreadsError: with what is wrong.
    """
    section, _, place = key.partition(" ")
    if not text.strip():
        raise SpreadsError("a spread is a share, an amount or a number: 0 for none")
    return with_spread(spreads, section, place, text.strip())


__all__ = ["SHEET", "edited", "lines", "told"]
