"""The oxidant of a stage in words: what is fed belongs to what is bought."""

from __future__ import annotations

from trainapp.stages.base import Stage

_FED = {"chlorine": "chlorine fed", "permanganate": "permanganate fed", "peroxide": "peroxide fed", "air": "air drawn in"}


def with_oxidant(label: str, stage: Stage) -> str:
    """A label with what is fed ahead of the stage or in it, where the label does not say so."""
    word = str(stage.settings.get("oxidant") or "")
    return f"{label}, {_FED[word]}" if word in _FED and word not in label.lower() else label


__all__ = ["with_oxidant"]
