"""The ledger (heading Water): the water as it arrives at each point, against what may arrive there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainapp.reports.drawing import gauge as gauges
from trainapp.reports.drawing.columns import LedgerColumn, shown_cell
from trainapp.reports.drawing.display import Box, Group, Line, Measure, Rect, Shape, Text
from trainapp.reports.drawing.frame import Band, Frame, Grid, Options
from trainapp.reports.drawing.marks import Mark, mark
from trainapp.reports.drawing.measure import shorten
from trainapp.reports.drawing.model import HOUSE, BenchModel, Cell, Row
from trainapp.reports.drawing.tokens import BODY, CAPTION, CASING, MARK_CELL, MARK_LEAST
from trainapp.spelling import inside

#: Rows whose worst cell says one of these never leave the ledger.
URGENT = ("over", "near", "unknown")

#: Length of a gauge, and the least that a long limit leaves it, px.
_GAUGE, _GAUGE_LEAST = 26.0, 14.0


@dataclass(frozen=True, slots=True)
class Ledger:
    """What the ledger is drawn from."""

    model: BenchModel
    columns: Sequence[LedgerColumn]
    grid: Grid
    frame: Frame
    options: Options
    measure: Measure


def urgent(row: Row) -> bool:
    """Whether the row must be seen."""
    return row.stays or any(cell.status in URGENT for cell in row.cells.values())


def chosen_rows(model: BenchModel, options: Options, count: int) -> list[Row]:
    """`count` rows: the urgent ones first, then what the user chose or stages work on, then the model's order; shown in that order."""
    order = {key: i for i, key in enumerate(options.rows)}
    rows = sorted(model.rows, key=lambda row: order.get(row.key, len(order))) if order else list(model.rows)
    picked = sorted(range(len(rows)), key=lambda i: (not urgent(rows[i]), bool(not order and not rows[i].acted), i))[:count]
    return [rows[i] for i in sorted(picked)]


# Heads ------------------------------------------------------------------------------------------------------------------------


def heads(ledger: Ledger, y: float, lanes_y: float) -> Band:
    """Column heads on the baseline `y`, brackets above them at `lanes_y`."""
    x = ledger.frame.text_left + ledger.measure("Water", BODY, True) + 6
    fixed: list[Shape] = [
        Text(ledger.frame.text_left, y, "Water", "ink", BODY, "start", True),
        Text(x, y, "at the peak" if _told_apart(ledger) else "as it arrives", "ink3", CAPTION),
    ]
    items = _brackets(ledger, lanes_y)
    for column, text in zip(ledger.columns, _head_texts(ledger), strict=True):
        label = Text(ledger.grid.columns[column.key], y, text, "ink2", CAPTION, "middle")
        tag = ("end", HOUSE) if column.key == HOUSE else ("stage", column.key)
        box, half = label.box(ledger.measure), ledger.grid.cell
        # A head goes when the cells under it do.
        left, right = min(box.x, label.x - half), max(box.right, label.x + half)
        whole = Box(left, box.y, right - left, box.h)
        items.append(Group([label], tag, head_text(ledger.model, column, 0), "", (box.grown(2.0),), whole=whole))
    return Band(moving=items, fixed=fixed)


def _head_texts(ledger: Ledger) -> list[str]:
    """One form for all heads: with names, without, or numbers only; the fullest in which all fit."""
    centres = [ledger.grid.columns[column.key] for column in ledger.columns]
    gap = min((b - a for a, b in zip(centres, centres[1:], strict=False)), default=2 * ledger.grid.cell)
    least = 2 if ledger.grid.tier in ("compact", "marks") else 0
    for form in range(least, 3):
        texts = [head_text(ledger.model, column, form) for column in ledger.columns]
        widths = [ledger.measure(text, CAPTION, False) for text in texts]
        apart = all(b - a >= (wa + wb) / 2 + 8 for a, b, wa, wb in zip(centres, centres[1:], widths, widths[1:], strict=False))
        if apart and (not centres or centres[0] - widths[0] / 2 >= ledger.frame.first - 6):
            return texts
    if ledger.grid.tier == "marks":
        return [""] * len(ledger.columns)
    return [shorten(head_text(ledger.model, column, 2), gap - 6, CAPTION, False, ledger.measure) for column in ledger.columns]


def head_text(model: BenchModel, column: LedgerColumn, form: int) -> str:
    """The head of a column: form 0 with names, 1 with numbers, 2 the numbers alone."""
    if column.key == HOUSE:
        return ("raw, to the house" if column.raw else "to the house") if form < 2 else "house"
    stages = [stage for node in column.nodes if (stage := model.stage(node))]
    numbers = _joined([stage.number or stage.name for stage in stages])
    if form == 2:
        return f"raw, {numbers}" if column.raw else numbers
    what = stages[0].title if form == 0 and len(stages) == 1 else numbers
    text = f"raw, into {what}" if column.raw else f"into {what}"
    return f"{text}, mixed" if column.mixed else text


def _joined(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _brackets(ledger: Ledger, y: float) -> list[Shape]:
    """A bracket over vessels that share a column, and over the columns of each lane where lanes differ."""
    items: list[Shape] = []
    for column in ledger.columns:
        if len(column.nodes) > 1:
            xs = [ledger.grid.nodes[node] for node in column.nodes]
            items += _bracket(min(xs), max(xs), y)
    lanes: dict[str, list[float]] = {}
    for column in ledger.columns:
        if column.lane:
            lanes.setdefault(f"{column.lane}", []).append(ledger.grid.columns[column.key])
    reach = min(30.0, ledger.grid.cell - 4)
    for name, xs in lanes.items():
        items += _bracket(min(xs) - reach, max(xs) + reach, y)
        label = Text((min(xs) + max(xs)) / 2, y - 6, name, "ink3", CAPTION, "middle")
        items.append(Group([label], whole=label.box(ledger.measure)))
    return items


def _bracket(left: float, right: float, y: float) -> list[Shape]:
    return [Line(left, y, right, y, "ink3"), Line(left, y - 3, left, y + 3, "ink3"), Line(right, y - 3, right, y + 3, "ink3")]


# Rows -------------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Fit:
    """Where things stand in a cell, relative to its column's centre, px: right edge of values, and begin and length of gauges (0: none)."""

    value: float
    gauge: float
    length: float


#: Room that a mark takes at the left of a cell, px.
_MARK_ROOM = {"full": 18.0, "medium": 17.0, "compact": 16.0, "marks": 0.0}
_MARK_AT = {"full": 11.0, "medium": 10.0, "compact": 7.5, "marks": 0.0}


def rows(ledger: Ledger, shown: Sequence[Row], top: float, pitch: float) -> Band:
    """Rows `pitch` px high from `top` down, with a line above the first and under each."""
    frame, fit = ledger.frame, _fit(ledger, shown)
    band = Band(under=[Line(frame.text_left, top + i * pitch, frame.words_end, top + i * pitch, "hair") for i in range(len(shown) + 1)])
    for i, row in enumerate(shown):
        y = top + (i + 0.5) * pitch
        band.fixed += _row_head(ledger, row, y)
        form = _form(ledger, row, fit)
        for column in ledger.columns:
            cell = shown_cell(row, column)
            if cell is not None:
                band.moving.append(_cell(ledger, row, column, cell, (fit, form), y, pitch))
        band.fixed.append(_row_word(ledger, row, y))
    return band


def _fit(ledger: Ledger, shown: Sequence[Row]) -> _Fit:
    """One set of places for all cells: in the medium tier the gauge gives way to the widest value that has one."""
    half, tier = ledger.grid.cell, ledger.grid.tier
    if tier == "full":
        return _Fit(-8.0, -2.0, _GAUGE)
    if tier == "compact":
        return _Fit(half - 5.0, 0.0, 0.0)
    cells = [cell for row in shown for column in ledger.columns if (cell := shown_cell(row, column)) and cell.gauge]
    widest = max((_needed(ledger, cell) for cell in cells), default=0.0)
    length = min(max(2 * half - widest - 11.0, _GAUGE_LEAST), _GAUGE)
    return _Fit(half - length - 9.0, half - length - 4.0, length)


def _needed(ledger: Ledger, cell: Cell) -> float:
    """Width that mark and value want in a cell."""
    bold = cell.status == "over"
    room = _MARK_ROOM[ledger.grid.tier] if cell.status in URGENT else 3.0
    if _is_interval(cell):
        return room + ledger.measure(cell.values[0], CAPTION, bold)
    return room + min(ledger.measure(text, BODY, bold) for text in cell.values)


def _row_head(ledger: Ledger, row: Row, y: float) -> list[Shape]:
    left, room = ledger.frame.text_left, ledger.frame.heads_right - ledger.frame.text_left - 6
    unit = ledger.measure(row.unit, CAPTION, False) + 5 if row.unit else 0.0
    name = row.label if ledger.measure(row.label, BODY, False) <= room - unit or not row.short else row.short
    label = shorten(name, room - unit, BODY, False, ledger.measure)
    items: list[Shape] = [Text(left, y + 4, label, "ink", BODY)]
    if row.unit:
        items.append(Text(left + ledger.measure(label, BODY, False) + 5, y + 4, row.unit, "ink3", CAPTION))
    area = Box(left, y - 11, room, 22)
    return [Group(items, ("row", row.key), f"{row.label} {row.unit}".strip(), row.label, (area,))]


def _cell(ledger: Ledger, row: Row, column: LedgerColumn, cell: Cell, fits: tuple[_Fit, _Form], y: float, pitch: float) -> Group:
    """Mark, value, gauge and limit as the tier has room for them."""
    fit, form = fits
    x, half = ledger.grid.columns[column.key], ledger.grid.cell
    area = Box(x - half, y - pitch / 2, 2 * half, pitch)
    group = Group(tag=("cell", row.key, column.key), tooltip=cell.tooltip, name=_spoken(ledger, row, column, cell), areas=(area,))
    group.whole = area
    if ledger.grid.tier == "marks":
        # Where all of a long train is shown a cell is its mark; what it says is read where it points, and enlarged.
        group.items += mark(_mark(cell), x, y, MARK_LEAST) if cell.status in URGENT else []
        if ledger.options.selected == group.tag:
            group.items.append(Rect(x - 8, y - pitch / 2 + 1, 16, pitch - 2, "", "accent", 2.0, 3.0))
        return group
    if cell.status == "over":
        tint = f"{cell.severity}_t"
        group.items.append(Rect(area.x + 2, area.y + 1.0, area.w - 4, pitch - 2, tint, cell.severity, CASING, 2.0))
    if cell.status == "missing":
        group.items += mark("unknown", x + fit.value - 6.0, y, MARK_LEAST)
    else:
        right = _value(ledger, group, cell, fit, area, form)
        if right is not None:
            group.items += _gauge_and_limit(ledger, cell, fit, x, y, right)
    if ledger.options.selected == group.tag:
        group.items.append(Rect(area.x + 1, area.y + 1, area.w - 2, pitch - 2, "", "accent", 2.0, 3.0))
    return group


@dataclass(frozen=True, slots=True)
class _Set:
    """A value as it is set: its text, size and right edge, and whether its gauge keeps its place beside it."""

    text: str
    size: float
    right: float
    gauged: bool


def _value(ledger: Ledger, group: Group, cell: Cell, fit: _Fit, area: Box, form: _Form) -> float | None:
    """Draw mark and value; the value's right edge where its gauge still has room beside it, which a long value may take."""
    tier, bold, y = ledger.grid.tier, cell.status == "over", area.y + area.h / 2
    marked = cell.status in URGENT
    made = _set(ledger, cell, fit, area, form)
    token = "ink3" if ledger.options.stale else ("ink" if cell.limit or bold else "ink2")
    group.items.append(Text(made.right, y + 4, made.text, token, made.size, "end", bold))
    if marked:
        group.items += mark(_mark(cell), area.x + _MARK_AT[tier], y, MARK_CELL)
    return made.right if made.gauged else None


#: How the intervals of a row are set: both ends or the adverse one, and the size.
_Form = tuple[int, float]
_FORMS: tuple[_Form, ...] = ((0, BODY), (0, CAPTION), (1, BODY))


def _form(ledger: Ledger, row: Row, fit: _Fit) -> _Form:
    """One form for all intervals of a row: both ends where each has room for them, else only the adverse one with its sign."""
    cells = [cell for column in ledger.columns if (cell := shown_cell(row, column)) and _is_interval(cell)]
    half = ledger.grid.cell
    area = Box(-half, -0.5, 2 * half, 1.0)
    return next((form for form in _FORMS if all(_whole(ledger, cell, fit, area, form) for cell in cells)), _FORMS[-1])


def _is_interval(cell: Cell) -> bool:
    return "–" in cell.values[0]


def _whole(ledger: Ledger, cell: Cell, fit: _Fit, area: Box, form: _Form) -> _Set | None:
    """A value in a form, its gauge beside it where it has one; None without room for both."""
    bold, size = cell.status == "over", form[1]
    text = cell.values[min(form[0], len(cell.values) - 1)]
    left, right = area.x + (_MARK_ROOM[ledger.grid.tier] if cell.status in URGENT else 3.0), area.x + area.w / 2 + fit.value
    width = ledger.measure(text, size, bold)
    if width <= right - left:
        return _Set(text, size, right, True)
    if left + width <= (_gauge_gives(ledger, cell, area) if cell.gauge and fit.length else area.right - 4.0):
        return _Set(text, size, left + width, cell.gauge is not None)
    return None


def _set(ledger: Ledger, cell: Cell, fit: _Fit, area: Box, form: _Form) -> _Set:
    """How a value is set between the left end of its room and the side of its cell: an interval as its row has it, else words shorter."""
    made = _whole(ledger, cell, fit, area, form if _is_interval(cell) else (0, BODY))
    if made is not None:
        return made
    bold = cell.status == "over"
    left = area.x + (_MARK_ROOM[ledger.grid.tier] if cell.status in URGENT else 3.0)
    right = area.x + area.w / 2 + fit.value
    for text in cell.values[form[0] :] if _is_interval(cell) else cell.values:
        for size in (BODY, CAPTION):
            width = ledger.measure(text, size, bold)
            if width <= area.right - 4.0 - left:
                return _Set(text, size, max(min(right, area.right - 4.0), left + width), width <= right - left)
    return _Set(cell.values[-1], CAPTION, area.right - 4.0, False)


def _gauge_gives(ledger: Ledger, cell: Cell, area: Box) -> float:
    """How far right a value may reach where its gauge is as short as it can be, in the full tier: limit and gauge stay."""
    if ledger.grid.tier != "full":
        return area.x
    return area.right - 3.0 - ledger.measure(cell.limit, CAPTION, False) - 5.0 - _GAUGE_LEAST - 6.0


def _gauge_and_limit(ledger: Ledger, cell: Cell, fit: _Fit, x: float, y: float, value_right: float) -> list[Shape]:
    """The gauge, and in the full tier the limit right of it: a long value or limit shortens the gauge, or the limit hides."""
    if cell.gauge is None or not fit.length:
        return []
    bar = "ink3" if ledger.options.stale else "ink2"
    left = max(x + fit.gauge, value_right + 6.0)
    if ledger.grid.tier != "full":
        return gauges.draw(cell.gauge, left, y, fit.length, bar)
    limit_x = min(max(x + 29.0, left + _GAUGE_LEAST + 5.0), x + ledger.grid.cell - 3.0 - ledger.measure(cell.limit, CAPTION, False))
    items = gauges.draw(cell.gauge, left, y, min(_GAUGE, max(limit_x - 5.0 - left, _GAUGE_LEAST)), bar)
    if limit_x - 5.0 - left >= _GAUGE_LEAST - 0.01:
        items.append(Text(limit_x, y + 4, cell.limit, "ink" if cell.status == "over" else "ink3", CAPTION))
    return items


def _mark(cell: Cell) -> Mark:
    """The mark of an urgent cell."""
    return cell.severity if cell.status == "over" else "near" if cell.status == "near" else "unknown"


def _spoken(ledger: Ledger, row: Row, column: LedgerColumn, cell: Cell) -> str:
    where = head_text(ledger.model, column, 0)
    state = {"over": "over", "near": "near", "unknown": "cannot tell", "missing": "not measured"}.get(cell.status, "")
    return ", ".join(filter(None, (row.label, where, f"{cell.values[0]} {row.unit}".strip(), cell.limit, state)))


# Words ------------------------------------------------------------------------------------------------------------------------

_WORD = {"over": "over", "unknown": "cannot tell", "near": "near"}


def row_words(model: BenchModel, columns: Sequence[LedgerColumn], row: Row, room: float, measure: Measure) -> str:
    """What a row comes to: "over at 5, house", "near at 2 by day", "cannot tell at 5", "within", "not measured", else nothing."""
    cells = [(column, cell) for column in columns if (cell := shown_cell(row, column))]
    for status, word in _WORD.items():
        found = [(_place(model, column), cell.when) for column, cell in cells if cell.status == status]
        if found:
            choices = _told_at(word, found)
            return next((text for text in choices if measure(text, CAPTION, False) <= room), word)
    if any(cell.status == "within" for _, cell in cells):
        return "within"
    return "not measured" if cells and all(cell.status == "missing" for _, cell in cells) else ""


def _told_at(word: str, found: Sequence[tuple[str, str]]) -> list[str]:
    """A state with its places and the flows of their values, fullest text first."""
    flows = {when for _, when in found}
    (when,) = flows if len(flows) == 1 else ("",)
    names = [name if when else f"{name} {own}".strip() for name, own in found]
    counted = [f"{word} at {len(names)} points"] if len(names) > 1 else []
    return [f"{text} {when}".strip() for text in (f"{word} at {', '.join(names)}", *counted, word)]


def _told_apart(ledger: Ledger) -> bool:
    """Whether some value is that of another flow than the peak."""
    return any(cell.when for row in ledger.model.rows for cell in row.cells.values())


def _place(model: BenchModel, column: LedgerColumn) -> str:
    if column.key == HOUSE:
        return "house"
    return ", ".join((stage.number or stage.name) for node in column.nodes if (stage := model.stage(node)))


def _row_word(ledger: Ledger, row: Row, y: float) -> Text:
    room = ledger.frame.words_end - ledger.frame.words
    text = row_words(ledger.model, ledger.columns, row, room, ledger.measure)
    strong = text.startswith(("over", "near", "cannot"))
    shown = shorten(text, room, CAPTION, False, ledger.measure)
    return Text(ledger.frame.words, y + 4, shown, "ink" if strong else "ink3", CAPTION)


def summary(ledger: Ledger, shown: Sequence[Row], y: float) -> Band:
    """One line for the rows that are not shown, and the way to choose others."""
    choose = Text(ledger.frame.words_end, y, "Choose rows", "ink2", CAPTION, "end")
    box = choose.box(ledger.measure)
    items: list[Shape] = [Group([choose], ("choose-rows",), "", "Choose rows", (box.grown(4.0),))] if ledger.options.choosing else []
    keys = {row.key for row in shown}
    rest = [row for row in ledger.model.rows if row.key not in keys]
    if rest:
        room = box.x - 16.0 - ledger.frame.text_left
        items.append(Text(ledger.frame.text_left, y, _rest_words(ledger, rest, room), "ink3", CAPTION))
    return Band(fixed=items)


def _plain(label: str) -> str:
    """A label inside a sentence: without its comma, and without a capital that is not an abbreviation's."""
    return inside(label.replace(",", ""))


def _rest_words(ledger: Ledger, rest: Sequence[Row], room: float) -> str:
    by_word: dict[str, list[str]] = {}
    for row in rest:
        word = row_words(ledger.model, ledger.columns, row, 1e9, ledger.measure) or "no limit"
        by_word.setdefault(word, []).append(_plain(row.short or row.label))
    start = f"{len(rest)} more row{'s' if len(rest) > 1 else ''}"
    named = f"{start}: " + "; ".join(f"{', '.join(names)} {word}" for word, names in by_word.items())
    counted = f"{start}: " + ", ".join(f"{len(names)} {word}" for word, names in by_word.items())
    return next((text for text in (named, counted) if ledger.measure(text, CAPTION, False) <= room), start)
