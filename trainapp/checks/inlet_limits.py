"""Water into a stage against what that stage stands: `inlet-limit`, and `override` where a document's own limit has no source."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from trainapp.checks.context import Context, analyte_inside
from trainapp.checks.finding import Finding
from trainapp.checks.judge import BROKEN, CLOSE, NOTED, UNSURE, UNSURE_NOTE
from trainapp.checks.left_over import why_left
from trainapp.checks.rows import Judged, analyte_label, because, judged, lies, limit_told, reaches, told
from trainapp.sources import sources
from trainapp.stages.base import Limit
from trainapp.train.evaluation import Evaluation
from trainapp.water.analytes import BY_KEY

#: What tells more where the answer is 'cannot tell'.
_ASK = {
    "iron": "measure dissolved iron too, or the water at this place",
    "manganese": "measure dissolved manganese too, or the water at this place",
    "turbidity": "let a jar stand overnight, or measure turbidity after a 5 µm filter",
    "uvt": "measure UVT after the stages ahead before the chamber is chosen",
}
#: Results that have answered it already.
_ANSWERS = {
    "iron": ("iron_dissolved",),
    "manganese": ("manganese_dissolved",),
    "turbidity": ("turbidity_filtered_5um", "settles_overnight"),
}
_ASK_LAB = "ask the laboratory for a lower reporting limit"
_ASK_NUMBER = "ask the laboratory for a number, of a diluted sample where its range ends"
_ASK_LATER = "test the water at this place after start-up"


def ask_for(context: Context, analyte: str) -> str:
    """What tells more: the laboratory where its sheet has no number, else a further measurement."""
    result = context.plan.raw.sheet.get(analyte)
    if result is not None and result.kind in ("below", "above"):
        return _ASK_LAB if result.kind == "below" and analyte != "ph" else _ASK_NUMBER
    answered = any(name in context.plan.raw.sheet for name in _ANSWERS.get(analyte, ()))
    return _ASK_LATER if answered else _ASK.get(analyte, _ASK_LATER)


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Every limit of every stage, as the design sample breaks it."""
    table = context.table
    for stage in context.stages:
        for index in table.of(stage):
            found = judged(context, index)
            if found is not None and found.row.kind != "rated":
                yield _override(context, found) if found.row.kind == "kept" else _finding(context, found)
        yield from _loosened(context, stage)


def _finding(context: Context, found: Judged) -> Finding:
    limit = found.row.limit
    assert isinstance(limit, Limit)
    place, label = context.name(found.row.at), analyte_label(limit.analyte)
    side = "over" if found.above else "under"
    title = f"{label} into {place}"
    if found.outcome in (UNSURE, UNSURE_NOTE):
        title = f"{label} into {place}: cannot tell"
    return Finding(
        limit.code, found.severity, found.row.at, title, _message(context, found, label, place, side), limit.analyte, found.value,
        found.bound, _source(limit), limit.status, cause=_cause(context, found),
    )  # fmt: skip


def cause(found: Judged, at: str = "") -> str:
    """The key of one analyte being too much (or too little) wherever it shows on its way to the taps.

    Water outside a UV device's rating is a matter of its own.
    """
    limit = found.row.limit
    if isinstance(limit, Limit) and limit.code != "inlet-limit":
        return f"{limit.code}:{at or found.row.at}:{limit.analyte}"
    return f"{limit.analyte}:{'high' if found.above else 'low'}"


def _cause(context: Context, found: Judged) -> str:
    """pH that keeps a medium from its work is one matter, what it does to the pipes of the house is another."""
    twin = context.twin(found.row.at)
    if found.row.limit.analyte == "ph" and "iron_removal" in context.tags(found.row.at):
        return f"inlet-limit:{twin}:ph"
    return cause(found, twin)


def _message(context: Context, found: Judged, label: str, place: str, side: str) -> str:
    limit = found.row.limit
    assert isinstance(limit, Limit)
    held = found.row.scales and found.outcome == NOTED
    bound, why = limit_told(context, found), because("held in solution even at the warm sleeve of the lamp" if held else limit.reason)
    kind = "the limit" if limit.strict else "the screening guide"
    if limit.source and limit.source not in sources():
        kind = f"the device's own limit ({limit.source})"
    begins = f"{label} {reaches(label)} {place} at {told(context, found)}"
    if found.outcome in (UNSURE, UNSURE_NOTE):
        ask = ask_for(context, limit.analyte)
        return f"{label} at {place} {lies(label)} {told(context, found)} and {kind} of {bound} lies inside: cannot tell; {ask}."
    tail = _why_here(context, found) if found.above else ""
    if found.outcome == CLOSE and not found.raw:
        close = "by less than the model is sure of: too close to call, test after start-up"
        return f"{begins}, {side} {kind} of {bound} {close}{why}{f'; {tail}' if tail else ''}."
    return f"{begins}, {side} {kind} of {bound}{why}{f'; {tail}' if tail else ''}."


def _why_here(context: Context, found: Judged) -> str:
    """Why it comes this far: what keeps the stage for it from its work, or that none stands ahead, or that those which do take nothing."""
    analyte = found.row.limit.analyte
    left = why_left(context, analyte, found.row.at, found.untouched)
    if left or found.outcome != BROKEN or not found.untouched:
        return left
    made_for = {"iron": "iron_removal", "manganese": "iron_removal", "hardness": "softening"}.get(analyte)
    ahead = [s for s in context.having(made_for) if s in context.before(found.row.at)] if made_for else []
    return f"{context.name(ahead[-1])} ahead takes none of it" if ahead else "nothing ahead takes it out"


def _source(limit: Limit) -> str:
    """The key of the source; a document's own words for one stand in the message."""
    return limit.source if limit.source in sources() else "document"


# Overrides ----------------------------------------------------------------------------------------------------------------


def _override(context: Context, found: Judged) -> Finding:
    guide = found.row.limit
    assert isinstance(guide, Limit)
    label, place = analyte_label(guide.analyte), context.name(found.row.at)
    strict = found.outcome == BROKEN
    tail = "cannot be loosened on water that needs disinfection" if strict else "stands until the source of the other limit is given"
    return Finding(
        guide.code if strict else "override", found.severity, found.row.at, f"{label} into {place}: the guide stands",
        f"{label} reaches {place} at {told(context, found)}; the document sets its own limit, "
        f"but {limit_told(context, found)} {tail}{because(guide.reason)}.",
        guide.analyte, found.value, found.bound, _source(guide), guide.status,
        cause=f"{guide.code}:{found.row.at}:{guide.analyte}" if strict else f"override:{found.row.at}:{guide.analyte}",
    )  # fmt: skip


def _loosened(context: Context, stage: str) -> Iterator[Finding]:
    """A note for an override without a source whose guide holds anyway."""
    broken = {context.table.rows[i].limit.analyte for i in context.table.of(stage) if context.table.outcome[i, :, 0].any()}
    for limit in context.plan.limits.get(stage, ()):
        guide = limit.override_of
        if guide is None or limit.analyte in broken:
            continue
        dimension = BY_KEY[limit.analyte].dimension
        bound = limit.maximum if limit.maximum is not None else limit.minimum
        if bound is None:
            continue
        yield Finding(
            "override", "note", stage, f"A limit of {context.name(stage)} has no source",
            f"The document sets {analyte_inside(limit.analyte)} of {context.show(bound, dimension, limit.analyte)} for "
            f"{context.name(stage)} and does not say where that comes from; the usual guide stands beside it.",
            limit.analyte, source="document", cause=f"override:{stage}:{limit.analyte}",
        )  # fmt: skip


__all__ = ["cause", "check"]
