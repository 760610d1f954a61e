"""Where the stages stand on the floor: in flow order at a readable spacing, to one scale, or where the user placed them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainapp.reports.drawing.columns import (
    HYSTERESIS,
    LEADER_FROM,
    MARKS_PITCH,
    LedgerColumn,
    Tier,
    least_pitch,
    place,
    tier_for,
    wanted_centres,
)
from trainapp.reports.drawing.frame import FOOT, Frame, Grid, Spread
from trainapp.reports.drawing.model import HOUSE, SUPPLY, BenchModel, StageModel
from trainapp.reports.drawing.standing import floor_places
from trainapp.train.floor import middles, reach
from trainapp.train.routes import Route

#: Scale of the bench, px per metre: 24 to 60 px per foot.
SCALE_LEAST, SCALE_MOST = 24.0 / FOOT, 60.0 / FOOT

#: Where the user looks closer: a fifth of nature on a screen of 96 px an inch. FULL is called 100 %: half an inch to the foot.
SCALE_ZOOMED, SCALE_FULL = 240.0 / FOOT, 48.0 / FOOT

#: Where all of a long train is shown, whatever can be read of it.
SCALE_TINY = 1.0 / FOOT

#: Column pitch, px: compact at the least, never stretched beyond the most.
PITCH_LEAST, PITCH_MOST = 56.0, 160.0

#: Pitch below which a long train that is shown as a whole has marks for cells, px.
_READ = 46.0

#: Columns, the house's among them, up to which a train opens whole, and the part of the least scale at which it can still be read.
_MOST_WHOLE, _READ_SCALE = 13, 0.75

#: Half a ledger cell by tier, px.
HALF_CELL: dict[Tier, float] = {"full": 66.0, "medium": 44.0, "compact": 28.0, "marks": 12.0}

#: Room for a side port's riser beside a chamber, px.
SIDE_PIPE = 18.0

_SHARED, _INLINE, _BOTH_INLINE = 0.62, 0.5, 0.4
_INLINE_LEAST = 36.0


@dataclass(slots=True)
class Slot:
    """One stage's place: units' centres relative to its own, reach left and right of it (px), its column (None without)."""

    stage: StageModel
    units: tuple[float, ...]
    left: float
    right: float
    column: int | None


def supply_half(model: BenchModel, scale: float) -> float:
    """Half the width of the supply's figure, px."""
    return 10.0 if model.supply.kind == "mains" else model.supply.width * scale / 2


def slots(model: BenchModel, route: Route, columns: Sequence[LedgerColumn], scale: float, shrink: float = 1.0) -> list[Slot]:
    """Places in drawing order, stages without a link last."""
    column_of = {node: i for i, column in enumerate(columns) for node in column.nodes}
    stages = {stage.id: stage for stage in model.stages}
    order = [*route.nodes(), *route.loose]
    return [_slot(stages[node], scale, column_of.get(node), shrink) for node in order]


def _slot(stage: StageModel, scale: float, column: int | None, shrink: float) -> Slot:
    figure = stage.figure
    if figure.shape == "inline":
        return Slot(stage, (0.0,), 10.0 * shrink, 10.0 * shrink, column)
    pipes = SIDE_PIPE * shrink if figure.shape == "chamber" else 0.0
    thin = max(7.0 * shrink - figure.width * scale / 2, 0.0)
    left, right = (side * scale + pipes + thin for side in reach(figure, stage.count))
    return Slot(stage, tuple(x * scale for x in middles(figure, stage.count)), left, right, column)


def _spacing(a: Slot, b: Slot, pitch: float, scale: float, shrink: float) -> float:
    """Distance of two neighbours' centres: enough to stand clear, and to read what is below them."""
    clear = a.right + max(12.0 * shrink, 0.35 * FOOT * scale) + b.left
    if a.column is not None and b.column is not None:
        return max(clear, pitch * (_SHARED if a.column == b.column else 1.0))
    return max(clear, _INLINE_LEAST * shrink, pitch * (_BOTH_INLINE if a.column is None and b.column is None else _INLINE))


def spread(model: BenchModel, route: Route, columns: Sequence[LedgerColumn], frame: Frame, most: float) -> Spread:
    """Place everything at the best scale up to `most` px per metre; what does not fit even at the least scale reaches beyond the frame."""
    lay = _Layout(model, route, columns, frame)
    scale, pitch = _fit(lay, min(most, SCALE_MOST))
    return lay.out(scale, pitch)


def lay_out(model: BenchModel, route: Route, columns: Sequence[LedgerColumn], frame: Frame, scale: float, pitch: float) -> Spread:
    """Place everything at a given scale (px per metre) and pitch (px)."""
    return _Layout(model, route, columns, frame).out(scale, pitch)


def zoomed(
    model: BenchModel, route: Route, columns: Sequence[LedgerColumn], frame: Frame, fit: Spread, zoom: float, least: float = SCALE_LEAST
) -> Spread:
    """The same floor `zoom` times as large as where it fits; held between the `least` and the largest scale."""
    zoom = min(max(zoom, least / fit.scale), SCALE_ZOOMED / fit.scale)
    return _at(model, route, columns, frame, fit, zoom)


def _at(model: BenchModel, route: Route, columns: Sequence[LedgerColumn], frame: Frame, fit: Spread, zoom: float) -> Spread:
    """The floor at a zoom; below the least scale at which it can be read, distances and sizes in px shrink with it."""
    scale = fit.scale * zoom
    shrink = min(scale / SCALE_LEAST, 1.0)
    shrink = 1.0 if shrink > 0.999 else shrink
    pitch = max(fit.pitch * zoom, PITCH_LEAST if shrink == 1.0 else MARKS_PITCH)
    return _Layout(model, route, columns, frame, shrink).out(scale, pitch)


def least_scale(model: BenchModel, route: Route, columns: Sequence[LedgerColumn], frame: Frame, fit: Spread) -> float:
    """The smallest scale worth showing, px per metre: at which all of it fits the frame, and never more than can be read."""
    if fit.end <= frame.end:
        return SCALE_LEAST
    low, high = SCALE_TINY, SCALE_LEAST
    for _ in range(7):
        middle = (low + high) / 2
        fits = _at(model, route, columns, frame, fit, middle / fit.scale).end <= frame.end
        low, high = (middle, high) if fits else (low, middle)
    return low


def opened(model: BenchModel, route: Route, columns: Sequence[LedgerColumn], frame: Frame, fit: Spread, least: float) -> Spread:
    """How a train is shown at first: all of it, a little smaller than the least scale where that can still be read; else what `fit` is."""
    if fit.end <= frame.end or len(columns) > _MOST_WHOLE or least < _READ_SCALE * SCALE_LEAST:
        return fit
    return _at(model, route, columns, frame, fit, least / fit.scale)


def _fit(lay: _Layout, most: float) -> tuple[float, float]:
    """Scale and pitch: the largest scale that still gives the ledger a good tier, a smaller one where that gains a tier."""
    least = min(SCALE_LEAST, most)
    if lay.own:
        # Distances are the user's: there is no pitch to choose.
        return _largest(lay, least, most, PITCH_LEAST) or least, PITCH_LEAST
    found = _pitch_at(lay, most)
    worth_it: tuple[tuple[Tier, float], ...] = (("full", 0.9 * most), ("medium", least))
    for tier, worth in worth_it:
        wanted = least_pitch(tier)
        if found >= wanted:
            return most, found
        scale = _largest(lay, max(worth, least), most, wanted)
        if scale is not None:
            return scale, _pitch_at(lay, scale)
    scale = _largest(lay, least, most, PITCH_LEAST)
    return (scale, max(_pitch_at(lay, scale), PITCH_LEAST)) if scale else (least, PITCH_LEAST)


def _largest(lay: _Layout, least: float, most: float, pitch: float) -> float | None:
    """The largest scale in [least, most] at which that pitch fits, None where it does not fit at the least."""
    if not lay.fits(least, pitch):
        return None
    if lay.fits(most, pitch):
        return most
    for _ in range(6):
        middle = (least + most) / 2
        least, most = (middle, most) if lay.fits(middle, pitch) else (least, middle)
    return least


def _pitch_at(lay: _Layout, scale: float) -> float:
    """The largest pitch that fits at a scale, 0 where the least does not."""
    if not lay.fits(scale, PITCH_LEAST):
        return 0.0
    if lay.fits(scale, PITCH_MOST):
        return PITCH_MOST
    least, most = PITCH_LEAST, PITCH_MOST
    for _ in range(7):
        middle = (least + most) / 2
        least, most = (middle, most) if lay.fits(scale, middle) else (least, middle)
    return least


class _Layout:
    """One train on the floor of one frame, at any scale."""

    def __init__(self, model: BenchModel, route: Route, columns: Sequence[LedgerColumn], frame: Frame, shrink: float = 1.0) -> None:
        self.model, self.route, self.columns, self.frame, self.shrink = model, route, columns, frame, shrink
        self.own = floor_places(model, route)
        self._slots: tuple[float, list[Slot]] = (0.0, [])

    def slots(self, scale: float) -> list[Slot]:
        """Places at a scale; kept, because many pitches are tried at one."""
        if self._slots[0] != scale:
            self._slots = scale, slots(self.model, self.route, self.columns, scale, self.shrink)
        return self._slots[1]

    def fits(self, scale: float, pitch: float) -> bool:
        """Whether all of it is inside the frame."""
        return self.out(scale, pitch).end <= self.frame.end

    def out(self, scale: float, pitch: float) -> Spread:
        """Everything at a scale (px per metre) and pitch (px)."""
        places = self.slots(scale)
        half = supply_half(self.model, scale)
        centres = self._placed(scale) if self.own else self._flowing(places, half, scale, pitch)
        extents = {SUPPLY: (half, half)} | {slot.stage.id: (slot.left, slot.right) for slot in places}
        units = {slot.stage.id: tuple(centres[slot.stage.id] + unit for unit in slot.units) for slot in places}
        house, end = self._house(centres, places, extents, scale, pitch)
        centres[HOUSE] = house
        flowing = set(self.route.nodes())
        order = [centres[slot.stage.id] for slot in places if slot.stage.id in flowing]
        return Spread(scale, pitch, centres, units, extents, end, order == sorted(order), self.shrink)

    def _half_cell(self, pitch: float) -> float:
        """Half a ledger cell at a pitch."""
        return HALF_CELL["marks" if self.shrink < 1.0 and pitch < _READ else tier_for(pitch)]

    def _placed(self, scale: float) -> dict[str, float]:
        """Where the user put them."""
        return {node: self.frame.wall + x * scale for node, x in self.own.items()}

    def _flowing(self, places: Sequence[Slot], half: float, scale: float, pitch: float) -> dict[str, float]:
        """One behind the other in flow order."""
        frame = self.frame
        # The tank keeps clear of the wall; what a cell of the first column needs keeps clear of the row heads.
        x = max(frame.supply, frame.wall + half + 12.0)
        centres = {SUPPLY: x}
        before = Slot(_NOTHING, (0.0,), half, half + SIDE_PIPE * self.shrink, None)
        for slot in places:
            x += _spacing(before, slot, pitch, scale, self.shrink)
            if slot.column == 0:
                x = max(x, frame.first + self._half_cell(pitch))
            centres[slot.stage.id] = x
            before = slot
        return centres

    def _house(
        self, centres: dict[str, float], places: Sequence[Slot], extents: dict[str, tuple[float, float]], scale: float, pitch: float
    ) -> tuple[float, float]:
        """Where the column of the house stands, and where the pipe leaves the room."""
        frame, cell = self.frame, self._half_cell(pitch)
        last = places[-1].column if places else None
        gap = self._own_gap(max(centres.values())) if self.own else pitch if last is not None else 0.75 * pitch
        reached = max(x + extents[node][1] for node, x in centres.items())
        house = max(max(centres.values()) + gap, reached + 30.0 * self.shrink, frame.first + cell)
        end = house + cell
        wall = frame.wall + (self.model.room_width or 0.0) * scale
        if self.own:
            return max(house, wall - cell), max(end, wall)
        # The pipe leaves through the wall where the whole room is in view.
        return house, wall if end <= wall <= frame.end else end

    def _own_gap(self, last: float) -> float:
        """From the last stage of a floor of the user's to the house: as wide as a pitch ever is, as far as that is in view."""
        return min(PITCH_MOST, max(self.frame.end - HALF_CELL["full"] - last, 0.0))


def _nothing() -> StageModel:
    from trainapp.stages.base import Figure

    return StageModel("", "", "", "", "", Figure("inline", 0.0, 0.0))


_NOTHING = _nothing()


def grid(route: Route, columns: Sequence[LedgerColumn], frame: Frame, at: Spread, before: Tier | None) -> Grid:
    """Bands under the floor: columns at their vessels where the pitch allows, else moved; even where floor order is not flow order."""
    nodes = route.nodes()
    if not at.tidy:
        return _even(nodes, columns, frame, at)
    wanted = wanted_centres(columns, at.centres)
    tier, centres = _tier(wanted, frame, at, before)
    moved = {node: x - w for column, x, w in zip(columns, centres, wanted, strict=True) for node in column.nodes}
    x_of = _moved(nodes, at, moved)
    end = max(at.end, (centres[-1] + HALF_CELL[tier]) if centres else at.end)
    leaders = {node: (at.centres[node], x_of[node]) for node in nodes if abs(x_of[node] - at.centres[node]) > LEADER_FROM}
    x_of |= {SUPPLY: at.centres[SUPPLY], HOUSE: end}
    keys = {column.key: x for column, x in zip(columns, centres, strict=True)}
    return Grid(x_of, keys, tier, _half_cell(tier, centres), end, leaders)


def _tier(wanted: Sequence[float], frame: Frame, at: Spread, before: Tier | None) -> tuple[Tier, list[float]]:
    """The fullest tier that the free width has room for with no column moved by more than its pitch, and the centres in it.

    Columns spread into what is free beside them, so that two vessels that stand close together take nothing from the others.
    """
    pitch = (wanted[-1] - wanted[0]) / (len(wanted) - 1) if len(wanted) > 1 else PITCH_MOST
    tiers: tuple[Tier, ...] = ("marks",) if at.shrink < 1.0 and pitch < _READ else ("full", "medium", "compact")
    for tier in tiers:
        least, half = least_pitch(tier) - (HYSTERESIS if tier == before != "compact" else 0.0), HALF_CELL[tier]
        # The house column is free to move towards the last stage: no vessel stands over it.
        most = max(frame.end, at.end) - half
        if tier == "compact" and at.shrink < 1.0:
            least = min(least, pitch)
        centres = place(wanted, least, frame.first + half, most) if wanted else []
        near = all(abs(x - w) <= least for x, w in zip(centres[:-1], wanted[:-1], strict=True))
        if near and (not centres or centres[-1] <= most + 0.5):
            break
    return tier, centres


def _half_cell(tier: Tier, centres: Sequence[float]) -> float:
    pitch = min((b - a for a, b in zip(centres, centres[1:], strict=False)), default=2 * HALF_CELL[tier])
    return min(HALF_CELL[tier], pitch / 2)


def _moved(nodes: Sequence[str], at: Spread, moved: dict[str, float]) -> dict[str, float]:
    """x of each node: its vessel's, moved as its column was; one without a column as its neighbours were."""
    x_of: dict[str, float] = {}
    for i, node in enumerate(nodes):
        shift = moved.get(node)
        if shift is None:
            near = [moved[n] for n in (*nodes[i - 1 : i], *nodes[i + 1 : i + 2]) if n in moved]
            shift = sum(near) / len(near) if near else 0.0
        x_of[node] = at.centres[node] + shift
    return x_of


def _even(nodes: Sequence[str], columns: Sequence[LedgerColumn], frame: Frame, at: Spread) -> Grid:
    """Bands in flow order at even pitch."""
    start, count = at.centres[SUPPLY], max(len(nodes) + 1, 1)
    tier: Tier = tier_for((frame.end - start) / (count + 0.4))
    pitch = max(min((frame.end - HALF_CELL[tier] - start) / count, PITCH_MOST), PITCH_LEAST)
    first = max(start + pitch, frame.first + HALF_CELL[tier])
    x_of = {node: first + i * pitch for i, node in enumerate(nodes)}
    house = first + len(nodes) * pitch
    keys = {c.key: house if c.key == HOUSE else sum(x_of[n] for n in c.nodes) / len(c.nodes) for c in columns}
    x_of |= {SUPPLY: start, HOUSE: house + HALF_CELL[tier]}
    return Grid(x_of, keys, tier, min(HALF_CELL[tier], pitch / 2), house + HALF_CELL[tier])
