"""The small edits that remedies are made of: put something in, swap it for another item, set a setting, move it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from trainapp.spelling import inside, with_article
from trainapp.stages import registry
from trainapp.studies.remedies_case import Candidate, Case, rank_of_item
from trainapp.studies.remedies_sizing import Choice, fitting, having
from trainapp.train.catalogue import ladder_keys
from trainapp.train.edits import AddStage, ChangeSetting, Edit, MoveStage, RemoveValue, SetValue
from trainapp.train.zones import Link

#: Settings that belong to a device itself: they go with it when another takes its place.
_OF_THE_DEVICE = frozenset({
    "count", "service_flow", "peak_flow", "head_loss", "inlet_limits", "width", "height", "existing", "certificate", "valve", "read_at",
    "dirt_capacity", "water_layer",
})  # fmt: skip


def thing(case: Case, item: str, units: int = 1) -> str:
    """An item inside a sentence: "a softener 2 ft3, 12 x 52 in"."""
    label = case.catalogue.rows[item].word("label") or item
    return with_article(label) if units == 1 else f"two units of {with_article(label)}"


def kind_word(kind: str) -> str:
    """A kind inside a sentence: "softener", "UV chamber"."""
    known = registry.kind(kind)
    label = known.spec.label if known else kind
    return inside(label)


# Putting in -------------------------------------------------------------------------------------------------------------------


def insert(case: Case, item: str, link: Link | None, units: int = 1) -> Iterator[Candidate]:
    """An item put into a pipe; nothing where there is no such pipe."""
    yield from chained(case, link, (item, units))


def inserts(case: Case, kind: str, place: str, most: int = 2, rank: int | None = None, **same: Choice) -> Iterator[Candidate]:
    """Items of a kind put in where they usually stand, ahead of a place at the latest."""
    candidates = list(having(case.catalogue, kind, same))
    if not candidates:
        return
    link = case.slot(rank_of_item(case.catalogue, candidates[0]) if rank is None else rank, place)
    if link is not None:
        for item in fitting(case.catalogue, kind, case.site.spot(link), same, most):
            yield from insert(case, item, link)


def pairs(case: Case, kind: str, place: str, **same: Choice) -> Iterator[Candidate]:
    """Two units of an item side by side, put in where they usually stand."""
    candidates = list(having(case.catalogue, kind, same))
    link = case.slot(rank_of_item(case.catalogue, candidates[0]), place) if candidates else None
    if link is not None:
        for item in fitting(case.catalogue, kind, case.site.spot(link), same, 1, units=2):
            yield from insert(case, item, link, units=2)


def chained(case: Case, link: Link | None, *items: tuple[str, int]) -> Iterator[Candidate]:
    """Items, each with how many units of it, put into one pipe in the order of flow; nothing where there is no such pipe."""
    if link is None or not items:
        return
    edits, taken, source = list[Edit](), set[str](), link[0]
    for item, units in items:
        kind = case.catalogue.rows[item].kind
        name = case.new_id(kind.replace("_", "-"))
        while name in taken:
            name += "-b"
        taken.add(name)
        edits.append(AddStage(kind=kind, item=item, into=(source, link[1]), id=name, settings=case.catalogue.side_by_side(item, units)))
        source = name
    what = ", then ".join(thing(case, item, units) for item, units in items)
    words = " and ".join(with_article(kind_word(case.catalogue.rows[item].kind)) for item, _ in items)
    where = case.name(link[1])
    yield Candidate(f"Put in {what}, ahead of {where}.", tuple(edits), f"{words} ahead of {where}")


# Another in its place -----------------------------------------------------------------------------------------------------------


def swap_edits(case: Case, stage: str, item: str) -> Iterator[Edit]:
    """Edits that put an item in the place of a stage and of its twins; what they were set to stays, what they were goes."""
    row = case.catalogue.rows[item]
    for twin in case.twins(stage):
        entry = case.entry(twin)
        yield SetValue(path=("stages", twin, "item"), value=item)
        gone = _OF_THE_DEVICE | set(row.settings)
        yield from (RemoveValue(path=("stages", twin, "settings", key)) for key in entry.settings if key in gone)
        yield from (RemoveValue(path=("stages", twin, key)) for key in entry.beside if key in gone)
    old = {case.entry(twin).item for twin in case.twins(stage)} - {None, item}
    kept = {entry.item for entry in case.document.stages if entry.id not in case.twins(stage)}
    yield from (RemoveValue(path=("items", str(name))) for name in sorted(map(str, old - kept)) if name in case.document.items)


def swap(case: Case, stage: str, item: str, tried: str) -> Candidate:
    """An item in the place of a stage."""
    return Candidate(f"Swap {case.name(stage)} for {thing(case, item)}.", tuple(swap_edits(case, stage, item)), tried)


def alike(case: Case, stage: str) -> dict[str, Choice]:
    """What a stage is set to apart from its size: what another size of it shares."""
    settings = case.context.stage(stage).settings
    return {key: settings[key] for key in ladder_keys(case.kind(stage)) if isinstance(settings.get(key), str | float)}


def resized(case: Case, stage: str, up: bool = True, most: int = 2) -> Iterator[Candidate]:
    """The next sizes of a stage, larger or smaller."""
    kind = case.kind(stage)
    word = f"a {'larger' if up else 'smaller'} {kind_word(kind)}"
    for item in case.catalogue.next_size(kind, case.context.stage(stage).settings, up)[:most]:
        yield swap(case, stage, item, word)


def refitted(case: Case, stage: str, tried: str, most: int = 1, **same: Choice) -> Iterator[Candidate]:
    """Items with these settings (internal units) that fit where a stage stands, in its place."""
    yield from refits(case, stage, tried, most, same)


def refits(case: Case, stage: str, tried: str, most: int, same: Mapping[str, Choice]) -> Iterator[Candidate]:
    """The same with the settings in a mapping."""
    link = next(((s, stage) for s in case.plan.graph.predecessors(stage) if (s, stage) in case.evaluation.links), None)
    if link is None:
        return
    for item in fitting(case.catalogue, case.kind(stage), case.site.spot(link), same, most):
        if item != case.entry(stage).item:
            yield swap(case, stage, item, tried)


# Settings and places ------------------------------------------------------------------------------------------------------------


def setting(case: Case, stage: str, key: str, value: Any, label: str, tried: str, *, work: str = "") -> Candidate:
    """A setting of a stage and of its twins; `work` is done at each of them."""
    twins = case.twins(stage)
    edits = tuple(ChangeSetting(stage=twin, key=key, value=value) for twin in twins)
    return Candidate(label, edits, tried, (work,) * len(twins) if work else ())


def doubled(case: Case, stage: str, more: int = 1) -> Candidate:
    """One more unit of a stage beside it, or several."""
    count = case.context.stage(stage).count + more
    words = "two" if count == 2 else str(count)
    edits: list[Edit] = [
        ChangeSetting(stage=twin, key=key, value=value)
        for twin in case.twins(stage) for key, value in case.context.stage(twin).side_by_side(count).items()
    ]  # fmt: skip
    turn = "; one serves while another cleans itself" if case.context.stage(stage).passes_raw else ""
    return Candidate(f"Let {words} units of {case.name(stage)} stand side by side{turn}.", tuple(edits), "units side by side")


def moved(case: Case, stage: str, link: Link | None) -> Iterator[Candidate]:
    """A stage moved into a pipe; nothing where it stands there already."""
    if link is None or stage in link:
        return
    target = case.name(link[1])
    yield Candidate(f"Move {case.name(stage)} ahead of {target}.", (MoveStage(id=stage, into=link),), "another order")


def first(candidates: Iterable[Candidate], most: int) -> Iterator[Candidate]:
    """Not more than so many of them."""
    for count, candidate in enumerate(candidates, 1):
        yield candidate
        if count >= most:
            return
