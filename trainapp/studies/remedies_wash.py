"""Remedies where a stage cannot clean itself as it should, or lets raw water by meanwhile: lighter media, smaller tanks, valves."""

from __future__ import annotations

from collections.abc import Iterator

from trainapp.studies.remedies_case import Candidate, Case
from trainapp.studies.remedies_flow import higher_range, joined, larger_pipe
from trainapp.studies.remedies_parts import doubled, insert, moved, refitted, resized
from trainapp.studies.remedies_size import two_tanks
from trainapp.train.edits import ChangeSetting, Edit, RemoveStage, SetValue

#: Iron filters by how little they ask for to be washed, lightest medium first.
_LIGHT = (("coated_zeolite", "chlorine"), ("manganese_greensand", "chlorine"), ("coated_silicate", "air"))


def candidates(case: Case) -> Iterator[Candidate]:
    """For the finding's code."""
    code, stage = case.finding.code, case.finding.stage
    if code == "backwash-short" and case.is_stage:
        yield from _washable(case, stage)
    elif code == "raw-while-cleaning" and case.is_stage:
        yield from _nothing_raw(case, stage)
    elif code == "drain" and case.finding.severity == "caution":
        yield from _drained(case, stage)


# Flow to wash with ----------------------------------------------------------------------------------------------------------------


def _washable(case: Case, stage: str) -> Iterator[Candidate]:
    kind = case.kind(stage)
    yield from _wider_drain(case, stage)
    pipe, pump = list(larger_pipe(case, 2)), list(higher_range(case))
    yield from pump
    yield from pipe
    yield from resized(case, stage, up=False, most=3)
    if kind == "iron_filter":
        for media, oxidant in _LIGHT:
            if media != case.setting(stage, "media"):
                yield from refitted(case, stage, "a lighter medium", 1, media=media, oxidant=oxidant)
    if kind == "neutralizer" and case.setting(stage, "flow") == "down":
        yield from refitted(case, stage, "a neutralizer with upward flow", 2, flow="up")
    if kind == "sediment_bed":
        yield from _cartridge_instead(case, stage)
    yield from moved(case, stage, _first_place(case, stage))
    for smaller in list(resized(case, stage, up=False))[:2]:
        yield from joined(case, [smaller], [doubled(case, stage)])
        yield from joined(case, [smaller], [doubled(case, stage)], pipe[-1:])
        yield from joined(case, [smaller], pump[:1], pipe[-1:])
    yield from joined(case, pump[:1], pipe[-1:])


def _wider_drain(case: Case, stage: str) -> Iterator[Candidate]:
    drain = case.setting(stage, "drain") or {}
    if drain.get("size"):
        for size in ("1 in", "1-1/2 in"):
            edit = SetValue(path=("stages", stage, *_where(case, stage), "size"), value=size)
            yield Candidate(f"Lay the drain of {case.name(stage)} in {size} pipe.", (edit,), "a wider drain", ("drain",))
    if drain.get("height"):
        edit = SetValue(path=("stages", stage, *_where(case, stage), "height"), value="0 ft")
        yield Candidate(f"Let the drain of {case.name(stage)} run at the height of its valve.", (edit,), "a lower drain", ("drain",))


def _where(case: Case, stage: str) -> tuple[str, ...]:
    """Steps to the drain of a stage: among its settings, or beside them."""
    return ("drain",) if "drain" in case.entry(stage).beside else ("settings", "drain")


def _cartridge_instead(case: Case, stage: str) -> Iterator[Candidate]:
    link = next(((s, stage) for s in case.plan.graph.predecessors(stage) if (s, stage) in case.evaluation.links), None)
    if link is not None and len(case.twins(stage)) == 1:
        for item in case.items("sediment_cartridge", link, 1, build="depth"):
            for candidate in insert(case, item, link):
                label = f"{candidate.label.rstrip('.')}, instead of {case.name(stage)}."
                yield Candidate(label, (*candidate.edits, RemoveStage(id=stage)), "a cartridge instead of the bed")


def _first_place(case: Case, stage: str) -> tuple[str, str] | None:
    """The pipe nearest to the supply into which the stage may go without passing what protects it."""
    tags = case.context.tags(stage)
    beds = case.ahead(stage, "softening", "carbon", "anion_exchange", "iron_removal")
    wanted = next((s for s in beds if s not in case.twins(stage)), None)
    return None if wanted is None or "disinfection" in tags else case.link_to(wanted)


# Raw water meanwhile --------------------------------------------------------------------------------------------------------------


def _nothing_raw(case: Case, stage: str) -> Iterator[Candidate]:
    """Valves that close meanwhile, tanks that take turns, units that clean themselves one after the other."""
    passing = [s for s in (stage, *case.finding.also_at) if s in case.evaluation.stages]
    every = list(case.evaluation.while_cleaning)
    for group in dict.fromkeys((tuple(passing), tuple(every))):
        edits: list[Edit] = [ChangeSetting(stage=s, key="during_cleaning", value="closed") for s in group]
        label = f"Let {case.context.names(list(group))} close the way to the house while cleaning: no water at that hour."
        yield Candidate(label, tuple(edits), "a valve that closes while it cleans", ("closing_valve",) * len(group))
    twos = [list(two_tanks(case, s))[:1] if case.kind(s) == "softener" else [doubled(case, s)] for s in passing]
    if all(twos):
        yield from (twos[0] if len(twos) == 1 else joined(case, *twos))
    yield from (joined(case, *([doubled(case, s)] for s in passing)) if len(passing) > 1 else [doubled(case, passing[0])])


# Where it goes --------------------------------------------------------------------------------------------------------------------


def _drained(case: Case, stage: str) -> Iterator[Candidate]:
    for to, word in (("sewer", "a sewer"), ("septic", "a septic tank")):
        edit = SetValue(path=("stages", stage, *_where(case, stage), "to"), value=to)
        label = f"Lead the brine of {case.name(stage)} to {word}, where the authority allows it."
        yield Candidate(label, (edit,), "another drain", ("drain_elsewhere",))
