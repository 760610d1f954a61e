"""The answer of `trainapp year --json`: the run in numbers, what goes wrong first, balances, and courses by the day."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from trainapp import units
from trainapp.dimensions import DAY, YEAR
from trainapp.reports.year_model import warning_of
from trainapp.reports.year_words import ILLUSTRATIVE, NOT_SAFE, Told, numbers
from trainapp.sources import source
from trainapp.studies.year import GoneWrong, LightTotals, Options, Pair, Quantity, Year
from trainapp.studies.year.balance import WATER
from trainapp.studies.year.goals import conditions_of

JSON = dict[str, Any]
_UNITS = {"hours": "h", "energy": "kWh", "pieces": ""}
#: Courses that are told, and how an hour's values make a day's.
_DAYS = {
    "flow": "mean", "pressure": "least", "hardness": "mean", "iron": "mean", "manganese": "mean", "turbidity": "mean", "uvt": "least",
    "ph": "mean", "temperature": "mean", "dose_credited": "least", "dose_credited_slow": "least", "dose_credited_fast": "least",
    "dose_estimate": "least", "lamp": "least", "film": "least", "film_slow": "least", "film_fast": "least", "warmth": "most",
}  # fmt: skip


def year_json(year: Year) -> JSON:
    """The whole answer as one JSON object of plain values (no NaN)."""
    return {
        "format": "trainapp/year",
        "version": 1,
        "warning": warning_of(year),
        **_asked(year),
        "totals": {told.key: _total(told) for told in numbers(year) if told.value is not None},
        "lights": [_light(node, light) for node, light in year.totals.lights.items()],
        "gone_wrong": [_wrong(wrong) for wrong in year.gone_wrong],
        "used": [
            {"stage": stage, "item": item, "amount": amount(value, "pieces" if dimension == "none" else dimension)}
            for (stage, item, dimension), value in year.totals.used.items()
        ],
        "balances": {name: _balance(year, name) for name in year.balances},
        "happenings": [_happening(h.day, h.stage, h.kind, h.code, h.severity) for h in year.happenings],
        "courses": [_course(year, q) for q in year.quantities() if q.key in _DAYS or q.key.startswith("stock_")],
        "limits": [
            {"key": c.key, "analyte": c.analyte, "source": source(c.source).label, "source_status": c.status}
            for c in conditions_of(year.machine)
        ],
        "cautions": [ILLUSTRATIVE, NOT_SAFE],
    }


def _total(told: Told) -> JSON | None:
    """An amount, or a band that a teaching picture has instead of one value."""
    if told.band is None:
        return amount(told.value, told.dimension)
    return {"low": told.band[0], "high": told.band[1], "unit": _UNITS[told.dimension], "illustrative": True}


def pair_json(pair: Pair) -> JSON:
    """Two runs beside each other."""
    return {
        "format": "trainapp/year-pair",
        "version": 1,
        "warning": warning_of(pair.first, pair.second),
        "labels": list(pair.labels),
        **_asked(pair.first),
        "measures": [
            {
                "key": m.key,
                "label": m.label,
                "illustrative": m.illustrative,
                "first": _side(m.first, m.dimension, m.band[0] if m.band else None),
                "second": _side(m.second, m.dimension, m.band[1] if m.band else None),
            }
            for m in pair.measures
        ],
        "gone_wrong": [{"first": _wrong_or_none(row.first), "second": _wrong_or_none(row.second)} for row in pair.gone_wrong],
        "only_first": [_wrong(wrong) for wrong in pair.only_first],
        "only_second": [_wrong(wrong) for wrong in pair.only_second],
        "cautions": [ILLUSTRATIVE, NOT_SAFE],
    }


def amount(value: float | None, dimension: str) -> JSON | None:
    """{magnitude, unit}; None for none."""
    if value is None:
        return None
    if dimension in _UNITS:
        return {"magnitude": float(value), "unit": _UNITS[dimension]}
    if dimension == "none":
        return {"magnitude": float(value), "unit": ""}
    return units.to_json(float(value), dimension)


def _side(value: float | None, dimension: str, band: tuple[float, float] | None) -> JSON | None:
    if band is None:
        return amount(value, dimension)
    return {"low": band[0], "high": band[1], "unit": _UNITS[dimension]}


def _asked(year: Year) -> JSON:
    options, pattern = year.options, year.machine.demand.pattern
    return {
        "days": options.days,
        "start_day": options.start_day,
        "detail": options.detail,
        "upkeep": {"kept": options.upkeep.kept, "late_days": options.upkeep.delay},
        "pattern": {"label": pattern.label, "source": source(pattern.source).label, "source_status": pattern.status},
        "spike": _spike(options),
        "power_cuts": [{"day": cut.day, "hour": cut.hour, "hours": cut.hours, "illustrative": True} for cut in options.cuts],
    }


def _spike(options: Options) -> JSON | None:
    spike = options.spike
    if spike is None:
        return None
    unit = "NTU" if spike.analyte == "turbidity" else "mg/L"
    return {"analyte": spike.analyte, "peak": {"magnitude": spike.peak, "unit": unit}, "day": spike.day, "days": spike.days}


def _light(node: str, light: LightTotals) -> JSON:
    return {
        "stage": node,
        "passing": amount(light.passing, "hours"),
        "outside_rating": {"low": light.band[0], "middle": light.outside, "high": light.band[1], "unit": "h", "illustrative": True},
        "outside_rating_sure": amount(light.sure, "hours"),
        "by_cause": {cause: {**(amount(hours, "hours") or {}), "illustrative": cause == "film"} for cause, hours in light.by_cause.items()},
        "unlit": amount(light.unlit, "hours"),
        "beyond_inlet_limits": {analyte: amount(hours, "hours") for analyte, hours in light.beyond_limits.items()},
        "least_credited": amount(light.least_credited, "dose"),
        "warmest_rise": {"magnitude": light.warmest, "unit": "K", "illustrative": True},
    }


def _wrong_or_none(wrong: GoneWrong | None) -> JSON | None:
    return None if wrong is None else _wrong(wrong)


def _wrong(wrong: GoneWrong) -> JSON:
    months: JSON | None = None
    if wrong.invented:
        at = (wrong.day or 0.0) * DAY / (YEAR / 12)
        months = {"soonest": at, "latest": at}
    elif wrong.months is not None:
        months = {"soonest": wrong.months[0], "latest": wrong.months[1] if math.isfinite(wrong.months[1]) else None}
    return {
        "code": wrong.code,
        "severity": wrong.severity,
        "stage": wrong.stage,
        "day": None if wrong.illustrative else wrong.day,
        "months": months,
        "illustrative": wrong.illustrative,
        "message": wrong.sentence,
    }


def _balance(year: Year, name: str) -> JSON:
    balance, dimension = year.balances[name], "volume" if name == WATER else "mass"
    rows = {key: amount(getattr(balance, key), dimension) for key in ("came", "added", "drained", "thrown", "held")}
    return {**rows, "delivered": {end: amount(value, dimension) for end, value in balance.delivered.items()}, "error": balance.error}


def _happening(day: float, stage: str, kind: str, code: str, severity: str | None) -> JSON:
    return {"day": round(day, 5), "stage": stage, "kind": kind, "code": code, "severity": severity}


def _course(year: Year, quantity: Quantity) -> JSON:
    values = year.course(quantity.at, quantity.key).reshape(-1, 24)
    how = _DAYS.get(quantity.key, "last")
    by_day = values[:, -1] if how == "last" else _of_days(values, how)
    bare = {"none": "", "temperature_difference": "K"}
    is_bare = quantity.dimension in bare
    shown = by_day if is_bare else [units.convert(float(v), quantity.dimension, "json") for v in by_day]
    return {
        "at": quantity.at,
        "key": quantity.key,
        "label": quantity.label,
        "unit": bare[quantity.dimension] if is_bare else units.unit(quantity.dimension, "json"),
        "of_day": how,
        "illustrative": quantity.illustrative,
        "days": [round(float(v), 6) if math.isfinite(v) else None for v in shown],
    }


def _of_days(values: np.ndarray[Any, np.dtype[np.float64]], how: str) -> np.ndarray[Any, np.dtype[np.float64]]:
    """One value a day; NaN where a day has none."""
    known = np.isfinite(values)
    some = known.any(axis=1)
    if how == "mean":
        made = np.where(known, values, 0.0).sum(axis=1) / np.maximum(known.sum(axis=1), 1)
    elif how == "least":
        made = np.where(known, values, np.inf).min(axis=1)
    else:
        made = np.where(known, values, -np.inf).max(axis=1)
    return np.where(some, made, np.nan)
