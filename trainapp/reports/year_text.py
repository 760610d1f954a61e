"""The answer of `trainapp year` as text for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from trainapp import units
from trainapp.reports.year_model import warning_of
from trainapp.reports.year_words import FIRST_OF_EACH, ILLUSTRATIVE, NEVER, NOT_SAFE, date_of, numbers, show, title_of, when
from trainapp.spelling import spelt
from trainapp.studies.year import GoneWrong, Pair, Year
from trainapp.studies.year.options import days_told

_WIDTH = 100
_KEPT = {"on-time": "looked after on time", "late": "looked after late", "never": "never looked after"}


def year_lines(year: Year, system: units.System) -> Iterator[str]:
    """Lines to print, no colour: what ran, its numbers, and the first day that each thing goes wrong, with the reason."""
    yield from _warned(year)
    yield from textwrap.wrap(title_line(year), _WIDTH)
    yield ""
    for told in numbers(year):
        if told.band is not None:
            low, high = told.band
            text = f"{low:.0f} to {high:.0f} h"
        elif told.value is None:
            continue
        else:
            text = show(told.value, told.dimension, system)
        yield f"{told.label + ' ':.<80} {text}"
    yield ""
    yield from _wrongs("What goes wrong, first of each", year, year.gone_wrong)
    yield from _cautions()


def pair_lines(pair: Pair, system: units.System) -> Iterator[str]:
    """Two runs beside each other."""
    yield from _warned(pair.first, pair.second)
    yield from textwrap.wrap(title_line(pair.first), _WIDTH)
    yield ""
    yield f"{'':<58}{pair.labels[0]:>21}{pair.labels[1]:>21}"
    for m in pair.measures:
        bands = m.band or (None, None)
        sides = [_side(v, m.dimension, band, system) for v, band in zip((m.first, m.second), bands, strict=True)]
        mark = ", illustrative" if m.illustrative else ""
        yield f"{m.label + mark:<58}{sides[0]:>21}{sides[1]:>21}"
    yield ""
    yield from _both(pair)
    yield from _cautions()


def _warned(*years: Year) -> Iterator[str]:
    """Before everything: what to do now where the water must not be drunk."""
    told = warning_of(*years)
    if told:
        yield from textwrap.wrap(spelt(told), _WIDTH)
        yield ""


def _side(value: float | None, dimension: str, band: tuple[float, float] | None, system: units.System) -> str:
    if band is not None:
        return f"{band[0]:.0f} to {band[1]:.0f} h"
    if value is None:
        return "-"
    return show(value, "pieces" if dimension == "none" else dimension, system)


def title_line(year: Year) -> str:
    """What ran, as a sentence that begins with the name of the site."""
    options = year.options
    name = year.document.site.name or "This train"
    pattern = year.machine.demand.pattern.label.lower()
    parts = [f"{days_told(options.days)} from {date_of(year, 0)}", f"{pattern} pattern", _KEPT[options.upkeep.kept]]
    if options.spike is not None:
        parts.append(f"a spike of {options.spike.analyte}")
    return f"{name}: {', '.join(parts)}."


def _wrongs(head: str, year: Year, wrongs: Sequence[GoneWrong]) -> Iterator[str]:
    yield f"{head}:" if wrongs else f"{head}: nothing that was modelled."
    for wrong in wrongs:
        yield f"  {when(year, wrong)}  {wrong.severity}  [{wrong.stage}]"
        yield from textwrap.wrap(spelt(wrong.sentence), _WIDTH, initial_indent=" " * 6, subsequent_indent=" " * 6)


def _both(pair: Pair) -> Iterator[str]:
    """What goes wrong in either run, the first days of both one under the other."""
    rows = pair.gone_wrong
    yield f"{FIRST_OF_EACH}:" if rows else f"{FIRST_OF_EACH}: nothing that was modelled."
    for row in rows:
        yield from textwrap.wrap(
            f"{spelt(title_of(row.either))}  [{row.either.stage}]", _WIDTH, initial_indent="  ", subsequent_indent="    "
        )
        for label, year, wrong in ((pair.labels[0], pair.first, row.first), (pair.labels[1], pair.second, row.second)):
            told = f"{label}: {NEVER if wrong is None else f'{when(year, wrong)}, {wrong.severity}. {spelt(wrong.sentence)}'}"
            yield from textwrap.wrap(told, _WIDTH, initial_indent=" " * 6, subsequent_indent=" " * 8)


def _cautions() -> Iterator[str]:
    yield ""
    for sentence in (ILLUSTRATIVE, NOT_SAFE):
        yield from textwrap.wrap(sentence, _WIDTH)
