"""Options by brute force: every train of every layout is written as a document, evaluated and checked in full."""

from __future__ import annotations

from itertools import product

import numpy as np

from trainapp.studies.cost import PriceList
from trainapp.studies.options.criteria import steps_of
from trainapp.studies.options.layouts import Layouts
from trainapp.studies.options.measure import Measured, measure
from trainapp.studies.options.site import Site
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan

Steps = tuple[int, ...]


def every_train(site: Site, prices: PriceList) -> dict[tuple[str, ...], Measured]:
    """The figures of every train, by what stands in it."""
    found = {}
    for layout in Layouts(site).all():
        for chosen in product(*layout.slots):
            named = tuple(choice.label for choice in (*layout.heads, *chosen))
            found[named] = measure(site, evaluate(open_plan(layout.document(chosen))), prices)
    return found


def best(trains: dict[tuple[str, ...], Measured]) -> tuple[set[Steps], int]:
    """Figures, in steps, of the trains without a failure of their own and with least unfit equipment that no other beats; and how unfit."""
    sound = [train for train in trains.values() if not train.fails]
    if not sound:
        return set(), -1
    least = min(train.unfit for train in sound)
    rows = {tuple(map(int, steps_of(np.array([train.values]))[0])) for train in sound if train.unfit == least}
    return {row for row in rows if not any(_beats(other, row) for other in rows)}, least


def _beats(a: Steps, b: Steps) -> bool:
    return a != b and all(x <= y for x, y in zip(a, b, strict=True))
