"""What an edit is: plain data that does one thing to the plain tree of a document."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from typing import Any

from pydantic import BaseModel, ConfigDict

from trainapp.train.steps import Tree

Ends = tuple[str, str]
#: What a node is called, by its id.
Name = Callable[[str], str]


class Edit(BaseModel, ABC):
    """Something to do to a document."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    @abstractmethod
    def run(self, tree: Tree) -> None:
        """Do it to a plain tree.

        Raises:
            DocumentError: it cannot be done.
        """

    @abstractmethod
    def told(self, name: Name) -> str:
        """What is done, for the list of undo; `name` says what a node is called."""

    @property
    def label(self) -> str:
        """What is done, with nodes by their ids."""
        return self.told(str)

    def to_json(self) -> dict[str, Any]:
        """Plain data."""
        data: dict[str, Any] = self.model_dump(mode="json", exclude_defaults=True)
        return {"edit": getattr(self, "edit", ""), **data}
