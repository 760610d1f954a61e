"""What the sample does not say: `sample-gap`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from trainapp.checks.assumed import shaken
from trainapp.checks.context import SUPPLY, Context, analyte_inside, analyte_label, start
from trainapp.checks.finding import Finding
from trainapp.checks.table import Row
from trainapp.spelling import inside
from trainapp.stages.working import pick
from trainapp.train.evaluation import Evaluation
from trainapp.water.analytes import BY_KEY

#: Tags of stages that are sized by an analyte: without it their size means nothing.
_SIZED_BY = {"hardness": "softening", "tannin": "anion_exchange"}
#: What is set by a test of the treated water, whatever the sample holds.
_SET_AT_START_UP = frozenset({"free_chlorine"})


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Missing analytes that decide something, then one note for all others."""
    decides: list[str] = []
    for analyte, low, high in evaluation.gaps:
        found = _gap(context, analyte, low, high)
        if found is not None:
            decides.append(analyte)
            yield found
    yield from _coliform(context)
    # UVT that was not measured is told by the chamber itself
    rest = [analyte for analyte, _, _ in evaluation.gaps if analyte not in decides and not (analyte == "uvt" and context.ultraviolet)]
    if rest:
        named = ", ".join(analyte_label(a) for a in rest)
        yield Finding(
            "sample-gap", "note", "", "Assumed, does not change the result",
            f"Not measured, assumed within what is usual, and without weight here: {named}.{_smell(rest)}", source="common-practice",
            cause="sample-gap:rest",
        )  # fmt: skip


def _smell(assumed: list[str]) -> str:
    """What stands in for a test of sulfide: it is taken as less than anyone smells."""
    told = " Hydrogen sulfide is taken as less than anyone smells: where the water smells of rotten eggs have it measured."
    return told if "hydrogen_sulfide" in assumed else ""


def _gap(context: Context, analyte: str, low: int, high: int) -> Finding | None:
    """A caution where some judgement of the train is another at the one plausible end than at the other."""
    sized = context.having(_SIZED_BY[analyte]) if analyte in _SIZED_BY else []
    if sized:
        return _finding(context, analyte, sized, _sized(context, analyte, sized, (low, high)))
    if analyte == "uvt" and context.ultraviolet:
        return None
    rows, said = _rows_changed(context, analyte, low, high), shaken(context).by.get(analyte, [])
    if not rows and not said:
        return None
    places = sorted(dict.fromkeys([row.at for row in rows] + [stage for stage, _ in said]), key=lambda at: context.rank.get(at, -1))
    others = [analyte_inside(key) for key in dict.fromkeys(row.limit.analyte for row in rows) if key != analyte]
    told = [f"by {', '.join(others)}"] if others else []
    told += list(dict.fromkeys(inside(title) for _, title in said))
    why = f" ({'; '.join(told)})" if told else ""
    return _finding(context, analyte, places, f"what is found at {context.names(places)} depends on it{why}")


def _sized(context: Context, analyte: str, stages: list[str], ends: tuple[int, int]) -> str:
    """What the size of stages was worked out for instead, and how far it may be from that."""
    water, dimension = context.evaluation.points[SUPPLY].water.get(analyte), BY_KEY[analyte].dimension
    low, high = (context.show(pick(water[..., case : case + 1]), dimension, analyte) for case in ends)
    assumed = context.show(context.readings.most(SUPPLY, analyte), dimension, analyte)
    are = "is" if len(stages) == 1 else "are"
    return f"{context.names(stages)} {are} worked out for an assumed {assumed}, where {low} to {high} is usual"


def _rows_changed(context: Context, analyte: str, low: int, high: int) -> list[Row]:
    """Limits that are judged otherwise at the one end than at the other, as far as it is a caution or a fail at one of them."""
    ranks = context.ranks
    if not len(ranks):
        return []
    ranks = ranks.copy()
    ranks[[i for i, row in enumerate(context.table.rows) if _is_aside(context, row, analyte)]] = 0
    changed = np.flatnonzero((ranks[:, low] != ranks[:, high]) & (np.maximum(ranks[:, low], ranks[:, high]) >= 2))
    return [context.table.rows[i] for i in changed]


def _is_aside(context: Context, row: Row, analyte: str) -> bool:
    """What never asks for a test of its own.

    Chlorine is set at start-up by what is left of it; salts are a matter of taste; what tannin does to the light is in UVT, which is
    measured anyway.
    """
    light = analyte == row.limit.analyte == "tannin" and row.at in context.ultraviolet
    return light or row.escalates or row.limit.analyte in _SET_AT_START_UP


def _finding(context: Context, analyte: str, places: list[str], why: str) -> Finding:
    missing = f"{analyte_label(analyte)} {'were' if analyte_label(analyte).endswith('solids') else 'was'} not measured"
    return Finding(
        "sample-gap", "caution", places[0], missing, f"{missing}, and {why}: have it measured.", analyte,
        source="common-practice", also_at=tuple(places[1:]), cause=f"sample-gap:{analyte}",
    )  # fmt: skip


def _coliform(context: Context) -> Iterator[Finding]:
    """Coliform that was not measured: a caution wherever finding it would change the verdict.

    Where a chamber is not made for unsafe water its class is told instead, and where no chamber stands at a source at risk the way to the
    taps is.
    """
    if context.coliform != "unknown" or context.plan.source == "mains":
        return
    if any(context.device_class(uv) != "A" for uv in context.ultraviolet) or (not context.ultraviolet and context.need != "unknown"):
        return
    title = "Coliform was not measured" if "total_coliform" not in context.plan.raw.sheet else "The test of coliform begins too high"
    if context.ultraviolet:
        stands = "stands" if len(context.ultraviolet) == 1 else "stand"
        why = (
            f"{context.names(context.ultraviolet)} {stands} there for the case that it is present, and then nobody may drink until "
            "tests after start-up are clear; have total coliform and E. coli tested"
        )
    else:
        why = "nobody knows whether this water needs disinfection; have total coliform and E. coli tested"
    yield Finding(
        "sample-gap", "caution", "", title, f"{start(context.coliform_gap)}: {why}.",
        "total_coliform", source="epa-private-wells", status="published", cause="sample-gap:total_coliform",
    )  # fmt: skip
