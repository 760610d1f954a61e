"""The train set up to run through time: its stages' stocks in one vector, and how fast each grows in any state of the train."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from trainapp.stages.ageing import Ageing, LampAgeing, Service
from trainapp.stages.working import Array
from trainapp.studies.year.clock import BEHIND, ELAPSED, IDLE, WARM, Clock
from trainapp.studies.year.draws import Demand, Span
from trainapp.studies.year.layout import Layout
from trainapp.studies.year.response import PASSED_BY, Response, Walker
from trainapp.studies.year.season import Season
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import Plan
from trainapp.train.zones import SUPPLY
from trainapp.water.stream import ADVERSE, FAVOURABLE, Stream


@dataclass(frozen=True, slots=True)
class Situation:
    """Everything that sets how the train works for a while.

    Attributes:
        temperature, raw: indices into the season.
        modes: natural mode of every ageing stage, in order. passed: stages that water goes by while they clean themselves.
        washing: (stage, share of its usual wash water) of those that send water to drain.
        shut: ends that get no water. shares: share of each column that the pressure still gives.
        power: whether there is any.
    """

    temperature: int
    raw: int
    modes: tuple[int, ...]
    passed: frozenset[str] = frozenset()
    washing: tuple[tuple[str, float], ...] = ()
    shut: frozenset[str] = frozenset()
    shares: tuple[float, ...] = ()
    power: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class Regime:
    """How the train works in one situation.

    Attributes:
        response: the water. temperature: degC. unlit: chambers without light.
        fold: seconds of each way (then idle, warm, elapsed) for a second of each column of the clock, shape (ways + 3, columns).
        growth: of every stock of the state in a second of each column, shape (stocks, columns).
        unserved: seconds in which the house wanted water and got none for a second of each column, shape (columns,).
    """

    situation: Situation
    response: Response
    temperature: float
    unlit: frozenset[str]
    fold: Array
    growth: Array
    unserved: Array


@dataclass(slots=True)
class Machine:
    """A train with all that a run needs; see :func:`trainapp.studies.year.setup.machine_of`.

    Attributes:
        ageings: by stage, in flow order. slices: where each one's stocks stand in the state.
        regular: (stage, service) of each service that need decides, to where the amount since the last planned one stands.
        stored: where the water drawn since the power went stands.
        stock_count: length of the state.
    """

    plan: Plan
    usual: Evaluation
    demand: Demand
    layout: Layout
    season: Season
    clock: Clock
    ageings: Mapping[str, Ageing]
    walker: Walker
    adverse: bool
    slices: dict[str, slice] = field(default_factory=dict)
    regular: dict[tuple[str, str], int] = field(default_factory=dict)
    stored: int = 0
    stock_count: int = 0
    _regimes: dict[Situation, Regime] = field(default_factory=dict)
    _left: dict[frozenset[str], list[int]] = field(default_factory=dict)
    _waters: dict[Situation, tuple[Response, frozenset[str], Array]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        at = 0
        for node, ageing in self.ageings.items():
            self.slices[node] = slice(at, at + len(ageing.stocks))
            at += len(ageing.stocks)
        for node, ageing in self.ageings.items():
            for service in ageing.services:
                if service.stock:
                    self.regular[node, service.key] = at
                    at += 1
        self.stored, self.stock_count = at, at + 1

    @property
    def reading(self) -> int:
        """Index of the reading that runs."""
        return ADVERSE if self.adverse else FAVOURABLE

    def source_of(self, node: str, service: Service) -> int:
        """Where the stock that a service goes by stands in the state."""
        return int(self.slices[node].start) + self.ageings[node].index(service.stock)

    def row(self, water: Stream, name: str) -> Array:
        """A row or analyte of a walked stream, in the reading that runs, shape (ways,)."""
        found: Array = water.get(name)[self.reading, 0]
        return found

    # Regimes ----------------------------------------------------------------------------------------------------------------------

    def regime(self, situation: Situation) -> Regime:
        """How the train works in a situation; kept."""
        if situation not in self._regimes:
            self._regimes[situation] = self._make(situation)
        return self._regimes[situation]

    @property
    def regimes(self) -> Mapping[Situation, Regime]:
        """Those met so far."""
        return self._regimes

    def _make(self, s: Situation) -> Regime:
        fold, unserved = self._fold(s)
        # what the water does hangs on less than all of it
        bare = replace(s, washing=(), shut=frozenset(), shares=())
        if bare not in self._waters:
            self._waters[bare] = self._water(bare)
        response, unlit, growth = self._waters[bare]
        return Regime(s, response, self.season.temperatures[s.temperature], unlit, fold, growth @ fold, unserved)

    def _water(self, s: Situation) -> tuple[Response, frozenset[str], Array]:
        """The water, the chambers without light, and the growth of every stock in a second of each way."""
        modes = dict(zip(self.ageings, s.modes, strict=True))
        temperature = self.season.temperatures[s.temperature]
        raw = self.season.raws[s.raw]
        usual = self.walker.walk(raw, s.raw, temperature, modes)
        passed = self.walker.walk(raw, s.raw, temperature, {**modes, **dict.fromkeys(s.passed, PASSED_BY)}) if s.passed else usual
        dark = frozenset(n for n, a in self.ageings.items() if a.modes[modes[n]].unlit)
        unlit = dark if s.power else dark | {n for n, a in self.ageings.items() if isinstance(a, LampAgeing)}
        return passed, unlit, self._growth(s, modes, passed, usual, unlit)

    def _fold(self, s: Situation) -> tuple[Array, Array]:
        layout, draws = self.layout, self.layout.draws
        fold = np.zeros((layout.ways + BEHIND, draws + BEHIND))
        unserved = np.zeros(draws + BEHIND)
        carried = self._carried(s.shut)
        for column in range(draws):
            share = s.shares[column] if s.shares else 1.0
            kept, wants = carried[column], self.demand.columns[column, 0] > 0.0
            fold[kept if kept >= 0 else IDLE, column] += share
            fold[IDLE, column] += 1.0 - share
            served = share if kept >= 0 and self.demand.columns[kept, 0] > 0.0 else 0.0
            unserved[column] = 1.0 - served if wants else 0.0
        for behind in (IDLE, WARM, ELAPSED):
            fold[behind, behind] = 1.0
        for node, share in s.washing:
            fold[layout.washes[node], ELAPSED] = share
        # a tank behind another one fills it, too: the last first
        for node in reversed(list(layout.fills)):
            fold[layout.fills[node]] += layout.refill[node] @ fold[: layout.ways]
        return fold, unserved

    def drawn_in(self, spans: Sequence[Span]) -> Array:
        """Seconds of each way in a day of these spans, with what they make tanks fill, shape (ways,)."""
        layout = self.layout
        seconds = np.zeros(layout.ways)
        for span in spans:
            seconds[span.column] += span.seconds
        # a tank behind another one fills it, too: the last first
        for node in reversed(list(layout.fills)):
            seconds[layout.fills[node]] += layout.refill[node] @ seconds
        return seconds

    def _carried(self, shut: frozenset[str]) -> list[int]:
        if shut not in self._left:
            self._left[shut] = self.demand.without(shut)
        return self._left[shut]

    def _growth(self, s: Situation, modes: Mapping[str, int], water: Response, usual: Response, unlit: frozenset[str]) -> Array:
        """Growth of every stock in a second of each way, shape (stocks, ways + 3)."""
        layout = self.layout
        growth = np.zeros((self.stock_count, layout.ways + BEHIND))
        for node, ageing in self.ageings.items():
            rows, mode = self.slices[node], modes[node]
            if node not in s.passed:
                each = ageing.per_volume(mode, water.entering[node], water.leaving[node])[:, self.reading, 0]
                growth[rows, : layout.ways] += each * (layout.through[node] / ageing.stage.count)
            if node not in unlit:
                self._stand(growth[rows], ageing, mode, water.entering[node], usual.entering[node])
        for (node, key), row in self.regular.items():
            service = next(x for x in self.ageings[node].services if x.key == key)
            growth[row] = growth[self.source_of(node, service)]
        if not s.power:
            growth[self.stored, : layout.ways] = layout.through[SUPPLY]
        return growth

    def _stand(self, rows: Array, ageing: Ageing, mode: int, flowing: Stream, standing: Stream) -> None:
        """Growth by the second: while each column is drawn, and in the water that stands afterwards."""
        draws = self.layout.draws
        rows[:, :draws] += ageing.per_second(mode, flowing)[:, self.reading, 0, :draws]
        still = ageing.per_second(mode, standing)[:, self.reading, 0, 0]
        rows[:, IDLE] = still
        if ageing.when_warm:
            rows[:, WARM] = still * (np.asarray(ageing.when_warm) - 1.0)
