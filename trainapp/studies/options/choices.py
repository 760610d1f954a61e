"""What may stand at a place of a train: items of the catalogue, one or several side by side, and what the site has already."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Any

from trainapp.hydraulics.elements import Element, Resistance
from trainapp.stages import registry
from trainapp.stages.base import Figure, Spec, Stage
from trainapp.stages.working import AVERAGE, PEAK, Array
from trainapp.studies.options.oxidant import with_oxidant
from trainapp.studies.options.site import Site
from trainapp.studies.options.treatments import Place
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import StageEntry, settings_of
from trainapp.train.model import ItemRow
from trainapp.train.zones import HOUSE

_SLACK = 1 + 1e-6


@dataclass(frozen=True)
class Choice:
    """One way to fill a place.

    Attributes:
        place: key of the place. entry: the stage as a document writes it, its id that of the place (or its own, where it exists already).
        row: of its catalogue item, None where it has none. stage: the stage, its id that of the place. cold: degC of the coldest water.
    """

    place: str
    entry: Mapping[str, Any]
    row: ItemRow | None
    stage: Stage
    cold: float

    @property
    def kind(self) -> str:
        """Kind of its stage."""
        return self.stage.spec.kind

    @property
    def item(self) -> str:
        """Name of its catalogue item, "" where it has none."""
        return str(self.entry.get("item") or "")

    @property
    def exists(self) -> bool:
        """Whether it stands there already."""
        return bool(self.stage.settings.get("existing"))

    @property
    def label(self) -> str:
        """What it is: "2 x Softener 2 ft3, 12 x 52 in, salt dose 4 lb/ft3"."""
        named = with_oxidant((self.row.word("label") if self.row is not None else "") or self.stage.spec.label, self.stage)
        extra = [f"{key} {value}".replace("_", " ") for key, value in self.entry.get("settings", {}).items()] if not self.exists else []
        count = f"{self.stage.count} x " if self.stage.count > 1 else ""
        return count + ", ".join([named, *extra]) + (" (there already)" if self.exists else "")

    @cached_property
    def elements(self) -> tuple[Element, Element]:
        """Clean and dirty resistance of all units."""
        return self.stage.elements(self.cold)

    @property
    def is_plain(self) -> bool:
        """Whether both are a Q + b Q², so that resistances can be compared by their two figures."""
        return all(isinstance(element, Resistance) and not element.curve for element in self.elements)

    @cached_property
    def figure(self) -> Figure:
        """How one unit stands in the room."""
        return self.stage.figure()

    @property
    def bodies(self) -> list[float]:
        """m of floor that each unit takes; none for what sits in the pipe."""
        figure = self.figure
        return [] if figure.shape == "inline" else [figure.width + figure.beside[0]] * self.stage.count

    @property
    def top(self) -> float:
        """m of height that it takes to stand and to be serviced; none for what sits in the pipe."""
        figure = self.figure
        return 0.0 if figure.shape == "inline" else figure.base + figure.height + figure.clear_above

    def is_too_tall(self, height: float | None) -> bool:
        """Whether it does not stand, or cannot be serviced, under a ceiling (m)."""
        return height is not None and self.top > height * (1 + 1e-9)

    def is_over_rated(self, flows: Array) -> bool:
        """Whether flow (m3/s, shape (3,)) passes what one unit is made for."""
        rating, count = self.stage.rating(), self.stage.count
        top = rating.peak if rating.peak is not None else rating.service
        peak, average = float(flows[PEAK]) / count, float(flows[AVERAGE]) / count
        return (top is not None and peak > top * _SLACK) or (rating.service is not None and average > rating.service * _SLACK)


def choices(site: Site, place: Place) -> list[Choice]:
    """Everything that may stand at a place, in the order of the shelf, the catalogue and then by units."""
    found = [choice for name in _items(site.catalogue, place) for choice in _of_item(site, place, name)]
    return [*_existing(site, place), *found]


def _items(catalogue: Catalogue, place: Place) -> Iterator[str]:
    for kind in registry.kinds().values():
        if place.takes(kind.spec):
            yield from (name for name in catalogue.of_kind(kind.spec.kind) if place.fits(kind.spec, catalogue.settings(name)))


def _of_item(site: Site, place: Place, item: str) -> Iterator[Choice]:
    row = site.catalogue.rows[item]
    spec = _spec(row.kind)
    varied = [[(key, value) for value in (None, *values)] for key, values in place.vary.items() if key in spec.settings]
    for settings in product(*varied):
        own = {key: value for key, value in settings if value is not None}
        alone = None
        for count in place.units:
            if alone is not None and place.units_if_short and not _is_too_small(site, alone):
                break
            entry: dict[str, Any] = {"id": place.key, "kind": row.kind, "item": item}
            choice = _choice(site, place, entry | {"settings": own}, {item: row})
            if count > 1:
                beside = choice.stage.side_by_side(count)
                entry["count"] = beside.pop("count")
                choice = _choice(site, place, entry | {"settings": own | beside}, {item: row})
            alone = choice if count == 1 else alone
            yield choice


def _is_too_small(site: Site, choice: Choice) -> bool:
    """Whether one unit alone cannot carry what the house draws."""
    house, cap = site.bare.plan.demands[HOUSE], choice.stage.flow_cap
    return choice.is_over_rated(house.flows) or (cap is not None and cap < float(house.flows[PEAK]))


def _existing(site: Site, place: Place) -> Iterator[Choice]:
    """Stages of the document that are kept where they are."""
    document = site.document
    for stage in document.stages:
        settings = settings_of(stage, items=document.items)
        spec = _spec(stage.kind)
        if settings.get("existing") and place.takes(spec) and place.fits(spec, settings):
            raw = next(row for row in document.tree["stages"] if row["id"] == stage.id)
            row = document.item_of(stage)
            # where it stands on the floor goes with the train that it stood in
            entry = {key: value for key, value in raw.items() if key != "place"}
            yield _choice(site, place, entry, {stage.item: row} if stage.item and row is not None else {})


def _choice(site: Site, place: Place, entry: dict[str, Any], rows: Mapping[str, ItemRow]) -> Choice:
    written = StageEntry.model_validate(entry)
    kind = registry.kind(written.kind)
    assert kind is not None  # a catalogue and a document hold known kinds alone
    settings = settings_of(written, site.catalogue, rows)
    row = rows.get(written.item) if written.item else None
    return Choice(place.key, entry, row, kind(place.key, settings), site.document.supply.temperatures[0])


def _spec(kind: str) -> Spec:
    found = registry.kind(kind)
    assert found is not None  # likewise
    return found.spec
