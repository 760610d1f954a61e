"""Edits of how the train stands on its bench: copies that come in, and places on the floor."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from trainapp.train import steps, steps_bench
from trainapp.train.edit import Edit, Ends, Name
from trainapp.train.steps import Tree


class Paste(Edit):
    """Put copies of stages, and the pipes between them, on the bench; they get new ids where theirs are taken.

    Copies that stand in one row go into the link that is named, which they split; without one they stand loose, without other pipes.
    `items` are rows of the catalogue that the copies name, for a document that does not have them.
    """

    edit: Literal["paste"] = "paste"
    stages: list[dict[str, Any]]
    links: list[dict[str, Any]] = Field(default_factory=list)
    into: Ends | None = None
    items: dict[str, dict[str, Any]] = Field(default_factory=dict)

    def run(self, tree: Tree) -> None:
        pasted = steps.paste(tree, self.stages, self.links)
        steps_bench.bring_items(tree, self.stages, self.items)
        if self.into is not None:
            steps_bench.join(tree, pasted, self.into)

    def told(self, name: Name) -> str:
        return f"Paste {len(self.stages)} stage{'s' * (len(self.stages) != 1)}"


class Stand(Edit):
    """Let stages, or the supply, stand at places of their own: distance of their middle from the left wall; null gives a place back."""

    edit: Literal["stand"] = "stand"
    x: dict[str, str | None]
    name: str = ""

    def run(self, tree: Tree) -> None:
        for node, distance in self.x.items():
            steps_bench.stand(tree, node, distance)

    def told(self, name: Name) -> str:
        if self.name:
            return self.name
        return f"Place {name(next(iter(self.x)))} on the floor" if len(self.x) == 1 else f"Place {len(self.x)} stages on the floor"
