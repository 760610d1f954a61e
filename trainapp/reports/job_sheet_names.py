"""What the job sheet calls the places of a train: numbered stages by number and name, what has no number by its neighbours."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from trainapp.reports.drawing.model import BenchModel
from trainapp.spelling import inside


def place_names(model: BenchModel) -> Mapping[str, str]:
    """Names by id of node: "2a Softener", "tee behind 1", "tee ahead of 2a, 2b", "the house"; no two stages have the same."""
    names = {"supply": model.supply.name.lower()} | {end.id: end.label.removeprefix("to ") for end in model.ends}
    labels = names | {stage.id: stage.number for stage in model.stages}
    titles = [stage.title for stage in model.stages]
    pairs = [link.key for link in model.links]
    for stage in model.stages:
        title = stage.title
        if stage.kind == "tee" or titles.count(title) > 1:
            before = _nearest(stage.id, [(b, a) for a, b in pairs], labels)
            behind = _nearest(stage.id, pairs, labels)
            forms = _forms(inside(title), before, behind)
            title = next(form for form in forms if form not in names.values())
        names[stage.id] = title
    return names


def _nearest(node: str, pairs: Sequence[tuple[str, str]], labels: Mapping[str, str]) -> list[str]:
    """Labels of the nearest nodes that have one, the way that pairs lead, past tees and valves."""
    found: set[str] = set()
    seen, edge = {node}, [node]
    while edge:
        here = edge.pop()
        onward = [b for a, b in pairs if a == here and b not in seen]
        seen.update(onward)
        found |= {labels[other] for other in onward if labels[other]}
        edge += [other for other in onward if not labels[other]]
    return sorted(found)


def _forms(word: str, before: list[str], behind: list[str]) -> Iterator[str]:
    """Names to choose from: by the side with more neighbours, by the other, by both, then counted."""
    back = f"behind {', '.join(before)}" if before else ""
    front = f"ahead of {', '.join(behind)}" if behind else ""
    sides = [side for side in ((front, back) if len(behind) > len(before) else (back, front)) if side]
    yield from (f"{word} {side}" for side in sides)
    whole = " ".join((word, *sides))
    yield whole
    yield from (f"{whole} ({count})" for count in range(2, 10_000))
