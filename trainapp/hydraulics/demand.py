"""What a house draws at most and in a day: seven published ways to a peak, each naming its table, and a day's use by people."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from trainapp.data import load_toml
from trainapp.hydraulics.binomial import Busy, Group, enumerated
from trainapp.hydraulics.constants import GALLON, GPM

Use = Literal["household", "rental", "food", "public"]

_LITRE = 1e-3
_FLUSH_VALVES = ("toilet_flush_valve", "urinal_flush_valve")


class DemandError(ValueError):
    """A fixture or table that is not known; its text ends a sentence that begins with the place."""


@dataclass(frozen=True, slots=True)
class Part:
    """What one kind of fixture adds: `each` and `total` in the unit of :attr:`PeakDemand.load_unit`."""

    fixture: str
    label: str
    count: int
    each: float
    total: float


@dataclass(frozen=True, slots=True)
class PeakDemand:
    """A peak by one table.

    Attributes:
        flow: m3/s.
        table: key in documents.
        title: the table's name in print.
        source, status: where it comes from, and how sure that is.
        load: what the fixtures come to before the table turns it into a flow; `load_unit` its unit.
        formula: how the flow follows from the load.
        parts: what each fixture adds to the load.
        notes: sentences on what the table does not know or was stretched to.
    """

    flow: float
    table: str
    title: str
    source: str
    status: str
    load: float
    load_unit: str
    formula: str
    parts: tuple[Part, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DailyUse:
    """A day's use by people: `volume` m3 a day, `each` m3 a person and day, and where that comes from."""

    volume: float
    each: float
    title: str
    source: str
    status: str


def _data() -> Mapping[str, Any]:
    return load_toml("hydraulics/demand.toml")


def fixture_labels() -> dict[str, str]:
    """Plain name of every fixture that a document may count, by key."""
    return dict(_data()["fixtures"])


def peak_demand(fixtures: Mapping[str, int], table: str, use: Use = "household") -> PeakDemand:
    """The peak of counted fixtures by one table; what a table does not know is named in its notes and left out.

    Args:
        fixtures: count by fixture key.
        table: one of :data:`TABLES`.
        use: the site's use, which chooses private or public fixture units and the kind of building.

    Raises:
        DemandError: an unknown fixture or table, a negative count, or nothing that the table knows.
    """
    method = _METHODS.get(table)
    if method is None:
        raise DemandError(f'"{table}" is not a demand table; use one of {", ".join(TABLES)}')
    for key, count in fixtures.items():
        if key not in _data()["fixtures"]:
            raise DemandError(f'"{key}" is not a fixture; use one of {", ".join(_data()["fixtures"])}')
        if count < 0:
            raise DemandError(f"{count} is not a count of {key}")
    return method({key: count for key, count in fixtures.items() if count}, use)


def default_table(use: Use, fixtures: Mapping[str, int]) -> str:
    """The table used where a document names none: the well allowance for a household, else IPC by the kind of flushing."""
    return "well_allowance" if use == "household" else _ipc_for(fixtures)


def side_by_side(fixtures: Mapping[str, int], use: Use = "household", tables: Sequence[str] | None = None) -> tuple[PeakDemand, ...]:
    """Several answers for the same fixtures; by default the well allowance, IPC and NSPC. Tables that know none of them are left out.

    Raises:
        DemandError: an unknown fixture or table, or no table that knows any of the fixtures.
    """
    answers, reason = [], DemandError("no fixture is counted")
    for table in tables or ("well_allowance", _ipc_for(fixtures), "nspc"):
        try:
            answers.append(peak_demand(fixtures, table, use))
        except NothingKnown as error:
            reason = error
    if not answers:
        raise reason
    return tuple(answers)


def daily_use(people: float, supply: Literal["well", "mains"]) -> DailyUse:
    """A day's use by people on a well or a main (US averages of 2015, indoors and out)."""
    row = _data()["daily"][supply]
    each = row["value"] * GALLON
    return DailyUse(people * each, each, row["title"], row["source"], row["status"])


def planning_flow(daily: float) -> float:
    """m3/s that gives a day's use (m3) in two hours, the planning rule for small supplies (Penn State Extension)."""
    return float(daily / (_data()["planning"]["hours"] * 3600.0))


class NothingKnown(DemandError):
    """A table that knows none of the counted fixtures."""


# The tables -------------------------------------------------------------------------------------------------------------------


def _ipc_for(fixtures: Mapping[str, int]) -> str:
    return "ipc_valve" if any(fixtures.get(key) for key in _FLUSH_VALVES) else "ipc_tank"


def _parts(
    fixtures: Mapping[str, int], each: Mapping[str, float], title: str, unsure: Sequence[str] = ()
) -> tuple[tuple[Part, ...], list[str]]:
    """What each known fixture adds, and notes on the unknown and the unsure."""
    labels = _data()["fixtures"]
    parts = tuple(Part(key, labels[key], n, float(each[key]), n * float(each[key])) for key, n in fixtures.items() if key in each)
    missing = [labels[key] for key in fixtures if key not in each]
    if not parts:
        raise NothingKnown("no fixture is counted" if not fixtures else f"{title} knows none of these fixtures: {', '.join(missing)}")
    notes = [f"{title} does not know: {', '.join(missing)}. It is left out of this peak."] if missing else []
    guessed = [labels[key] for key in fixtures if key in unsure]
    if guessed:
        notes.append(f"From memory in this table: {', '.join(guessed)}.")
    return parts, notes


def _total(parts: Sequence[Part]) -> float:
    return sum(part.total for part in parts)


def _well_allowance(fixtures: Mapping[str, int], use: Use) -> PeakDemand:
    row = _data()["well_allowance"]
    parts, notes = _parts(fixtures, row["each"], row["title"], row["unsure"])
    load = _total(parts)
    return PeakDemand(
        load * GPM, "well_allowance", row["title"], row["source"], row["status"], load, "gpm", "Q = sum of n q", parts, tuple(notes)
    )


def _units(fixtures: Mapping[str, int], use: Use) -> tuple[tuple[Part, ...], list[str]]:
    """Fixture units; a fixture that its column lacks takes the other column's figure, and says so."""
    row = _data()["fixture_units"]
    column = _data()["use"][use]["column"]
    other = "public" if column == "private" else "private"
    lent = [key for key in fixtures if key not in row[column] and key in row[other]]
    parts, notes = _parts(fixtures, row[other] | row[column], row["title"])
    if lent:
        names = ", ".join(_data()["fixtures"][key] for key in lent)
        notes.append(f"{row['title']} lists these as {other} only, and that figure is used: {names}.")
    return parts, notes


def _read_curve(curve: Sequence[Sequence[float]], load: float, title: str) -> tuple[float, list[str]]:
    """gpm at a load, straight between rows; the first row below them, the last slope above, both said so."""
    first, last = curve[0], curve[-1]
    if load < first[0]:
        return float(first[1]), [f"{load:.1f} fixture units lie below {title}; its first row, {first[0]} units, is used."]
    i = min(bisect_right(curve, load, key=lambda point: point[0]), len(curve) - 1)
    (x0, y0), (x1, y1) = curve[i - 1], curve[i]
    flow = y0 + (y1 - y0) * (load - x0) / (x1 - x0)
    beyond = f"{load:.0f} fixture units lie beyond {title}, which ends at {last[0]}; its last slope was drawn on."
    return flow, [beyond] if load > last[0] else []


def _by_units(table: str, curve: Sequence[Sequence[float]], fixtures: Mapping[str, int], use: Use) -> PeakDemand:
    row = _data()[table]
    parts, notes = _units(fixtures, use)
    load = _total(parts)
    flow, range_notes = _read_curve(curve, load, row["title"])
    formula = "table, straight between rows"
    return PeakDemand(
        flow * GPM, table, row["title"], row["source"], row["status"], load, "WSFU", formula, parts, tuple(range_notes + notes)
    )


def _with_note(answer: PeakDemand, *notes: str) -> PeakDemand:
    return replace(answer, notes=answer.notes + notes)


def _ipc_tank(fixtures: Mapping[str, int], use: Use) -> PeakDemand:
    answer = _by_units("ipc_tank", _data()["ipc_tank"]["curve"], fixtures, use)
    wrong = any(key in fixtures for key in _FLUSH_VALVES)
    return _with_note(answer, "There are flush valves here: the column for flush valves asks more.") if wrong else answer


def _ipc_valve(fixtures: Mapping[str, int], use: Use) -> PeakDemand:
    answer = _by_units("ipc_valve", _data()["ipc_valve"]["curve"], fixtures, use)
    wrong = not any(key in fixtures for key in _FLUSH_VALVES)
    return _with_note(answer, "There is no flush valve here: the column for flush tanks asks less.") if wrong else answer


def _nspc(fixtures: Mapping[str, int], use: Use) -> PeakDemand:
    row = _data()["nspc"]
    column = "valve" if _ipc_for(fixtures) == "ipc_valve" else "tank"
    answer = _by_units("nspc", row[column], fixtures, use)
    notes = ["The fixture units are those of IPC Table E103.3(2)."]
    low, high = row["gap"]
    if low < answer.load < high:
        notes.append(f"The rows between {low} and {high} fixture units were not available: this is a straight line across them.")
    return _with_note(answer, *notes)


def _binomial(fixtures: Mapping[str, int], use: Use) -> PeakDemand:
    row = _data()["binomial"]
    parts, notes = _parts(fixtures, {key: p * q for key, (p, q) in row["each"].items()}, row["title"])
    groups = [Group(part.count, *row["each"][part.fixture]) for part in parts]
    busy, choice = Busy.of(groups), row["choice"]
    if busy.expected >= choice["wistort"]:
        flow, formula = busy.wistort(), "Q = mu + z sqrt(var) (Wistort)"
    elif busy.expected >= choice["modified"]:
        flow, formula = busy.modified(), "Q = (mu + z sqrt((1-P0) var - P0 mu^2))/(1-P0) (modified Wistort)"
    else:
        flow, formula = enumerated(groups), "99th percentile of the exact distribution while anything runs"
    notes.append("The expected number of fixtures running chooses the formula, at 1.25 and 5 (from memory).")
    return PeakDemand(
        flow * GPM, "binomial", row["title"], row["source"], row["status"], busy.mean, "gpm on average", formula, parts, tuple(notes)
    )


def _en806(fixtures: Mapping[str, int], use: Use) -> PeakDemand:
    row = _data()["en806"]
    parts, notes = _parts(fixtures, row["each"], row["title"])
    load, fit = _total(parts), row["fit"]
    factor, exponent = fit["low"] if load <= fit["split"] else fit["high"]
    notes.append("The standard's curve is read through a published power law.")
    formula = f"Q = {factor:g} LU^{exponent:g} L/s"
    flow, all_at_once = factor * load**exponent, load * fit["unit"]
    if all_at_once < flow:
        flow, formula = all_at_once, f"Q = {fit['unit']:g} LU L/s"
        notes.append("So few loading units lie below that power law: all of them are taken to run at once.")
    return PeakDemand(flow * _LITRE, "en806", row["title"], row["source"], fit["status"], load, "LU", formula, parts, tuple(notes))


def _din1988(fixtures: Mapping[str, int], use: Use) -> PeakDemand:
    row = _data()["din1988"]
    parts, notes = _parts(fixtures, row["each"], row["title"], row["unsure"])
    building = _data()["use"][use]["building"]
    flow, range_notes = din_flow(_total(parts), building)
    a, b, c = row["building"][building]
    formula = f"Q = {a:g} S^{b:g} - {c:g} L/s ({building})"
    return PeakDemand(
        flow * _LITRE,
        "din1988",
        row["title"],
        row["source"],
        row["status"],
        _total(parts),
        "L/s",
        formula,
        parts,
        tuple(range_notes + notes),
    )


def din_flow(load: float, building: str) -> tuple[float, list[str]]:
    """Peak in L/s of a sum of draws in L/s, a S^b - c by DIN 1988-300, and notes; never more than the sum itself."""
    row = _data()["din1988"]
    low, high = row["range"]
    if load < low:
        return load, [f"{load:.2f} L/s lies below {row['title']}, which begins at {low:g}: all of it is taken to run at once."]
    a, b, c = row["building"][building]
    notes = [f"{load:.0f} L/s lies beyond {row['title']}, which ends at {high:g}."] if load > high else []
    return min(load, a * load**b - c), notes


_METHODS: dict[str, Callable[[Mapping[str, int], Use], PeakDemand]] = {
    "well_allowance": _well_allowance,
    "ipc_tank": _ipc_tank,
    "ipc_valve": _ipc_valve,
    "nspc": _nspc,
    "binomial": _binomial,
    "en806": _en806,
    "din1988": _din1988,
}
#: Every demand table that a document may name.
TABLES: tuple[str, ...] = tuple(_METHODS)
