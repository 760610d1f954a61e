"""The bench as a page of its own: the whole view, every finding in words, what was not judged, and the usual cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from trainapp.reports.drawing import gauge as gauges
from trainapp.reports.drawing.display import Display, Line, Measure, Polyline, Rect, Shape, Text
from trainapp.reports.drawing.frame import FOOT, Options
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.measure import wrap
from trainapp.reports.drawing.model import BenchModel, FindingModel, Gauge
from trainapp.reports.drawing.tokens import BODY, CAPTION, HEADING, MARK_LIST, TITLE
from trainapp.reports.drawing.view import View, layout

#: Width of a column of findings; on a page at least so wide the first of them stand beside the view, px.
COLUMN = 320.0
BESIDE_FROM = 1120.0

_HEAD = 40.0
_LEFT = 12.0
_GUTTER = 16.0
_LEAST_VIEW = 860.0


def page(model: BenchModel, size: tuple[float, float], measure: Measure) -> Display:
    """Lay out a page.

    Args:
        model: what to show.
        size: least width and height, px. A page grows where its bench or its words need more: nothing is left out.
    """
    beside = COLUMN if size[0] >= BESIDE_FROM else 0.0
    view = _whole_view(model, size[0] - beside, max(size[1] - _HEAD, _LEAST_VIEW), measure)
    width, bottom = view.display.width + beside, view.display.height
    items: list[Shape] = [Rect(0, 0, width, _HEAD, "page"), Line(0, _HEAD, width, _HEAD, "hair")]
    items.append(Text(_LEFT, 26.0, model.site or "This train", "ink", TITLE, "start", True))
    items += view.display.items
    waiting = list(model.findings)
    if beside:
        left = width - COLUMN
        items += [Rect(left, _HEAD, COLUMN, bottom - _HEAD, "page"), Line(left, _HEAD, left, bottom, "hair")]
        column = _Column(left + _GUTTER, _HEAD + 12.0, COLUMN - 2 * _GUTTER, measure)
        column.text("Findings", size=HEADING, bold=True)
        waiting = column.fill(waiting, bottom - 8.0)
        if not model.findings:
            column.text("Nothing found among what was measured and modelled.", "ink2")
        items += column.items
    items.append(Line(0, bottom, width, bottom, "hair"))
    bottom = _below(items, waiting, not beside, width, bottom, measure)
    return Display(width, _foot(items, model, view, bottom, width, measure), items)


def _whole_view(model: BenchModel, width: float, height: float, measure: Measure) -> View:
    """The view, as wide and as high as it must be for nothing to be cut."""
    # Nothing on a page is there to be clicked or dragged.
    model = replace(model, try_flow=None)
    view = layout(model, Options(width, height, _HEAD, choosing=False), measure)
    if view.content[0] > width + 0.5 or view.content[1] > height + 0.5:
        # A pixel more than its content, so that the spread is found again at the same scale.
        view = layout(model, Options(max(width, view.content[0] + 1.0), max(height, view.content[1]), _HEAD, choosing=False), measure)
    return view


# Findings ---------------------------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Column:
    """Text set from the top of a column down."""

    x: float
    y: float
    width: float
    measure: Measure
    items: list[Shape] = field(default_factory=list)

    def text(self, text: str, token: str = "ink", size: float = BODY, bold: bool = False, indent: float = 0.0) -> None:
        """Set a text, wrapped."""
        for line in wrap(text, self.width - indent, size, bold, self.measure):
            self.y += size + 4.0
            self.items.append(Text(self.x + indent, self.y - 3.0, line, token, size, "start", bold))

    def fill(self, findings: list[FindingModel], bottom: float) -> list[FindingModel]:
        """Set findings as long as they end above `bottom`; those that did not fit."""
        for i, finding in enumerate(findings):
            y, count = self.y, len(self.items)
            self.finding(finding)
            if self.y > bottom:
                self.y = y
                del self.items[count:]
                return findings[i:]
        return []

    def finding(self, finding: FindingModel) -> None:
        """Mark, number, severity and place; title; one sentence; the cautions that go with it."""
        self.y += 8.0
        self.items.append(Line(self.x, self.y, self.x + self.width, self.y, "hair"))
        self.y += 16.0
        self.items += mark(finding.severity, self.x + 6.5, self.y - 0.5, MARK_LIST)
        number = f"{finding.number}"
        self.items.append(Text(self.x + 20.0, self.y + 4.0, number, "ink", BODY, "start", True))
        word = f"{finding.severity}, accepted" if finding.accepted else finding.severity
        begin = self.x + 26.0 + self.measure(number, BODY, True)
        self.items.append(Text(begin, self.y + 4.0, word, "ink2", BODY))
        self._place(finding.place, begin + self.measure(word, BODY, False) + 12.0)
        self.y += 8.0
        self.text(finding.title, bold=True)
        self.text(finding.message, "ink2", CAPTION)
        for caution in finding.cautions:
            self.text(caution, "ink", CAPTION)

    def _place(self, place: str, left: float) -> None:
        """Where, at the right end of the line, as far as there is room."""
        lines = wrap(place, self.x + self.width - left, CAPTION, False, self.measure)
        if lines:
            shown = lines[0].rstrip(",") + ("…" if len(lines) > 1 else "")
            self.items.append(Text(self.x + self.width, self.y + 4.0, shown, "ink3", CAPTION, "end"))


def _below(items: list[Shape], findings: list[FindingModel], headed: bool, width: float, top: float, measure: Measure) -> float:
    """Findings under the view in equal columns, in reading order down each; where they end."""
    if not findings and not headed:
        return top
    count = max(int(width // COLUMN), 1)
    wide = (width - (count + 1) * _GUTTER) / count
    start = top + 8.0
    if headed:
        items.append(Text(_GUTTER, top + 22.0, "Findings", "ink", HEADING, "start", True))
        start = top + 26.0
    trial = _Column(0.0, 0.0, wide, measure)
    trial.fill(findings, float("inf"))
    share, waiting = trial.y / count, findings
    while waiting:
        # The least height at which all fit: columns break between findings only.
        columns = [_Column(_GUTTER + i * (wide + _GUTTER), start, wide, measure) for i in range(count)]
        waiting = findings
        for column in columns:
            waiting = column.fill(waiting, start + share)
        share += 12.0
    if not findings:
        columns = [_Column(_GUTTER, start, wide, measure)]
        columns[0].text("Nothing found among what was measured and modelled.", "ink2")
    for column in columns:
        items += column.items
    return max(column.y for column in columns) + 14.0


# Foot -------------------------------------------------------------------------------------------------------------------------


def _foot(items: list[Shape], model: BenchModel, view: View, top: float, width: float, measure: Measure) -> float:
    """Scale bar and key, what was not judged, and Safety; where the page ends."""
    items.append(Line(0, top, width, top, "hair"))
    y = top + 20.0
    x = scale_bar(items, model, view, y, measure)
    gauge_key(items, x + 32.0, y)
    y += 12.0
    for heading, sentences in (("Not judged", gathered(model.verdict.not_judged)), ("Safety", model.verdict.safety)):
        if not sentences:
            continue
        y += 14.0
        indent = 22.0 if heading == "Safety" else 0.0
        if indent:
            items += hazard(_LEFT + 7.0, y - 4.0)
        items.append(Text(_LEFT + indent, y, heading, "ink", BODY, "start", True))
        y = _sentences(items, sentences, indent, y, width, measure)
    return y + 14.0


def _sentences(items: list[Shape], sentences: Sequence[str], indent: float, top: float, width: float, measure: Measure) -> float:
    """Sentences in two columns of about the same height; where they end."""
    half = (width - 3 * _LEFT - indent) / 2
    lines = [wrap(text, half, CAPTION, False, measure) for text in sentences]
    total, first, ends = sum(map(len, lines)), 0, [top, top]
    for block in lines:
        side = 0 if first < (total + 1) // 2 else 1
        for line in block:
            ends[side] += 15.0
            items.append(Text(_LEFT + indent + side * (half + _LEFT), ends[side], line, "ink2", CAPTION))
        first += len(block)
    return max(ends) + 8.0


def gathered(sentences: Sequence[str]) -> list[str]:
    """What was not judged, with all that was merely not measured in one sentence."""
    endings = (" was not measured", " were not measured")
    bare = [text.removesuffix(ending) for text in sentences for ending in endings if text.endswith(ending)]
    rest = [text[:1].upper() + text[1:] + "." for text in sentences if not text.endswith(endings)]
    return ([f"Not measured: {', '.join(bare)}."] if bare else []) + rest


def scale_bar(items: list[Shape], model: BenchModel, view: View, y: float, measure: Measure) -> float:
    """A bar of 2 ft or half a metre at the bench's scale; x at which its words end."""
    metric = model.system == "metric"
    length = (0.5 if metric else 2 * FOOT) * view.spread.scale
    items.append(Line(_LEFT, y - 4.0, _LEFT + length, y - 4.0, "ink", 2.0))
    items += [Line(x, y - 8.0, x, y, "ink", 1.2) for x in (_LEFT, _LEFT + length)]
    words = "0.5 m; the vessels are to scale" if metric else "2 ft; the vessels are to scale"
    items.append(Text(_LEFT + length + 8.0, y, words, "ink2", CAPTION))
    return _LEFT + length + 8.0 + measure(words, CAPTION, False)


def gauge_key(items: list[Shape], x: float, y: float) -> None:
    """One line that says how to read the small bars of the ledger."""
    items += gauges.draw(Gauge(0.4, 0.4, gauges.MAXIMUM_TICK, "below"), x, y - 4.0, 26.0)
    text = "bar: amount; tall tick: limit; solid track: allowed side; open box: the side not allowed"
    items.append(Text(x + 34.0, y, text, "ink2", CAPTION))


def hazard(x: float, y: float) -> list[Shape]:
    """The general warning sign (ISO 7010 W001), which stands beside Safety and nowhere else."""
    corners = ((x, y - 7.5), (x + 8.0, y + 6.0), (x - 8.0, y + 6.0))
    return [
        Polyline(corners, "sign", 1.5, fill="caution", closed=True, round=True),
        Line(x, y - 2.8, x, y + 1.6, "sign", 1.6),
        Line(x, y + 2.8, x, y + 4.2, "sign", 1.6),
    ]
