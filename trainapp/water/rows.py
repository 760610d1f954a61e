"""From what is known of waters to the rows of a stream: splits, sums and parts that a sheet does not name. Works on any number of waters.

Everything here is an array of shape (2 readings, waters); the favourable reading first.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trainapp.data import load_toml
from trainapp.water.analytes import BY_KEY, DERIVED, PARTICLE_ROWS, ROW_INDEX
from trainapp.water.indices import dissolved_solids, sodium_by_charge
from trainapp.water.stream import ADVERSE, FAVOURABLE, Stream
from trainapp.water.uvt import absorbance, absorptivity

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

#: mg/L as CaCO3 per mg/L of calcium and magnesium. Source: Standard Methods 2340 B, from the equivalents.
CALCIUM_HARDNESS = BY_KEY["hardness"].equivalent / BY_KEY["calcium"].equivalent
MAGNESIUM_HARDNESS = BY_KEY["hardness"].equivalent / BY_KEY["magnesium"].equivalent
#: What UVT is estimated from, first things first: the assumption that says how, and the factor of its unit.
_ESTIMATES = (("toc", "suva", 0.01), ("tannin", "absorbance_per_tannin", 1.0), ("colour", "absorbance_per_colour", 1.0))
#: Rows that tell whether an analyte that is no row is known.
KNOWN_ROWS: dict[str, tuple[str, ...]] = {
    "iron": ("iron_particulate",),
    "manganese": ("manganese_particulate",),
    "turbidity": PARTICLE_ROWS,
    "uvt": ("absorbance", "absorbance_particles", "absorbance_iron"),
}
_IONS = ("calcium", "magnesium", "alkalinity", "chloride", "sulfate")


def assumption(name: str) -> Mapping[str, Any]:
    """An entry of ``resources/water/assumptions.toml``."""
    entry: Mapping[str, Any] = load_toml("water/assumptions.toml")[name]
    return entry


def both(name: str) -> Array:
    """Its favourable and adverse value, shape (2, 1)."""
    entry = assumption(name)
    return np.array([[entry["favourable"]], [entry["adverse"]]], dtype=np.float64)


def readings(name: str, low: ArrayLike, high: ArrayLike) -> Array:
    """The ends of an analyte in the order of the readings: adverse is high, or low where low is adverse or neither is.

    An end that nothing bounds is a multiple of the other, so that models can go on; of bacteria, which no model counts, it stays open.
    """
    low, high = (np.atleast_1d(np.asarray(end, dtype=np.float64)) for end in (low, high))
    if not BY_KEY[name].states:
        high = np.where(np.isinf(high), float(both("over_range")[ADVERSE, 0]) * low, high)
    return np.stack(np.broadcast_arrays(*((low, high) if BY_KEY[name].adverse == "high" else (high, low))))


def _given(ends: Array) -> Mask:
    """In which waters both ends are numbers."""
    return np.asarray(~np.isnan(ends).any(axis=0))


class Rows:
    """A stream of one flow while it is filled.

    Attributes:
        stream: with 1 flow.
        guesses: by name of an assumption, the waters in which it was made.
    """

    def __init__(self, ends: Mapping[str, Array], waters: int) -> None:
        self.stream = Stream.unknown(1, waters)
        self.guesses: dict[str, Mask] = {}
        self._ends, self._waters = ends, waters

    def fill(self) -> Rows:
        """Set every row that follows from what is given."""
        for name, ends in self._ends.items():
            if name not in DERIVED:
                self.put(name, ends)
        for name in ("permanganate", "peroxide"):
            self.put(name, np.zeros((2, self._waters)))
        self._hardness()
        for metal in ("iron", "manganese"):
            self._metal(metal)
        self._particles()
        self._absorbance()
        self._sodium()
        self._solids()
        self._chlorine()
        return self

    def put(self, name: str, value: Array, known: Mask | None = None, where: Mask | None = None) -> None:
        """Set a row: in some waters, as known where it is a number, unless said otherwise."""
        value = np.broadcast_to(value, (2, self._waters))
        known = _given(value) if known is None else known
        where = np.ones(self._waters, dtype=bool) if where is None else where
        self.stream.row(name)[:, 0, where] = value[:, where]
        self.stream.known[ROW_INDEX[name], where] = np.broadcast_to(known, self._waters)[where]

    def get(self, name: str) -> Array:
        """A row as it stands, or what was given of a derived analyte; NaN where nothing was."""
        if name in ROW_INDEX:
            return self.stream.row(name)[:, 0]
        return self._ends.get(name, np.full((2, self._waters), np.nan))

    def guess(self, name: str, where: Mask) -> None:
        """Note that an assumption was made."""
        if where.any():
            self.guesses[name] = self.guesses.get(name, np.zeros(self._waters, dtype=bool)) | where

    def _has(self, name: str) -> Mask:
        return _given(self.get(name))

    # Parts and sums ---------------------------------------------------------------------------------------------------------

    def _hardness(self) -> None:
        """Hardness from calcium and magnesium and back; the share of calcium is assumed where only one of the three is given."""
        hard, calcium, magnesium = (self.get(name).copy() for name in ("hardness", "calcium", "magnesium"))
        h, c, m = self._has("hardness"), self._has("calcium"), self._has("magnesium")
        enough, share = (h & c) | (h & m) | (c & m), both("calcium_share")
        by_c, by_m = CALCIUM_HARDNESS * calcium, MAGNESIUM_HARDNESS * magnesium
        # much calcium means little hardness where hardness is what follows
        total_c, total_m = by_c / share[::-1], by_m / (1.0 - share)
        with np.errstate(invalid="ignore"):
            rest_c, rest_m = np.maximum(hard - by_m, 0.0), np.maximum(hard - by_c, 0.0)
            choices = {
                "hardness": (1.0, (c & m, by_c + by_m), (c & ~m, total_c), (m & ~c, total_m)),
                "calcium": (CALCIUM_HARDNESS, (h & m, rest_c), (h & ~m, hard * share), (m & ~h, total_m - by_m)),
                "magnesium": (MAGNESIUM_HARDNESS, (h & c, rest_m), (h & ~c, hard * (1.0 - share)), (c & ~h, total_c - by_c)),
            }
        has = {"hardness": h, "calcium": c, "magnesium": m}
        for name, (factor, *cases) in choices.items():
            for where, value in cases:
                self.put(name, value / factor, enough, where & ~has[name])
        self.guess("calcium_share", (h | c | m) & ~enough)

    def _metal(self, metal: str) -> None:
        """Dissolved and particulate iron or manganese."""
        total, dissolved = self.get(metal), self.get(f"{metal}_dissolved").copy()
        t, d = _given(total), self._has(f"{metal}_dissolved")
        with np.errstate(invalid="ignore"):
            rest = np.where(total > dissolved, total - dissolved, 0.0)
        none = np.zeros((2, self._waters))
        self.put(f"{metal}_particulate", rest, t, t & d)
        self.put(f"{metal}_particulate", none, d, d & ~t)
        only_total, nothing = t & ~d, np.zeros(self._waters, dtype=bool)
        self.put(f"{metal}_dissolved", np.stack([none[0], total[ADVERSE]]), nothing, only_total)
        self.put(f"{metal}_particulate", np.stack([total[FAVOURABLE], none[0]]), t, only_total)
        self.guess(f"{metal}_split", only_total)
        self.guess(f"{metal}_dissolved_only", d & ~t)

    def _particles(self) -> None:
        """Turbidity by size class."""
        total = self.get("turbidity")
        known = _given(total)
        shares = self._shares(total, known)
        with np.errstate(invalid="ignore"):
            by_class = np.where(shares > 0.0, shares * total, 0.0 * np.where(np.isnan(total), np.nan, 0.0))
        for name, value in zip(PARTICLE_ROWS, by_class, strict=True):
            self.put(name, value, known)
        self.guess("size_classes", known)

    def _shares(self, total: Array, known: Mask) -> Array:
        """Share of turbidity in colloid and each class, shape (7, 2, waters)."""
        classes = np.array(assumption("size_classes")["shares"])
        fine, coarse = classes[:2] / classes[:2].sum(), classes[2:] / classes[2:].sum()
        filtered, settles = self.get("turbidity_filtered_5um"), self.get("settles_overnight")[ADVERSE]
        tried = _given(filtered) & known
        clears, stays = (settles == 1.0) & ~tried & known, (settles == 0.0) & ~tried & known
        with np.errstate(divide="ignore", invalid="ignore"):
            left = np.where(np.isinf(total), 0.0, np.clip(filtered / total, 0.0, 1.0))
        below = np.where(tried & (total > 0.0), left, both("below_5um_when_settled"))
        # what is finer than 5 um: particles in the favourable reading, colloid in the adverse
        shares = np.zeros((7, 2, self._waters))
        shares[0, ADVERSE] = below[ADVERSE]
        shares[1:3, FAVOURABLE] = fine[:, None] * below[FAVOURABLE]
        shares[3:] = coarse[:, None, None] * (1.0 - below)
        guessed = both("colloid_share") + np.zeros(self._waters)
        unknown = np.concatenate([guessed[None], classes[:, None, None] * (1.0 - guessed)])
        cloudy = both("colloid_when_cloudy") + np.zeros(self._waters)
        fine_only = np.concatenate([cloudy[None], fine[:, None, None] * (1.0 - cloudy), np.zeros((4, 2, self._waters))])
        neither = known & ~tried & ~clears & ~stays
        for name, where in (("below_5um_when_settled", clears), ("colloid_when_cloudy", stays), ("colloid_share", neither)):
            self.guess(name, where)
        return np.where(stays, fine_only, np.where(neither, unknown, shares))

    def _absorbance(self) -> None:
        """Absorbance at 254 nm and its parts; see :func:`absorbance_parts`."""
        whole, filtered = absorbance(self.get("uvt")), absorbance(self.get("uvt_filtered"))
        w, f = _given(whole), _given(filtered)
        iron = np.nan_to_num(self.get("iron_dissolved") + self.get("iron_particulate"), nan=0.0)
        turbidity = np.nan_to_num(self.get("turbidity"), nan=0.0)
        particulate = np.nan_to_num(self.get("iron_particulate"), nan=0.0)
        added = both("absorbance_per_turbidity")[0] * turbidity + absorptivity("ferric_iron") * particulate
        whole = np.where(w, whole, np.where(f, filtered + added, self._estimate(~w & ~f)))
        self.guess("uvt_from_filtered", f & ~w)
        self.guess("absorbance_per_turbidity", w & ~f & ((iron > 0.0) | (turbidity > 0.0)).any(axis=0))
        particles, by_iron = absorbance_parts(whole, np.where(f, filtered, np.nan), iron, turbidity)
        for name, value in (("absorbance", whole), ("absorbance_particles", particles), ("absorbance_iron", by_iron)):
            # a filtered sample tells the whole where what the filter held back can be told from turbidity
            self.put(name, value, w | (f & _given(self.get("turbidity"))))

    def _estimate(self, where: Mask) -> Array:
        """Absorbance from organic carbon, tannin or colour, in this order; NaN without any."""
        least = both("least_absorbance")
        found = np.full((2, self._waters), np.nan)
        for analyte, name, scale in _ESTIMATES:
            here = np.isnan(found).any(axis=0) & self._has(analyte)
            found = np.where(here, least + scale * both(name) * self.get(analyte), found)
            self.guess(name, here & where)
        return found

    def _sodium(self) -> None:
        """Sodium by charge where the other major ions are there."""
        where = ~self._has("sodium") & np.logical_and.reduce([self._has(name) for name in _IONS])
        if where.any():
            ions = {name: self.get(name) for name in (*_IONS, "potassium", "nitrate", "ammonia")}
            balance = sodium_by_charge({name: value if name in _IONS else np.nan_to_num(value, nan=0.0) for name, value in ions.items()})
            self.put("sodium", balance, np.zeros(self._waters, dtype=bool), where)
            self.guess("sodium_by_charge", where)

    def _chlorine(self) -> None:
        """Total chlorine is at least the free."""
        missing = ~self._has("total_chlorine") & self._has("free_chlorine")
        self.put("total_chlorine", self.get("free_chlorine").copy(), np.zeros(self._waters, dtype=bool), missing)

    def _solids(self) -> None:
        """Suspended solids from turbidity; dissolved solids from the ions, else from conductivity."""
        nothing = np.zeros(self._waters, dtype=bool)
        where = ~self._has("suspended_solids") & _given(self.get("turbidity"))
        self.put("suspended_solids", both("solids_per_turbidity") * self.get("turbidity"), nothing, where)
        self.guess("solids_per_turbidity", where)
        missing = ~self._has("tds")
        ions = np.logical_and.reduce([self._has(name) for name in (*_IONS, "sodium")])
        if (missing & ions).any():
            named = {name: np.nan_to_num(self.get(name), nan=0.0) for name in (*_IONS, "sodium", "potassium", "nitrate", "silica")}
            sums = dissolved_solids(named)
            self.put("tds", sums, self.stream.known[ROW_INDEX["sodium"]], missing & ions)
        by_conductivity = missing & ~ions & self._has("conductivity")
        self.put("tds", both("solids_per_conductivity") * self.get("conductivity"), nothing, by_conductivity)
        self.guess("solids_per_conductivity", by_conductivity)


def absorbance_parts(whole: Array, filtered: Array, iron: Array, turbidity: Array) -> tuple[Array, Array]:
    """What of an absorbance leaves with the particles and with the iron.

    The adverse reading credits only what a filtered sample has proven; the favourable one also iron as ferric and particles by estimate,
    down to the clearest natural water.

    Args:
        whole, filtered: 1/cm; NaN in `filtered` where no filtered sample was measured.
        iron: total, mg/L. turbidity: NTU. All of shape (2 readings, waters).
    """
    proven = np.where(np.isnan(filtered), 0.0, np.maximum(whole - filtered, 0.0))
    room = np.maximum(whole[FAVOURABLE] - both("least_absorbance")[FAVOURABLE], 0.0)
    estimate = np.minimum(both("absorbance_per_turbidity")[FAVOURABLE] * turbidity[FAVOURABLE], room)
    particles = np.stack([np.where(np.isnan(filtered[FAVOURABLE]), estimate, proven[FAVOURABLE]), proven[ADVERSE]])
    ferric = np.minimum(absorptivity("ferric_iron") * iron[FAVOURABLE], np.maximum(room - particles[FAVOURABLE], 0.0))
    unknown = np.where(np.isnan(whole), np.nan, 0.0)
    return particles + unknown, np.stack([ferric, np.zeros_like(ferric)]) + unknown


def names_of(guesses: Iterable[str]) -> list[str]:
    """Names of assumptions in the order of their table."""
    found = set(guesses)
    return [name for name in load_toml("water/assumptions.toml") if name in found]
