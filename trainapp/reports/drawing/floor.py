"""Where the stages stand on the floor: in flow order at a readable spacing, to one scale, or where the user placed them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from trainapp.reports.drawing.columns import LEADER_FROM, LedgerColumn, Tier, least_pitch, place, tier_for, wanted_centres
from trainapp.reports.drawing.frame import FOOT, Frame, Grid, Spread
from trainapp.reports.drawing.model import HOUSE, SUPPLY, BenchModel, StageModel
from trainapp.reports.drawing.routes import Route

#: Scale of the bench, px per metre: 24 to 60 px per foot.
SCALE_LEAST, SCALE_MOST = 24.0 / FOOT, 60.0 / FOOT

#: Column pitch, px: compact at the least, never stretched beyond the most.
PITCH_LEAST, PITCH_MOST = 56.0, 160.0

#: Half a ledger cell by tier, px.
HALF_CELL: dict[Tier, float] = {"full": 66.0, "medium": 44.0, "compact": 28.0}

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


def slots(model: BenchModel, route: Route, columns: Sequence[LedgerColumn], scale: float) -> list[Slot]:
    """Places in drawing order, stages without a link last."""
    column_of = {node: i for i, column in enumerate(columns) for node in column.nodes}
    stages = {stage.id: stage for stage in model.stages}
    order = [*route.nodes(), *route.loose]
    return [_slot(stages[node], scale, column_of.get(node)) for node in order]


def _slot(stage: StageModel, scale: float, column: int | None) -> Slot:
    figure = stage.figure
    if figure.shape == "inline":
        return Slot(stage, (0.0,), 10.0, 10.0, column)
    half = max(figure.width * scale / 2, 7.0)
    left = right = half + (SIDE_PIPE if figure.shape == "chamber" else 0.0)
    if figure.beside[0] > 0:
        right += 5.0 + figure.beside[0] * scale
    step = left + right + max(10.0, 0.25 * FOOT * scale)
    reach = (stage.count - 1) / 2 * step
    return Slot(stage, tuple((i - (stage.count - 1) / 2) * step for i in range(stage.count)), reach + left, reach + right, column)


def _spacing(a: Slot, b: Slot, pitch: float, scale: float) -> float:
    """Distance of two neighbours' centres: enough to stand clear, and to read what is below them."""
    clear = a.right + max(12.0, 0.35 * FOOT * scale) + b.left
    if a.column is not None and b.column is not None:
        return max(clear, pitch * (_SHARED if a.column == b.column else 1.0))
    return max(clear, _INLINE_LEAST, pitch * (_BOTH_INLINE if a.column is None and b.column is None else _INLINE))


def spread(model: BenchModel, route: Route, columns: Sequence[LedgerColumn], frame: Frame, most: float, zoom: float = 1.0) -> Spread:
    """Place everything at the best scale up to `most` px per metre; what does not fit even at the least scale reaches beyond the frame."""
    scale, pitch = _fit(model, route, columns, replace(frame, shift=0.0), min(most, SCALE_MOST))
    return lay_out(model, route, columns, frame, scale * zoom, pitch * zoom)


def _fit(model: BenchModel, route: Route, columns: Sequence[LedgerColumn], frame: Frame, most: float) -> tuple[float, float]:
    """Scale and pitch: the largest scale that still gives the ledger a good tier, a smaller one where that gains a tier."""
    least = min(SCALE_LEAST, most)
    found = _pitch_at(model, route, columns, frame, most)
    worth_it: tuple[tuple[Tier, float], ...] = (("full", 0.9 * most), ("medium", least))
    for tier, worth in worth_it:
        wanted = least_pitch(tier)
        if found >= wanted:
            return most, found
        scale = _largest(model, route, columns, frame, max(worth, least), most, wanted)
        if scale is not None:
            return scale, _pitch_at(model, route, columns, frame, scale)
    scale = _largest(model, route, columns, frame, least, most, PITCH_LEAST)
    return (scale, max(_pitch_at(model, route, columns, frame, scale), PITCH_LEAST)) if scale else (least, PITCH_LEAST)


def _largest(
    model: BenchModel, route: Route, columns: Sequence[LedgerColumn], frame: Frame, least: float, most: float, pitch: float
) -> float | None:
    """The largest scale in [least, most] at which that pitch fits, None where it does not fit at the least."""

    def fits(scale: float) -> bool:
        return lay_out(model, route, columns, frame, scale, pitch).end <= frame.end

    if not fits(least):
        return None
    if fits(most):
        return most
    for _ in range(6):
        middle = (least + most) / 2
        least, most = (middle, most) if fits(middle) else (least, middle)
    return least


def _pitch_at(model: BenchModel, route: Route, columns: Sequence[LedgerColumn], frame: Frame, scale: float) -> float:
    """The largest pitch that fits at a scale, 0 where the least does not."""

    def fits(pitch: float) -> bool:
        return lay_out(model, route, columns, frame, scale, pitch).end <= frame.end

    if not fits(PITCH_LEAST):
        return 0.0
    if fits(PITCH_MOST):
        return PITCH_MOST
    least, most = PITCH_LEAST, PITCH_MOST
    for _ in range(7):
        middle = (least + most) / 2
        least, most = (middle, most) if fits(middle) else (least, middle)
    return least


def lay_out(model: BenchModel, route: Route, columns: Sequence[LedgerColumn], frame: Frame, scale: float, pitch: float) -> Spread:
    """Place everything at a given scale (px per metre) and pitch (px)."""
    places = slots(model, route, columns, scale)
    cell = HALF_CELL[tier_for(pitch)]
    half = supply_half(model, scale)
    # The tank keeps clear of the wall; what a cell of the first column needs keeps clear of the row heads.
    supply_x = max(frame.supply, frame.wall + half + 12.0)
    before = Slot(_NOTHING, (0.0,), half, half + SIDE_PIPE, None)
    x, reach = supply_x, supply_x + half
    centres, units, extents = {SUPPLY: supply_x}, {}, {SUPPLY: (half, half)}
    for slot in places:
        at = x + _spacing(before, slot, pitch, scale)
        if slot.column == 0:
            at = max(at, frame.first + cell)
        if slot.stage.x is not None:
            at = frame.wall + slot.stage.x * scale
        centres[slot.stage.id] = x = at
        units[slot.stage.id] = tuple(at + unit for unit in slot.units)
        extents[slot.stage.id] = (slot.left, slot.right)
        reach = max(reach, at + slot.right)
        before = slot
    rightmost = max(centres.values())
    gap = pitch if before.column is not None else 0.75 * pitch
    house = max(rightmost + gap, reach + 30.0, frame.first + cell)
    centres[HOUSE] = house
    order = [centres[slot.stage.id] for slot in places if slot.stage.id in route.nodes()]
    end = house + cell
    wall = frame.wall + (model.room_width or 0.0) * scale
    # The pipe leaves through the wall where the whole room is in view.
    return Spread(scale, pitch, centres, units, extents, wall if end <= wall <= frame.end else end, order == sorted(order))


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
    """The fullest tier that fits the frame with no column moved by more than a quarter of its pitch, and the centres in it."""
    pitch = (wanted[-1] - wanted[0]) / (len(wanted) - 1) if len(wanted) > 1 else PITCH_MOST
    tier = tier_for(pitch, before)
    while True:
        least, half = least_pitch(tier), HALF_CELL[tier]
        # The house column is free to move towards the last stage: no vessel stands over it.
        most = max(frame.end, at.end) - half
        centres = place(wanted, least, frame.first + half, most) if wanted else []
        near = all(abs(x - w) <= least / 4 for x, w in zip(centres[:-1], wanted[:-1], strict=True))
        if tier == "compact" or (near and (not centres or centres[-1] <= most + 0.5)):
            return tier, centres
        tier = "medium" if tier == "full" else "compact"


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
