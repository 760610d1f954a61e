"""Trains and runs for the tests of a year of service."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tests.checks.build import CLEAN, GOOD_WELL
from tests.train.trains import chain, document, stage
from trainapp.studies.year import Options, PowerCut, Upkeep, Year, run
from trainapp.train.document import Document

NO_CUTS: tuple[PowerCut, ...] = ()
#: Hard water with nothing else in it that a softener or a lamp minds.
HARD: Mapping[str, Any] = {**CLEAN, "hardness": "342.36 mg/L", "alkalinity": "200 mg/L", "iron": "0 mg/L", "iron_dissolved": "0 mg/L",
                           "manganese": "0 mg/L", "manganese_dissolved": "0 mg/L", "tds": "450 mg/L"}  # fmt: skip
#: The same with much iron.
RUSTY: Mapping[str, Any] = {**HARD, "iron": "3 mg/L", "iron_dissolved": "3 mg/L", "ph": "7.4", "dissolved_oxygen": "0.2 mg/L"}
CHAMBER: Mapping[str, Any] = {
    "device_class": "A", "rated_flow": "12 gpm", "rated_uvt": "75 %/cm", "flow_control": "12 gpm", "metal_run": "12 in", "shutoff": "valve",
}  # fmt: skip


def site(*stages: Mapping[str, Any], water: Mapping[str, Any] = HARD, daily: str = "300 gal", peak: str = "7 gpm", **more: Any) -> Document:
    """A train of these stages on a good well, one behind the other unless links are given."""
    demand = {"peak": peak, "daily": daily, **more.pop("demand", {})}
    usual: dict[str, Any] = {"supply": GOOD_WELL, "water": water, "peak": peak, "demand": demand}
    return document(list(stages), **{**usual, **more})


def uv(**settings: Any) -> dict[str, Any]:
    """A class A chamber that shuts off without power; None takes a setting away."""
    return stage("uv", "uv_chamber", **{key: value for key, value in {**CHAMBER, **settings}.items() if value is not None})


def steady(folder: Path, flow: str, hours: str = "00:00") -> str:
    """The name of a pattern that draws one flow all day (from an hour on), written into a folder."""
    (folder / "steady.csv").write_text(f"time,flow\n{hours},{flow}\n", encoding="utf-8")
    return "steady.csv"


def years(train: Document, folder: Path | None = None, **options: Any) -> Year:
    """A run without power cuts unless some are given."""
    return run(train, Options(**{"cuts": NO_CUTS, **options}), folder=folder)


NEVER = Upkeep("never")

__all__ = [
    "CHAMBER", "CLEAN", "GOOD_WELL", "HARD", "NEVER", "NO_CUTS", "RUSTY", "chain", "document", "site", "stage", "steady", "uv", "years",
]  # fmt: skip
