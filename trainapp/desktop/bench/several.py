"""Edits of several things at once. Each is one edit and so one step of undo; nothing is changed here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from trainapp.desktop.bench.placing import HOUSE, Ends, into, onward
from trainapp.desktop.bench.rounding import round_ends
from trainapp.desktop.typed import Refusal
from trainapp.reports.drawing.display import Tag
from trainapp.train.document import Document, DocumentError, flow_order, graph
from trainapp.train.edits import AddBypass, AddParallel, Batch, Edit, MoveStage, Paste, RemoveOutlet, RemoveStage, Unlink, plan_edit


def stages_of(document: Document, tags: Iterable[Tag]) -> list[str]:
    """Ids of the stages among what is selected, in the order of flow."""
    wanted = {str(tag[1]) for tag in tags if len(tag) == 2 and tag[0] == "stage"}
    order = [node for node in flow_order(graph(document)) if node in wanted]
    return [*order, *(stage.id for stage in document.stages if stage.id in wanted and stage.id not in order)]


def together(edits: Sequence[Edit], name: str) -> Edit | None:
    """Several edits as one, one as it is; None for none."""
    return None if not edits else edits[0] if len(edits) == 1 else Batch(edits=list(edits), name=name)  # type: ignore[arg-type]


def removal(document: Document, tags: Sequence[Tag]) -> Edit | None:
    """Take everything away that is selected; pipes close behind stages. A pipe that goes with its stage is not taken twice."""
    gone = set(stages_of(document, tags))
    ends = [str(tag[1]) for tag in tags if len(tag) == 2 and tag[0] == "end" and tag[1] != HOUSE]
    pipes = [(str(tag[1]), str(tag[2])) for tag in tags if len(tag) == 3 and tag[0] == "link"]
    edits: list[Edit] = [Unlink(ends=pipe) for pipe in pipes if not {*pipe} & {*gone, *ends}]
    edits += [RemoveOutlet(name=end) for end in ends]
    edits += _lifted(document, stages_of(document, tags))
    return together(edits, f"Remove {len(edits)} things")


def _lifted(document: Document, stages: Sequence[str]) -> list[Edit]:
    """Stages taken out one by one, tees first: one that joins nothing any more would be gone before its turn."""
    tees = {stage.id for stage in document.stages if stage.kind == "tee"}
    return [RemoveStage(id=stage) for stage in sorted(stages, key=lambda stage: stage not in tees)]


def why_kept(document: Document, edit: Edit, one_pipe: bool) -> str:
    """Why something cannot be removed, in the words of the bench; "" where it can."""
    try:
        plan_edit(document, edit)
    except DocumentError as error:
        if error.place == "links":
            return f"without {'this pipe' if one_pipe else 'what is selected'} no water reaches the house; lay another pipe first"
        return Refusal.of(document, error)
    return ""


def moved(document: Document, stages: Sequence[str], target: Ends) -> Edit | None:
    """Move stages into a pipe, one behind the other in the order of flow; None where they are there already.

    Several are lifted out first, which closes the pipes behind them, and then put into the pipe that is there.
    """
    if len(stages) == 1:
        return MoveStage(id=stages[0], into=target) if stages[0] not in target else None
    place = _without(document, stages, target)
    if place is None or (_one_row(document, stages) and (target[0] in stages or target[1] in stages)):
        return None
    entries = {str(entry["id"]): dict(entry) for entry in document.tree["stages"]}
    pipes = {(str(row["from"]), str(row["to"])): dict(row) for row in document.tree["links"]}
    rows: list[dict[str, Any]] = [entries[stage] for stage in stages]
    links = [pipes.get(ends, {"from": ends[0], "to": ends[1]}) for ends in zip(stages, stages[1:], strict=False)]
    items: Mapping[str, Any] = document.tree.get("items", {})
    kept = {str(row["item"]): dict(items[row["item"]]) for row in rows if row.get("item") in items}
    edits = _lifted(document, stages)
    edits.append(Paste(stages=rows, links=links, into=place, items=kept))
    return together(edits, f"Move {len(stages)} stages")


def _without(document: Document, stages: Sequence[str], target: Ends) -> Ends | None:
    """The pipe that a target will be once the stages are lifted out."""
    before, behind = target
    while before in stages:
        arriving = into(document, before)
        if not arriving:
            return None
        before = arriving[0][0]
    while behind in stages:
        leaving = onward(document, behind)
        if leaving is None:
            return None
        behind = leaving[1]
    return before, behind


def _one_row(document: Document, stages: Sequence[str]) -> bool:
    links = {link.ends for link in document.links}
    return all(pair in links for pair in zip(stages, stages[1:], strict=False))


def twins(document: Document, tags: Sequence[Tag]) -> Edit | None:
    """A twin beside each of the stages."""
    edits = [AddParallel(beside=stage) for stage in stages_of(document, tags)]
    return together(edits, f"Two in parallel: {len(edits)} stages")


def bypass_round(document: Document, tags: Sequence[Tag]) -> Edit | None:
    """A bypass from what feeds the stages to what they feed; None where they have no pipes.

    Raises:
        NotRound: no bypass leads round them as a whole.
    """
    over = round_ends(document, stages_of(document, tags))
    return AddBypass(over=over) if over is not None else None


def way_behind(document: Document, tags: Sequence[Tag]) -> Ends | None:
    """The pipe that copies of the stages go into: the one behind the last of them."""
    stages = stages_of(document, tags)
    return onward(document, stages[-1]) if stages else None
