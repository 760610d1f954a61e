"""What a train brings into water beside what it takes out: sodium of softeners in mg/L against its guide, the taste of fed chlorine."""

from __future__ import annotations

from collections.abc import Sequence

from trainapp.checks import sodium
from trainapp.checks.context import Context
from trainapp.checks.taste import taste
from trainapp.reports.options_cells import Cell, Row
from trainapp.studies.options.contender import Contender
from trainapp.units import System, show, typeset, unit

_TASTED = "Tastes and smells of chlorine: "


def extra_rows(contenders: Sequence[Contender], system: System) -> tuple[Row, ...]:
    """A row for each of both, where any of them is in question."""
    found = sodium_row(contenders, system), taste_row(contenders, system)
    return tuple(row for row in found if row is not None)


def sodium_row(contenders: Sequence[Contender], system: System) -> Row | None:
    """Sodium at the house of trains that soften; None where none does."""
    contexts = [Context(contender.measured.evaluation, system) for contender in contenders]
    reached = [sodium.at_house(context.evaluation, context) for context in contexts]
    if not any(reached):
        return None
    each = typeset(unit("concentration", system))
    advice, note = sodium.guide(contexts[0]), ""
    if advice is not None and advice.maximum is not None:
        bound = typeset(show(advice.maximum, "concentration", system, analyte="sodium"))
        each, note = f"guide {bound}", f"Guide {bound}, {advice.reason}."
    cells = tuple(map(_sodium_cell, reached))
    return Row("sodium", "Sodium at the house", each, cells, "findings", note, 0)


def _sodium_cell(found: sodium.Reached | None) -> Cell:
    """A figure, or words where only what is added is known."""
    if found is None:
        return Cell("not softened", quiet=True)
    return Cell(typeset(found.shown))


def sodium_line(contender: Contender, system: System) -> str:
    """The same of one train in one clause, "" where it does not soften: "152 mg/L, guide 20 mg/L (for people on ...)"."""
    row = sodium_row([contender], system)
    if row is None:
        return ""
    context = Context(contender.measured.evaluation, system)
    advice = sodium.guide(context)
    beside = f", {row.unit} ({advice.reason})" if advice is not None else ""
    return f"{row.cells[0].text}{beside}"


def taste_row(contenders: Sequence[Contender], system: System) -> Row | None:
    """Chlorine that is tasted at the house; None where nobody tastes any."""
    told = [taste(contender.measured.evaluation, system).removeprefix(_TASTED) for contender in contenders]
    if not any(told):
        return None
    why = dict.fromkeys(text.rpartition(", ")[2] for text in told if text)
    note = "; ".join(why)
    cells = tuple(Cell(typeset(text.partition(" of it reaches ")[0])) if text else Cell("none that is tasted", quiet=True) for text in told)
    return Row("taste", _TASTED.removesuffix(": "), "", cells, "findings", f"{note[:1].upper()}{note[1:]}.")


__all__ = ["extra_rows", "sodium_line", "sodium_row", "taste_row"]
