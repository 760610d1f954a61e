"""Stages in the wrong order: `order`. One function a rule; each says when it holds and when it does not."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from trainapp.checks.context import SUPPLY, Context, listed, start
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.policy import amount, rule
from trainapp.stages.base import Severity
from trainapp.train.evaluation import Evaluation

#: Stages with a valve and a bed that grit wears and blinds.
_BEDS = ("softening", "iron_removal", "carbon", "hardness_up", "ph_up", "ion_exchange")


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Every rule on every stage that it concerns."""
    for rule_of_order in RULES:
        yield from rule_of_order(context)


def _finding(
    severity: Severity, stage: str, title: str, message: str, source: str, status: str, *, cause: str = "", analyte: str = "",
    value: float | None = None, limit: float | None = None, dimension: str = "concentration", also_at: Iterable[str] = (),
    what: str = "",
) -> Finding:  # fmt: skip
    number, bound = (None if n is None else Amount.of(n, dimension) for n in (value, limit))
    return Finding(
        "order", severity, stage, title, message, analyte, number, bound, source, status, also_at=tuple(also_at),
        cause=cause or f"order:{stage}:{title}", what=what,
    )  # fmt: skip


def _sediment_first(context: Context) -> Iterator[Finding]:
    """A coarse sediment stage behind a bed that has none ahead; only where the raw water is measured cloudy."""
    dirt, cloudy = rule("sediment_turbidity"), rule("cloudy")
    if not context.readings.above(SUPPLY, "turbidity", cloudy.value):
        return
    sediment = [s for s in context.having("sediment") if not context.is_fine(s)]
    for stage in sediment:
        beds = [b for b in context.having(*_BEDS) if b in context.before(stage)]
        bare = [b for b in beds if not any(s in context.before(b) for s in context.having("sediment"))]
        turbidity = context.readings.most(bare[0], "turbidity") if bare else 0.0
        if turbidity > cloudy.value:
            severity: Severity = "caution" if turbidity > dirt.value else "note"
            broken = dirt if severity == "caution" else cloudy
            yield _finding(
                severity, stage, f"{start(context.name(stage))} stands after {context.name(bare[0])}",
                f"Water of {context.show_against(turbidity, broken.value, 'turbidity')} meets {context.name(bare[0])} before "
                f"{context.name(stage)} has taken the grit out: coarse filters come first, they protect valves and beds.",
                broken.source, broken.status, analyte="turbidity", value=turbidity, limit=broken.value, dimension="turbidity",
            )  # fmt: skip


def _fine_before_iron(context: Context) -> Iterator[Finding]:
    """A fine cartridge ahead of the iron stage on water with dissolved iron."""
    limit = amount("ferrous_iron")
    for stage in context.having("sediment"):
        behind = [s for s in context.having("iron_removal") if s in context.after(stage)]
        if behind and context.is_fine(stage) and context.readings.above(stage, "iron_dissolved", limit):
            iron = context.readings.most(stage, "iron_dissolved")
            yield _finding(
                "caution", stage, "Fine cartridge ahead of the iron stage",
                f"{context.show(iron, 'concentration', 'iron')} of dissolved iron passes {context.name(stage)}, rusts on it and blinds it: "
                f"it belongs behind {context.name(behind[0])}.",
                "logic", "common practice", analyte="iron_dissolved", value=iron, limit=limit,
                cause=f"fine-before-iron:{stage}",
            )  # fmt: skip


def _ph_before_air(context: Context) -> Iterator[Finding]:
    """Acid water into an iron stage that works with air, the neutralizer behind it; with much iron that is right, it coats calcite."""
    limit, coats = rule("air_ph"), amount("calcite_iron_note")
    for stage in context.having("iron_removal"):
        behind = [s for s in context.having("ph_up") if s in context.after(stage)]
        ahead = [s for s in context.having("ph_up") if s in context.before(stage)]
        ph, iron = context.readings.least(stage, "ph"), context.readings.most(stage, "iron")
        if behind and not ahead and context.setting(stage, "oxidant") == "air" and ph < limit.value and not iron > coats:
            yield _finding(
                "caution", stage, f"{start(context.name(behind[0]))} stands after {context.name(stage)}",
                f"Air takes iron out slowly below pH {limit.value:g}, and the water reaches {context.name(stage)} at pH {ph:.1f}: "
                f"{context.name(behind[0])} belongs ahead of it.",
                limit.source, limit.status, analyte="ph", value=ph, limit=limit.value, dimension="ph", also_at=behind[:1],
            )  # fmt: skip


def _iron_on_calcite(context: Context) -> Iterator[Finding]:
    """Much iron through a bed of calcite while the iron stage stands behind it."""
    note, caution = amount("calcite_iron_note"), amount("calcite_iron_caution")
    for stage in context.having("hardness_up"):
        behind = [s for s in context.having("iron_removal") if s in context.after(stage)]
        if behind and context.readings.above(stage, "iron", note):
            iron = context.readings.most(stage, "iron")
            yield _finding(
                "caution" if iron > caution else "note", stage, f"{start(context.name(stage))} stands ahead of the iron stage",
                f"{context.show(iron, 'concentration', 'iron')} of iron coats the grains of {context.name(stage)}: "
                f"with so much iron {context.name(behind[0])} comes first.",
                "cerrato-2011", "from memory", analyte="iron", value=iron, limit=note, cause="iron-on-calcite",
            )  # fmt: skip


def _hardness_after_softener(context: Context) -> Iterator[Finding]:
    """A bed that gives hardness behind the softener; a soda feed or air gives none."""
    limit = rule("added_hardness")
    for stage in context.having("hardness_up"):
        ahead = [s for s in context.having("softening") if s in context.before(stage)]
        behind = [s for s in context.having("softening") if s in context.after(stage)]
        if not ahead or behind:
            continue
        result = context.stages[stage]
        added = float((result.outlet.get("hardness") - result.inlet.get("hardness"))[..., 0].max())
        severity: Severity = "caution" if added > limit.value else "note"
        yield _finding(
            severity, stage, f"{start(context.name(stage))} stands after {context.name(ahead[-1])}",
            f"{start(context.name(stage))} gives the water {context.show(max(added, 0.0), 'hardness')} of hardness after "
            f"{context.name(ahead[-1])} has taken it out, most of it at low flow: it belongs ahead, and the softener is sized behind it.",
            "phreeqc", "computed", analyte="hardness", value=added, limit=limit.value, dimension="hardness", also_at=ahead[-1:],
            cause="hardness:high", what="hardness that it adds",
        )  # fmt: skip


def _iron_after_softener(context: Context) -> Iterator[Finding]:
    """The iron stage behind the softener, and iron on the resin, or manganese where there is too little iron to speak of."""
    limit = amount("ferrous_iron")
    for stage in context.having("iron_removal"):
        ahead = [s for s in context.having("softening") if s in context.before(stage)]
        over = [metal for metal in ("iron", "manganese") if ahead and context.readings.above(ahead[0], metal, limit)]
        if not over:
            continue
        found = context.readings.most(ahead[0], over[0])
        amounts = [context.show_against(context.readings.most(ahead[0], m), limit, "concentration", m) + f" of {m}" for m in over]
        yield _finding(
            "caution", stage, f"{start(context.name(stage))} stands after {context.name(ahead[0])}",
            f"{start(listed(amounts))} {'reaches' if len(over) == 1 else 'reach'} the resin of {context.name(ahead[0])} first and "
            f"{'fouls' if len(over) == 1 else 'foul'} it: {context.name(stage)} belongs ahead.",
            "va-590-900", "published", analyte=over[0], value=found, limit=limit, also_at=ahead[:1], cause="iron-on-resin",
        )  # fmt: skip


def _sulfide_first(context: Context) -> Iterator[Finding]:
    """Sulfide through resin or carbon while what takes it out stands behind."""
    limit = rule("carbon_sulfide")
    for stage in context.having("softening", "carbon"):
        behind = [s for s in context.having("iron_removal") if s in context.after(stage)]
        if behind and context.readings.above(stage, "hydrogen_sulfide", limit.value):
            sulfide = context.readings.most(stage, "hydrogen_sulfide")
            yield _finding(
                "caution", stage, f"Sulfide meets {context.name(stage)} first",
                f"{context.show(sulfide, 'concentration', 'hydrogen_sulfide')} of hydrogen sulfide reaches {context.name(stage)} before "
                f"{context.name(behind[0])} takes it out.",
                limit.source, limit.status, analyte="hydrogen_sulfide", value=sulfide, limit=limit.value, cause="hydrogen_sulfide:high",
            )  # fmt: skip


def _contact_after_feed(context: Context) -> Iterator[Finding]:
    """A contact tank ahead of the feed that it should give time to; a feed with no filter behind it."""
    feeds, contacts = context.having("oxidant"), context.having("contact")
    for stage in contacts:
        behind = [f for f in feeds if f in context.after(stage)]
        if behind and not any(f in context.before(stage) for f in feeds):
            yield _finding(
                "caution", stage, f"{start(context.name(stage))} stands ahead of {context.name(behind[0])}",
                f"{start(context.name(stage))} gives time to an oxidant that is only fed behind it.",
                "il-604.1010", "published", also_at=behind[:1],
            )  # fmt: skip
    for feed in feeds:
        filters = [s for s in context.having("iron_removal", "sediment", "carbon") if s in context.after(feed)]
        if not filters and context.readings.above(feed, "iron", amount("ferrous_iron")):
            iron = context.readings.most(feed, "iron")
            yield _finding(
                "caution", feed, f"No filter behind {context.name(feed)}",
                f"{start(context.name(feed))} turns {context.show(iron, 'concentration', 'iron')} of iron to rust and nothing behind it "
                "takes the rust out.",
                "il-604.1010", "published", analyte="iron", value=iron, limit=amount("ferrous_iron"),
            )  # fmt: skip


def _softener_before_tannin(context: Context) -> Iterator[Finding]:
    """Hard water into an anion bed."""
    limit = rule("tannin_hardness")
    for stage in context.having("ion_exchange"):
        if "softening" in context.tags(stage) or any(s in context.before(stage) for s in context.having("softening")):
            continue
        if context.readings.above(stage, "hardness", limit.value):
            hardness = context.readings.most(stage, "hardness")
            yield _finding(
                "caution", stage, f"No softener ahead of {context.name(stage)}",
                f"Water of {context.show_against(hardness, limit.value, 'hardness')} hardness reaches {context.name(stage)}: "
                "hardness settles in an anion bed, a softener belongs ahead.",
                limit.source, limit.status, analyte="hardness", value=hardness, limit=limit.value, dimension="hardness",
                cause="hardness:high",
            )  # fmt: skip


def _carbon_before_iron(context: Context) -> Iterator[Finding]:
    """Carbon ahead of the iron stage on water with iron."""
    limit = amount("ferrous_iron")
    for stage in context.having("carbon"):
        behind = [s for s in context.having("iron_removal") if s in context.after(stage)]
        if behind and context.readings.above(stage, "iron", limit):
            iron = context.readings.most(stage, "iron")
            yield _finding(
                "caution", stage, f"{start(context.name(stage))} stands ahead of the iron stage",
                f"{context.show(iron, 'concentration', 'iron')} of iron coats the carbon before {context.name(behind[0])} takes it out.",
                "common-practice", "common practice", analyte="iron", value=iron, limit=limit, cause="iron:high",
            )  # fmt: skip


def _sequestrant(context: Context) -> Iterator[Finding]:
    """Phosphate or silicate declared ahead of iron removal."""
    for stage in context.having("declared"):
        name = str(context.setting(stage, "name") or "").casefold()
        behind = [s for s in context.having("iron_removal") if s in context.after(stage)]
        if behind and any(word in name for word in ("phosphate", "silicate", "sequest")):
            yield _finding(
                "caution", stage, "Sequestrant ahead of iron removal",
                f"What {context.name(stage)} feeds keeps iron dispersed, so {context.name(behind[0])} cannot hold it.",
                "wi-811.56", "published",
            )  # fmt: skip


def _outdoor_before_softener(context: Context) -> Iterator[Finding]:
    """Taps that nobody drinks from behind the softener."""
    for end in context.ends:
        softeners = [s for s in context.having("softening") if s in context.before(end)]
        if softeners and not context.plan.demands[end].drinking:
            yield _finding(
                "note", end, f"{start(context.name(end))} gets softened water",
                f"{start(context.name(end))} is fed behind {context.name(softeners[0])}: it costs salt and water, "
                "and salt is no good to plants.",
                "ca-116785", "published",
            )  # fmt: skip


RULES: tuple[Callable[[Context], Iterator[Finding]], ...] = (
    _sediment_first, _fine_before_iron, _ph_before_air, _iron_on_calcite, _hardness_after_softener, _iron_after_softener, _sulfide_first,
    _contact_after_feed, _softener_before_tannin, _carbon_before_iron, _sequestrant, _outdoor_before_softener,
)  # fmt: skip
