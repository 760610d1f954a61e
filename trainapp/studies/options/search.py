"""The search: every train of every layout, place by place.

A stage is run and judged once for each water that reaches it (:mod:`trainapp.studies.options.local`). What the trains that share a water
differ in only adds up: money, chores, pressure taken, room. So trains are carried on as rows of sums. A row is dropped where a stage
fails, where pressure, wash or room do not allow it, and where another row with the same water is nowhere worse: whatever follows, that
one does as well.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

from trainapp.studies.cost import PriceList
from trainapp.studies.options import local
from trainapp.studies.options.alike import Alike, bounds_at_house, bounds_of
from trainapp.studies.options.choices import Choice
from trainapp.studies.options.filling import Filling
from trainapp.studies.options.layouts import Layout
from trainapp.studies.options.local import Carried, Outcome, Verdict
from trainapp.studies.options.outlook import outlook
from trainapp.studies.options.site import Site
from trainapp.studies.options.sweep import Costs, Sweep
from trainapp.studies.options.trains import Tally, Train, best_of
from trainapp.water.stream import Stream

Cancelled = Callable[[], bool]
Progress = Callable[[float, str], object]

#: Cautions about unfit equipment in one train beyond which no train is looked at.
_MOST_UNFIT = 6
#: Waters that a quick look follows behind each place.
_BEAM = 3
#: Pairs of a water and a piece of equipment that are looked at for an answer that misses no train; beyond them, as many waters as this are
#: followed behind each place, by turns a good and a cheap one, and the answer says so.
_MOST_PAIRS, _WIDE_BEAM = 12_000, 16
#: More of them than any train has pieces.
_ANY_UNFIT = 1000
#: Share of the progress that is left for passes after the one that is running.
_LATER = 0.2


class SearchCancelled(Exception):
    """The search was given up."""


class _TooManyError(Exception):
    """There is more to look at than may be."""


class Search:
    """Searches the layouts of one site. What stages do to waters is kept, so that another price list costs no second run."""

    def __init__(self, site: Site, layouts: Sequence[Layout]) -> None:
        self.site, self.layouts = site, layouts
        self.cancelled: Cancelled = lambda: False
        self.progress: Progress = lambda share, text: None
        self._begun, self._places, self._pass = 0.0, "", (0.0, 1.0)
        self._outcomes: dict[tuple[object, ...], Outcome] = {}
        self._runs: dict[tuple[object, ...], local.Run] = {}
        #: By choice what tells waters apart that enter it, with the rows that it was seen to read.
        self._alike: dict[int, tuple[frozenset[int], Alike]] = {}
        self._read: dict[str, frozenset[int]] = {}
        self._costs: dict[tuple[object, ...], Costs] = {}
        self._priced: PriceList | None = None
        self._ends: dict[tuple[int, int], Verdict] = {}
        self._pairs_left = math.inf
        self._waters: dict[bytes, int] = {}
        self._streams: list[Stream] = []
        #: What waters at the house are judged by.
        self.at_house = bounds_at_house(site.context.limits, site.needs)

    def trains(self, prices: PriceList, years: int | None = None) -> tuple[list[Train], Tally]:
        """The Pareto front of the trains that make no failure of their own; only those with the least unfit equipment are looked at.

        Raises:
            SearchCancelled: someone gave it up.
        """
        hopeless = self.hopeless(prices, years)
        if hopeless is not None:
            return [], hopeless
        try:
            self._pairs_left = _MOST_PAIRS
            return self._best(prices, years, beam=0)
        except _TooManyError:
            self._pairs_left = math.inf
            return self._best(prices, years, beam=_WIDE_BEAM)
        finally:
            self._pairs_left = math.inf

    def _best(self, prices: PriceList, years: int | None, beam: int) -> tuple[list[Train], Tally]:
        """The front and what became of the others, following some waters behind each place (0 for all)."""
        tally = Tally()
        least = self._least_unfit(prices, years)
        for number, budget in enumerate(range(least, max(least, _MOST_UNFIT) + 1)):
            tally = Tally(considered=sum(layout.trains for layout in self.layouts), followed=beam)
            # most searches end with the first pass: each further one takes most of what is left
            self._pass = 1.0 - _LATER**number, (1.0 - _LATER) * _LATER**number
            best = self._front(Sweep(self, prices, years, budget, tally, beam=beam))
            if best:
                return best, tally
        return [], tally

    def finds(self, prices: PriceList, years: int | None = None) -> bool:
        """Whether there is any train at all: the same answer as that of :meth:`trains`, without asking which is best.

        Where there is too much to look at and a quick look found none, none counts as found.

        Raises:
            SearchCancelled: someone gave it up.
        """
        if self.hopeless(prices, years) is not None:
            return False
        least = self._least_unfit(prices, years)
        # a quick look that follows a few waters finds most of what there is; only one that follows all of them can say that there is none
        for beam in (_BEAM, 0):
            for budget in dict.fromkeys((least, max(least, _MOST_UNFIT))):
                sweep = Sweep(self, prices, years, budget, Tally(), mere=True, beam=beam)
                self._pairs_left = math.inf if beam else _MOST_PAIRS
                try:
                    if any(Filling(sweep, layout).trains() for layout in self.layouts):
                        return True
                except _TooManyError:
                    return False
                finally:
                    self._pairs_left = math.inf
        return False

    def hopeless(self, prices: PriceList, years: int | None = None) -> Tally | None:
        """What stands in the way of every train, where that shows without filling them; None where one may stand up.

        Raises:
            SearchCancelled: someone gave it up.
        """
        sweep = Sweep(self, prices, years, _ANY_UNFIT, Tally(considered=sum(layout.trains for layout in self.layouts)))
        return outlook(sweep, (Filling(sweep, layout) for layout in self.layouts))

    def _least_unfit(self, prices: PriceList, years: int | None) -> int:
        """Pieces of equipment that fall short in any train whatever the water: in a room that is too low, every one that is too tall."""
        sweep = Sweep(self, prices, years, 0, Tally())
        return min((Filling(sweep, layout).least_unfit for layout in self.layouts), default=0)

    def _front(self, sweep: Sweep) -> list[Train]:
        found: list[Train] = []
        for place, layout in enumerate(self.layouts):
            self._begun, self._places = place / len(self.layouts), ", ".join(layout.places)
            self.at(0.0)
            found = best_of([*found, *Filling(sweep, layout).trains()])
        return found

    def at(self, share: float) -> None:
        """Tell how far it is with the layout that it is at, 0 to 1; what is told of the whole never goes back."""
        begun, span = self._pass
        self.progress(begun + span * (self._begun + share / len(self.layouts)), self._places)

    # What was run already -----------------------------------------------------------------------------------------------------

    def water(self, stream: Stream) -> int:
        """The number of a water; waters that are alike share one."""
        key = stream.values.tobytes() + stream.known.tobytes()
        if key not in self._waters:
            self._waters[key] = len(self._streams)
            self._streams.append(stream)
        return self._waters[key]

    def outcome(self, layout: Layout, place: int, choice: Choice, water: int, lamp_follows: bool) -> Outcome:
        """A choice on a water.

        Raises:
            SearchCancelled: someone gave it up.
        """
        if self.cancelled():
            raise SearchCancelled
        self._pairs_left -= 1
        if self._pairs_left < 0:
            raise _TooManyError
        carried = layout.line.carried[place]
        # pipes next to a chamber are its neighbour's at the ends of the train
        at_end = place in (0, len(layout.slots) - 1)
        key = (id(choice), water, self.water(layout.raw), carried.flow.tobytes(), carried.daily, lamp_follows, at_end)
        if key not in self._outcomes:
            run = self._run(layout, choice, water, carried, (*key[2:-2], at_end))
            passes_raw = lamp_follows and choice.stage.passes_raw
            self._outcomes[key] = run.on(self._streams[water], passes_raw=passes_raw)
        return self._outcomes[key]

    def _run(self, layout: Layout, choice: Choice, water: int, carried: Carried, where: tuple[object, ...]) -> local.Run:
        """The run that tells of a choice on a water: one on any water that is alike in all that the choice looks at."""
        inlet, own = self._streams[water], id(choice)
        read, alike = self._alike.get(own) or (frozenset[int](), Alike((), bounds_of(choice)))
        key = (own, alike.key(inlet), *where)
        if own not in self._alike or key not in self._runs:
            run = local.run(self.site, layout.sample.plan, layout.raw, choice, inlet, carried)
            if own not in self._alike or not run.read <= read:
                self._alike[own] = read, alike = read | run.read, Alike(read | run.read, bounds_of(choice))
                self._read[choice.kind] = self._read.get(choice.kind, frozenset()) | read
                key = (own, alike.key(inlet), *where)
            self._runs[key] = run
        return self._runs[key]

    def read_by(self, kinds: Iterable[str]) -> frozenset[int]:
        """Rows that stages of these kinds were seen to read so far."""
        return frozenset().union(*(self._read.get(kind, frozenset()) for kind in kinds))

    def costs(self, prices: PriceList, years: int | None) -> Costs:
        """What uses cost with these prices: each pass adds to it. One list is kept, the last that was asked for."""
        key = (id(prices), years)
        if key not in self._costs:
            self._priced, self._costs = prices, {key: {}}
        return self._costs[key]

    def ends(self, layout: Layout, water: int) -> Verdict:
        """What is found of a water at the house."""
        key = (water, self.water(layout.raw))
        if key not in self._ends:
            self._ends[key] = local.judge_ends(self.site, layout.sample.plan, layout.raw, self._streams[water])
        return self._ends[key]

    @property
    def runs(self) -> int:
        """How many pairs of a stage and a water were run."""
        return len(self._runs)
