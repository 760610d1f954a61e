"""What an edit is: plain data that does one thing to the plain tree of a document."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Any

from pydantic import BaseModel, ConfigDict

from trainapp.train.steps import Tree

Ends = tuple[str, str]


class Edit(BaseModel, ABC):
    """Something to do to a document."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    @abstractmethod
    def run(self, tree: Tree) -> None:
        """Do it to a plain tree.

        Raises:
            DocumentError: it cannot be done.
        """

    @property
    @abstractmethod
    def label(self) -> str:
        """What is done, for the list of undo."""

    def to_json(self) -> dict[str, Any]:
        """Plain data."""
        data: dict[str, Any] = self.model_dump(mode="json", exclude_defaults=True)
        return {"edit": getattr(self, "edit", ""), **data}
