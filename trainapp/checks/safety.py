"""The usual cautions of a train: what can hurt the people who build, service and use it. They stand beside every verdict."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from trainapp import data
from trainapp.train.evaluation import Evaluation


@dataclass(frozen=True, slots=True)
class Caution:
    """One sentence, the role of a stage that brings it ("" for every train), its source and how sure that is."""

    text: str
    tag: str
    source: str
    status: str


@cache
def cautions() -> tuple[Caution, ...]:
    """Every caution, in the order in which they are read."""
    rows = data.load_toml("limits/_safety.toml")["caution"]
    return tuple(Caution(row["text"], row.get("tag", ""), row["source"], row["status"]) for row in rows)


def safety(evaluation: Evaluation) -> Iterator[str]:
    """The sentences that belong to this train."""
    tags = frozenset().union(*(result.stage.spec.tags for result in evaluation.stages.values())) if evaluation.stages else frozenset()
    words = {str(result.stage.settings.get("oxidant")) for result in evaluation.stages.values()}
    for caution in cautions():
        if not caution.tag or caution.tag in tags or caution.tag in words:
            yield caution.text
