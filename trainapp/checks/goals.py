"""Water at the taps against the limit set in force: `health`, and `outlet-goal` for taste, stain and advice."""

from __future__ import annotations

from collections.abc import Iterable

from trainapp.checks.context import SUPPLY, Context, start
from trainapp.checks.drinking import stays_when_boiled
from trainapp.checks.finding import Finding
from trainapp.checks.inlet_limits import ask_for, cause
from trainapp.checks.judge import BROKEN, CLOSE, UNSURE, UNSURE_NOTE
from trainapp.checks.left_over import why_left
from trainapp.checks.limits import WaterLimit
from trainapp.checks.rows import Judged, analyte_label, judged, lies, limit_told, reaches, told
from trainapp.spelling import inside
from trainapp.train.evaluation import Evaluation
from trainapp.water.analytes import BY_KEY

_NOT_COOKED = "Do not drink it, and do not cook with it, until a test of the treated water is below the limit."
_NOT_BOILED = "Boiling does not remove it and makes it stronger."


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Every row of the limit set at every end from which someone drinks."""
    table = context.table
    for end in context.drinking_ends:
        told_already: dict[str, int] = {}
        found = [row for index in table.of(end) if (row := judged(context, index)) is not None]
        for row in sorted(found, key=lambda r: (not _is_health(r), -r.outcome)):
            # of several limits of one analyte the one on health speaks, and beside it only what is worse
            if row.outcome > told_already.get(row.row.limit.analyte, 0):
                told_already[row.row.limit.analyte] = row.outcome
                yield _finding(context, row)
    yield from _rests_on_a_word(context)


def _is_health(found: Judged) -> bool:
    return isinstance(found.row.limit, WaterLimit) and found.row.limit.kind == "health" and found.severity != "note"


def _finding(context: Context, found: Judged) -> Finding:
    limit = found.row.limit
    assert isinstance(limit, WaterLimit)
    health = limit.kind == "health"
    label, place = analyte_label(limit.analyte), context.name(found.row.at)
    title = f"{label} at {place}" + (": cannot tell" if found.outcome in (UNSURE, UNSURE_NOTE) else "")
    key = f"health:{limit.analyte}" if health else cause(found)
    cautions = (_NOT_COOKED, _NOT_BOILED) if health and stays_when_boiled(limit.analyte) else (_NOT_COOKED,) if health else ()
    return Finding(
        "health" if health else "outlet-goal", found.severity, found.row.at, title, _message(context, found, label, place, limit),
        limit.analyte, found.value, found.bound, limit.source, limit.status, cause=key,
        cautions=cautions if found.outcome == BROKEN else (),
    )  # fmt: skip


def _message(context: Context, found: Judged, label: str, place: str, limit: WaterLimit) -> str:
    side = "over" if found.above else "under"
    kind = {"health": "the health limit", "advisory": "the advice"}.get(limit.kind, "the limit for taste and stains")
    bound = limit_told(context, found)
    if found.outcome in (UNSURE, UNSURE_NOTE):
        ask = ask_for(context, limit.analyte)
        return f"{label} at {place} {lies(label)} {told(context, found)} and {kind} of {bound} lies inside: cannot tell; {ask}."
    begins = f"{label} {reaches(label)} {place} at {told(context, found)}, {side} {kind} of {bound}"
    left = why_left(context, limit.analyte, found.row.at, found.untouched) if found.above and not _told_at_chamber(context, found) else ""
    tail = f" {start(left)}." if left else ""
    if found.outcome == CLOSE and not found.raw:
        return f"{begins} by less than can be called: test after start-up; {limit.reason}.{tail}"
    more = " No stage of this train takes it out." if limit.kind == "health" and found.raw else ""
    return f"{begins}: {limit.reason}.{more}{tail}"


def _told_at_chamber(context: Context, found: Judged) -> bool:
    """Whether a chamber ahead tells of the same analyte, and why it comes so far."""
    table = context.table
    chambers = [uv for uv in context.ultraviolet if uv in context.before(found.row.at)]
    rows = [i for uv in chambers for i in table.of(uv) if table.rows[i].limit.analyte == found.row.limit.analyte]
    return any(table.outcome[i, :, 0].max() > 0 for i in rows)


def _rests_on_a_word(context: Context) -> Iterable[Finding]:
    """A health limit that the raw water breaks and only a declared stage brings down."""
    declared = context.having("declared")
    if not declared:
        return
    readings = context.readings
    for row in context.limits.rows:
        if row.kind != "health" or row.maximum is None or row.analyte not in readings.names:
            continue
        for end in context.drinking_ends:
            ahead = [stage for stage in declared if stage in context.before(end)]
            over = readings.above(SUPPLY, row.analyte, row.maximum)
            if ahead and over and readings.most(end, row.analyte) <= row.maximum:
                yield _word(context, row, ahead[-1], end)


def _word(context: Context, row: WaterLimit, stage: str, end: str) -> Finding:
    label, dimension = analyte_label(row.analyte), BY_KEY[row.analyte].dimension
    assert row.maximum is not None
    raw = context.show(context.readings.most(SUPPLY, row.analyte), dimension, row.analyte)
    return Finding(
        "health", "note", end, f"{label} at {context.name(end)} rests on a declared stage",
        f"The raw water has {raw} of {inside(label)}, over the health limit of {context.show(row.maximum, dimension, row.analyte)}; "
        f"{context.name(stage)} is said to take it out and is not modelled: test its water before anyone drinks it.",
        row.analyte, source=row.source, status=row.status, cause=f"health:{row.analyte}",
    )  # fmt: skip
