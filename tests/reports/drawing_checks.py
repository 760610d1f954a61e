"""What any drawing must keep: texts clear of each other, of lines and of the edge."""

from __future__ import annotations

from collections.abc import Iterator

from trainapp.reports.drawing.display import Box, Display, Line, Measure, Polyline, Rect, Shape, Text, walk


def cut(box: Box, clip: Box | None) -> Box | None:
    """What is seen of a box."""
    if clip is None:
        return box
    left, top = max(box.x, clip.x), max(box.y, clip.y)
    right, bottom = min(box.right, clip.right), min(box.bottom, clip.bottom)
    return Box(left, top, right - left, bottom - top) if right > left and bottom > top else None


def text_boxes(display: Display, measure: Measure) -> list[tuple[Text, Box]]:
    """Every text that is seen, with its rectangle; an empty text has none."""
    found = []
    for shape, clip in walk(display.items):
        if isinstance(shape, Text) and shape.text:
            box = cut(shape.box(measure), clip)
            if box is not None:
                found.append((shape, box))
    return found


def meetings(display: Display, measure: Measure) -> list[tuple[str, str]]:
    """Pairs of texts that overlap by more than half a pixel."""
    boxes = text_boxes(display, measure)
    return [
        (a.text, b.text) for i, (a, box_a) in enumerate(boxes) for b, box_b in boxes[i + 1 :] if box_a.grown(-0.5).meets(box_b.grown(-0.5))
    ]


def outside(display: Display, measure: Measure) -> list[str]:
    """Texts that reach beyond the drawing."""
    frame = Box(-0.5, -0.5, display.width + 1.0, display.height + 1.0)
    return [
        text.text
        for text, box in text_boxes(display, measure)
        if box.x < frame.x or box.y < frame.y or box.right > frame.right or box.bottom > frame.bottom
    ]


def _strokes(shape: Shape) -> Iterator[Box]:
    """Rectangles of the strokes of lines; areas, textures and marks are none."""
    if isinstance(shape, Line) and shape.token not in ("sign", "note"):
        yield _stroke(shape.x1, shape.y1, shape.x2, shape.y2, shape.width)
    elif isinstance(shape, Polyline) and shape.stroke and not shape.fill:
        for (x1, y1), (x2, y2) in zip(shape.points, shape.points[1:], strict=False):
            # Of a slanted stroke only its ends are looked at: its rectangle is not its ink.
            if abs(x1 - x2) < 0.5 or abs(y1 - y2) < 2.0:
                yield _stroke(x1, y1, x2, y2, shape.width)


def _stroke(x1: float, y1: float, x2: float, y2: float, width: float) -> Box:
    half = width / 2
    return Box(min(x1, x2) - half, min(y1, y2) - half, abs(x2 - x1) + width, abs(y2 - y1) + width)


def crossings(display: Display, measure: Measure) -> list[str]:
    """Texts that a line runs through, unless a ground of the text's own lies between."""
    found: list[str] = []
    strokes: list[Box] = []
    texts: list[tuple[Text, Box]] = []
    for shape, clip in walk(display.items):
        if isinstance(shape, Rect) and shape.fill:
            ground = Box(shape.x, shape.y, shape.w, shape.h)
            strokes = [piece for stroke in strokes for piece in _less(stroke, ground)]
        for stroke in _strokes(shape):
            seen = cut(stroke, clip)
            if seen is None:
                continue
            found += [text.text for text, box in texts if seen.meets(box.grown(-1.2))]
            strokes.append(seen)
        if isinstance(shape, Text) and shape.text:
            box = cut(shape.box(measure), clip)
            if box is not None:
                found += [shape.text for stroke in strokes if stroke.meets(box.grown(-1.2))]
                texts.append((shape, box))
    return found


def _less(stroke: Box, ground: Box) -> list[Box]:
    """A stroke without what a ground hides of it: the pieces left and right, or above and below."""
    if not stroke.meets(ground):
        return [stroke]
    if stroke.w >= stroke.h:
        pieces = [
            Box(stroke.x, stroke.y, ground.x - stroke.x, stroke.h),
            Box(ground.right, stroke.y, stroke.right - ground.right, stroke.h),
        ]
    else:
        pieces = [
            Box(stroke.x, stroke.y, stroke.w, ground.y - stroke.y),
            Box(stroke.x, ground.bottom, stroke.w, stroke.bottom - ground.bottom),
        ]
    return [piece for piece in pieces if piece.w > 0 and piece.h > 0]
