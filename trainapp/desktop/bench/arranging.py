"""Places on the floor: taking it over from the program, moving, spacing. Metres in, an edit out; nothing is changed here.

While nothing has a place of its own the floor is the program's: the train is spread out in flow order to be read, and distances mean
nothing. The first stage that is placed takes the floor over, and every stage gets the place where it then stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from trainapp.checks.policy import amount
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.standing import own_floor
from trainapp.reports.drawing.view import View
from trainapp.train.edits import Stand
from trainapp.train.floor import INCH, reach
from trainapp.units import System

#: What one press of a key moves, metres.
NUDGE: Mapping[str, float] = {"us": INCH, "metric": 0.02}


@dataclass(frozen=True, slots=True)
class Spot:
    """One stage on the floor, metres: its middle from the left wall, and how far it reaches left and right of it."""

    node: str
    x: float
    left: float
    right: float

    @property
    def begin(self) -> float:
        return self.x - self.left

    @property
    def end(self) -> float:
        return self.x + self.right

    def at(self, x: float) -> Spot:
        """The same stage elsewhere."""
        return Spot(self.node, x, self.left, self.right)


class Floor:
    """The floor as it is, and as it would be. Devices in the pipe stand nowhere: they hang between their neighbours."""

    def __init__(self, model: BenchModel, view: View, system: System) -> None:
        self.system = system
        self.own = own_floor(model)
        self.width = model.room_width
        self.gap = amount("room_gap")
        order = [*view.route.nodes(), *view.route.loose]
        stages = (stage for node in order if (stage := model.stage(node)) is not None and stage.figure.shape != "inline")
        shown = [Spot(s.id, view.metres(view.spread.centres[s.id]), *reach(s.figure, s.count)) for s in stages]
        supply = view.spread.extents["supply"][1] / view.spread.scale
        self.supply = Spot("supply", view.metres(view.spread.centres["supply"]), supply, supply)
        # In the order of flow.
        self.spots = {spot.node: spot for spot in (shown if self.own else self._settled(shown))}

    def _settled(self, shown: Sequence[Spot]) -> list[Spot]:
        """Where stages stand when the floor is taken over: as they are shown where the room holds that, else evenly along its wall."""
        if self.width is None or not shown or shown[-1].end <= self.width:
            return list(shown)
        start = 2 * self.supply.right + 2 * INCH
        needed = sum(spot.left + spot.right for spot in shown)
        gap = max((self.width - start - needed) / (len(shown) + 1), INCH)
        found, at = [], start
        for spot in shown:
            at += gap
            found.append(spot.at(at + spot.left))
            at += spot.left + spot.right
        return found

    # Edits --------------------------------------------------------------------------------------------------------------------

    def stand(self, new: Mapping[str, float], name: str = "") -> Stand:
        """The edit that lets stages stand at new places; where the floor is the program's, all others get theirs, too."""
        x = dict(new) if self.own else {**{node: spot.x for node, spot in self.spots.items()}, **new}
        return Stand(x={node: self.text(value) for node, value in x.items()}, name=name)

    def text(self, metres: float) -> str:
        """A place as it is written: to a tenth of an inch, or to a millimetre."""
        value, unit = (metres * 100.0, "cm") if self.system == "metric" else (metres / INCH, "in")
        return f"{max(value, 0.0):.1f}".removesuffix(".0") + f" {unit}"

    def chosen(self, nodes: Iterable[str]) -> list[Spot]:
        """The stages of these that stand on the floor, from the left."""
        found = [self.supply] if "supply" in nodes else []
        return sorted([*found, *(self.spots[node] for node in nodes if node in self.spots)], key=lambda spot: spot.x)

    def moved(self, nodes: Sequence[str], by: float, name: str = "") -> Stand | None:
        """Move stages together, held between the walls; None where none of them stands on the floor."""
        spots = self.chosen(nodes)
        if not spots:
            return None
        by = self.held(spots, by)
        return self.stand({spot.node: spot.x + by for spot in spots}, name)

    def held(self, spots: Sequence[Spot], by: float) -> float:
        """A distance that does not lead through a wall, unless they stand in one already."""
        least, most = -min(spot.begin for spot in spots), float("inf")
        if self.width is not None:
            most = max(self.width - max(spot.end for spot in spots), 0.0)
        return max(min(by, most), min(least, 0.0))

    def snapped(self, nodes: Sequence[str], by: float, near: float) -> float:
        """A distance that ends at a wall, at a neighbour or at the usual gap from one where it is within `near`, else at a whole inch or
        centimetre."""
        spots = self.chosen(nodes)
        if not spots:
            return by
        begin, end = min(spot.begin for spot in spots) + by, max(spot.end for spot in spots) + by
        others = [spot for spot in (*self.spots.values(), self.supply) if spot.node not in nodes]
        wanted = [0.0 - begin, *(spot.end + gap - begin for spot in others for gap in (0.0, self.gap))]
        wanted += [spot.begin - gap - end for spot in others for gap in (0.0, self.gap)]
        if self.width is not None:
            wanted.append(self.width - end)
        best = min(wanted, key=abs)
        if abs(best) <= near:
            return by + best
        step = 0.01 if self.system == "metric" else INCH
        return round((spots[0].x + by) / step) * step - spots[0].x

    # Arrangements -------------------------------------------------------------------------------------------------------------

    def evenly(self, nodes: Sequence[str]) -> Stand | None:
        """The same gap between all of them; the outermost stay. None for fewer than three."""
        spots = self.chosen(nodes)
        if len(spots) < 3:
            return None
        free = spots[-1].end - spots[0].begin - sum(spot.left + spot.right for spot in spots)
        return self.stand(self._row(spots, spots[0].begin, free / (len(spots) - 1)), "Space evenly")

    def side_by_side(self, nodes: Sequence[str]) -> Stand | None:
        """The usual gap between all of them; the leftmost stays. None for fewer than two."""
        spots = self.chosen(nodes)
        return self.stand(self._row(spots, spots[0].begin, self.gap), "Stand side by side") if len(spots) > 1 else None

    def against(self, nodes: Sequence[str], side: str) -> Stand | None:
        """Move them together until the outermost touches a wall. None where there is no such wall, or nothing to move."""
        spots = self.chosen(nodes)
        if not spots or (side == "right" and self.width is None):
            return None
        left, right = min(spot.begin for spot in spots), max(spot.end for spot in spots)
        by = -left if side == "left" else (self.width or 0.0) - right
        return self.stand({spot.node: spot.x + by for spot in spots}, f"Move to the {side} wall")

    def _row(self, spots: Sequence[Spot], start: float, gap: float) -> dict[str, float]:
        found, at = {}, start
        for spot in spots:
            found[spot.node] = at + spot.left
            at += spot.left + spot.right + gap
        return found

    def as_it_stands(self) -> Stand:
        """Every stage keeps the place where it stands: the floor is taken over."""
        return Stand(x={node: self.text(spot.x) for node, spot in self.spots.items()}, name="Place all on the floor")


def tidied(places: Mapping[str, float]) -> Stand:
    """The floor is given back to the program."""
    return Stand(x=dict.fromkeys(places), name="Tidy up")
