"""Whether the train stands in its room: `room-fit`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from trainapp.checks.context import Context, start
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.policy import rule
from trainapp.train.evaluation import Evaluation
from trainapp.train.floor import HANGER, HEADER_LEAST, RUN_LEAST, headers_of, piped_top, places


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Height of each stage with what service or pipes need above it; the width of all side by side where they have no own places."""
    room = context.document.room
    height, width = room.get("height"), room.get("width")
    if height is not None:
        tall = list(_heights(context, height))
        yield from tall or _pipes(context, height)
    own = places(context.document)
    if width is not None and not all(stage in own or figure.shape == "inline" for stage, figure in context.figures.items()):
        yield from _width(context, width)


def _heights(context: Context, height: float) -> Iterator[Finding]:
    tall = {}
    for stage, figure in context.figures.items():
        top = figure.base + figure.height + figure.clear_above
        if figure.shape != "inline" and top > height * (1 + 1e-9):
            tall[stage] = (top, figure.base + figure.height)
    if not tall:
        return
    worst = max(tall, key=lambda s: tall[s][0])
    top, body = tall[worst]
    room = "it does not stand under the ceiling" if body > height else "no room is left above it for filling it or drawing its lamp out"
    yield Finding(
        "room-fit", "caution", worst, f"{start(context.name(worst))} is too tall for the room",
        f"{start(context.name(worst))} needs {context.show_against(top, height, 'distance')} of height and the room has "
        f"{context.show(height, 'distance')}: {room}.",
        value=Amount.of(top, "distance"), limit=Amount.of(height, "distance"), source="geometry", status="computed",
        also_at=tuple(s for s in tall if s != worst), cause="room-fit:height",
    )  # fmt: skip


def _pipes(context: Context, height: float) -> Iterator[Finding]:
    """Pipes that find no way over the tallest vessel under the ceiling."""
    tops = {stage: piped_top(figure) for stage, figure in context.figures.items()}
    worst = max(tops, key=lambda stage: tops[stage], default="")
    if not worst or tops[worst] <= 0.0:
        return
    headers = headers_of(context.document, (context.stage(stage).count for stage in tops))
    taken = RUN_LEAST + headers * HEADER_LEAST + HANGER
    if (needed := tops[worst] + taken) > height * (1 + 1e-9):
        yield Finding(
            "room-fit", "caution", worst, f"The pipes over {context.name(worst)} have no room",
            f"{start(context.name(worst))} stands {context.show(tops[worst], 'distance')} high and pipes take at least "
            f"{context.show(taken, 'length')} over it; the room has {context.show(height, 'distance')}: they would go through the ceiling.",
            value=Amount.of(needed, "distance"), limit=Amount.of(height, "distance"), source="geometry", status="computed",
            cause="room-fit:pipes",
        )  # fmt: skip


def needed_width(context: Context) -> float:
    """Metres that all stages take along a wall, side by side with the usual gap between them."""
    bodies = []
    for stage, figure in context.figures.items():
        if figure.shape != "inline":
            bodies += [figure.width + figure.beside[0]] * context.stage(stage).count
    return sum(bodies) + rule("room_gap").value * max(len(bodies) - 1, 0)


def _width(context: Context, width: float) -> Iterator[Finding]:
    gap, needed = rule("room_gap"), needed_width(context)
    if needed > width * (1 + 1e-9):
        yield Finding(
            "room-fit", "caution", "", "The train is too wide for the room",
            f"Side by side the stages take {context.show_against(needed, width, 'distance')} with "
            f"{context.show(gap.value, 'length')} between them; the room has {context.show(width, 'distance')}.",
            value=Amount.of(needed, "distance"), limit=Amount.of(width, "distance"), source=gap.source, status=gap.status,
            cause="room-fit:width",
        )  # fmt: skip
