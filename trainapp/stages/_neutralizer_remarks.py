"""What a neutralizer has to say of its duty: nothing to dissolve, too little time, hardness, iron on its grains, too much magnesia."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from trainapp import units
from trainapp.stages.base import Duty, Remark
from trainapp.stages.working import pick
from trainapp.water.stream import FAVOURABLE, Stream

if TYPE_CHECKING:
    from trainapp.stages.neutralizer import Contact, Neutralizer


def remarks_of(bed: Neutralizer, water: Stream, out: Stream, contact: Contact, duty: Duty) -> Iterator[Remark]:
    """All of them, for water 0."""
    c = bed.spec.constants
    added = max(pick(contact.hardness_added, "trickle", reading) for reading in (0, 1))
    if added < c["nothing"]:
        yield Remark(
            "no-effect", "caution", "Calcite does nothing to this water",
            "This water is in balance with calcite as it comes, or past it: nothing of the bed dissolves and pH stays.",
            analyte="ph", value=pick(water.row("ph")), dimension="ph", source="plummer-busenberg-1982", status="secondary",
        )  # fmt: skip
        return
    yield from _goal(bed, water, out, contact)
    yield from _iron(bed, water)
    yield from _lift(bed, duty)


def _goal(bed: Neutralizer, water: Stream, out: Stream, contact: Contact) -> Iterator[Remark]:
    """Whether it reaches its pH, at all and at the peak, and whether it goes past."""
    c = bed.spec.constants
    balance, least, best = pick(contact.balance.ph, reading=FAVOURABLE), pick(out.row("ph")), pick(out.row("ph"), reading=FAVOURABLE)
    if balance < bed.goal - c["as_good"] and not bed.magnesia_share:
        yield Remark(
            "no-effect", "caution", f"Calcite cannot bring this water to pH {bed.goal:g}",
            f"In balance with calcite this water stands at pH {_short(balance, bed.goal)}, however long it stays: it holds too much "
            "carbon dioxide.",
            analyte="ph", value=balance, limit=bed.goal, dimension="ph", source="plummer-busenberg-1982", status="secondary",
        )  # fmt: skip
    elif best < bed.goal - c["as_good"]:
        yield Remark(
            "contact-short", "caution", "Too little time in the neutralizer at the peak",
            f"At the peak the water leaves at pH {least:.1f} to {_short(best, bed.goal)}; it should reach {bed.goal:g}. "
            "More bed or less flow would.",
            analyte="ph", value=best, limit=bed.goal, dimension="ph", source="plummer-wigley-parkhurst-1978", status="from memory",
            cause=f"contact-short:{bed.id}",
        )  # fmt: skip
    elif least < bed.goal - c["as_good"]:
        yield Remark(
            "contact-short", "note", "Little time in the neutralizer at the peak",
            f"With coated grains the water leaves at pH {_short(least, bed.goal)} at the peak; it should reach {bed.goal:g}.",
            analyte="ph", value=least, limit=bed.goal, dimension="ph", source="common-practice", cause=f"contact-short:{bed.id}",
        )  # fmt: skip
    most = max(pick(out.row("ph"), "trickle", reading) for reading in (0, 1))
    if bed.magnesia_share and most > c["overshoot_ph"]:
        yield Remark(
            "ph-overshoot", "caution", "Magnesia goes too far at low flow",
            f"Water that stays long leaves at pH {most:.1f}, and magnesia that is used little cements the bed.",
            analyte="ph", value=most, limit=c["overshoot_ph"], dimension="ph", source="40cfr143.3", status="published",
            cause="ph:high",
        )  # fmt: skip


def _iron(bed: Neutralizer, water: Stream) -> Iterator[Remark]:
    c, iron = bed.spec.constants, pick(water.get("iron"))
    if iron <= c["iron_told"]:
        return
    much = iron > c["iron_much"]
    yield Remark(
        "iron-coats", "caution" if much else "note", "Iron coats the calcite",
        "This much iron belongs in a filter ahead of the neutralizer; it coats the grains and they stop dissolving."
        if much
        else "Iron coats the grains little by little: backwash them often and look at them at each top-up.",
        analyte="iron", value=iron, limit=c["iron_much" if much else "iron_told"], dimension="concentration", source="common-practice",
        cause="iron-on-calcite",
    )  # fmt: skip


def _lift(bed: Neutralizer, duty: Duty) -> Iterator[Remark]:
    if not bed.upflow:
        return
    speed, lifts = pick(duty.flows) / bed.tank.area, bed.tank.wash_rate(duty.cold)
    if speed > lifts:
        yield Remark(
            "media-loss", "caution", "Upflow carries the grains out",
            "At the peak the water rises faster than what washes this bed: grains leave with it.",
            value=speed, limit=lifts, dimension="rate", source="wen-yu-1966", status="computed",
        )  # fmt: skip


def _short(ph: float, goal: float) -> str:
    """A pH that misses its goal, never rounded onto it."""
    return units.show_against_limit(ph, goal, "ph")
