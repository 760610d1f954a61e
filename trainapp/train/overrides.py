"""Inlet limits in force at a stage: its kind's own, with what the document says of the maker's limits laid over them."""

from __future__ import annotations

from dataclasses import replace

from trainapp.stages.base import Limit, Stage


def limits_in_force(stage: Stage) -> tuple[Limit, ...]:
    """Limits of the kind, each replaced where `inlet_limits` gives one for its analyte.

    One that comes without a source keeps the guide it replaces in `override_of`, for the checks to hold up beside it.
    """
    own: tuple[Limit, ...] = tuple(stage.settings.get("inlet_limits") or ())
    if not own:
        return stage.limits()
    guides = {limit.analyte: limit for limit in stage.limits()}
    kept = [limit for analyte, limit in guides.items() if analyte not in {o.analyte for o in own}]
    laid = [replace(limit, strict=True, override_of=None if limit.source else guides.get(limit.analyte)) for limit in own]
    return (*kept, *laid)
