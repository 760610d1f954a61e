"""Why a filter leaves iron and manganese in the water: which of what its medium asks for it does not get."""

from __future__ import annotations

from trainapp.checks.context import Context, listed
from trainapp.stages.working import pick

#: By analyte the results of a stage's working that hold what is left of the removal, 0 to 1, and what is said where that is less than all.
_SHARES = {
    "iron": {"ph_share_iron": "its pH is too low for the medium"},
    "manganese": {"ph_share_manganese": "its pH is too low for the medium"},
}
_BY_AIR = {"ph_share_manganese_by_air": "its pH is too low for air to take it"}
_LOADED = {
    "rate_share": "it passes the medium too fast",
    "metals_share": "there is more iron and manganese in it than the medium clears",
    "store_share": "the medium is used up before it is made new",
}
_OXIDANT = "there is too little oxidant in it"
#: Share of the removal below which a cause counts as one, and mg/L of iron short of oxidant.
_WHOLE, _SHORT = 0.98, 0.05


def why_left(context: Context, analyte: str, place: str, untouched: bool = False) -> str:
    """A clause that names what keeps the last filter ahead of a place from its work: "the iron filter ahead leaves it, because ..."; or
    nothing. `untouched`: it comes as the raw water had it."""
    ahead = [stage for stage in context.having("iron_removal") if stage in context.before(place)] if analyte in _SHARES else []
    if not ahead:
        return ""
    causes = [said for key, said in (_ph_shares(context, analyte, ahead[-1]) | _LOADED).items() if _left(context, ahead[-1], key) < _WHOLE]
    if _left(context, ahead[-1], "iron_short_of_oxidant", 0.0) > _SHORT:
        causes.append(_OXIDANT)
    does = "takes none of it" if untouched else "leaves it"
    return f"{context.name(ahead[-1])} ahead {does}, because {listed(causes)}" if causes else ""


def _ph_shares(context: Context, analyte: str, stage: str) -> dict[str, str]:
    """What pH may keep from it: of manganese more where air is all that oxidises it."""
    fed = any(s in context.before(stage) for s in context.having("oxidant"))
    if analyte == "manganese" and not fed and context.setting(stage, "oxidant") in ("air", "none"):
        return _BY_AIR
    return _SHARES[analyte]


def _left(context: Context, stage: str, name: str, usual: float = 1.0) -> float:
    """A named result at the peak, adverse; what is usual where the stage has none such."""
    value = context.result(stage, name)
    return usual if value is None else pick(value)
