"""Columns of the ledger: which neighbours share one, and where they stand under the vessels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from trainapp.reports.drawing.model import HOUSE, BenchModel, Cell, Row
from trainapp.train.numbering import letter
from trainapp.train.routes import Route, nodes_of

Tier = Literal["full", "medium", "compact", "marks"]

#: Least pitch of each tier that can be read, px, and how far below it a ledger that already shows the tier may fall before it changes.
TIERS: tuple[tuple[Tier, float], ...] = (("full", 124.0), ("medium", 72.0), ("compact", 56.0))
HYSTERESIS = 8.0

#: Least pitch where all of a long train is shown and cells are marks alone, px.
MARKS_PITCH = 6.0

#: A column that stands farther than this from its vessel is joined to it by a leader, px.
LEADER_FROM = 8.0

_RANK = {"over": 5, "unknown": 4, "near": 3, "within": 2, "missing": 1, "none": 0}


@dataclass(frozen=True, slots=True)
class LedgerColumn:
    """One column: the nodes it stands for, whether the water there is raw or mixed, and the name of its lane where lanes differ."""

    nodes: tuple[str, ...]
    raw: bool
    mixed: bool
    lane: str = ""

    @property
    def key(self) -> str:
        """The first node: what its cells are tagged with."""
        return self.nodes[0]


def ledger_columns(model: BenchModel, route: Route) -> tuple[LedgerColumn, ...]:
    """The columns in flow order; first nodes of parallel lanes with water equal as displayed share one."""
    lanes = _lane_names(model, route)
    shared = {node: group for group in _shared_groups(model, route) for node in group}
    columns: list[LedgerColumn] = []
    seen: set[str] = set()
    present = {column.node: column for column in model.columns}
    for node in [*(n for n in route.nodes() if n in present), *(n for n in present if n == HOUSE)]:
        if node in seen:
            continue
        nodes = shared.get(node, (node,))
        seen.update(nodes)
        column = present[node]
        columns.append(LedgerColumn(nodes, column.raw, column.mixed, "" if len(nodes) > 1 else lanes.get(node, "")))
    return tuple(columns)


def _shared_groups(model: BenchModel, route: Route) -> list[tuple[str, ...]]:
    """Nodes of one fork, one of each lane and at the same place in it, that receive the same water."""
    groups: list[tuple[str, ...]] = []
    with_column = {column.node for column in model.columns}
    for fork in route.forks():
        lanes = [[node for node in nodes_of(lane.items) if node in with_column] for lane in fork.lanes]
        lanes = [lane for lane in lanes if lane]
        if len(lanes) < 2 or any(len(lane) != 1 for lane in lanes):
            continue
        group = tuple(lane[0] for lane in lanes)
        if all(len({row.cells[node].values[0] for node in group if node in row.cells}) <= 1 for row in model.rows):
            groups.append(group)
    return groups


def _lane_names(model: BenchModel, route: Route) -> dict[str, str]:
    """Lane names ("lane a") by node, for forks of which more than one lane has a column."""
    names: dict[str, str] = {}
    with_column = {column.node for column in model.columns}
    for fork in route.forks():
        lanes = [[node for node in nodes_of(lane.items) if node in with_column] for lane in fork.lanes if not lane.aside]
        if sum(bool(lane) for lane in lanes) > 1:
            for i, lane in enumerate(lanes):
                names.update((node, f"lane {letter(i)}") for node in lane)
    return names


def shown_cell(row: Row, column: LedgerColumn) -> Cell | None:
    """The cell of a column: of several stages that of the stricter limit."""
    cells = [row.cells[node] for node in column.nodes if node in row.cells]
    return max(cells, key=lambda cell: (_RANK[cell.status], cell.closeness)) if cells else None


def place(wanted: Sequence[float], pitch: float, least: float = float("-inf"), most: float = float("inf")) -> list[float]:
    """Column centres nearest to the wanted ones (least squares) that keep order and a minimum pitch, px.

    Taking i·pitch off each turns it into isotonic regression, solved exactly by pooling adjacent violators; clamping that
    solution to an interval is again optimal (R. E. Barlow et al., Statistical Inference under Order Restrictions, Wiley, 1972,
    from memory). `least` and `most` bound the first and the last centre; where both cannot hold, `least` does.
    """
    blocks: list[tuple[float, int]] = []
    for i, x in enumerate(wanted):
        mean, count = x - i * pitch, 1
        while blocks and blocks[-1][0] > mean:
            before, n = blocks.pop()
            mean, count = (before * n + mean * count) / (n + count), n + count
        blocks.append((mean, count))
    flat = [mean for mean, count in blocks for _ in range(count)]
    ceiling = most - (len(wanted) - 1) * pitch
    return [max(least, min(value, ceiling)) + i * pitch for i, value in enumerate(flat)]


def tier_for(pitch: float, before: Tier | None = None) -> Tier:
    """The ledger's tier at a column pitch in px; a tier already shown is kept until the pitch is 8 px below its least."""
    for tier, least in TIERS:
        if pitch >= least - (HYSTERESIS if tier == before else 0.0):
            return tier
    return "compact"


def least_pitch(tier: Tier) -> float:
    """Least pitch of a tier, px."""
    return MARKS_PITCH if tier == "marks" else dict(TIERS)[tier]


def wanted_centres(columns: Sequence[LedgerColumn], centres: Mapping[str, float]) -> list[float]:
    """The middle of the vessels that each column stands for, px."""
    return [sum(centres[node] for node in column.nodes) / len(column.nodes) for column in columns]
