"""The fields of the supply, and the edits that turn a well into a main and back."""

from __future__ import annotations

from typing import Any, get_args

from trainapp.data import load_toml
from trainapp.desktop.card_content import Field, Group
from trainapp.desktop.editors.values import Value, choice, quantities
from trainapp.train.document import Document, Supply
from trainapp.train.edits import Batch, Edit, RemoveValue, SetValue
from trainapp.train.model import Source

_HERE = ("supply",)
_YIELD = Value("yield", "Yield of the well", "flow", "what the well refills by for hours")
_LIFT = Value("lift", "Lift", "distance", "height from the gauge up to the house")
_SWITCH = (
    Value("cut_in", "Cut-in", "pressure", "pressure at which the switch starts the pump"),
    Value("cut_out", "Cut-out", "pressure", "pressure at which the switch stops the pump"),
)
_CONSTANT = (Value("set_pressure", "Held pressure", "pressure", "pressure that the control holds"),)
_TANK = (
    Value("tank_volume", "Tank volume", "volume", "whole volume of the pressure tank"),
    Value("precharge", "Precharge", "pressure", "air pressure in the empty tank; 2 psi below the cut-in where it is not given"),
)
_MAINS = (
    Value("static", "At rest", "pressure", "pressure while nothing is drawn"),
    Value("residual", "While drawing", "pressure", "pressure while the flow below is drawn"),
    Value("at_flow", "At this flow", "flow", "flow of that pressure"),
)
_ENDS = (("coldest", "Coldest water", 0), ("warmest", "Warmest water", 1))


def groups_of(document: Document) -> list[Group]:
    """The fields of the supply as it is."""
    supply = document.supply
    origin = [
        _kind(document),
        choice(supply, _HERE, "source", "Source", "where the water comes from", get_args(Source)),
        choice(supply, _HERE, "surface_influence", "Surface influence", "whether surface water can get in", ("yes", "no", "unknown")),
        *(_temperature(supply, *end) for end in _ENDS),
    ]
    groups = [Group("Water", tuple(origin))]
    if supply.kind == "mains":
        return [*groups, Group("Main", quantities(supply, _HERE, (*_MAINS, _LIFT)))]
    control = _control(supply)
    held = _CONSTANT if supply.word("control") == "constant" else _SWITCH
    groups.append(Group("Pump", (control, *quantities(supply, _HERE, (*held, _YIELD, _LIFT)))))
    if supply.word("control") != "constant":
        groups.append(Group("Pressure tank", quantities(supply, _HERE, _TANK)))
    return groups


def assumed_words(document: Document, kind: str) -> str:
    """What a switch to this kind of supply or control writes because nobody has given it, "" for nothing."""
    start = load_toml("train/starts.toml")[kind]
    missing = {key: value for key, value in start.items() if key not in ("source", "status") and not document.supply.given(key)}
    if not missing:
        return ""
    told = {
        "mains": lambda m: f"{m.get('static', 'its own')} at rest and {m.get('residual', 'its own')} at {m.get('at_flow', 'its own flow')}",
        "well": lambda m: "a pump curve",
        "constant": lambda m: str(m["set_pressure"]),
    }[kind](missing)
    return f"Assumed until you type what was measured: {told}."


def to_kind(document: Document, kind: str) -> Edit:
    """Make the supply a well or a main: what it needs and nobody gave is assumed, what cannot be true of it goes."""
    edits = [SetValue(path=("supply", "kind"), value=kind), *_starts(document, kind)]
    supply = document.supply
    if supply.given("source") and (supply.word("source") == "mains") != (kind == "mains"):
        edits.append(RemoveValue(path=("supply", "source")))
    return Batch(edits=edits, name=f"Supply: {'a main' if kind == 'mains' else 'a well'}")


def to_control(document: Document, control: str | None) -> Edit:
    """Make the pump run on a switch or at a constant pressure."""
    if control is None:
        return RemoveValue(path=("supply", "control"))
    starts = _starts(document, "constant") if control == "constant" else []
    return Batch(edits=[SetValue(path=("supply", "control"), value=control), *starts], name="Change control")


def _starts(document: Document, kind: str) -> list[Any]:
    rows = load_toml("train/starts.toml")[kind].items()
    missing = [(key, value) for key, value in rows if key not in ("source", "status") and not document.supply.given(key)]
    return [SetValue(path=("supply", key), value=value) for key, value in missing]


def _kind(document: Document) -> Field:
    def change(value: Any) -> Edit:
        return to_kind(document, str(value))

    return Field("supply.kind", "Supply", "what pushes the water", "choice", document.supply.kind, "", change, choices=("well", "mains"))


def _control(supply: Supply) -> Field:
    field = choice(supply, _HERE, "control", "Control", "what starts and stops the pump", ("switch", "constant"))
    return field


def _temperature(supply: Supply, key: str, label: str, index: int) -> Field:
    """One end of the range of temperatures; a document writes both."""
    ends = list(supply.raw("temperature"))
    given = supply.given("temperature")
    row = supply.default_of("temperature")
    default = f"; {row.value[index]} where it is not given ({row.status})" if row is not None else ""

    def change(value: Any) -> Edit:
        if value is None:
            return RemoveValue(path=("supply", "temperature"))
        return SetValue(path=("supply", "temperature"), value=[*ends[:index], value, *ends[index + 1 :]])

    meaning = f"of the year{default}"
    written, stands = (ends[index], "") if given else (None, str(ends[index]))
    return Field(f"supply.temperature.{key}", label, meaning, "quantity", written, stands, change, "temperature")
