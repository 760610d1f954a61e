"""What the stage card shows of a selection: rows that can be edited, each with the edit that it makes. Knows no widgets."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from trainapp import units
from trainapp.desktop import table_text
from trainapp.desktop.adding import entry_of
from trainapp.reports.drawing.display import Tag
from trainapp.stages import registry
from trainapp.stages.base import SettingSpec
from trainapp.train.document import Document, StageEntry
from trainapp.train.edits import ChangeSetting, Edit, RemoveValue, SetValue, Stand
from trainapp.train.model import Section, Source
from trainapp.train.settings import common_settings, written_settings
from trainapp.units import System

Form = Literal["quantity", "choice", "text", "table"]


@dataclass(frozen=True, slots=True)
class Field:
    """One row of a card.

    Attributes:
        key: tells it from the others of the card.
        label, meaning: its name, and one phrase of help with where its default comes from.
        form: how it is edited; `dimension` of a quantity, `choices` of a choice, `table` the form of a table.
        written: as the document has it, None where it does not say; `default` what then holds, "" for nothing.
        change: the edit that writes a value, or takes it away for None.
        told: what a written text was understood as, where that is not for the dimension to say.
    """

    key: str
    label: str
    meaning: str
    form: Form
    written: str | None
    default: str
    change: Callable[[Any], Edit]
    dimension: str = "none"
    choices: tuple[str, ...] = ()
    table: str = ""
    told: Callable[[str, System], str] | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """Rows under a heading; `folded` ones are shown when they are asked for."""

    heading: str
    fields: tuple[Field, ...]
    folded: bool = False


@dataclass(frozen=True, slots=True)
class Card:
    """A card: what it is of, a line below, its rows."""

    tag: Tag
    title: str
    summary: str
    groups: tuple[Group, ...]

    @property
    def shape(self) -> tuple[object, ...]:
        """What makes two cards the same but for their values: their widgets can be kept."""
        return self.tag, tuple((g.heading, tuple((f.key, f.form, f.choices) for f in g.fields)) for g in self.groups)


def words(key: str) -> str:
    """A key of a file as words."""
    text = key.replace("_", " ")
    return {"uvt": "UVT", "ph": "pH"}.get(text, text)


def label_of(key: str) -> str:
    """A key of a file as a label."""
    text = words(key).replace("uvt", "UVT").replace("uv ", "UV ")
    return text[:1].upper() + text[1:] if text[:2] != "pH" else text


#: Outlines of what hangs in the pipe and stands nowhere.
_IN_THE_PIPE = ("inline", "bypass")


# A stage ----------------------------------------------------------------------------------------------------------------------


def stage_card(document: Document, stage_id: str, title: str) -> Card:
    """The card of a stage: its own settings, then folded what any stage may carry."""
    entry = document.stage(stage_id)
    kind = registry.kind(entry.kind)
    assert kind is not None  # the document refuses unknown kinds
    row = document.item_of(entry)
    written = written_settings(kind.spec, entry, None)
    inherited = dict(row.settings) if row else {}
    common = common_settings()
    fields = {key: _setting(entry, spec, written.get(key), inherited.get(key)) for key, spec in kind.spec.settings.items() if _shown(spec)}
    own = tuple(field for key, field in fields.items() if key not in common)
    shared = tuple(field for key, field in fields.items() if key in common)
    item = f" Item: {units.typeset(row.label or entry.item or '')}." if row else ""
    groups = [Group("", own), Group("More settings", shared, folded=True), Group("On the floor", _place(entry), folded=True)]
    return Card(("stage", stage_id), title, f"{kind.spec.summary}{item}", tuple(group for group in groups if group.fields))


def _place(entry: StageEntry) -> tuple[Field, ...]:
    """Where a stage stands on the floor; a device in the pipe stands nowhere."""
    line = entry_of(entry.kind)
    if line is None or line.icon in _IN_THE_PIPE:
        return ()

    def change(value: Any) -> Edit:
        return Stand(x={entry.id: value})

    meaning = "where its middle stands; where no stage has a place the train is spread out to be read"
    written = str(entry.place.raw("x")) if entry.place is not None else None
    return (Field("place.x", "From the left wall", meaning, "quantity", written, "", change, "distance"),)


def _shown(spec: SettingSpec) -> bool:
    return spec.dimension != "table" or bool(table_text.form_of(spec))


def _setting(entry: StageEntry, spec: SettingSpec, written: Any, inherited: Any) -> Field:
    table = table_text.form_of(spec)
    default = inherited if inherited is not None else spec.default
    source = "of its item" if inherited is not None else spec.status
    meaning = spec.meaning + (f"; {_told(default, table)} where it is not given ({source})" if default not in (None, "") else "")

    def change(value: Any) -> Edit:
        return ChangeSetting(stage=entry.id, key=spec.key, value=value)

    return Field(
        key=spec.key,
        label=label_of(spec.key),
        meaning=meaning,
        form=_form(spec, table),
        written=None if written is None else _told(written, table),
        default="" if default is None else _told(default, table),
        change=change,
        dimension=spec.dimension,
        choices=("true", "false") if spec.dimension == "flag" else spec.choices,
        table=table,
    )


def _form(spec: SettingSpec, table: str) -> Form:
    if table:
        return "table"
    if spec.dimension in ("choice", "flag"):
        return "choice"
    return "text" if spec.dimension in ("text", "integer", "date") else "quantity"


def _told(value: Any, table: str) -> str:
    """A value of a document as a field shows it."""
    if table and not isinstance(value, str):
        return table_text.as_text(table, value)
    return str(value).lower() if isinstance(value, bool) else str(value)


# Supply, ends, pipes ----------------------------------------------------------------------------------------------------------

_WELL = (
    ("yield", "flow", "what the well gives for hours"),
    ("cut_in", "pressure", "pressure at which the pump starts"),
    ("cut_out", "pressure", "pressure at which the pump stops"),
    ("tank_volume", "volume", "whole volume of the pressure tank"),
    ("precharge", "pressure", "air pressure in the empty tank"),
    ("lift", "length", "height from the gauge up to the house"),
)
_MAINS = (
    ("static", "pressure", "pressure while nothing is drawn"),
    ("residual", "pressure", "pressure while the flow below is drawn"),
    ("at_flow", "flow", "flow of that pressure"),
    ("lift", "length", "height from the gauge up to the house"),
)
_DEMAND = (("peak", "flow", "the most that is drawn at once"), ("daily", "volume", "what a day uses"))
_GOALS = (
    ("outlet_pressure", "pressure", "pressure wanted at the house main"),
    ("house_loss", "pressure", "what is lost from there to the worst fixture"),
    ("uv_dose", "dose", "dose of ultraviolet light that is wanted"),
)
_OUTLET = (
    ("peak", "flow", "the most that is drawn there at once"),
    ("daily", "volume", "what a day uses there"),
    ("pressure", "pressure", "pressure wanted there"),
    ("lift", "length", "height from the gauge up to it"),
)
_PIPE = (("size", "length", "nominal size"), ("length", "length", "length of the run"))
_MATERIALS = ("copper_l", "copper_m", "pex", "cpvc", "pvc_40", "pvc_80", "galvanized", "stainless")


def supply_card(document: Document, title: str) -> Card:
    """The card of the supply: where the water comes from and what pushes it."""
    supply = document.supply
    influence = ("yes", "no", "unknown")
    origin = (
        _choice(supply, ("supply", "source"), get_args(Source), "where the water comes from"),
        _choice(supply, ("supply", "surface_influence"), influence, "whether surface water can get in"),
    )
    rows = _MAINS if supply.kind == "mains" else _WELL
    pressures = _quantities(supply, ("supply",), rows)
    return Card(("supply",), title, "Where the water comes from and what pushes it.", (Group("", (*origin, *pressures)),))


def end_card(document: Document, end: str, title: str) -> Card:
    """The card of the house or of another end."""
    if end == "house":
        groups = (
            Group("", tuple(_quantities(document.demand, ("demand",), _DEMAND))),
            Group("Goals", tuple(_quantities(document.goals, ("goals",), _GOALS))),
        )
        return Card(("end", end), title, "What the house draws, and what it is held to.", groups)
    outlet = document.outlets[end]
    flags = ("drinking", "with_house")
    meanings = {"drinking": "whether someone drinks from it", "with_house": "whether it is drawn together with the house"}
    chosen = tuple(_choice(outlet, ("outlets", end, key), ("true", "false"), meanings[key]) for key in flags)
    fields = (*_quantities(outlet, ("outlets", end), _OUTLET), *chosen)
    return Card(("end", end), title, "An end beside the house.", (Group("", fields),))


def link_card(document: Document, ends: tuple[str, str], title: str) -> Card:
    """The card of a pipe; of several segments only their number is told."""
    link = next(link for link in document.links if link.ends == ends)
    name = f"{ends[0]}>{ends[1]}"
    if isinstance(link.pipe, list):
        return Card(("link", *ends), title, f"A run of {len(link.pipe)} kinds of pipe.", ())
    segment = document.pipe_of(link)[0]
    path = ("links", name, "pipe")
    own = link.pipe
    material = _choice(segment, (*path, "material"), _MATERIALS, "material of the pipe", own is not None and own.given("material"))
    sizes = tuple(
        _quantity(segment, (*path, key), dimension, meaning, own is not None and own.given(key)) for key, dimension, meaning in _PIPE
    )
    return Card(("link", *ends), title, "One run of pipe. What it does not say holds for every pipe.", (Group("", (material, *sizes)),))


def _quantities(section: Section, path: tuple[str, ...], rows: Iterable[tuple[str, str, str]]) -> tuple[Field, ...]:
    return tuple(_quantity(section, (*path, key), dimension, meaning, section.given(key)) for key, dimension, meaning in rows)


def _quantity(section: Section, path: tuple[str, ...], dimension: str, meaning: str, given: bool) -> Field:
    key = path[-1]
    raw = section.raw(key)
    text = "" if raw is None else str(raw)
    return Field(
        ".".join(path), label_of(key), meaning, "quantity", text if given else None, "" if given else text, _setter(path), dimension
    )


def _choice(section: Section, path: tuple[str, ...], choices: tuple[str, ...], meaning: str, given: bool | None = None) -> Field:
    key = path[-1]
    given = section.given(key) if given is None else given
    raw = section.raw(key)
    text = "" if raw is None else _told(raw, "")
    kept = text if given else None
    return Field(".".join(path), label_of(key), meaning, "choice", kept, "" if given else text, _setter(path, choices), choices=choices)


def _setter(path: tuple[str, ...], choices: tuple[str, ...] = ()) -> Callable[[Any], Edit]:
    def change(value: Any) -> Edit:
        if value is None:
            return RemoveValue(path=path)
        flag: Mapping[Any, bool] = {"true": True, "false": False} if choices == ("true", "false") else {}
        return SetValue(path=path, value=flag.get(value, value))

    return change


def card_of(document: Document, selection: Tag, title_of: Callable[[str], str]) -> Card | None:
    """The card of a selection, None where there is none. `title_of` names a node."""
    if selection == ("supply",):
        return supply_card(document, title_of("supply"))
    if len(selection) == 2 and selection[0] == "stage":
        return stage_card(document, str(selection[1]), title_of(str(selection[1])))
    if len(selection) == 2 and selection[0] == "end":
        return end_card(document, str(selection[1]), title_of(str(selection[1])))
    if len(selection) == 3 and selection[0] == "link":
        ends = str(selection[1]), str(selection[2])
        return link_card(document, ends, f"{title_of(ends[0])} to {title_of(ends[1])}")
    if len(selection) == 3 and selection[0] == "cell":
        node = str(selection[2])
        tag: Tag = ("end", node) if node == "house" or node in document.outlets else ("stage", node)
        return card_of(document, tag, title_of)
    return None


__all__ = ["Card", "Field", "Group", "card_of", "label_of", "words"]
