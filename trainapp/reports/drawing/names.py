"""Names under the floor: number, name and size; what does not clear its neighbours is wrapped, then reduced to the number."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from trainapp.reports.drawing.display import Box, Group, Measure, Shape, Text
from trainapp.reports.drawing.measure import clip_letters
from trainapp.reports.drawing.model import SUPPLY
from trainapp.reports.drawing.scene import Scene
from trainapp.reports.drawing.tokens import BODY, CAPTION, GAP

#: Letters of a name that are ever shown under the floor.
MOST_LETTERS = 24

#: Two names whose middles are farther apart never meet, px: each is at most half as wide.
_FAR = 320.0

#: How far from under its vessel a name may be pushed, px.
_ASIDE = 10.0


@dataclass(slots=True)
class _Label:
    """One name: its forms from fullest to barest, and the form it stands in."""

    node: str
    x: float
    forms: list[list[Text]]
    tooltip: str
    form: int = 0
    aside: float = 0.0
    _measured: dict[int, list[Box]] = field(default_factory=dict)

    def texts(self) -> list[Text]:
        return [text._replace(x=text.x + self.aside) for text in self.forms[self.form]]

    def boxes(self, measure: Measure) -> list[Box]:
        """Where its lines stand; measured once for each form."""
        made = self._measured.get(self.form)
        if made is None:
            made = self._measured[self.form] = [text.box(measure) for text in self.forms[self.form]]
        return [box._replace(x=box.x + self.aside) for box in made] if self.aside else made


def names(scene: Scene, top: float, sizes: bool) -> list[Shape]:
    """Names with their first baseline 18 px below the floor `top`; `sizes`: with the line below."""
    labels = _labels(scene, top, sizes)
    _give_way(labels, scene.measure)
    _take_room(labels, scene.measure)
    return [_group(label, scene) for label in labels if label.forms[label.form]]


def _labels(scene: Scene, top: float, sizes: bool) -> list[_Label]:
    supply = scene.model.supply
    x = scene.at.centres[SUPPLY]
    labels = [_Label(SUPPLY, x, _forms("", supply.name, supply.size if sizes else "", x, top, sizes), supply.tooltip)]
    for stage in scene.model.stages:
        if stage.figure.shape == "inline" or stage.id not in scene.units:
            continue
        boxes = scene.units[stage.id]
        x = (boxes[0].x + boxes[-1].right) / 2
        name = clip_letters(stage.name, MOST_LETTERS)
        title = f"{stage.title}, {stage.size}" if stage.size else stage.title
        labels.append(_Label(stage.id, x, _forms(stage.number, name, stage.size if sizes else "", x, top, sizes), stage.tooltip or title))
    return sorted(labels, key=lambda label: label.x)


def _forms(number: str, name: str, size: str, x: float, top: float, two_lines: bool) -> list[list[Text]]:
    first, second = top + 18.0, top + 32.0
    title = f"{number} {name}".strip()
    full = [Text(x, first, title, "ink", BODY, "middle", True)]
    parts = size.split(", ")
    sizes = [", ".join(parts[:count]) for count in range(len(parts), 0, -1)] if size else []
    forms = [[*full, Text(x, second, text, "ink3", CAPTION, "middle")] for text in sizes]
    forms.append(full)
    words = title.split(" ")
    if two_lines and len(words) > 1:
        cut = min(range(1, len(words)), key=lambda i: abs(len(" ".join(words[:i])) - len(" ".join(words[i:]))))
        lines = (" ".join(words[:cut]), " ".join(words[cut:]))
        forms.append([Text(x, first + 14 * i, line, "ink", BODY, "middle", True) for i, line in enumerate(lines)])
    if number:
        forms.append([Text(x, first, number, "ink", BODY, "middle", True)])
    # Where two stand in one place even a number hides.
    return [*forms, []]


def _give_way(labels: list[_Label], measure: Measure) -> None:
    """Push two neighbours that come nearer than 8 px a little aside, or reduce the wider, until none do."""
    changed = True
    while changed:
        changed = False
        for a, b in _neighbours(labels):
            if _meet(a.boxes(measure), b.boxes(measure)) and not _pushed(labels, a, b, measure):
                loser = max(a, b, key=lambda label: _width(label, measure))
                if loser.form == len(loser.forms) - 1:
                    loser = a if loser is b else b
                if loser.form < len(loser.forms) - 1:
                    loser.form += 1
                    changed = True


def _pushed(labels: list[_Label], first: _Label, second: _Label, measure: Measure) -> bool:
    """Move the left one of two that meet to the left, or the right one to the right, where that is enough and meets no other."""
    overlap = max(box.right for box in first.boxes(measure)) + GAP + 0.5 - min(box.x for box in second.boxes(measure))
    for label, way in ((second, 1.0), (first, -1.0)):
        before = label.aside
        label.aside += way * overlap
        others = (other for other in labels if other is not label and abs(other.x - label.x) <= _FAR)
        if abs(label.aside) <= _ASIDE and not any(_meet(label.boxes(measure), other.boxes(measure)) for other in others):
            return True
        label.aside = before
    return False


def _take_room(labels: list[_Label], measure: Measure) -> None:
    """Give names back what clears their neighbours, since others gave way after them: first a name where only its number stands."""
    bare = [label for label in labels if label.form >= len(label.forms) - 2]
    for label, forms in [*((each, range(each.form - 1, -1, -1)) for each in bare), *((each, None) for each in labels)]:
        others = [other for other in labels if other is not label and abs(other.x - label.x) <= _FAR]
        near = [box for other in others for box in other.boxes(measure)]
        # Under another vessel it would read as the other's.
        left = max((other.x for other in others if other.x < label.x), default=-math.inf)
        right = min((other.x for other in others if other.x > label.x), default=math.inf)
        kept = label.form, label.aside
        for form, aside in [(form, aside) for form in (forms or range(label.form)) for aside in (0.0, -_ASIDE, _ASIDE)]:
            label.form, label.aside = form, aside
            boxes = label.boxes(measure)
            if not _meet(boxes, near) and all(left < box.x and box.right < right for box in boxes):
                break
        else:
            label.form, label.aside = kept


def _neighbours(labels: list[_Label]) -> Iterator[tuple[_Label, _Label]]:
    """Pairs near enough to meet; the labels are sorted by x."""
    for i, a in enumerate(labels):
        for b in labels[i + 1 :]:
            if b.x - a.x > _FAR:
                break
            yield a, b


def _meet(first: list[Box], second: list[Box]) -> bool:
    return any(a.x < b.right + GAP and b.x < a.right + GAP for a in first for b in second if a.y < b.bottom and b.y < a.bottom)


def _width(label: _Label, measure: Measure) -> float:
    return max((box.w for box in label.boxes(measure)), default=0.0)


def _group(label: _Label, scene: Scene) -> Group:
    boxes = label.boxes(scene.measure)
    left, top = min(b.x for b in boxes), min(b.y for b in boxes)
    area = Box(left, top, max(b.right for b in boxes) - left, max(b.bottom for b in boxes) - top)
    texts: list[Shape] = list(label.texts())
    tag = ("supply",) if label.node == SUPPLY else ("stage", label.node)
    return Group(texts, tag, label.tooltip, "", (area.grown(2.0),), whole=area)
