"""The supply of a document as something that pushes water."""

from __future__ import annotations

from trainapp.hydraulics.supply import Mains, Supply, Well
from trainapp.hydraulics.tank import PressureTank
from trainapp.train.document import Document
from trainapp.train.errors import DocumentError


def supply_of(document: Document) -> Supply:
    """The well or main of a document.

    Raises:
        DocumentError: figures that no well or main can have together.
    """
    entry = document.supply
    try:
        return _well(document) if entry.kind == "well" else _mains(document)
    except ValueError as error:
        raise DocumentError("supply", str(error)) from None
    except KeyError as error:
        raise DocumentError("supply", f'"{str(error.args[0]).rpartition(".")[2]}" is missing') from None


def _mains(document: Document) -> Mains:
    entry = document.supply
    return Mains(entry.value("static"), entry.value("residual"), entry.value("at_flow"), entry.value("lift"))


def _well(document: Document) -> Well:
    entry = document.supply
    switched = entry.word("control") != "constant"
    volume = entry.get("tank_volume")
    cut_in, cut_out = (entry.get(key) or 0.0 for key in ("cut_in", "cut_out"))
    tank = PressureTank(volume, entry.precharge_pressure, cut_in, cut_out) if switched and volume else None
    return Well(
        curve=entry.curve,
        control="switch" if switched else "constant",
        cut_in=cut_in,
        cut_out=cut_out,
        set_pressure=entry.get("set_pressure") or 0.0,
        lift=entry.value("lift"),
        yield_flow=entry.get("yield"),
        tank=tank,
    )
