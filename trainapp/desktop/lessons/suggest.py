"""What a lesson's writer can choose from: places and quantities of its trains, and what of them a class could change."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import floor, log10
from typing import Any

from trainapp import units
from trainapp.stages.registry import kind
from trainapp.train.document import Document
from trainapp.water.analytes import BY_KEY

Choice = tuple[str, str]

#: Quantities by the day that any place has, and those that a chamber has besides.
_OF_YEAR: tuple[Choice, ...] = (("pressure", "Pressure, lowest of the hour"), ("flow", "Flow, mean of the hour"))
_OF_UV: tuple[Choice, ...] = (
    ("dose_credited", "Dose that the rating leaves"),
    ("dose_estimate", "Dose by optics, for teaching"),
    ("lamp", "Light of the lamp"),
    ("film", "Light through the film on the sleeve"),
)
_OF_STAGE: tuple[Choice, ...] = (
    ("share_fill", "Capacity that is left"),
    ("share_clog", "Dirt on the way to when it is due"),
    ("share_store", "Salt or chemical that is left"),
)
_OF_CHECK: tuple[Choice, ...] = (
    ("flow", "Flow"),
    ("pressure_clean", "Pressure, filters clean"),
    ("pressure_dirty", "Pressure, filters dirty"),
    ("pressure_lowest", "Pressure at cut-in"),
)
_OF_UV_CHECK: tuple[Choice, ...] = (("dose_credited", "Dose that the rating leaves"), ("dose_estimate", "Dose by optics, for teaching"))
_TOTALS: tuple[Choice, ...] = (
    ("salt", "Salt used"),
    ("drained_water", "Water to the drain"),
    ("regenerations", "Regenerations"),
    ("washes", "Backwashes"),
    ("cartridges", "Cartridges"),
    ("lamps", "Lamps"),
    ("energy", "Energy"),
    ("lowest_pressure", "Lowest pressure at the house"),
    ("hours_low_pressure", "Hours of low pressure"),
    ("hours_unlit", "Hours of water past an unlit lamp"),
    ("hours_outside_rating", "Hours outside the UV rating"),
)
_WATERS = ("hardness", "iron", "manganese", "turbidity", "uvt", "ph", "hydrogen_sulfide", "free_chlorine", "tannin", "nitrate", "sodium")
#: A slider's upper end over the value that the train has, and how many steps lead there.
_MOST, _STEPS = 2.0, 10
#: Kinds of settings that a class could change.
_SIZES = ("flow", "volume", "length", "density", "dose")


def places(documents: Sequence[Document]) -> list[Choice]:
    """Places of any of the trains: the supply, stages, the house and further outlets."""
    found: dict[str, str] = {"supply": "the supply"}
    for document in documents:
        for entry in document.stages:
            known = kind(entry.kind)
            found.setdefault(entry.id, f"{known.spec.label if known else entry.kind} ({entry.id})")
        found |= {name: f"outlet {name}" for name in document.outlets}
    return [*found.items(), ("house", "the house")]


def quantities(read: str, at: str, documents: Sequence[Document]) -> list[Choice]:
    """What can be read there: (key, words)."""
    if read == "total":
        return list(_TOTALS)
    kinds = {entry.kind for document in documents for entry in document.stages if entry.id == at}
    waters = [(key, BY_KEY[key].label) for key in _WATERS]
    if read == "check":
        return [*waters, *_OF_CHECK, *(_OF_UV_CHECK if "uv_chamber" in kinds else ())]
    return [*_OF_YEAR, *waters, *(_OF_UV if "uv_chamber" in kinds else ()), *(_OF_STAGE if kinds else ())]


def changes(documents: Sequence[Document]) -> list[tuple[str, dict[str, Any]]]:
    """What a class could change: words, and the control as a lesson's file has it."""
    found: dict[str, dict[str, Any]] = {}
    for words, control in (pair for document in documents for pair in _changes_of(document)):
        found.setdefault(words, control)
    upkeep = [{"text": text, "value": value} for text, value in (("on time", "on-time"), ("late", "late"), ("never", "never"))]
    found["Upkeep"] = {"key": "upkeep", "label": "Upkeep", "paths": ["run.upkeep"], "choices": upkeep, "start": "on-time"}
    return list(found.items())


def _changes_of(document: Document) -> Iterator[tuple[str, dict[str, Any]]]:
    tree = document.tree
    peak = _parsed(tree.get("demand", {}).get("peak"), "flow")
    if peak is not None:
        yield "Most flow to the house", _number("peak", "Most flow to the house", ["demand.peak"], peak, "flow", least=0.25)
    for sample in tree.get("samples", ()):
        for name in sample.get("results", {}) if sample.get("at") in (None, "supply") else ():
            made = _result(sample["id"], name, sample["results"])
            if made is not None:
                yield made
    for entry in tree.get("stages", ()):
        yield from _settings(entry)


def _settings(entry: Mapping[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Sizes that a stage was given."""
    known = kind(str(entry.get("kind")))
    for name, text in entry.get("settings", {}).items() if known is not None else ():
        spec = known.spec.settings.get(name) if known is not None else None
        value = _parsed(text, spec.dimension) if spec is not None and spec.dimension in _SIZES else None
        if value is not None and spec is not None:
            label = f"{spec.meaning[:1].upper()}{spec.meaning[1:]}"[:60].rstrip()
            path = f"stages.{entry['id']}.settings.{name}"
            yield f"{label} ({entry['id']})", _number(_key(entry["id"], name), label, [path], value, spec.dimension, least=0.5)


def _parsed(text: object, dimension: str) -> float | None:
    if not isinstance(text, str):
        return None
    try:
        return units.parse(text, dimension)
    except units.UnitError:
        return None


def _result(sample: str, name: str, results: Any) -> tuple[str, dict[str, Any]] | None:
    analyte = BY_KEY.get(name)
    value = _parsed(results[name], analyte.dimension) if analyte is not None else None
    if analyte is None or value is None or name.endswith(("_dissolved", "_filtered")):
        return None
    paths = [f"samples.{sample}.results.{each}" for each in (name, f"{name}_dissolved") if each in results]
    return f"{analyte.label} of the water", _number(_key(name), f"{analyte.label} of the water"[:60], paths, value, analyte.dimension)


def _number(key: str, label: str, paths: list[str], value: float, dimension: str, least: float = 0.0) -> dict[str, Any]:
    """A slider about a value, in the unit of files."""
    written = float(units.convert(value, dimension, "json"))
    step = _round(_MOST * written / _STEPS)
    bottom = round(least * written / step) * step
    top = max(_STEPS * step, bottom + step)
    start = min(max(round(written / step) * step, bottom), top)
    ends = {name: float(f"{value:.6g}") for name, value in (("min", bottom), ("max", top), ("step", step), ("start", start))}
    return {"key": key, "label": label, "paths": paths, "unit": units.unit(dimension, "json"), "dimension": dimension, **ends}


def _round(value: float) -> float:
    """The round step that is nearest above."""
    if value <= 0.0:
        return 1.0
    power = 10.0 ** floor(log10(value))
    return float(next(unit * power for unit in (1.0, 2.0, 2.5, 5.0, 10.0) if unit * power >= value * (1 - 1e-9)))


def _key(*parts: str) -> str:
    text = "_".join(parts).lower()
    return "".join(c if c.isascii() and (c.isalnum() or c in "_-") else "_" for c in text)[:30].strip("_") or "it"
