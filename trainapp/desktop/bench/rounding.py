"""Where a bypass leaves and comes back: round stages as a whole, so that no water runs back through a lane that was left out."""

from __future__ import annotations

from collections.abc import Iterable

import networkx as nx

from trainapp.desktop.bench.placing import HOUSE, Ends
from trainapp.train.document import Document, graph
from trainapp.train.naming import Names


class NotRound(ValueError):
    """No bypass leads round these stages as a whole; one sentence."""


def round_ends(document: Document, stages: Iterable[str]) -> Ends | None:
    """From which node to which a bypass leads round stages and all between them; None where they have no pipes.

    Lanes that meet ahead of the first stage, or part behind the last, are no hindrance: the edit joins them in a tee.

    Raises:
        NotRound: several stages are fed from outside, or feed what stands there, so that it would leave or enter one lane of several.
    """
    train = graph(document)
    chosen = {stage for stage in stages if train.in_degree(stage) and train.out_degree(stage)}
    if not chosen:
        return None
    behind = chosen.union(*(nx.descendants(train, stage) for stage in chosen))
    ahead = chosen.union(*(nx.ancestors(train, stage) for stage in chosen))
    within = behind & ahead
    feeds = [source for source in train if source not in within and any(node in within for node in train.successors(source))]
    ends = [target for target in train if target not in within and any(node in within for node in train.predecessors(target))]
    # Water for the house comes back into the way there; other ends keep the pipe that they have.
    ends = [target for target in ends if target == HOUSE or target not in document.outlets] or ends
    first = {node for node in within if any(source in feeds for source in train.predecessors(node))}
    last = {node for node in within if any(target in ends for target in train.successors(node))}
    for several, edge, how in ((feeds, first, "into {} comes from"), (ends, last, "behind {} parts to")):
        if len(several) > 1 and len(edge) > 1:
            raise NotRound(_parted(document, within, several, how))
    return feeds[0], ends[0]


def _parted(document: Document, within: set[str], several: list[str], how: str) -> str:
    names = Names(document)
    called = [names.inside(node) for node in several]
    what = names.inside(next(iter(within))) if len(within) == 1 else "what is selected"
    lanes = " and ".join((", ".join(called[:-1]), called[-1]))
    return f"the pipe {how.format(what)} {lanes}: select the stages of all lanes too, up to where they meet"
