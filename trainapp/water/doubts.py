"""What in one sheet of results does not fit together. A doubt is raised only where no value within the results' intervals fits."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from trainapp.data import load_toml
from trainapp.units import show
from trainapp.water.analytes import BY_KEY
from trainapp.water.carbonate import Ions, from_ph
from trainapp.water.indices import BALANCE_NEEDS, charge_balance, conductivity
from trainapp.water.rows import CALCIUM_HARDNESS, MAGNESIUM_HARDNESS
from trainapp.water.sample import Result
from trainapp.water.uvt import absorbance, absorptivity

Results = Mapping[str, Result]

_BICARBONATE = 0.8202
_NITRATE = 4.4267


@dataclass(frozen=True, slots=True)
class Doubt:
    """Results that do not fit.

    Attributes:
        analytes: those concerned, the most suspect first.
        value, limit: what was found and how far it may go, in the internal unit of `dimension` ("none": in `unit`).
        sentence: what a customer reads.
        source, status: of the limit.
    """

    analytes: tuple[str, ...]
    value: float
    limit: float
    dimension: str
    unit: str
    sentence: str
    source: str
    status: str


def doubts_of(results: Results) -> tuple[Doubt, ...]:
    """Everything that does not fit in one sheet."""
    return tuple(doubt for check in _CHECKS for doubt in check(results))


def _rule(name: str) -> Mapping[str, Any]:
    entry: Mapping[str, Any] = load_toml("water/doubts.toml")[name]
    return entry


def _doubt(
    rule: str, analytes: tuple[str, ...], value: float, sentence: str, dimension: str = "none", unit: str = "", limit: float | None = None
) -> Doubt:
    entry = _rule(rule)
    edge = float(entry["limit"]) if limit is None else limit
    return Doubt(analytes, value, edge, dimension, unit, sentence, entry["source"], entry["status"])


def _said(results: Results, name: str) -> str:
    """A result as it was written."""
    return results[name].text.strip()


# Charges and conductivity -------------------------------------------------------------------------------------------------------

_CHARGED = ("potassium", "ammonia", "iron_dissolved", "manganese_dissolved", "aluminium", "barium", "nitrate", "nitrite", "fluoride")
_NEGATIVE = frozenset({"alkalinity", "chloride", "sulfate", "nitrate", "nitrite", "fluoride"})
_CONDUCTS = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate", "nitrate", "ammonia")


def _analysis(results: Results, cations: str, anions: str) -> dict[str, float]:
    """The charged analytes, cations at one end of their intervals and anions at one (a high pH is few protons)."""
    found = {}
    for name in (*BALANCE_NEEDS, *_CHARGED, "ph"):
        if name in results:
            end = anions if name in _NEGATIVE else cations
            if name == "ph":
                end = "low" if end == "high" else "high"
            found[name] = getattr(results[name], end)
    return found


def _complete(results: Results) -> bool:
    return all(name in results and results[name].high < float("inf") for name in BALANCE_NEEDS)


@dataclass(frozen=True, slots=True)
class Balance:
    """Charges of one sheet, as near to each other as its intervals allow.

    Attributes:
        error: cations less anions over their sum, percent. limit: how far it may go.
        cations, anions: of each analyte that carries charge, the (least, most) meq/L that its result allows.
    """

    error: float
    limit: float
    cations: Mapping[str, tuple[float, float]]
    anions: Mapping[str, tuple[float, float]]


def balance_of(results: Results) -> Balance | None:
    """Whether cations and anions carry the same charge; None where too little is known (see :func:`balance_lacks`)."""
    if balance_lacks(results):
        return None
    least, most = (charge_balance(_analysis(results, *ends)) for ends in (("low", "high"), ("high", "low")))
    error = min((float(least.error), float(most.error)), key=abs) if least.error * most.error > 0 else 0.0
    limit = max(float(_rule("charge_balance")["limit"]), float(least.allowed))
    carried = {
        name: (results[name].low / BY_KEY[name].equivalent, results[name].high / BY_KEY[name].equivalent)
        for name in (*BALANCE_NEEDS, *_CHARGED)
        if name in results
    }
    anions = {name: ends for name, ends in carried.items() if name in _NEGATIVE}
    return Balance(error, limit, {name: ends for name, ends in carried.items() if name not in _NEGATIVE}, anions)


def balance_lacks(results: Results) -> tuple[str, ...]:
    """Analytes without which a charge balance of this sheet means nothing; aluminium carries charge in acid water alone."""
    missing = tuple(name for name in BALANCE_NEEDS if name not in results or results[name].high == float("inf"))
    acid = "ph" in results and results["ph"].low < _rule("acid_water")["limit"] and "aluminium" not in results
    return (*missing, "aluminium") if acid else missing


def _charges(results: Results) -> Iterator[Doubt]:
    """Cations and anions carry the same charge."""
    found = balance_of(results)
    if found is None or abs(found.error) <= found.limit:
        return
    error, limit = found.error, found.limit
    sentence = f"Cations and anions differ by {abs(error):.1f} %, more than {limit:.1f} %: a result is wrong or an ion is missing."
    if hint := _unit_hint(results, limit):
        sentence += f" They agree if {hint}."
    yield _doubt("charge_balance", BALANCE_NEEDS, error, sentence, unit="%", limit=limit)


def _unit_hint(results: Results, limit: float) -> str:
    """A mistaken basis that would explain the gap."""
    analysis = _analysis(results, "high", "high")
    for name, factor, words in (
        ("alkalinity", _BICARBONATE, "alkalinity was meant as bicarbonate"),
        ("alkalinity", 1.0 / _BICARBONATE, "what was read as bicarbonate is alkalinity as CaCO3"),
        ("nitrate", 1.0 / _NITRATE, "nitrate was meant as NO3"),
    ):
        if name in analysis and abs(float(charge_balance(analysis | {name: factor * analysis[name]}).error)) < 0.5 * limit:
            return words
    return ""


def _conducts(results: Results) -> Iterator[Doubt]:
    """Conductivity follows from the ions."""
    if not _complete(results) or not {"conductivity", "ph"} <= results.keys():
        return
    middle = {name: 0.5 * (r.low + r.high) for name, r in results.items() if r.high < float("inf")}
    if not {"conductivity", "ph"} <= middle.keys():
        return
    ions = Ions(**{name: middle.get(name, 0.0) for name in _CONDUCTS})
    water = from_ph(middle["ph"], middle["alkalinity"], ions, middle.get("temperature", 25.0))
    at_25 = float(conductivity(water))
    at_20 = at_25 / load_toml("water/conductivity.toml")["reference_temperature"]["ratio_25_20"]
    part, found = float(_rule("conductivity")["limit"]), results["conductivity"]
    if found.high < (1.0 - part) * at_20 or found.low > (1.0 + part) * at_25:
        limit = (1.0 - part) * at_20 if found.high < at_20 else (1.0 + part) * at_25
        sentence = (
            f"The ions would conduct {show(at_20, 'conductivity')} at 20 °C and {show(at_25, 'conductivity')} at 25 °C, but "
            f"{_said(results, 'conductivity')} was found: a result is wrong, or an ion is missing."
        )
        yield _doubt("conductivity", ("conductivity",), middle["conductivity"], sentence, "conductivity", limit=limit)


def _solids(results: Results) -> Iterator[Doubt]:
    """Dissolved solids are about 0.55 to 0.70 mg/L per uS/cm."""
    if not {"tds", "conductivity"} <= results.keys() or results["conductivity"].low <= 0.0:
        return
    tds, conducts = results["tds"], results["conductivity"]
    least, most = tds.low / conducts.high, tds.high / conducts.low
    rule = "solids_low" if most < _rule("solids_low")["limit"] else "solids_high" if least > _rule("solids_high")["limit"] else ""
    if rule:
        sentence = (
            f"{_said(results, 'tds')} of dissolved solids do not fit a conductivity of {_said(results, 'conductivity')}: "
            "it is usually 0.55 to 0.70 mg/L per µS/cm."
        )
        yield _doubt(rule, ("tds", "conductivity"), most if rule == "solids_low" else least, sentence, unit="mg/L per uS/cm")


# Parts and wholes ---------------------------------------------------------------------------------------------------------------

_PARTS = (
    ("iron_dissolved", "iron", "Dissolved iron"), ("manganese_dissolved", "manganese", "Dissolved manganese"),
    ("turbidity_filtered_5um", "turbidity", "Turbidity behind a 5 µm filter"), ("free_chlorine", "total_chlorine", "Free chlorine"),
)  # fmt: skip


def _parts(results: Results) -> Iterator[Doubt]:
    """A part is not more than its whole."""
    rule = _rule("part_over_whole")
    for part, whole, label in _PARTS:
        if part in results and whole in results:
            most = results[whole].high * (1.0 + rule["limit"]) + rule["least"]
            if results[part].low > most:
                sentence = (
                    f"{label} ({_said(results, part)}) is more than all of it ({_said(results, whole)}): "
                    "the two were mixed up or one is wrong."
                )
                yield _doubt("part_over_whole", (part, whole), results[part].low, sentence, BY_KEY[part].dimension, limit=most)
    coliform, e_coli = results.get("total_coliform"), results.get("e_coli")
    if coliform and e_coli and e_coli.low > coliform.high:
        sentence = "E. coli is a coliform: where it is found, total coliform cannot be less. Treat the water as unsafe and sample again."
        yield _doubt("part_over_whole", ("total_coliform", "e_coli"), e_coli.low, sentence, "count", limit=coliform.high)


def _hardness(results: Results) -> Iterator[Doubt]:
    """Hardness is what calcium and magnesium make."""
    if not {"hardness", "calcium", "magnesium"} <= results.keys():
        return
    rule, hard = _rule("hardness"), results["hardness"]
    calcium, magnesium = results["calcium"], results["magnesium"]
    low = CALCIUM_HARDNESS * calcium.low + MAGNESIUM_HARDNESS * magnesium.low
    high = CALCIUM_HARDNESS * calcium.high + MAGNESIUM_HARDNESS * magnesium.high
    gap = max(low - hard.high, hard.low - high)
    allowed = rule["limit"] * max(high, hard.high) + rule["least"]
    if gap > allowed:
        sentence = (
            f"Calcium and magnesium make a hardness of {show(high, 'hardness', 'json')} as CaCO3, but {_said(results, 'hardness')} was "
            "reported: one of the three is wrong or was meant as something else."
        )
        yield _doubt("hardness", ("hardness", "calcium", "magnesium"), gap, sentence, "hardness", limit=allowed)


def _light(results: Results) -> Iterator[Doubt]:
    """Parts of the absorbance at 254 nm do not add to more than the whole."""
    if "uvt" not in results:
        return
    rule, whole = _rule("absorbance"), float(absorbance(results["uvt"].low))
    limit = whole * (1.0 + rule["limit"])
    if "iron" in results and (ferric := absorptivity("ferric_iron") * results["iron"].low) > limit:
        sentence = (
            f"{_said(results, 'iron')} of iron would alone absorb {ferric:.2f} per cm once it has rusted, but a UVT of "
            f"{_said(results, 'uvt')} is {whole:.3f} altogether: the sample was measured before its iron turned, or a result is wrong."
        )
        yield _doubt("absorbance", ("uvt", "iron"), ferric, sentence, "absorbance", limit=limit)
    filtered = float(absorbance(results["uvt_filtered"].high)) if "uvt_filtered" in results else 0.0
    if filtered > limit + 0.002:
        sentence = (
            f"UVT after a filter ({_said(results, 'uvt_filtered')}) is lower than before it ({_said(results, 'uvt')}): "
            "the two were mixed up."
        )
        yield _doubt("absorbance", ("uvt_filtered", "uvt"), filtered, sentence, "absorbance", limit=limit)


# Acid and base ------------------------------------------------------------------------------------------------------------------


def _acidity(results: Results) -> Iterator[Doubt]:
    """Alkalinity is there above pH 4.5, and used up below."""
    if not {"ph", "alkalinity"} <= results.keys():
        return
    rule, ph, alkalinity = _rule("alkalinity_end_point"), results["ph"], results["alkalinity"]
    if ph.low > rule["limit"] and alkalinity.high == 0.0:
        sentence = (
            f"There is no water of pH {_said(results, 'ph')} without alkalinity: it was not measured, or is small and should read "
            '"less than" its reporting limit.'
        )
        yield _doubt("alkalinity_end_point", ("alkalinity", "ph"), ph.low, sentence, "ph")
    if ph.high < rule["limit"] - 0.2 and alkalinity.low > rule["least"]:
        sentence = f"Water of pH {_said(results, 'ph')} has no alkalinity left, but {_said(results, 'alkalinity')} was reported."
        yield _doubt("alkalinity_end_point", ("ph", "alkalinity"), ph.high, sentence, "ph")
    if "carbon_dioxide" in results and ph.low > rule["limit"] and alkalinity.low > 0.0:
        yield from _dioxide(results)


def _dioxide(results: Results) -> Iterator[Doubt]:
    """Carbon dioxide follows from pH and alkalinity."""
    found, times = results["carbon_dioxide"], float(_rule("carbon_dioxide")["limit"])
    temperature = results["temperature"].low if "temperature" in results else 12.0
    ions = Ions(0.0, 0.0, 0.46 * results["alkalinity"].high)
    ph, alkalinity = results["ph"], results["alkalinity"]
    least = float(from_ph(ph.high, alkalinity.low, ions, temperature).carbon_dioxide)
    most = float(from_ph(ph.low, alkalinity.high, ions, temperature).carbon_dioxide)
    if most > 1.0 and (found.high < least / times or found.low > most * times):
        sentence = (
            f"pH and alkalinity go with {show(most, 'concentration')} of carbon dioxide, but {_said(results, 'carbon_dioxide')} was found: "
            "measure pH at the well, before gas is lost."
        )
        yield _doubt("carbon_dioxide", ("ph", "carbon_dioxide", "alkalinity"), found.low, sentence, "concentration", limit=most * times)


def _nitrate(results: Results) -> Iterator[Doubt]:
    """10 mg/L of nitrogen are 44 mg/L of nitrate."""
    found = results.get("nitrate")
    if found is None or found.basis or "eq" in found.text or "mol" in found.text:
        return
    limit = float(_rule("nitrate_basis")["limit"])
    if limit < found.low <= limit * _NITRATE:
        sentence = (
            f"{_said(results, 'nitrate')} of nitrate does not say whether it is counted as N or as NO3: as N it is over {limit:g} mg/L, "
            "as NO3 it is not. Ask the laboratory; it is read as N."
        )
        yield _doubt("nitrate_basis", ("nitrate",), found.low, sentence, "concentration")


_CHECKS: tuple[Callable[[Results], Iterator[Doubt]], ...] = (
    _charges, _conducts, _solids, _parts, _hardness, _light, _acidity, _nitrate,
)  # fmt: skip
