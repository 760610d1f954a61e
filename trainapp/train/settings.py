"""The settings of a stage: read by the specification of its kind, merged with its catalogue item and the kind's defaults."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Literal

from trainapp.data import load_toml
from trainapp.spelling import with_article
from trainapp.stages.base import Limit, Settings, SettingSpec, Spec
from trainapp.train.errors import Bad, Place, Report, dotted, quoted
from trainapp.train.fields import read_curve, read_flag, read_quantity, read_whole
from trainapp.train.model import ItemRow, StageEntry
from trainapp.water.analytes import BY_KEY

DRAINS = ("sewer", "septic", "dry_well", "ground")
_DRAIN_LENGTHS: Mapping[str, Literal["positive", "zero", "any"]] = {"height": "any", "length": "zero", "size": "positive"}
_LIMIT_KEYS = ("max", "min", "source", "reason")
_FALLING = "pump_curve"


def read_setting(spec: SettingSpec, value: object) -> Any:
    """One setting in internal units.

    Returns:
        A float for a quantity, int for "integer", bool for "flag", str for "choice" and "text", (m3/s, Pa) pairs for "curve"; for
        "table": limits (inlet_limits), floats and words (drain), fractions by analyte (removal), else the plain object.

    Raises:
        Bad: it is not what the setting asks for.
    """
    if spec.dimension == "choice":
        return _choice(spec, value)
    if spec.dimension == "text":
        if not isinstance(value, str):
            raise Bad(f"{quoted(value)} is not a text")
        return value
    if spec.dimension == "flag":
        return read_flag(value)
    if spec.dimension == "integer":
        return read_whole(value, 1 if spec.positive else 0)
    if spec.dimension == "curve":
        return read_curve(value, "falling" if spec.key == _FALLING else "rising")
    if spec.dimension == "table":
        return _table(spec, value)
    free = spec.dimension in ("temperature", "none")
    return read_quantity(value, spec.dimension, "positive" if spec.positive else "any" if free else "zero")


def _choice(spec: SettingSpec, value: object) -> str:
    word = str(value) if isinstance(value, int) and not isinstance(value, bool) else value
    if not isinstance(word, str) or word not in spec.choices:
        raise Bad(f"{quoted(value)} is not one of {', '.join(spec.choices)}")
    return word


def _table(spec: SettingSpec, value: object) -> Any:
    if not isinstance(value, dict):
        raise Bad(f"{quoted(value)} is not an object")
    if spec.key == "inlet_limits":
        return tuple(_limit(analyte, row) for analyte, row in value.items())
    if spec.key == "drain":
        return _drain(value)
    if spec.key == "removal":
        return {analyte: _fraction(analyte, share) for analyte, share in value.items()}
    return value


def _limit(analyte: str, row: object) -> Limit:
    known = BY_KEY.get(analyte)
    if known is None:
        raise Bad(f"{quoted(analyte)} is not an analyte that is judged", (analyte,))
    if not isinstance(row, dict) or not {"max", "min"} & row.keys():
        raise Bad('a limit is an object with "max", "min" or both', (analyte,))
    bounds: dict[str, float | None] = {"min": None, "max": None}
    for end in (end for end in bounds if end in row):
        try:
            bounds[end] = read_quantity(row[end], known.dimension, "zero" if known.dimension != "temperature" else "any")
        except Bad as bad:
            raise bad.under(analyte, end) from None
    words = {key: row.get(key, "") for key in ("source", "reason")}
    for key, text in words.items():
        if not isinstance(text, str):
            raise Bad(f"{quoted(text)} is not a text", (analyte, key))
    if bounds["min"] is not None and bounds["max"] is not None and bounds["min"] > bounds["max"]:
        raise Bad("the least is above the greatest", (analyte,))
    # With its source it is the device's own limit; without one it is a wish, which a screening guide may outlast.
    source = words["source"].strip()
    status = "published" if source else "common practice"
    return Limit(analyte, bounds["min"], bounds["max"], source, status, strict=bool(source), reason=words["reason"])


def _drain(value: Mapping[str, object]) -> dict[str, float | str]:
    drain: dict[str, float | str] = {}
    for key, sign in _DRAIN_LENGTHS.items():
        if key in value:
            try:
                drain[key] = read_quantity(value[key], "length", sign)
            except Bad as bad:
                raise bad.under(key) from None
    if "to" in value:
        if value["to"] not in DRAINS:
            raise Bad(f"{quoted(value['to'])} is not one of {', '.join(DRAINS)}", ("to",))
        drain["to"] = str(value["to"])
    return drain


def _fraction(analyte: str, share: object) -> float:
    try:
        return read_quantity(share, "fraction", "zero")
    except Bad as bad:
        raise bad.under(analyte) from None


# A whole stage ----------------------------------------------------------------------------------------------------------------


def check_settings(spec: Spec, settings: Mapping[str, Any], at: Place, beside: bool = False) -> Iterator[Report]:
    """Read every setting of a mapping, and report those that the kind does not know.

    Args:
        beside: the mapping is the stage entry itself, where only what any stage may carry is a setting.

    Raises:
        Bad: with the full place.
    """
    for key, value in settings.items():
        row = spec.settings.get(key)
        if row is None or (beside and key not in common_settings()):
            code, what = ("unknown-key", "this key") if beside else ("unknown-setting", f"this setting of {with_article(spec.label)}")
            yield Report(code, dotted((*at, key)), f"{what} is not known; it is kept")
            continue
        try:
            read_setting(row, value)
        except Bad as bad:
            raise bad.under(*at, key) from None
        yield from _unknown_members(key, value, (*at, key))


def common_settings() -> Mapping[str, Any]:
    """What any stage may carry, in the order of its file."""
    table: Mapping[str, Any] = load_toml("stages/_common.toml")["settings"]
    return table


def _unknown_members(key: str, value: Any, at: Place) -> Iterator[Report]:
    members: Iterable[Place] = ()
    if key == "drain":
        members = ((name,) for name in value if name not in (*_DRAIN_LENGTHS, "to"))
    elif key == "inlet_limits":
        members = ((analyte, name) for analyte, row in value.items() for name in row if name not in _LIMIT_KEYS)
    elif key == "removal":
        members = ((analyte,) for analyte in value if analyte not in BY_KEY)
    for member in members:
        yield Report("unknown-key", dotted((*at, *member)), "this key is not known; it is kept")


def written_settings(spec: Spec, entry: StageEntry, row: ItemRow | None) -> dict[str, Any]:
    """Settings of a stage as they are written, its own winning over its item's; unknown ones left out."""
    beside = {key: value for key, value in entry.beside.items() if key in common_settings()}
    merged = {**(row.settings if row else {}), **beside, **entry.settings}
    return {key: merged[key] for key in spec.settings if key in merged}


def merged_settings(spec: Spec, entry: StageEntry, row: ItemRow | None) -> Settings:
    """Settings of a stage in internal units: its own, then its item's, then the kind's defaults.

    Raises:
        Bad: a value that its setting refuses, with its place inside the stage.
    """
    given = written_settings(spec, entry, row)
    values: dict[str, Any] = {}
    for key, setting in spec.settings.items():
        text = given.get(key, setting.default)
        if text is None:
            values[key] = None
            continue
        try:
            values[key] = read_setting(setting, text)
        except Bad as bad:
            raise bad.under("settings", key) from None
    return Settings(values, frozenset(given))
