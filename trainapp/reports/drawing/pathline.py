"""The path line (heading Flow): numbered points in flow order, lanes, ways out, and the flow wherever it changes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from trainapp.reports.drawing.display import Box, Circle, Group, Line, Measure, Point, Polyline, Rect, Shape, Tag, Text, walk
from trainapp.reports.drawing.frame import Band, Frame, Grid, Options
from trainapp.reports.drawing.lane_room import BRIDGE, CLEAR, bridges, drop, fork_span, lane_offsets, next_x, reach, tee_x
from trainapp.reports.drawing.lane_room import height as height
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.model import HOUSE, SUPPLY, BenchModel, LinkModel
from trainapp.reports.drawing.tokens import BODY, CAPTION, PATH, UNPROTECTED_DASH
from trainapp.train.routes import Fork, Item, Lane, Route, Spur, nodes_of
from trainapp.train.shares import FLOW_STEP, shared_out

#: Height of a numbered box, px.
BOX = 16.0

#: Texts whose feet are nearer than this stand on one line; on one they want so much between them, px.
_LINE, _WORD = 6.0, 20.0

#: Nearer than this two numbered boxes would meet, px.
_CROWDED = 26.0


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A text that looks for a place once all lines are drawn: its choices, best first, and what it stands for."""

    choices: tuple[Text, ...]
    tag: Tag = ()
    tooltip: str = ""


@dataclass(slots=True)
class _Pen:
    """The path line while it is drawn."""

    model: BenchModel
    route: Route
    options: Options
    grid: Grid
    measure: Measure
    left: float
    lines: list[Shape] = field(default_factory=list)
    boxes: list[Shape] = field(default_factory=list)
    wanted: list[_Wanted] = field(default_factory=list)
    taken: list[Box] = field(default_factory=list)
    heights: dict[str, float] = field(default_factory=dict)
    shown: dict[tuple[str, str], float] = field(default_factory=dict)

    def amount(self, links: Iterable[LinkModel]) -> float:
        """m3/s of several links as they are shown, so that figures of lanes add up to that of the line."""
        return sum(self.shown[link.key] for link in links)

    def crowded(self, node: str) -> bool:
        """Whether another point is so near that no number stands between them."""
        x = self.grid.nodes[node]
        return any(other != node and abs(at - x) < _CROWDED for other, at in self.grid.nodes.items())

    def stroke(self, link: LinkModel | None, points: Sequence[Point], warn: bool = False) -> None:
        """One run of pipe; dashed, and with a fail mark where `warn`, if it leads round the disinfection."""
        unprotected = link is not None and link.unprotected
        selected = link is not None and self.options.holds(("link", link.source, link.target))
        line = Polyline(tuple(points), "accent" if selected else "ink2", PATH, UNPROTECTED_DASH if unprotected else ())
        if link is None:
            self.lines.append(line)
            return
        pieces = list(zip(points, points[1:], strict=False))
        areas = tuple(Box(min(a[0], b[0]) - 3, min(a[1], b[1]) - 7, abs(b[0] - a[0]) + 6, abs(b[1] - a[1]) + 14) for a, b in pieces)
        self.lines.append(Group([line], ("link", link.source, link.target), link.tooltip, link.tooltip, areas))
        if unprotected and warn:
            (x1, y1), (x2, y2) = max(pieces, key=lambda p: abs(p[1][0] - p[0][0]))
            self.boxes += mark("fail", (x1 + x2) / 2, (y1 + y2) / 2)
            self.taken.append(Box((x1 + x2) / 2 - 7, (y1 + y2) / 2 - 7, 14, 14))

    def figure(self, forms: Sequence[str], stretches: Sequence[tuple[float, float]], y: float) -> None:
        """The first of the forms of a text that some stretch has room for: in the middle of it, else at its end."""
        choices = []
        for text in forms:
            width = self.measure(text, CAPTION, False)
            roomy = [(left, right) for left, right in stretches if right - left >= width + 4]
            places = [*((left + right) / 2 for left, right in roomy), *(right - width / 2 - 2 for _, right in roomy)]
            choices += [Text(x, y, text, "ink", CAPTION, "middle") for x in places]
        self.wanted.append(_Wanted(tuple(choices)))

    def placed(self) -> list[Shape]:
        """The texts at the first of their places where no line, box or other text is; one without such a place hides."""
        taken = [*self.taken, *(box for line, _ in walk(self.lines) if isinstance(line, Polyline | Line) for box in _along(line))]
        texts: list[Box] = []
        found: list[Shape] = []
        for wanted in self.wanted:
            # Two texts side by side on one line read as one, where there is another place.
            free = [label for label in wanted.choices if not any(label.box(self.measure).meets(other, 1.0) for other in (*taken, *texts))]
            apart = (label for label in free if not any(_beside(label.box(self.measure), other) for other in texts))
            label = next(apart, free[0] if free else None)
            if label is not None:
                box = label.box(self.measure)
                texts.append(box)
                areas = (box.grown(2.0),) if wanted.tag else ()
                found.append(Group([label], wanted.tag, wanted.tooltip, label.text if wanted.tag else "", areas, whole=box))
        return found


def _beside(a: Box, b: Box) -> bool:
    """Whether two texts stand on one line with less than a word's room between them."""
    return abs(a.bottom - b.bottom) < _LINE and a.x < b.right + _WORD and b.x < a.right + _WORD


def _along(line: Polyline | Line) -> Iterator[Box]:
    """Boxes along the strokes of a line; small ones along slanted strokes, so that what lies beside those is free."""
    points = line.points if isinstance(line, Polyline) else ((line.x1, line.y1), (line.x2, line.y2))
    for (x1, y1), (x2, y2) in zip(points, points[1:], strict=False):
        level = abs(x1 - x2) < 0.01 or abs(y1 - y2) < 0.01
        count = 1 if level else max(int(abs(y2 - y1) / 3.0), 1)
        for i in range(count):
            (ax, ay), (bx, by) = ((x1 + (x2 - x1) * t, y1 + (y2 - y1) * t) for t in (i / count, (i + 1) / count))
            yield Box(min(ax, bx) - 1, min(ay, by) - 1, abs(bx - ax) + 2, abs(by - ay) + 2)


@dataclass(slots=True)
class _Line:
    """One horizontal line of the path while it is followed: where it is, its flow, and the stretches since the flow last changed."""

    pen: _Pen
    x: float
    y: float
    flow: float
    node: str
    link: LinkModel | None
    lane: Lane | None = None
    stretches: list[tuple[float, float]] = field(default_factory=list)
    warned: bool = False
    until: float = float("inf")

    def to(self, x: float, link: LinkModel | None, room: float = 0.0) -> None:
        """Go on to `x`; `room` is what a box there takes of the stretch."""
        unprotected = link is not None and link.unprotected
        self.pen.stroke(link, ((self.x, self.y), (x, self.y)), warn=unprotected and not self.warned)
        self.warned = unprotected
        left = self.x + (10.0 if self.stretches or self.node else 2.0)
        self.stretches.append((left, x - room))
        self.x = x

    def print(self) -> None:
        """Print the flow of the stretches so far, once."""
        text = self.pen.model.flow_text(self.flow)
        if self.lane is None:
            self.pen.figure((text,), self.stretches, self.y - 6)
        self.stretches = []


def draw(model: BenchModel, route: Route, options: Options, frame: Frame, grid: Grid, y: float, measure: Measure) -> Band:
    """The path line with its main line at `y`."""
    pen = _Pen(model, route, options, grid, measure, frame.heads_right)
    pen.shown = shared_out({link.key: link.flow for link in model.links}, FLOW_STEP / model.flow_factor)
    unit_x = frame.text_left + measure("Flow", BODY, True) + 6
    heads: list[Shape] = [
        Text(frame.text_left, y + 4, "Flow", "ink", BODY, "start", True),
        Text(unit_x, y + 4, model.flow_unit, "ink3", CAPTION),
    ]
    start = grid.nodes[SUPPLY]
    pen.taken.append(Box(start - 5, y - 5, 10, 10))
    _place_boxes(pen, route.items, y)
    supplied = pen.amount(link for link in model.links if link.source == SUPPLY)
    line = _Line(pen, start, y, supplied, SUPPLY, None)
    _follow(line, route.items)
    _bridges(pen, y)
    if any(link.target == HOUSE for link in model.links):
        line.to(grid.nodes[HOUSE], line.link or route.links.get((line.node, HOUSE)), 4.0)
        line.print()
        end = grid.nodes[HOUSE]
        pen.lines.append(Polyline(((end - 2, y - 5), (end + 7, y), (end - 2, y + 5)), "", fill="ink2", closed=True))
    area = (Box(start - 12, y - 12, 24, 24),)
    pen.boxes.append(Group([Circle(start, y, 5.0, "ink2")], ("supply",), model.supply.tooltip, model.supply.name, area))
    return Band(moving=[*pen.lines, *pen.boxes, *pen.placed()], fixed=heads)


def _bridges(pen: _Pen, y: float) -> None:
    """Links that no lane explains: over all lanes, each on a level of its own, joined by dots to what it leaves and enters."""
    heights = {SUPPLY: y, HOUSE: y, **pen.heights}
    top = y - reach(pen.route.items).up - CLEAR
    for i, link in enumerate(bridges(pen.route)):
        level = top - i * BRIDGE
        (x1, y1), (x2, y2) = ((pen.grid.nodes[node], heights[node]) for node in link.key)
        step = min(14.0 + 3.0 * (i % 3), 0.4 * abs(x2 - x1))
        up, down = x1 + step, x2 - step
        pen.stroke(link, ((x1, y1), (up, y1), (up, level), (down, level), (down, y2), (x2, y2)), warn=link.unprotected)
        pen.lines += [Circle(up, y1, 2.5, "ink2"), Circle(down, y2, 2.5, "ink2")]
        pen.figure((pen.model.flow_text(pen.amount([link])),), [(up + 4, down - 4)], level - 3)


def _place_boxes(pen: _Pen, items: Sequence[Item], y: float) -> None:
    """Draw the numbered boxes of a row, and of the rows in it, so that figures keep clear of them."""
    for i, item in enumerate(items):
        if isinstance(item, str):
            pen.heights[item] = y
            _box(pen, item, y)
        elif isinstance(item, Fork):
            for lane, offset in zip(item.lanes, lane_offsets(item), strict=True):
                _place_boxes(pen, lane.items, y + offset)
        else:
            _place_boxes(pen, item.lane.items, y + drop(items, i))


def _box(pen: _Pen, node: str, y: float) -> None:
    stage = pen.model.stage(node)
    if stage is None:
        return
    x, selected = pen.grid.nodes[node], pen.options.holds(("stage", node))
    edge, width = ("accent", 2.0) if selected else ("ink2", 1.3)
    shapes: list[Shape]
    if pen.grid.tier == "marks" and pen.crowded(node):
        w = 6.0
        shapes = [Circle(x, y, 3.0, "page", edge, width)]
    elif stage.number:
        w = max(18.0, pen.measure(stage.number, CAPTION, True) + 8)
        shapes = [Rect(x - w / 2, y - BOX / 2, w, BOX, "page", edge, width, 2.0)]
        shapes.append(Text(x, y + 4, stage.number, "ink", CAPTION, "middle", True))
    elif stage.kind == "tee":
        w = 8.0
        shapes = [Circle(x, y, 3.5, edge)]
    else:
        w = 12.0
        bow = ((x - 6, y - 4.5), (x + 6, y + 4.5), (x + 6, y - 4.5), (x - 6, y + 4.5))
        shapes = [Polyline(bow, edge if selected else "ink", 1.0, fill="ink2", closed=True)]
    area = Box(x - max(w, 24) / 2, y - 11, max(w, 24), 22)
    drawn = Box(x - w / 2, y - BOX / 2, w, BOX)
    pen.boxes.append(Group(shapes, ("stage", node), stage.tooltip or stage.title, stage.title, (area,), whole=drawn))
    pen.taken.append(drawn)


def _follow(line: _Line, items: Sequence[Item]) -> None:
    """Draw a row of items, leaving the line where the last of them is."""
    for i, item in enumerate(items):
        if isinstance(item, str):
            line.to(line.pen.grid.nodes[item], line.link or line.pen.route.links.get((line.node, item)), 10.0)
            line.node, line.link = item, None
        elif isinstance(item, Fork):
            _fork(line, item)
        else:
            _spur(line, item, next_x(items[i + 1 :], line.pen.grid), drop(items, i))


def _fork(line: _Line, fork: Fork) -> None:
    start, end = fork_span(fork, line.pen.grid)
    end = max(min(end, line.until), line.x)
    line.to(max(start, line.x), None)
    line.print()
    offsets = lane_offsets(fork)
    for i, (lane, offset) in enumerate(zip(fork.lanes, offsets, strict=True)):
        if lane.aside:
            _aside(line, lane, line.y + offset)
        else:
            _lane(line, lane, (line.x, end), offset, above=i < len(offsets) - 1)
    lasts = [way for lane in fork.lanes for way in lane.lasts]
    line.x, line.node, line.link = end, "", lasts[-1]
    line.flow = line.pen.amount(lasts)


def _aside(line: _Line, lane: Lane, y: float) -> None:
    """Only ways out are drawn of stages that hang on bridges."""
    node = next(nodes_of(lane.items))
    _follow(_Line(line.pen, line.pen.grid.nodes[node], y, 0.0, node, None, lane), lane.items[1:])


def _lane(line: _Line, lane: Lane, span: tuple[float, float], offset: float, above: bool) -> None:
    pen, y, run = line.pen, line.y, abs(offset)
    begin, finish = span[0] + run, span[1] - run
    first, last = lane.firsts[0], lane.lasts[-1]
    pen.stroke(first, ((span[0], y), (begin, y + offset)))
    inner = _Line(pen, begin, y + offset, lane.flow, "", first, lane, warned=False, until=finish)
    _follow(inner, lane.items)
    inner.to(max(finish, inner.x), last)
    pen.stroke(last, ((finish, y + offset), (span[1], y)))
    share = first.share or last.share
    if any(isinstance(item, Fork) for item in (*lane.items[:1], *lane.items[-1:])):
        share = first.share if len(lane.firsts) == 1 else last.share if len(lane.lasts) == 1 else ""
    figure = pen.model.flow_text(pen.amount(lane.firsts))
    # where a bypass is short its share leaves before its flow does
    forms = (share,) if lane.flow <= 0 and share else (f"{figure}, {share}", figure) if share else (figure,)
    stops = [begin, *(pen.grid.nodes[node] for node in nodes_of(lane.items)), finish]
    stretches = sorted(((a + 12, b - 12) for a, b in zip(stops, stops[1:], strict=False)), key=lambda s: s[0] - s[1])
    pen.figure(forms, stretches, y + offset - 5 if above else y + offset + 13)


def _spur(line: _Line, spur: Spur, after: float, down: float) -> None:
    """A way out: down at 45 degrees, along its stages, and an end bar with its label."""
    pen, lane = line.pen, spur.lane
    tee = tee_x(line.x, after)
    line.stretches.append((line.x + (6.0 if line.node == SUPPLY else 10.0), tee + 16.0))
    pen.stroke(None, ((line.x, line.y), (tee, line.y)))
    first = lane.firsts[0]
    if first.flow > 0:
        line.print()
    begin, low = tee + down, line.y + down
    pen.stroke(first, ((tee, line.y), (begin, low)))
    way = _Line(pen, begin, low, first.flow, "", first, lane)
    _follow(way, lane.items)
    if lane.lasts:
        way.to(way.x + (24.0 if lane.items else 8.0), lane.lasts[0])
        pen.lines.append(Line(way.x + 1, low - 5, way.x + 1, low + 5, "ink2", PATH))
    _spur_label(pen, spur, (way.x + 8, begin - 12.0), low + 4)
    line.x, line.flow = tee, line.flow - pen.amount([first])


def _spur_label(pen: _Pen, spur: Spur, sides: tuple[float, float], y: float) -> None:
    """What leaves, and where to: right of the end bar, else left of the pipe, the longest of its forms that has room."""
    end = next((e for e in pen.model.ends if e.id == spur.end), None)
    if end is None:
        return
    flow = spur.lane.flow
    amount = f"{pen.model.flow_text(pen.amount(spur.lane.firsts))} to " if flow > 0 else ""
    forms = dict.fromkeys((f"{amount}{end.label}", f"{amount}{end.name}", end.name))
    right, left = sides
    choices = [Text(x, y, text, "ink2", CAPTION, side) for text in forms for x, side in ((right, "start"), (left, "end"))]
    inside = tuple(text for text in choices if text.anchor == "start" or text.box(pen.measure).x >= pen.left)
    pen.wanted.append(_Wanted(inside, ("end", end.id), end.tooltip or end.label))
