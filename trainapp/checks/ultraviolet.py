"""Whether a UV chamber is the right device for this water: `uv-class`, `no-shutoff`, `no-certificate`. Its rating it judges itself."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from trainapp.checks.context import Context
from trainapp.checks.finding import Finding
from trainapp.checks.flow_controls import uncontrolled
from trainapp.stages.base import Severity
from trainapp.train.evaluation import Evaluation

#: What a chamber says of its own rating.
_OWN = frozenset({"outside-rating", "dose-short", "sample-gap"})
LIGHT = "Its light burns eyes and skin: never run the lamp outside the chamber, unplug it before opening."


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Each chamber of the train."""
    for uv in context.ultraviolet:
        yield from _class(context, uv)
        yield from _power_cut(context, uv)
        yield from _certificate(context, uv)


def _class(context: Context, uv: str) -> Iterator[Finding]:
    rated = context.device_class(uv)
    if rated == "A" or any(context.device_class(o) == "A" for o in context.ultraviolet if o in context.before(uv) | context.after(uv)):
        return
    device = "A class B device" if rated == "B" else "A device without a class"
    if context.coliform == "present":
        severity: Severity = "fail"
        why = "the sample holds coliform bacteria"
    elif context.open_source:
        severity, why = "fail", "the source stands open to the surface"
    elif context.plan.source != "mains" and context.coliform == "unknown":
        severity, why = "caution", context.coliform_gap
    elif context.influence == "unknown":
        severity, why = "caution", "whether surface water reaches the source is not known"
    else:
        return
    yield Finding(
        "uv-class", severity, uv, f"Not the class of device for this water: {context.name(uv)}",
        f"{device} only supplements water that is safe already, and {why}: this water asks for a class A device.",
        source="nsf-ansi-55", status="secondary", cause=f"uv-class:{uv}", cautions=(LIGHT,) if severity == "fail" else (),
    )  # fmt: skip


def standing(evaluation: Evaluation, context: Context, uv: str) -> Severity | None:
    """The worst that is found of the water, the flow and the dose at a chamber itself; None where it works inside all its limits."""
    if uncontrolled(evaluation, context, uv) is not None:
        return "fail"
    said = {remark.severity for remark in context.stages[uv].remarks if remark.code in _OWN}
    rows = context.table.of(uv)
    worst = int(context.ranks[rows, 0].max()) if rows else 0
    if "fail" in said or worst == 3:
        return "fail"
    return "caution" if "caution" in said or worst == 2 else None


def _power_cut(context: Context, uv: str) -> Iterator[Finding]:
    if context.needs_disinfection and context.device_class(uv) == "A" and context.setting(uv, "shutoff") != "valve":
        yield Finding(
            "no-shutoff", "caution", uv, "Untreated water flows when the power is out",
            f"Nothing shuts the water off when {context.name(uv)} has no power or raises its alarm: a valve that closes without power "
            "belongs ahead of it; until then draw no water in a power cut, and flush after it.",
            source="wi-811.60", status="published", cause="no-shutoff",
        )  # fmt: skip


def _certificate(context: Context, uv: str) -> Iterator[Finding]:
    """The certificate decides: without one a class and its ratings are someone's word."""
    if context.device_class(uv) == "A" and not context.setting(uv, "certificate"):
        name = context.name(uv)
        yield Finding(
            "no-certificate", "caution" if context.needs_disinfection else "note", uv, f"No certificate is named for {name}",
            f"Nothing here says who certified {name} as class A, at which flow, dose and transmittance: find its listing and name it "
            "before the chamber is relied on.",
            source="nsf-ansi-55", status="secondary", cause="no-certificate",
        )  # fmt: skip
