"""From results to the raw water that flows: parts that behave differently are split, and what a sheet does not say becomes two readings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trainapp.data import load_toml
from trainapp.water.analytes import BY_KEY, DERIVED, PARTICLE_ROWS, ROW_INDEX
from trainapp.water.sample import Result
from trainapp.water.stream import Array, Stream

#: Rows of a raw water that no supply carries.
_NONE_IN_RAW = ("permanganate", "peroxide")


@dataclass(frozen=True, slots=True)
class Assumption:
    """Something that a sheet does not say and that was read two ways: the analyte, and one sentence."""

    analyte: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Columns:
    """Results of many waters: ends of each analyte, shape (waters,), NaN where it was not measured.

    Attributes:
        low, high: by analyte key.
        settles: whether a jar is clear after a night: 1 yes, 0 no, NaN not tested; shape (waters,).
    """

    low: Mapping[str, Array]
    high: Mapping[str, Array]
    settles: Array

    @classmethod
    def of_sheet(cls, sheet: Mapping[str, Result]) -> Columns:
        """One water from its results."""
        numbers = {name: r for name, r in sheet.items() if BY_KEY[name].dimension != "state"}
        low = {name: np.array([r.low]) for name, r in numbers.items()}
        high = {name: np.array([r.high]) for name, r in numbers.items()}
        jar = sheet.get("settles_overnight")
        return cls(low, high, np.array([np.nan if jar is None else float(jar.state == "yes")]))

    @property
    def waters(self) -> int:
        return int(self.settles.shape[0])

    def has(self, name: str) -> NDArray[np.bool_]:
        """Which waters have the analyte."""
        return ~np.isnan(self.low[name]) if name in self.low else np.zeros(self.waters, dtype=bool)

    def readings(self, name: str) -> Array:
        """Favourable and adverse end, shape (2, waters); an open end is taken at a multiple of the other."""
        if name not in self.low:
            return np.full((2, self.waters), np.nan)
        low, high = self.low[name], self.high[name]
        high = np.where(np.isinf(high), np.maximum(low, 1.0) * load_toml("water/particles.toml")["over_range"]["value"], high)
        # the lower pH is the adverse reading: iron, manganese, copper and calcite all judge it so
        swapped = BY_KEY[name].adverse in ("low", "range")
        return np.stack([high, low] if swapped else [low, high])


def raw_streams(columns: Columns, flows: int, temperature: float) -> Stream:
    """The raw water of many sheets at once.

    Args:
        columns: results.
        flows: length of the flow axis; raw water is the same at every flow.
        temperature: degC where the sheet has none (the coldest of the year).
    """
    stream = Stream.unknown(flows, columns.waters)
    for name in BY_KEY:
        if name not in DERIVED:
            _set(stream, name, columns.readings(name), columns.has(name))
    _set_missing(stream, "temperature", np.full((2, columns.waters), temperature))
    for name in _NONE_IN_RAW:
        _set(stream, name, np.zeros((2, columns.waters)), np.ones(columns.waters, dtype=bool))
    for metal in ("iron", "manganese"):
        _split_metal(stream, columns, metal)
    _relate_hardness(stream, columns)
    _spread_particles(stream, columns)
    _budget_absorbance(stream, columns)
    _fill_related(stream, columns)
    return stream


def _set(stream: Stream, name: str, readings: Array, known: NDArray[np.bool_]) -> None:
    stream.set(name, readings[:, None, :], known)


def _set_missing(stream: Stream, name: str, readings: Array) -> None:
    """Fill a row where it is NaN, without calling it known."""
    row = stream.row(name)
    np.copyto(row, np.broadcast_to(readings[:, None, :], row.shape), where=np.isnan(row))


def _split_metal(stream: Stream, columns: Columns, metal: str) -> None:
    """Dissolved and particulate. Without a filtered result the favourable reading has it all as particles, the adverse all dissolved."""
    total, dissolved = columns.readings(metal), columns.readings(f"{metal}_dissolved")
    has_total, has_dissolved = columns.has(metal), columns.has(f"{metal}_dissolved")
    unsplit = np.stack([np.zeros(columns.waters), total[1]])
    dissolved = np.where(has_dissolved, dissolved, unsplit)
    particulate = np.where(has_total, np.maximum(total - dissolved, 0.0), np.where(has_dissolved, 0.0, np.nan))
    dissolved = np.where(has_total & has_dissolved, np.minimum(dissolved, np.maximum(total, dissolved)), dissolved)
    _set(stream, f"{metal}_dissolved", dissolved, has_dissolved | has_total)
    _set(stream, f"{metal}_particulate", particulate, has_total | has_dissolved)


def _relate_hardness(stream: Stream, columns: Columns) -> None:
    """Hardness from calcium and magnesium, or those from hardness (SM 2340 B: 2.497 Ca + 4.118 Mg)."""
    hardness, calcium, magnesium = (columns.readings(name) for name in ("hardness", "calcium", "magnesium"))
    computed = 2.4973 * calcium + 4.1180 * magnesium
    known = columns.has("hardness") | (columns.has("calcium") & columns.has("magnesium"))
    hardness = np.where(columns.has("hardness"), hardness, computed)
    _set(stream, "hardness", hardness, known)
    share = np.array(load_toml("water/particles.toml")["calcium_share"]["value"])[:, None]
    by_magnesium = np.maximum(hardness - 4.1180 * magnesium, 0.0) / 2.4973
    assumed = np.where(columns.has("magnesium"), by_magnesium, share * hardness / 2.4973)
    calcium = np.where(columns.has("calcium"), calcium, assumed)
    _set(stream, "calcium", calcium, columns.has("calcium") | (columns.has("hardness") & columns.has("magnesium")))
    rest = np.maximum(hardness - 2.4973 * calcium, 0.0) / 4.1180
    magnesium = np.where(columns.has("magnesium"), magnesium, rest)
    _set(stream, "magnesium", magnesium, columns.has("magnesium") | (columns.has("hardness") & columns.has("calcium")))


def _spread_particles(stream: Stream, columns: Columns) -> None:
    """Turbidity over colloid and six classes, from a 5 um filtrate, a jar test or an assumption."""
    data = load_toml("water/particles.toml")
    classes = np.array(data["classes"]["value"])
    total = columns.readings("turbidity")
    share = _colloid_share(columns, data)
    colloid = share * total
    sized = classes[:, None, None] * (total - colloid)
    fine = np.minimum(columns.readings("turbidity_filtered_5um"), total)
    fine_colloid = np.array(data["filtered_colloid"]["value"])[:, None] * fine
    by_filter = np.concatenate(
        [
            (classes[:2] / classes[:2].sum())[:, None, None] * (fine - fine_colloid),
            (classes[2:] / classes[2:].sum())[:, None, None] * (total - fine),
        ]
    )
    filtered = columns.has("turbidity_filtered_5um")
    rows = np.concatenate([np.where(filtered, fine_colloid, colloid)[None], np.where(filtered, by_filter, sized)])
    first = ROW_INDEX[PARTICLE_ROWS[0]]
    stream.values[first : first + len(PARTICLE_ROWS)] = rows[:, :, None, :]
    stream.known[first : first + len(PARTICLE_ROWS)] = columns.has("turbidity")


def _colloid_share(columns: Columns, data: Mapping[str, Mapping[str, Mapping[str, list[float]]]]) -> Array:
    ends = {name: np.array(row["value"])[:, None] for name, row in data["colloid"].items()}
    untested = np.isnan(columns.settles)
    tested = np.where(columns.settles > 0.5, ends["settles"], ends["stays"])
    return np.asarray(np.where(untested, ends["unknown"], tested))


def _budget_absorbance(stream: Stream, columns: Columns) -> None:
    """Absorbance at 254 nm and the parts that can leave with particles and with iron.

    The adverse reading credits only what a filtered sample has proven; the favourable one what iron and particles may be.
    """
    data = load_toml("water/particles.toml")
    whole = -np.log10(np.maximum(columns.readings("uvt"), 1e-6) / 100.0)
    filtered = -np.log10(np.maximum(columns.readings("uvt_filtered"), 1e-6) / 100.0)
    has, has_filtered = columns.has("uvt"), columns.has("uvt_filtered")
    whole = np.where(has, whole, np.where(has_filtered, filtered, np.nan))
    proven = np.where(has_filtered, np.maximum(whole - filtered, 0.0), 0.0)
    dissolved = np.nan_to_num(stream.row("iron_dissolved")[:, 0])
    turbidity = np.nan_to_num(stream.get("turbidity")[:, 0])
    iron = np.minimum(data["ferric_absorbance"]["value"] * dissolved, whole - proven)
    iron[1] = 0.0
    loose = np.minimum(data["scatter_per_ntu"]["value"] * turbidity, whole - proven - iron)
    loose[1] = 0.0
    _set(stream, "absorbance", whole, has | has_filtered)
    _set(stream, "absorbance_particles", np.where(has_filtered, proven, loose), has | has_filtered)
    _set(stream, "absorbance_iron", iron, has | has_filtered)


def _fill_related(stream: Stream, columns: Columns) -> None:
    """What follows within bounds from another analyte: solids from turbidity, dissolved solids from conductivity."""
    data = load_toml("water/particles.toml")
    solids = np.array(data["solids_per_ntu"]["value"])[:, None] * columns.readings("turbidity")
    _set_missing(stream, "suspended_solids", solids)
    tds = np.array(data["tds_per_conductivity"]["value"])[:, None] * columns.readings("conductivity")
    _set_missing(stream, "tds", tds)
    _set_missing(stream, "total_chlorine", stream.row("free_chlorine")[:, 0])
