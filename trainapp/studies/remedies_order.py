"""Remedies where stages stand in the wrong order, stand loose, or do nothing: move them, put what is missing between, take them away."""

from __future__ import annotations

from collections.abc import Iterator

from trainapp import units
from trainapp.studies.remedies_case import Candidate, Case, rank_of
from trainapp.studies.remedies_parts import inserts, moved, refitted, resized
from trainapp.train.edits import Link as Lay
from trainapp.train.edits import MoveStage, RemoveStage, Unlink
from trainapp.train.zones import HOUSE, SUPPLY, Link


def candidates(case: Case) -> Iterator[Candidate]:
    """For the finding's code."""
    code, stage = case.finding.code, case.finding.stage
    if code in ("order", "iron-coats"):
        yield from _ordered(case, stage)
    elif code == "no-effect" and case.is_stage:
        yield from _useful(case, stage)
    elif code == "loose":
        yield from _tied(case)


def _ordered(case: Case, stage: str) -> Iterator[Candidate]:
    if not case.is_stage:
        yield from _outdoors(case, stage)
        return
    tags = case.context.tags(stage)
    if not case.ahead(stage, "disinfection") and "disinfection" not in tags:
        for other in case.finding.also_at:
            yield from moved(case, stage, case.link_to(other))
            if other in case.evaluation.stages:
                yield from moved(case, other, _link_from(case, stage))
        yield from moved(case, stage, _slot_without(case, stage))
        for filter_ in case.context.having("iron_removal"):
            if filter_ in case.context.after(stage):
                yield from moved(case, stage, _link_from(case, filter_))
                yield from moved(case, filter_, case.link_to(stage))
    if "sediment" in tags and case.kind(stage) == "sediment_cartridge":
        for um in (20, 50):
            yield from refitted(case, stage, "a coarser cartridge", 1, rating=units.parse(f"{um} um", "particle_size"), build="depth")
    if "anion_exchange" in tags:
        yield from inserts(case, "softener", stage, 2, tanks="1")
    if "oxidant" in tags:
        yield from inserts(case, "sediment_bed", HOUSE, 2, rank=40)
        yield from inserts(case, "iron_filter", HOUSE, 2, oxidant="chlorine")
        yield Candidate(f"Take {case.name(stage)} out.", (RemoveStage(id=stage),), "no oxidant at all")
    if "declared" in tags:
        yield Candidate(f"Take {case.name(stage)} out.", (RemoveStage(id=stage),), "doing without it")


def _link_from(case: Case, stage: str) -> Link | None:
    """The pipe that leaves a stage, where there is one only."""
    targets = [n for n in case.plan.graph.successors(stage) if n in case.plan.live]
    return (stage, targets[0]) if len(targets) == 1 else None


def _slot_without(case: Case, stage: str) -> Link | None:
    """Where a stage usually stands, seen without itself."""
    rank = case.rank(stage)
    for link in case.mains(HOUSE):
        if stage in link:
            continue
        if link[1] not in case.evaluation.stages or case.rank(link[1]) > rank:
            return link
    return None


def _outdoors(case: Case, end: str) -> Iterator[Candidate]:
    """Taps that nobody drinks from, fed ahead of the softener."""
    if end not in case.document.outlets:
        return
    feeders = [n for n in case.plan.graph.predecessors(end) if n in case.plan.live]
    softeners = case.ahead(end, "softening")
    link = case.link_to(softeners[0]) if softeners else None
    if len(feeders) == 1 and link is not None:
        edits = (Unlink(ends=(feeders[0], end)), Lay(ends=(link[0], end)))
        where = "straight from the supply" if link[0] == SUPPLY else f"behind {case.name(link[0])}"
        yield Candidate(f"Feed {case.name(end)} {where}.", edits, "feeding it ahead of the softener", ("pipe",))


# Nothing to do ------------------------------------------------------------------------------------------------------------------------


def _useful(case: Case, stage: str) -> Iterator[Candidate]:
    """Take it out; or give it what it needs to do something."""
    yield Candidate(f"Take {case.name(stage)} out.", tuple(RemoveStage(id=twin) for twin in case.twins(stage)), "doing without it")
    kind = case.kind(stage)
    if kind == "neutralizer":
        yield from refitted(case, stage, "calcite with magnesia", 2, media="calcite_magnesia")
        yield from inserts(case, "storage_pump", stage, 1)
    if kind == "contact_tank":
        yield from inserts(case, "oxidant_feed", stage, 2)
        yield from resized(case, stage)
    if kind == "sediment_bed":
        for um in (5, 1):
            yield from inserts(case, "sediment_cartridge", HOUSE, 1, rating=units.parse(f"{um} um", "particle_size"))


def _tied(case: Case) -> Iterator[Candidate]:
    """A stage that stands loose, piped in where it usually stands or taken away."""
    stage = case.finding.stage
    if stage not in case.plan.stages:
        return
    loose = case.plan.stages[stage]
    link = case.slot(rank_of(loose.spec, loose.settings.get("rating")))
    if link is not None:
        edit = MoveStage(id=stage, into=link)
        yield Candidate(f"Pipe {case.name(stage)} in ahead of {case.name(link[1])}.", (edit,), "piping it in", ("pipe", "pipe"))
    yield Candidate(f"Take {case.name(stage)} away.", (RemoveStage(id=stage),), "taking it away")
