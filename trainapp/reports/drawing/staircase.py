"""The pressure staircase (heading Pressure): treads fall with the pipes, risers stand under the vessels.

Lanes between one split and one merge lose the same pressure, so closed lanes share one riser exactly. An opened lane shows its own
risers; both ways end at the same pressure.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from trainapp.reports.drawing.display import Box, Circle, Dash, Group, Line, Measure, Point, Polyline, Rect, Shape, Text
from trainapp.reports.drawing.frame import Band, Frame, Grid, Options
from trainapp.reports.drawing.lane_room import fork_span, next_x, tee_x
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.model import HOUSE, SUPPLY, BenchModel, Pressure, PressureModel
from trainapp.reports.drawing.tokens import BODY, CAPTION, CLEAN, DIRTY, DIRTY_DASH, DOTTED, LOWEST_DASH
from trainapp.train.routes import Fork, Item, Lane, Route, Spur, nodes_of

#: Distance of the strokes of closed lanes, px; least distance of the labels at the right end, px.
STROKE_GAP = 6.0
LABEL_GAP = 14.0


@dataclass(slots=True)
class Climb:
    """The staircase while it is followed from the supply: corners in px by series, strokes of closed lanes, lanes drawn thin."""

    pressure: PressureModel
    route: Route
    grid: Grid
    opened: frozenset[tuple[str | int, ...]]
    y: Callable[[float], float]
    clean: list[Point] = field(default_factory=list)
    dirty: list[Point] = field(default_factory=list)
    lowest: list[Point] = field(default_factory=list)
    strokes: list[tuple[float, Pressure, Pressure]] = field(default_factory=list)
    thin: list[list[Point]] = field(default_factory=list)
    opens: list[Point] = field(default_factory=list)
    outlets: list[tuple[str, float, float, float]] = field(default_factory=list)
    aside: list[tuple[str, Point]] = field(default_factory=list)

    def step(self, x: float, p: Pressure) -> None:
        """Go on to a corner of all three series."""
        self.clean.append((x, self.y(p.clean)))
        self.dirty.append((x, self.y(p.dirty)))
        self.lowest.append((x, self.y(p.lowest)))

    def follow(self, items: Sequence[Item], x: float, p: Pressure) -> tuple[float, Pressure]:
        """Follow a row of items from x and p; where it ends."""
        for i, item in enumerate(items):
            if isinstance(item, str):
                x = self.grid.nodes[item]
                p = self._stage(item, x, p)
            elif isinstance(item, Fork):
                x, p = self._fork(item, x, p)
            else:
                self._spur(item, x, p, next_x(items[i + 1 :], self.grid))
        return x, p

    def _stage(self, node: str, x: float, p: Pressure) -> Pressure:
        """A tread to a stage and its riser; a stage that no water passes leaves the pressure as it is."""
        if node not in self.pressure.entering or node not in self.pressure.leaving:
            return p
        self.step(x, self.pressure.entering[node])
        after = self.pressure.leaving[node]
        self.step(x, after)
        return after

    def _spur(self, spur: Spur, x: float, p: Pressure, after: float) -> None:
        if spur.end in self.pressure.entering:
            below = self.pressure.entering[spur.end].clean
            self.outlets.append((spur.end, tee_x(x, after), self.y(p.clean), self.y(below)))

    def _fork(self, fork: Fork, x: float, p: Pressure) -> tuple[float, Pressure]:
        merged = self.pressure.entering.get(fork.merge, p)
        self._aside(fork)
        lanes = [lane for lane in fork.lanes if not lane.aside]
        lane = next((lane for lane in lanes if len(lanes) == 1 or lane_tag(fork, lane) in self.opened), None)
        if lane is None:
            return self._closed(fork, p, merged)
        start, end = fork_span(fork, self.grid)
        self.step(start, p)
        self.opens.append((start, self.y(p.clean)))
        for other in lanes:
            if other is not lane:
                self.thin.append(self._thin(other, (start, end), p, merged))
        self.follow(lane.items, start, p)
        self.step(end, merged)
        self.opens.append((end, self.y(merged.clean)))
        return end, merged

    def _aside(self, fork: Fork) -> None:
        """Stages that no lane holds are dots at the pressure that enters them."""
        for lane in fork.lanes:
            for item in lane.items if lane.aside else ():
                if isinstance(item, str) and item in self.pressure.entering:
                    self.aside.append((item, (self.grid.nodes[item], self.y(self.pressure.entering[item].clean))))
                elif isinstance(item, Spur) and item.source in self.pressure.leaving:
                    x = self.grid.nodes[item.source]
                    self._spur(item, x, self.pressure.leaving[item.source], x + 40.0)

    def _closed(self, fork: Fork, p: Pressure, merged: Pressure) -> tuple[float, Pressure]:
        middle = fork_middle(fork, self.grid)
        self.step(middle, p)
        self.step(middle, merged)
        count = sum(lane.flow > 0 for lane in fork.lanes) or len(fork.lanes)
        self.strokes += [(middle + (i - (count - 1) / 2) * STROKE_GAP, p, merged) for i in range(count)]
        return middle, merged

    def _thin(self, lane: Lane, span: tuple[float, float], p: Pressure, merged: Pressure) -> list[Point]:
        points = [(span[0], self.y(p.clean))]
        for node in nodes_of(lane.items):
            if node not in self.pressure.entering:
                continue
            x = self.grid.nodes[node]
            points += [(x, self.y(self.pressure.entering[node].clean)), (x, self.y(self.pressure.leaving[node].clean))]
        return [*points, (span[1], self.y(merged.clean))]


def lane_tag(fork: Fork, lane: Lane) -> tuple[str | int, ...]:
    """The tag that names a lane: ("lane", split, the node that tells it from the others)."""
    return ("lane", fork.split, lane.head)


def fork_middle(fork: Fork, grid: Grid) -> float:
    """Where closed lanes have their common riser: the middle of their stages."""
    inside = [grid.nodes[node] for lane in fork.lanes for node in nodes_of(lane.items)]
    return (min(inside) + max(inside)) / 2 if inside else sum(fork_span(fork, grid)) / 2


def climb(model: BenchModel, route: Route, grid: Grid, options: Options, y: Callable[[float], float]) -> Climb:
    """Follow the whole train; `y` turns a pressure in the shown unit into px."""
    pressure = model.pressure
    if pressure is None:
        raise ValueError("a staircase needs pressures")
    made = Climb(pressure, route, grid, frozenset(options.opened), y)
    start = pressure.leaving[SUPPLY]
    made.step(grid.nodes[SUPPLY], start)
    made.follow(route.items, grid.nodes[SUPPLY], start)
    if HOUSE in pressure.entering:
        made.step(grid.nodes[HOUSE], pressure.entering[HOUSE])
    return made


# Axis -------------------------------------------------------------------------------------------------------------------------


def round_ticks(most: float) -> list[float]:
    """0 and three or four round values up to at least `most`."""
    if most <= 0:
        return [0.0, 1.0]
    best: list[float] = []
    for power in range(math.floor(math.log10(most)) - 1, math.floor(math.log10(most)) + 2):
        for unit in (1.0, 2.0, 2.5, 5.0):
            step = unit * 10.0**power
            count = math.ceil(most / step - 1e-9)
            if 2 <= count <= 3 and (not best or count * step < best[-1]):
                best = [i * step for i in range(count + 1)]
    return best


def draw(model: BenchModel, route: Route, options: Options, frame: Frame, grid: Grid, box: tuple[float, float], measure: Measure) -> Band:
    """The staircase between the y of its top and bottom line."""
    pressure = model.pressure
    if pressure is None:
        return Band()
    top, bottom = box
    values = [v for p in (*pressure.leaving.values(), *pressure.entering.values()) for v in (p.clean, p.dirty)]
    ticks = round_ticks(max([*values, pressure.wanted or 0.0, pressure.most]))

    def y(value: float) -> float:
        return bottom - max(value, 0.0) / ticks[-1] * (bottom - top)

    made = climb(model, route, grid, options, y)
    heads: list[Shape] = [Text(frame.text_left, top + 4, "Pressure", "ink", BODY, "start", True)]
    heads.append(Text(frame.text_left + measure("Pressure", BODY, True) + 6, top + 4, pressure.unit, "ink3", CAPTION))
    heads += [Text(frame.axis - 8, y(tick) + 4, f"{tick:g}", "ink3", CAPTION, "end") for tick in ticks]
    right = min(grid.end, frame.words - 8.0)
    under: list[Shape] = [Line(frame.axis, y(tick), right, y(tick), "edge" if tick == 0 else "hair") for tick in ticks]
    marks, labels = _outlets(model, made, measure, (frame.axis, top, bottom))
    for node, at in made.aside:
        stage = model.stage(node)
        marks.append(Circle(*at, 3.0, "sheet", "ink", 1.5))
        if stage is not None:
            _label(labels, [_around(a, b, 2.0, 2.0) for a, b in _drawn(made)], [(stage.number or stage.name, "ink2")], at, measure,
                   (frame.axis, top, bottom))  # fmt: skip
    items: list[Shape] = [shape for shape in labels if isinstance(shape, Rect)]
    items += _series(made, pressure, grid, y)
    items += [*marks, *(shape for shape in labels if not isinstance(shape, Rect))]
    dots, words = _ends(pressure, grid, frame, y, (top, bottom))
    items += dots
    areas = tuple(_around(a, b, 4.0, 6.0) for a, b in _pieces(made.clean))
    tooltip = f"hydraulic grade line: {pressure.meaning}"
    return Band(under, [Group(items, ("staircase",), tooltip, "Pressure along the pipe", areas)], [*heads, *words])


def _around(a: Point, b: Point, dx: float, dy: float) -> Box:
    """The box of a stroke, with some more on every side."""
    return Box(min(a[0], b[0]) - dx, min(a[1], b[1]) - dy, abs(b[0] - a[0]) + 2 * dx, abs(b[1] - a[1]) + 2 * dy)


def _pieces(points: Sequence[Point]) -> list[tuple[Point, Point]]:
    return list(zip(points, points[1:], strict=False))


def _series(made: Climb, pressure: PressureModel, grid: Grid, y: Callable[[float], float]) -> list[Shape]:
    """Band, wanted line, thin lanes, the series themselves, the strokes of closed lanes, open dots."""
    items: list[Shape] = [Polyline((*made.clean, *reversed(made.dirty)), "", fill="well", closed=True)]
    if pressure.wanted is not None:
        items.append(Line(made.clean[0][0] - 18, y(pressure.wanted), grid.end, y(pressure.wanted), "ink2", 1.2, DOTTED))
    items += [Polyline(tuple(points), "ink3", 1.2) for points in made.thin]
    if shows_lowest(pressure):
        items.append(Polyline(tuple(made.lowest), "ink3", 1.2, LOWEST_DASH))
    items += _line(made, made.dirty, lambda p: p.dirty, DIRTY, DIRTY_DASH)
    items += _line(made, made.clean, lambda p: p.clean, CLEAN, ())
    return [*items, *(Circle(x, at, 3.5, "sheet", "ink", 1.5) for x, at in made.opens)]


def _line(made: Climb, points: Sequence[Point], of: Callable[[Pressure], float], width: float, dash: Dash) -> list[Shape]:
    """One series; its common risers of closed lanes are drawn as one stroke a lane, and its treads reach the outermost."""
    risers = {(stroke[0], made.y(of(stroke[1])), made.y(of(stroke[2]))) for stroke in made.strokes}
    items: list[Shape] = [Line(x, above, x, below, "ink", width) for x, above, below in sorted(risers)]
    middles = _middles(made)
    run: list[Point] = []
    for a, b in _pieces(points):
        run = run or [a]
        reach = middles.get(round(a[0], 3))
        if reach and a[0] == b[0]:
            items.append(Polyline((*run[:-1], (a[0] + reach, a[1])), "ink", width, dash))
            run = [(b[0] - reach, b[1])]
        else:
            run.append(b)
    items.append(Polyline(tuple(run), "ink", width, dash))
    return items


def _middles(made: Climb) -> dict[float, float]:
    """Half the width of each group of strokes by the x of its middle."""
    groups: dict[tuple[float, float], list[float]] = {}
    for x, p, merged in made.strokes:
        groups.setdefault((p.clean, merged.clean), []).append(x)
    return {round((min(xs) + max(xs)) / 2, 3): (max(xs) - min(xs)) / 2 for xs in groups.values()}


# Labels -----------------------------------------------------------------------------------------------------------------------


def shows_lowest(pressure: PressureModel) -> bool:
    """Whether the pump's cut-in leaves visibly less than the running pump."""
    at = pressure.entering.get(HOUSE)
    return at is not None and pressure.text(at.lowest) != pressure.text(at.dirty)


def _ends(
    pressure: PressureModel, grid: Grid, frame: Frame, y: Callable[[float], float], box: tuple[float, float]
) -> tuple[list[Shape], list[Shape]]:
    """Dots and labels at the right end, in value order and at least 14 px apart."""
    house = pressure.entering.get(HOUSE)
    if house is None:
        return [], []
    clean, dirty, lowest = pressure.words
    ends: list[tuple[float, str, str]] = [(house.clean, clean, "clean"), (house.dirty, dirty, "dirty")]
    if shows_lowest(pressure):
        ends.append((house.lowest, lowest, "lowest"))
    dots: list[Shape] = [Circle(grid.end, y(value), 3.0, "ink" if key != "lowest" else "ink3") for value, _, key in ends]
    if pressure.wanted is not None:
        ends.append((pressure.wanted, "wanted", "wanted"))
    ends.sort(key=lambda end: -end[0])
    items: list[Shape] = []
    places = spaced([y(value) + 4 for value, _, _ in ends], LABEL_GAP, box[0] + 2, box[1] + 4)
    for (value, word, key), at in zip(ends, places, strict=True):
        severity = pressure.marks.get(key)
        x = frame.words
        if severity:
            items += mark(severity, x + 5, at - 4, 10.0)
            x += 14
        token = "ink2" if key in ("wanted", "lowest") and not severity else "ink"
        items.append(Text(x, at, f"{pressure.text(value)} {word}", token, CAPTION, "start", severity is not None))
    return dots, items


def spaced(wanted: Sequence[float], gap: float, least: float, most: float) -> list[float]:
    """Places nearest to the wanted, rising, at least `gap` apart, between `least` and `most` (`least` wins where both cannot hold)."""
    from trainapp.reports.drawing.columns import place

    return place(wanted, gap, least, most)


def _outlets(model: BenchModel, made: Climb, measure: Measure, box: tuple[float, float, float]) -> tuple[list[Shape], list[Shape]]:
    """A spur down to an open dot for each other end; names and figures for at most two, with a ground that hides grid lines."""
    marks: list[Shape] = []
    labels: list[Shape] = []
    names = {end.id: end for end in model.ends}
    lines = [_around(a, b, 2.0, 2.0) for a, b in _drawn(made)]
    lines += [Box(x - 4, min(a, b), 8, abs(b - a) + 4) for _, x, a, b in made.outlets]
    if made.pressure.wanted is not None:
        lines.append(Box(box[0], made.y(made.pressure.wanted) - 1, made.clean[-1][0] - box[0], 2))
    for end, x, above, below in made.outlets:
        marks += [Line(x, above, x, below, "ink", 1.5), Circle(x, below, 3.0, "sheet", "ink", 1.5)]
        if len(made.outlets) > 2 or end not in names:
            continue
        name = names[end].name
        figure = made.pressure.text(made.pressure.entering[end].clean)
        _label(labels, lines, [(name, "ink3"), (figure, "ink2")], (x, below), measure, box)
    return marks, labels


def _drawn(made: Climb) -> list[tuple[Point, Point]]:
    return [piece for points in (made.clean, made.dirty, made.lowest) for piece in _pieces(points)]


def _label(
    labels: list[Shape],
    lines: list[Box],
    texts: list[tuple[str, str]],
    at: Point,
    measure: Measure,
    box: tuple[float, float, float],
) -> None:
    """Two short lines beside a dot, where no series passes; `box` is left, top and bottom of the staircase."""
    x, y = at
    for dy in (10.0, 16.0, 24.0, -20.0, 34.0, 44.0):
        for anchor, dx in (("end", -6.0), ("start", 6.0)):
            made = [Text(x + dx, y + dy + 13 * i, text, token, CAPTION, anchor) for i, (text, token) in enumerate(texts)]
            boxes = [text.box(measure) for text in made]
            inside = all(b.y > box[1] - 6 and b.bottom < box[2] - 2 and b.x > box[0] + 4 for b in boxes)
            if inside and not any(b.meets(line) for b in boxes for line in lines):
                labels.extend(Rect(b.x - 2, b.y, b.w + 4, b.h, "sheet") for b in boxes)
                labels.extend(made)
                lines.extend(boxes)
                return
