"""Settings that are lists or tables, as one line of text that can be typed: curves, shares by analyte, limits, drains."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from trainapp.stages.base import SettingSpec

_PARTS = ";"

#: An example of each, for a field that is empty.
EXAMPLES: Mapping[str, str] = {
    "curve": "5 gpm 2 psi; 10 gpm 8 psi",
    "removal": "nitrate 90 %; fluoride 85 %",
    "inlet_limits": "iron max 0.1 mg/L; ph min 6.8",
    "drain": "height 3 ft; length 15 ft; size 1 in; to sewer",
}


def form_of(spec: SettingSpec) -> str:
    """Which of the forms a setting is written in: "curve", "removal", "inlet_limits", "drain", or "" for none."""
    if spec.dimension == "curve":
        return "curve"
    return spec.key if spec.dimension == "table" and spec.key in EXAMPLES else ""


def as_text(form: str, value: Any) -> str:
    """A value of a document as one line."""
    if form == "curve":
        return f"{_PARTS} ".join(f"{flow} {pressure}" for flow, pressure in value)
    if form == "inlet_limits":
        return f"{_PARTS} ".join(_limit_text(analyte, row) for analyte, row in value.items())
    return f"{_PARTS} ".join(f"{key} {part}" for key, part in value.items())


def _limit_text(analyte: str, row: Mapping[str, Any]) -> str:
    words = [analyte]
    for key in ("min", "max", "source", "reason"):
        if key in row:
            words += [key, f'"{row[key]}"' if key in ("source", "reason") else str(row[key])]
    return " ".join(words)


def as_value(form: str, text: str) -> Any:
    """A line as a value of a document; whether the document takes it is for its own reader to say.

    Raises:
        ValueError: a part that cannot be read, in a sentence.
    """
    parts = [part.strip() for part in text.split(_PARTS) if part.strip()]
    if form == "curve":
        return [_pair(part) for part in parts]
    if form == "inlet_limits":
        return dict(_limit(part) for part in parts)
    return dict(_entry(part) for part in parts)


def _pair(part: str) -> list[str]:
    """A flow and a pressure: two numbers, each with its unit."""
    words = part.replace(",", " ").split()
    starts = [i for i, word in enumerate(words) if word[:1].isdigit() or word[:1] in "+-."]
    if len(starts) != 2 or starts[0] != 0:
        raise ValueError(f'"{part}" is not a flow and a pressure, such as 5 gpm 2 psi')
    return [" ".join(words[: starts[1]]), " ".join(words[starts[1] :])]


def _entry(part: str) -> tuple[str, str]:
    key, _, value = part.partition(" ")
    if not value.strip():
        raise ValueError(f'"{part}" is a name without a value')
    return key, value.strip()


def _limit(part: str) -> tuple[str, dict[str, str]]:
    analyte, _, rest = part.partition(" ")
    row: dict[str, str] = {}
    words = rest.split()
    key = ""
    for word in words:
        if word in ("min", "max", "source", "reason") and row.get(key, "").count('"') != 1:
            key = word
            row[key] = ""
        elif key:
            row[key] = f"{row[key]} {word}".strip()
        else:
            break
    if not row or not all(row.values()):
        raise ValueError(f'"{part}" is not a limit, such as iron max 0.1 mg/L')
    return analyte, {key: value.strip('"') for key, value in row.items()}
