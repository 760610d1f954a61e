"""The kinds of quantity that the program knows: the unit it calculates in, and the units that files, US and metric screens show.

Factors are written out here from exact definitions, so that nothing on the calculating side has to load pint; a test holds every one of
them equal to the registry of :mod:`trainapp.units`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

INCH = 0.0254
FOOT = 0.3048
GALLON = 3.785411784e-3
POUND = 0.45359237
GRAIN = 64.79891e-6
PSI = POUND * 9.80665 / INCH**2
IMPERIAL_GALLON = 4.54609e-3
MINUTE, HOUR, DAY = 60.0, 3600.0, 86400.0
YEAR = 365.25 * DAY
GPM = GALLON / MINUTE
#: Grams per mole and per equivalent of calcium carbonate.
CACO3_MOLAR, CACO3_EQUIVALENT = 100.087, 50.0435
#: mg/L as CaCO3 in one degree of hardness: 10 mg/L CaO, 10 mg/L CaCO3, one grain an imperial gallon.
GERMAN_DEGREE, FRENCH_DEGREE, CLARK_DEGREE = 17.848, 10.0, GRAIN * 1e3 / IMPERIAL_GALLON
GPG = GRAIN * 1e3 / GALLON
#: Picocuries in a becquerel.
PICOCURIE = 1 / 0.037

#: (from this magnitude up, decimals), largest first.
Decimals = tuple[tuple[float, int], ...]


@dataclass(frozen=True, slots=True)
class Scale:
    """One unit of a dimension: internal value = shown value x factor + offset.

    Attributes:
        text: the unit as files write it ("" for none).
        factor, offset: to the internal unit.
        decimals: shown decimals by magnitude; empty: three significant digits, trailing zeros dropped.
    """

    text: str
    factor: float = 1.0
    offset: float = 0.0
    decimals: Decimals = ()


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity.

    Attributes:
        name: with its article, as errors say it ("a concentration").
        json, us, metric: what files, US screens and metric screens show; `json` is also the unit that an error suggests.
        roots: (pint unit, internal units in one of it), the first being the internal unit itself; empty where pint has no say.
        also: further unit texts that need no pint, to their factor.
        least, most: bounds of any possible value, internal units, None where open. `most` is far beyond what any train of this scale meets:
            it keeps slips of the keyboard out.
        bare: whether a number without a unit is accepted.
    """

    name: str
    json: Scale
    us: Scale
    metric: Scale
    roots: tuple[tuple[str, float], ...]
    also: Mapping[str, float] = field(default_factory=dict)
    least: float | None = 0.0
    most: float | None = None
    bare: bool = False


def _fixed(decimals: int) -> Decimals:
    return ((0.0, decimals),)


_ONE_BELOW_10: Decimals = ((10.0, 0), (0.0, 1))
_ONE_BELOW_100: Decimals = ((100.0, 0), (0.0, 1))
#: Litres and gallons are whole numbers, but a fraction of one does not read as nothing.
_WHOLE: Decimals = ((1.0, 0), (0.0, 2))

_LENGTHS = {"in": INCH, "ft": FOOT, "mm": 1e-3, "cm": 1e-2, "m": 1.0, "um": 1e-6}
_VOLUMES = {"gal": GALLON, "ft3": FOOT**3, "L": 1e-3, "l": 1e-3, "mL": 1e-6, "m3": 1.0}
_MASSES = {"lb": POUND, "oz": POUND / 16, "gr": GRAIN, "kgr": 1e3 * GRAIN, "g": 1e-3, "mg": 1e-6, "kg": 1.0}
_TIMES = {"s": 1.0, "min": MINUTE, "h": HOUR, "d": DAY, "days": DAY, "weeks": 7 * DAY, "months": YEAR / 12, "years": YEAR}
_DENSITIES = {
    "lb/ft3": POUND / FOOT**3, "oz/ft3": POUND / 16 / FOOT**3, "kgr/ft3": 1e3 * GRAIN / FOOT**3, "gr/ft3": GRAIN / FOOT**3,
    "kg/m3": 1.0, "g/L": 1.0,
}  # fmt: skip
_RATES = {"m/s": 1.0, "m/h": 1 / HOUR, "ft/s": FOOT, "gpm/ft2": GPM / FOOT**2}
_MG_L = {"mg/L": 1.0, "mg/l": 1.0, "ug/L": 1e-3, "ug/l": 1e-3, "g/m3": 1.0, "g/L": 1e3, "ppm": 1.0, "ppb": 1e-3}
_HARDNESS = {
    "gpg": GPG, "gr/gal": GPG, "dH": GERMAN_DEGREE, "fH": FRENCH_DEGREE, "Clark": CLARK_DEGREE,
    "mmol/L": CACO3_MOLAR, "mmol/l": CACO3_MOLAR, "meq/L": CACO3_EQUIVALENT, "meq/l": CACO3_EQUIVALENT,
}  # fmt: skip
_COUNTS = {f"{who}/{volume}": n for who in ("", "cfu", "mpn") for volume, n in (("100mL", 1.0), ("mL", 100.0), ("L", 0.1))}

_LENGTH_ROOT, _VOLUME_ROOT, _MASS_ROOT = (("m", 1.0),), (("m^3", 1.0),), (("kg", 1.0),)
_TIME_ROOT, _DENSITY_ROOT, _RATE_ROOT = (("s", 1.0),), (("kg/m^3", 1.0),), (("m/s", 1.0),)
_MG_L_ROOT = ("mg/L", 1.0)


def _same(scale: Scale) -> tuple[Scale, Scale, Scale]:
    return scale, scale, scale


_KELVIN = Scale("K")
#: A litre of water holds no more than about a kilogram of anything: mg/L, and beyond any mmol/L or meq/L.
_ALL = 1e6
DIMENSIONS: dict[str, Dimension] = {
    "none": Dimension("a plain number", *_same(Scale("")), (), least=None, bare=True),
    "state": Dimension("a word", *_same(Scale("")), ()),
    "length": Dimension("a length", Scale("in", INCH), Scale("in", INCH), Scale("mm", 1e-3), _LENGTH_ROOT, _LENGTHS, least=None, most=1e5),
    "distance": Dimension("a length", Scale("ft", FOOT), Scale("ft", FOOT), Scale("m"), _LENGTH_ROOT, _LENGTHS, least=None, most=1e5),
    "particle_size": Dimension("a length", *_same(Scale("um", 1e-6)), _LENGTH_ROOT, _LENGTHS),
    "area": Dimension("an area", Scale("ft2", FOOT**2), Scale("ft2", FOOT**2), Scale("m2"), (("m^2", 1.0),), {"in2": INCH**2, "cm2": 1e-4}),
    "volume": Dimension(
        "a volume", Scale("gal", GALLON, 0, _WHOLE), Scale("gal", GALLON, 0, _WHOLE), Scale("L", 1e-3, 0, _WHOLE), _VOLUME_ROOT, _VOLUMES,
        most=1e9 * GALLON,
    ),
    "bulk_volume": Dimension("a volume", Scale("ft3", FOOT**3), Scale("ft3", FOOT**3), Scale("L", 1e-3), _VOLUME_ROOT, _VOLUMES),
    "flow": Dimension(
        "a flow",
        Scale("gpm", GPM, 0, _fixed(1)), Scale("gpm", GPM, 0, _fixed(1)), Scale("L/min", 1e-3 / MINUTE, 0, _fixed(1)),
        (("m^3/s", 1.0),),
        {"gpd": GALLON / DAY, "gph": GALLON / HOUR, "l/min": 1e-3 / MINUTE, "L/s": 1e-3, "l/s": 1e-3, "L/h": 1e-3 / HOUR, "m3/h": 1 / HOUR,
         "m3/s": 1.0, "m3/d": 1 / DAY, "L/d": 1e-3 / DAY},
        most=1e5 * GPM,
    ),
    "feed_rate": Dimension("a flow", *_same(Scale("mL/min", 1e-6 / MINUTE)), (("m^3/s", 1.0),)),
    "solution_volume": Dimension("a volume", Scale("gal", GALLON), Scale("gal", GALLON), Scale("L", 1e-3), _VOLUME_ROOT, _VOLUMES),
    "pressure": Dimension(
        "a pressure", Scale("psi", PSI, 0, _fixed(1)), Scale("psi", PSI, 0, _fixed(1)), Scale("bar", 1e5, 0, _fixed(2)), (("Pa", 1.0),),
        {"psig": PSI, "kPa": 1e3, "Pa": 1.0, "mbar": 100.0}, least=None, most=1e5 * PSI,
    ),
    "temperature": Dimension(
        "a temperature",
        Scale("degC", 1, 0, _fixed(1)), Scale("degF", 5 / 9, -160 / 9, _fixed(0)), Scale("degC", 1, 0, _fixed(1)),
        (("degC", 1.0),), {"C": 1.0}, least=-273.15, most=1e4,
    ),
    "temperature_difference": Dimension(
        "a temperature difference", _KELVIN, Scale("degF", 5 / 9), _KELVIN, (), {"degC": 1.0, "C": 1.0}, least=None
    ),
    "concentration": Dimension("a concentration", *_same(Scale("mg/L")), (_MG_L_ROOT,), _MG_L, most=_ALL),
    "hardness": Dimension(
        "a hardness", Scale("mg/L", 1, 0, _fixed(0)), Scale("gpg", GPG, 0, _ONE_BELOW_10), Scale("mg/L", 1, 0, _fixed(0)),
        (_MG_L_ROOT, ("mmol/L", CACO3_MOLAR), ("meq/L", CACO3_EQUIVALENT)), _MG_L | _HARDNESS, most=_ALL,
    ),
    "molar": Dimension("a molar concentration", *_same(Scale("mmol/L")), (("mmol/L", 1.0),), {"mmol/l": 1.0}, most=_ALL),
    "equivalents": Dimension("a concentration in equivalents", *_same(Scale("meq/L")), (("meq/L", 1.0),), {"meq/l": 1.0}, most=_ALL),
    "turbidity": Dimension("a turbidity", *_same(Scale("NTU", 1, 0, _fixed(1))), (("NTU", 1.0),), {"FNU": 1.0, "FTU": 1.0}, most=1e6),
    "uvt": Dimension(
        "a UV transmittance", *_same(Scale("%/cm", 1, 0, _fixed(0))), (), {"%": 1.0, "%/10mm": 1.0, "%/1cm": 1.0}, most=100.0
    ),
    "absorbance": Dimension("an absorbance", *_same(Scale("1/cm")), (("1/cm", 1.0),), {"/cm": 1.0, "cm-1": 1.0, "1/m": 0.01, "/m": 0.01}),
    "dose": Dimension(
        "a UV dose", *_same(Scale("mJ/cm2", 1, 0, _ONE_BELOW_100)), (("mJ/cm^2", 1.0),), {"J/m2": 0.1, "mWs/cm2": 1.0, "uWs/cm2": 1e-3}
    ),
    "irradiance": Dimension("a UV intensity", *_same(Scale("mW/cm2")), (("mW/cm^2", 1.0),), {"W/m2": 0.1}),
    "count": Dimension("a bacteria count", *_same(Scale("/100mL", 1, 0, _fixed(0))), (), _COUNTS, most=1e15),
    "conductivity": Dimension(
        "a conductivity", *_same(Scale("uS/cm", 1, 0, _fixed(0))), (("uS/cm", 1.0),), {"mS/cm": 1e3, "umho/cm": 1.0}, most=1e7,
    ),
    "colour": Dimension(
        "a colour", *_same(Scale("CU", 1, 0, _fixed(0))), (("CU", 1.0),), {"PCU": 1.0, "TCU": 1.0, "mg/L Pt": 1.0, "Pt-Co": 1.0}, most=1e6,
    ),
    "activity": Dimension(
        "an activity", Scale("pCi/L"), Scale("pCi/L"), Scale("Bq/L", PICOCURIE), (("pCi/L", 1.0),), {"Bq/m3": PICOCURIE / 1e3}, most=1e15,
    ),
    "ph": Dimension("a pH between 0 and 14", *_same(Scale("", 1, 0, _fixed(1))), (), {"pH": 1.0}, most=14.0, bare=True),
    "time": Dimension("a time", *_same(Scale("d", DAY)), _TIME_ROOT, _TIMES),
    "duration": Dimension("a time", *_same(Scale("min", MINUTE)), _TIME_ROOT, _TIMES),
    "density": Dimension(
        "a mass per volume", Scale("lb/ft3", POUND / FOOT**3), Scale("lb/ft3", POUND / FOOT**3), Scale("g/L"), _DENSITY_ROOT, _DENSITIES
    ),
    "exchange_capacity": Dimension(
        "a mass per volume", Scale("kgr/ft3", 1e3 * GRAIN / FOOT**3), Scale("kgr/ft3", 1e3 * GRAIN / FOOT**3), Scale("g/L"),
        _DENSITY_ROOT, _DENSITIES,
    ),
    "mass": Dimension("a mass", Scale("lb", POUND), Scale("lb", POUND), Scale("kg"), _MASS_ROOT, _MASSES),
    "grams": Dimension("a mass", *_same(Scale("g", 1e-3)), _MASS_ROOT, _MASSES),
    "grains": Dimension("a mass", Scale("gr", GRAIN), Scale("gr", GRAIN), Scale("g", 1e-3), _MASS_ROOT, _MASSES),
    "fraction": Dimension(
        "a share between 0 and 100 %", Scale(""), Scale("%", 0.01), Scale("%", 0.01), (), {"percent": 0.01}, most=1.0, bare=True
    ),
    "velocity": Dimension(
        "a speed", Scale("ft/s", FOOT, 0, _fixed(1)), Scale("ft/s", FOOT, 0, _fixed(1)), Scale("m/s", 1, 0, _fixed(2)),
        _RATE_ROOT, _RATES, least=None,
    ),
    "rate": Dimension(
        "a filter rate", Scale("gpm/ft2", GPM / FOOT**2, 0, _fixed(1)), Scale("gpm/ft2", GPM / FOOT**2, 0, _fixed(1)),
        Scale("m/h", 1 / HOUR, 0, _fixed(1)), _RATE_ROOT, _RATES,
    ),
    "specific_flow": Dimension(
        "a flow per bed volume", Scale("gpm/ft3", GPM / FOOT**3), Scale("gpm/ft3", GPM / FOOT**3), Scale("1/h", 1 / HOUR),
        (("1/s", 1.0),), {"BV/h": 1 / HOUR},
    ),
    "pressure_gradient": Dimension(
        "a pressure loss per length", Scale("psi/ft", PSI / FOOT), Scale("psi/ft", PSI / FOOT), Scale("kPa/m", 1e3),
        (("Pa/m", 1.0),), least=None,
    ),
    "viscosity": Dimension("a viscosity", *_same(Scale("mPa*s", 1e-3)), (("Pa*s", 1.0),), {"mPa.s": 1e-3, "cP": 1e-3}),
    "power": Dimension("a power", *_same(Scale("W")), (("W", 1.0),), {"mW": 1e-3, "kW": 1e3}),
}  # fmt: skip
