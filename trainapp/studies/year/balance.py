"""Where water, hardness and metals went over the run, counted from the pipes and from the stages apart from each other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from trainapp.stages.working import Array
from trainapp.studies.year.machine import Regime
from trainapp.studies.year.pieces import Pieces
from trainapp.train.zones import SUPPLY

#: Substances whose way is followed, beside water itself; of all of them mg/L are g/m3.
SUBSTANCES: tuple[str, ...] = ("hardness", "iron", "manganese")
WATER = "water"
_SAME = 1e-3


@dataclass(frozen=True, slots=True)
class Balance:
    """One substance over the run: m3 of water, kg of the others.

    Attributes:
        came: with the raw water. delivered: to each end.
        added: what stages gave to the water (calcite that dissolved).
        drained: to drain, with wash water and out of what was held. thrown: with cartridges and media.
        held: still in the stages and tanks at the end.
    """

    came: float
    delivered: Mapping[str, float]
    added: float
    drained: float
    thrown: float
    held: float

    @property
    def error(self) -> float:
        """What does not add up, over what came and was added."""
        whole = self.came + self.added
        rest = whole - sum(self.delivered.values()) - self.drained - self.thrown - self.held
        return rest / whole if whole > 0.0 else 0.0


def balances_of(pieces: Pieces) -> dict[str, Balance]:
    """Every balance of a run."""
    names = [n for n in SUBSTANCES if bool(np.isfinite(_of(pieces, pieces.regimes[0], SUPPLY, n)).all())]
    return {name: _balance(pieces, name) for name in (WATER, *names)}


def _of(pieces: Pieces, regime: Regime, node: str, name: str, entering: bool = False) -> Array:
    """kg (m3 of water) in a m3 at a node, shape (ways,)."""
    stream = (regime.response.entering if entering else regime.response.leaving)[node]
    if name == WATER:
        return np.ones(pieces.machine.layout.ways)
    return 1e-3 * pieces.machine.row(stream, name)


def _balance(pieces: Pieces, name: str) -> Balance:
    machine, layout = pieces.machine, pieces.machine.layout
    came = pieces.total(lambda r: layout.through[SUPPLY] * _of(pieces, r, SUPPLY, name))
    delivered = {end: pieces.total(lambda r, e=end: layout.drawn[e] * _of(pieces, r, e, name)) for end in machine.plan.demands}  # type: ignore[misc]
    added = thrown = held = drained = 0.0
    for node in layout.washes:
        drained += pieces.total(lambda r, n=node: _washed(pieces, r, n, name))  # type: ignore[misc]
    for node in machine.plan.stages:
        if node not in layout.through:
            continue
        kept = _Kept(pieces, node, name)
        added, drained, thrown, held = added + kept.added, drained + kept.drained, thrown + kept.thrown, held + kept.held
    held += sum(pieces.total(lambda r, n=node: _tank(pieces, r, n, name)) for node in layout.fills)  # type: ignore[misc]
    return Balance(came, delivered, added, drained, thrown, held)


def _washed(pieces: Pieces, regime: Regime, node: str, name: str) -> Array:
    """What the wash water of a stage brings to drain, by way."""
    layout = pieces.machine.layout
    sent = np.zeros(layout.ways)
    way = layout.washes[node]
    sources = [(s, node) for s in pieces.machine.plan.graph.predecessors(node) if (s, node) in layout.links]
    sent[way] = sum(float(layout.links[link][way]) for link in sources)
    return np.asarray(sent * _of(pieces, regime, node, name, entering=True))


def _tank(pieces: Pieces, regime: Regime, node: str, name: str) -> Array:
    """What comes into a tank less what it passes on, by way."""
    layout = pieces.machine.layout
    arriving = np.zeros(layout.ways)
    for (_, target), flow in layout.links.items():
        if target == node:
            arriving = arriving + flow
    through, entering = layout.through[node], _of(pieces, regime, node, name, entering=True)
    # what the tank itself takes out of the water is told as what a stage holds
    return np.asarray(arriving * entering - through * entering)


class _Kept:
    """What a stage took out of the water and where that went."""

    def __init__(self, pieces: Pieces, node: str, name: str) -> None:
        through = pieces.machine.layout.through[node]

        def taken(regime: Regime) -> Array:
            return np.asarray(through * (_of(pieces, regime, node, name, entering=True) - _of(pieces, regime, node, name)))

        each = pieces.each(taken) if name != WATER else np.zeros(len(pieces.start))
        self.added = float(-each[each < 0.0].sum())
        so_far = np.concatenate([[0.0], np.cumsum(np.maximum(each, 0.0))])
        track = pieces.track
        events = sorted(
            [(time, share, True) for n, time, share in track.flushed if n == node]
            + [(time, share, False) for n, time, share in track.thrown if n == node]
        )
        self.drained = self.thrown = self.held = 0.0
        done = 0.0
        for time, share, is_drained in events:
            taken_by = float(so_far[np.searchsorted(pieces.start, time - _SAME)])
            self.held += taken_by - done
            done = taken_by
            gone = self.held * share
            self.held -= gone
            if is_drained:
                self.drained += gone
            else:
                self.thrown += gone
        self.held += float(so_far[-1]) - done
