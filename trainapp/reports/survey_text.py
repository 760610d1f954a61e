"""What `trainapp survey` says when its table is written: how many waters, what they fail at most, what could not be read."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from trainapp.spelling import spelt
from trainapp.studies.survey import Survey

_WIDTH = 100
_MOST_TITLES, _MOST_LINES = 8, 20
_WORDS = {
    "fail": "with a fail", "caution": "with cautions alone", "nothing-found": "with nothing found among what was measured and modelled",
    "": "that could not be read",
}  # fmt: skip
ALONE = (
    "Each water was judged as the one sample of this train; the samples of its document were left aside. What a line does not hold was "
    "not judged; values at the house are the adverse ends. Only tests after start-up show whether water is fit to drink."
)


def survey_lines(answer: Survey) -> Iterator[str]:
    """Lines to print."""
    yield from _wrapped(f"{answer.document.site.name or 'This train'}: {_counts(answer)}.")
    for severity, lead in (("fail", "Fails"), ("caution", "Cautions")):
        often = answer.often(severity)
        if often:
            yield ""
            yield f"{lead} met:"
            yield from (f"  {_waters(count):>12}  {spelt(title)}" for title, count in often[:_MOST_TITLES])
            if len(often) > _MOST_TITLES:
                yield f"  and {len(often) - _MOST_TITLES} more"
    yield from _unread(answer)
    if answer.samples.left:
        yield ""
        yield from _wrapped(f"Columns that are no analyte, left: {', '.join(answer.samples.left)}.")
    yield ""
    yield from _wrapped(ALONE)


def _counts(answer: Survey) -> str:
    told = ((answer.count(verdict), words) for verdict, words in _WORDS.items())
    parts = [f"{count:,} {words}" for count, words in told if count]
    return f"{_waters(len(answer.outcomes))}: {', '.join(parts)}"


def _unread(answer: Survey) -> Iterator[str]:
    troubles = [outcome.water for outcome in answer.outcomes if outcome.water.trouble]
    if not troubles:
        return
    yield ""
    yield "Not read:"
    for water in troubles[:_MOST_LINES]:
        name = f" ({water.name})" if water.name else ""
        yield from _wrapped(f"line {water.line}{name}: {water.trouble}", "  ")
    if len(troubles) > _MOST_LINES:
        yield f"  and {len(troubles) - _MOST_LINES:,} more, each named in the table"


def _waters(count: int) -> str:
    return f"{count:,} water{'' if count == 1 else 's'}"


def _wrapped(text: str, indent: str = "") -> Iterator[str]:
    yield from textwrap.wrap(text, _WIDTH, initial_indent=indent, subsequent_indent=indent + ("  " if indent else ""))
