"""Remedies at the disinfection: flow control, class, rating, metal pipe, valve, what stands ahead of the chamber and behind it."""

from __future__ import annotations

from collections.abc import Iterator

from trainapp import units
from trainapp.dimensions import INCH
from trainapp.studies.remedies_case import Candidate, Case
from trainapp.studies.remedies_flow import joined
from trainapp.studies.remedies_parts import chained, insert, moved, refitted, resized, setting
from trainapp.train.edits import ChangeSetting, Edit, SetValue, Unlink
from trainapp.train.edits import Link as Lay
from trainapp.train.zones import HOUSE, Link

_METAL = 12 * INCH


def candidates(case: Case) -> Iterator[Candidate]:
    """For the finding's code."""
    code, stage = case.finding.code, case.finding.stage
    if code == "unprotected-path":
        yield from _protected(case)
    elif code == "order" and case.is_stage:
        yield from _in_order(case, stage)
    elif case.is_stage and "disinfection" in case.context.tags(stage):
        yield from _of_the_chamber(case, stage, code)


def _of_the_chamber(case: Case, uv: str, code: str) -> Iterator[Candidate]:
    if code == "no-flow-control":
        yield from _held(case, uv)
    elif code == "uv-plastic":
        yield from _metal(case, uv)
    elif code == "no-shutoff":
        yield from _valve(case, uv)
    elif code == "outside-rating" and case.finding.analyte == "":
        yield from resized(case, uv, most=3)
        yield from _class_a(case, uv)
        yield from _side_by_side(case, uv)
    elif code == "outside-rating":
        yield from refitted(case, uv, "a chamber for darker water", 2, rated_uvt=65.0)
        yield from resized(case, uv, most=1)
    elif code in ("uv-class", "dose-short"):
        yield from _class_a(case, uv)


# The chamber ----------------------------------------------------------------------------------------------------------------------


def _held(case: Case, uv: str) -> Iterator[Candidate]:
    """Its own control, one ahead of it, or a chamber that has one and takes more."""
    rated = float(case.setting(uv, "rated_flow"))
    text = units.write(rated, "flow", "us")
    label = f"Give {case.name(uv)} a flow control of its own at {case.show(rated, 'flow')}."
    own = setting(case, uv, "flow_control", text, label, "a flow control in the chamber", work="flow_control")
    yield own
    link = case.link_to(uv)
    for item in reversed(list(case.catalogue.of_kind("flow_control"))):
        flow = float(case.catalogue.settings(item).number("flow"))
        if link is not None and flow * 1.15 <= rated * case.context.stage(uv).count and flow >= case.site.spot(link).peak * (1 - 1e-6):
            yield from insert(case, item, link)
            break
    yield from _class_a(case, uv)
    yield from resized(case, uv)
    for bigger in list(resized(case, uv)):
        yield from joined(case, [bigger], [own])


def _class_a(case: Case, uv: str) -> Iterator[Candidate]:
    """Chambers of class A that take the flow here."""
    for shutoff in ("valve", "none"):
        yield from refitted(case, uv, "a class A chamber", 2, device_class="A", shutoff=shutoff, rated_uvt=75.0)


def _side_by_side(case: Case, uv: str) -> Iterator[Candidate]:
    if case.context.stage(uv).flow_cap is not None:
        count = case.context.stage(uv).count + 1
        label = f"Let {count} units of {case.name(uv)} stand side by side, each with its own flow control."
        yield setting(case, uv, "count", count, label, "chambers side by side")


def _metal(case: Case, uv: str) -> Iterator[Candidate]:
    label = f"Run {case.show(_METAL, 'length')} of metal pipe at both ports of {case.name(uv)}."
    yield setting(case, uv, "metal_run", "12 in", label, "metal pipe at the chamber", work="metal_run")
    edits: list[Edit] = [
        SetValue(path=("links", f"{a}>{b}", "pipe", "material"), value="copper_l") for a, b in case.evaluation.links if uv in (a, b)
    ]
    label, works = f"Lay the pipes that meet {case.name(uv)} in copper.", ("copper_pipe",) * len(edits)
    yield Candidate(label, tuple(edits), "copper pipe at the chamber", works)


def _valve(case: Case, uv: str) -> Iterator[Candidate]:
    label = f"Put a valve ahead of {case.name(uv)} that closes without power."
    yield setting(case, uv, "shutoff", "valve", label, "a shut-off valve", work="shutoff_valve")
    rated = float(case.setting(uv, "rated_uvt"))
    yield from refitted(case, uv, "a chamber with a shut-off valve", 1, device_class="A", shutoff="valve", rated_uvt=rated)


# What stands ahead of it and behind it ----------------------------------------------------------------------------------------------


def _in_order(case: Case, stage: str) -> Iterator[Candidate]:
    """A chamber without a fine cartridge ahead; a stage behind the chamber; carbon as the last barrier."""
    tags = case.context.tags(stage)
    if "disinfection" in tags and case.finding.code == "order":
        link = case.link_to(stage)
        if link is not None:
            for rating in (5e-6, 1e-6):
                for item in case.items("sediment_cartridge", link, 2, rating=rating):
                    yield from insert(case, item, link)
        return
    chambers = case.ahead(stage, "disinfection")
    if chambers:
        yield from moved(case, stage, _ahead_of_chamber(case, chambers[0]))
        yield from moved(case, stage, case.link_to(chambers[0]))
        for uv in chambers[-1:]:
            yield from moved(case, uv, case.link_to(HOUSE))
    elif "carbon" in tags or "storage" in tags:
        yield from _chamber_last(case, HOUSE)
        for softener in case.ahead(HOUSE, "softening")[:1]:
            yield from moved(case, stage, case.link_to(softener))


def _ahead_of_chamber(case: Case, uv: str) -> Link | None:
    """The pipe ahead of the fine cartridge that stands before a chamber, else of the chamber itself."""
    link = case.link_to(uv)
    while link is not None and link[0] in case.evaluation.stages and case.rank(link[0]) >= 80:
        link = case.link_to(link[0])
    return link


def _protected(case: Case) -> Iterator[Candidate]:
    """Ways round the disinfection closed, or a chamber put where all drinking water passes."""
    open_bypasses = [s for s in case.context.having("bypass") if case.setting(s, "position") == "open"]
    if open_bypasses:
        edits = tuple(ChangeSetting(stage=s, key="position", value="closed") for s in open_bypasses)
        yield Candidate(f"Close {case.context.names(open_bypasses)}.", edits, "closing the bypass")
    ends = [e for e in (case.finding.stage, *case.finding.also_at) if e in case.evaluation.points]
    for uv in case.context.ultraviolet:
        for end in ends:
            yield from moved(case, uv, _before_split(case, end))
    for end in ends:
        yield from _fed_behind(case, end)
    yield from _chamber_last(case, ends[0] if ends else HOUSE)
    if len(ends) > 1:
        yield from joined(case, *(list(_chamber_last(case, end))[:1] for end in ends))


def _fed_behind(case: Case, end: str) -> Iterator[Candidate]:
    """An outlet piped to what stands behind the last chamber instead."""
    feeders = [n for n in case.plan.graph.predecessors(end) if n in case.plan.live]
    if end in case.document.outlets and len(feeders) == 1 and case.context.ultraviolet:
        chamber = case.context.ultraviolet[-1]
        edits = (Unlink(ends=(feeders[0], end)), Lay(ends=(chamber, end)))
        yield Candidate(f"Feed {case.name(end)} behind {case.name(chamber)}.", edits, "feeding it behind the chamber", ("pipe",))


def _before_split(case: Case, end: str) -> Link | None:
    """The last pipe that the water of both the house and an end passes."""
    shared = [link for link in case.mains(end) if link in case.mains(HOUSE)]
    return shared[-1] if shared else None


def _chamber_last(case: Case, end: str) -> Iterator[Candidate]:
    """A fine cartridge and a class A chamber as the last things ahead of an end."""
    for link in dict.fromkeys((_before_split(case, end) if end != HOUSE else None, case.link_to(end))):
        if link is None:
            continue
        has_fine = any(case.context.is_fine(s) for s in case.ahead(end, "sediment"))
        fine = None if has_fine else case.best("sediment_cartridge", link, rating=5e-6)
        for shutoff in ("none", "valve"):
            chamber = case.best("uv_chamber", link, device_class="A", shutoff=shutoff, rated_uvt=75.0)
            yield from chained(case, link, *(one for one in (fine, chamber) if one is not None))
