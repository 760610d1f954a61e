"""What every stage shares that is a pressure tank with a bed in it: how it is made, what it takes from the pressure, how it stands."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Mapping
from typing import Any, ClassVar

from trainapp.hydraulics.elements import Element
from trainapp.stages._beds import MediaTank
from trainapp.stages._figures import height_line, measured
from trainapp.stages.base import Figure, Rating, Settings, Stage


class MediaBed(Stage):
    """A stage of one tank. A kind says its medium, what flow its bed is made for, and what fills it on pictures."""

    #: What fills the tank, see :class:`Figure`.
    texture: ClassVar[str] = "none"
    tank: MediaTank

    def tank_of(self, settings: Settings, medium: Mapping[str, Any], volume: float | None = None) -> MediaTank:
        """The tank with a bed of a depth, or of a volume (m3) where the kind is set by that."""
        tank = MediaTank(settings.number("tank_diameter"), 1.0, medium, settings.get("valve"))
        depth = settings.number("bed_depth") if volume is None else volume / tank.area
        return MediaTank(tank.diameter, depth, medium, tank.valve)

    @abstractmethod
    def bed_rating(self) -> Rating:
        """What flow a bed like this is made for, where no maker says it."""

    def losses(self, cold: float) -> tuple[Element, Element]:
        return self.tank.losses(cold)

    def rating(self) -> Rating:
        given = super().rating()
        return given if given.is_device_rating else self.bed_rating()

    def figure(self) -> Figure:
        return measured(self.tank.figure(self.texture, self.stands_beside()), self.settings)

    def stands_beside(self) -> tuple[float, float]:
        """Width and height (m) of a tank of brine or solution beside it, (0, 0) for none."""
        return 0.0, 0.0

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        return (("tank_diameter", self.tank.diameter, "length"), ("bed_depth", self.tank.depth, "length"), *height_line(self.settings))
