"""The narrow rows: fall of pressure and speed of water under the staircase, pressure as rows where there is none, and the flow slider."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from trainapp.reports.drawing.columns import LedgerColumn
from trainapp.reports.drawing.display import Box, Circle, Group, Line, Measure, Shape, Text
from trainapp.reports.drawing.frame import Band, Frame, Grid, Options
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.model import HOUSE, SUPPLY, BenchModel, FlowTick, LinkModel, TryFlow
from trainapp.reports.drawing.staircase import fork_middle, lane_tag
from trainapp.reports.drawing.tokens import BODY, CAPTION
from trainapp.stages.base import Severity
from trainapp.train.routes import Fork, Item, Lane, Route, nodes_of


def row_head(frame: Frame, y: float, label: str, unit: str, measure: Measure, bold: bool = False) -> list[Shape]:
    """A row's label and unit."""
    x = frame.text_left + measure(label, BODY, bold) + 6
    return [Text(frame.text_left, y, label, "ink", BODY, "start", bold), Text(x, y, unit, "ink3", CAPTION)]


@dataclass(frozen=True, slots=True)
class Spot:
    """A figure of a row: where it wants to stand, its text, and what it counts as where it is over its limit."""

    x: float
    text: str
    over: Severity | Literal[""] = ""


def spots_row(spots: Iterable[Spot], y: float, left: float, measure: Measure) -> list[Shape]:
    """Figures centred at their x; one that would meet another is left out, those over their limit last."""
    kept: list[tuple[Spot, Box]] = []
    for spot in sorted(spots, key=lambda s: not s.over):
        width = measure(spot.text, CAPTION, bool(spot.over)) + (15.0 if spot.over else 0.0)
        box = Box(spot.x - width / 2, y - 10, width, 14)
        if spot.text and box.x >= left and not any(box.meets(other, 6.0) for _, other in kept):
            kept.append((spot, box))
    items: list[Shape] = []
    for spot, box in kept:
        if spot.over:
            shapes = [*mark(spot.over, box.x + 5, y - 4, 10.0), Text(box.right, y, spot.text, "ink", CAPTION, "end", True)]
        else:
            shapes = [Text(spot.x, y, spot.text, "ink2", CAPTION, "middle")]
        items.append(Group(shapes, whole=box))
    return items


# Fall and speed ---------------------------------------------------------------------------------------------------------------


def fall_row(model: BenchModel, route: Route, options: Options, frame: Frame, grid: Grid, y: float, measure: Measure) -> Band:
    """Pressure lost in each stage, clean and dirty; of closed lanes their common loss in the middle."""
    spots = list(_falls(model, route.items, frozenset(options.opened), grid))
    left = frame.heads_right
    words = ", ".join(model.pressure.words[:2]) if model.pressure is not None else ""
    return Band(moving=spots_row(spots, y, left, measure), fixed=row_head(frame, y, "Fall", words, measure))


def _falls(model: BenchModel, items: Sequence[Item], opened: frozenset[tuple[str | int, ...]], grid: Grid) -> Iterable[Spot]:
    for item in items:
        if isinstance(item, str):
            stage = model.stage(item)
            if stage is not None and stage.fall != ("", ""):
                yield Spot(grid.nodes[item], ", ".join(stage.fall))
        elif isinstance(item, Fork):
            lane = next((lane for lane in item.lanes if lane_tag(item, lane) in opened), None)
            if lane is not None:
                yield from _falls(model, lane.items, opened, grid)
            elif model.pressure is not None:
                yield _common(model, item, grid)


def _common(model: BenchModel, fork: Fork, grid: Grid) -> Spot:
    pressure = model.pressure
    if pressure is None:
        return Spot(0.0, "")
    before, after = pressure.leaving.get(fork.split), pressure.entering.get(fork.merge)
    if before is None or after is None:
        return Spot(0.0, "")
    texts = (pressure.text(before.clean - after.clean), pressure.text(before.dirty - after.dirty))
    return Spot(fork_middle(fork, grid), ", ".join(texts))


def speed_row(model: BenchModel, route: Route, frame: Frame, grid: Grid, y: float, measure: Measure) -> Band:
    """Speed of the water in each run, in the middle of it; of lanes the fastest."""
    spots = list(_speeds(route, route.items, grid, SUPPLY))
    last = route.items[-1] if route.items else SUPPLY
    if isinstance(last, Fork):
        last = ""
    house = route.links.get((str(last), HOUSE)) if isinstance(last, str) else None
    if house is not None:
        spots.append(Spot((grid.nodes[house.source] + grid.nodes[HOUSE]) / 2, house.speed, house.too_fast))
    left = frame.heads_right
    return Band(moving=spots_row(spots, y, left, measure), fixed=row_head(frame, y, "Speed", model.speed_unit, measure))


def _speeds(route: Route, items: Sequence[Item], grid: Grid, before: str) -> Iterable[Spot]:
    for item in items:
        if isinstance(item, str):
            link = route.links.get((before, item))
            if link is not None:
                yield Spot((grid.nodes[before] + grid.nodes[item]) / 2, link.speed, link.too_fast)
            before = item
        elif isinstance(item, Fork):
            links = [link for lane in item.lanes for link in _lane_links(route, lane)]
            fastest = max(links, key=lambda link: (bool(link.too_fast), float(link.speed or 0)))
            yield Spot(fork_middle(item, grid), fastest.speed, fastest.too_fast)
            before = ""


def _lane_links(route: Route, lane: Lane) -> list[LinkModel]:
    nodes = list(nodes_of(lane.items))
    between = [route.links[key] for key in zip(nodes, nodes[1:], strict=False) if key in route.links]
    return [*lane.firsts, *between, *lane.lasts]


# Pressure as rows -------------------------------------------------------------------------------------------------------------


def pressure_rows(
    model: BenchModel, columns: Sequence[LedgerColumn], frame: Frame, grid: Grid, top: float, pitch: float, measure: Measure
) -> Band:
    """Two rows for a window too low for a staircase: pressure entering each column's point, clean and dirty."""
    pressure, band = model.pressure, Band()
    if pressure is None:
        return band
    for i, word in enumerate(("clean", "dirty")):
        told = pressure.words[i]
        y, rule = top + i * pitch + pitch / 2 + 4, top + (i + 1) * pitch
        band.fixed += row_head(frame, y, "Pressure", f"{told}, {pressure.unit}", measure)
        band.under.append(Line(frame.text_left, rule, frame.words_end, rule, "hair"))
        short = pressure.marks.get(word)
        for column in columns:
            at = pressure.entering.get(column.key)
            if at is None or grid.tier == "marks":
                continue
            x = grid.columns[column.key] + {"full": -8.0, "medium": 6.0, "compact": 17.0, "marks": 0.0}[grid.tier]
            over = short is not None and column.key == HOUSE
            figure = Text(x, y, pressure.text(getattr(at, word)), "ink" if over else "ink2", BODY, "end", over)
            band.moving.append(Group([figure], whole=figure.box(measure)))
        if short:
            band.fixed += mark(short, frame.words + 5, y - 4, 10.0)
            band.fixed.append(Text(frame.words + 14, y, "below wanted", "ink", CAPTION))
        elif pressure.wanted is not None:
            band.fixed.append(Text(frame.words, y, f"wanted {pressure.text(pressure.wanted)}", "ink3", CAPTION))
    return band


# Try a flow -------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Slider:
    """Geometry of the flow slider: a straight scale from `least` at `left` to `most` at `right`, and the flows that it snaps to."""

    left: float
    right: float
    y: float
    least: float
    most: float
    snaps: tuple[float, ...]

    def x(self, flow: float) -> float:
        """px of a flow in the shown unit, held to the track."""
        part = (flow - self.least) / (self.most - self.least) if self.most > self.least else 0.0
        return self.left + min(max(part, 0.0), 1.0) * (self.right - self.left)

    def flow(self, x: float, snap: float = 6.0) -> float:
        """The flow at an x, a named one where it is nearer than `snap` px."""
        near = min(self.snaps, key=lambda s: abs(self.x(s) - x), default=None)
        if near is not None and abs(self.x(near) - x) <= snap:
            return near
        part = min(max((x - self.left) / (self.right - self.left), 0.0), 1.0)
        return self.least + part * (self.most - self.least)


#: Length of the track at which all of its ends find room for their names, px.
_TRACK_LEAST = 320.0


def slider(flow: TryFlow, frame: Frame, grid: Grid, y: float) -> Slider:
    """The slider of a view, its track at `y`."""
    values = [tick.value for tick in flow.ticks]
    # Under a short train it reaches on under the row words, so that its ends are named.
    right = max(min(grid.end, frame.words - 8.0), min(frame.axis + _TRACK_LEAST, frame.words_end))
    return Slider(frame.axis, right, y, min(values), max(values), tuple(values))


_PRIORITY = {"peak": 0, "capacity": 1, "night": 2, "twice": 3}


def try_flow(flow: TryFlow, at: Slider, frame: Frame, current: float, measure: Measure) -> list[Shape]:
    """The track, its ticks with names and figures, and the handle."""
    items: list[Shape] = [Text(frame.text_left, at.y + 4, "Try a flow", "ink", BODY), Line(at.left, at.y, at.right, at.y, "edge", 3.0)]
    taken: list[Box] = []
    for tick in sorted(flow.ticks, key=lambda t: _PRIORITY.get(t.key, 4)):
        x = at.x(tick.value)
        items.append(Line(x, at.y - 6, x, at.y + 6, "ink2", 1.5))
        label = _tick_label(tick, at, x, taken, measure)
        if label is not None:
            taken.append(label.box(measure))
            items.append(label)
    x = at.x(current)
    handle: list[Shape] = [Circle(x, at.y, 7.0, "page", "accent", 2.5)]
    name = f"Try a flow, {current:.1f} {flow.unit}"
    track = Group([], ("track", "flow"), "click to try a flow", name, (Box(at.left, at.y - 10, at.right - at.left, 20),))
    return [track, *items, Group(handle, ("handle", "flow"), f"{current:.1f} {flow.unit}", name, (Box(x - 12, at.y - 12, 24, 24),))]


def _tick_label(tick: FlowTick, at: Slider, x: float, taken: Sequence[Box], measure: Measure) -> Text | None:
    """The label under a tick, kept within the track and clear of the others; None where there is no room."""
    bold, text = tick.key == "peak", f"{tick.word} {tick.text}"
    width = measure(text, CAPTION, bold)
    beside = [left for other in taken for left in (other.right + 8, other.x - width - 8)]
    for left in (x - width / 2, x - width + 6, x - 6, *sorted(beside, key=lambda left: abs(left + width / 2 - x))):
        inside = at.left - 6.5 <= left and left + width <= at.right + 6.5
        label = Text(left, at.y + 19, text, "ink" if bold else "ink2", CAPTION, "start", bold)
        # A label pushed aside still begins or ends near its tick.
        if inside and left - 24 <= x <= left + width + 24 and not any(label.box(measure).meets(other, 6.0) for other in taken):
            return label
    return None
