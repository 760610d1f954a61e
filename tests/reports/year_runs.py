"""Runs of the sample sites for the tests of the pictures of a year; each is run once."""

from __future__ import annotations

import re
from functools import cache

from trainapp.data import samples_path
from trainapp.reports.drawing.display import Display, texts
from trainapp.studies.year import Options, Pair, Upkeep, Year, before_and_after, run
from trainapp.studies.year.options import Upkeeping
from trainapp.train.document import load

SITES = (
    "inkwell-croft", "lone-alder-farm", "lone-alder-farm-uv-alone", "marzipan-moth-tea-room", "pebble-court-3", "sorrel-bank-cottage",
)  # fmt: skip
FARM, ALONE, FLAT, COTTAGE = "lone-alder-farm", "lone-alder-farm-uv-alone", "pebble-court-3", "sorrel-bank-cottage"
MONTHS = re.compile(
    r"\b(January|February|March|April|May|June|July|August|September|October|November|December|Jan|Feb|Mar|Apr|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\b"
)


@cache
def year_of(site: str, upkeep: Upkeeping = "on-time", days: int = 365) -> Year:
    """A sample site's year."""
    path = samples_path(f"{site}.train.json")
    return run(load(path), Options(days=days, upkeep=Upkeep(upkeep)), folder=path.parent)


@cache
def pair_of(site: str) -> Pair:
    """A sample site without its pre-treatment and with it."""
    path = samples_path(f"{site}.train.json")
    return before_and_after(load(path), Options(days=200), folder=path.parent)


def words_of(display: Display) -> str:
    """Everything that a picture says."""
    return " | ".join(text.text for text, _ in texts(display.items))
