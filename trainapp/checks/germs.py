"""What only tests of the water can end: E. coli, coliform behind a chamber, surface water: `health`, `after-start-up`; and `regulated`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from trainapp.checks.context import HOUSE, Context
from trainapp.checks.drinking import not_now, until
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.limits import WaterLimit
from trainapp.checks.policy import rule
from trainapp.checks.ultraviolet import standing
from trainapp.stages.base import Severity
from trainapp.train.evaluation import Evaluation
from trainapp.train.raw import SURFACE

_PIPES = "Disinfect all pipes and heaters behind the chamber before it is started, and again after service or a power cut."


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """The sample's germs, the source, and who drinks."""
    yield from _e_coli(evaluation, context)
    yield from _coliform(evaluation, context)
    yield from _surface(context)
    yield from _regulated(context)


#: How a source that counts as surface water by its kind is called.
_SOURCE = {"spring": "A spring counts as surface water", "rain": "Collected rain counts as surface water"}
#: What may be said of germs behind a class A chamber, by the worst that is found at it.
_BEHIND: dict[Severity | None, str] = {
    None: "Treated by design, which is no proof: do not drink until two samples after start-up are clear.",
    "note": "Treated by design, which is no proof: do not drink until two samples after start-up are clear.",
    "caution": "The chamber meets this water near or beyond a guide: put that right, "
    "and do not drink until two samples after start-up are clear.",
    "fail": "The chamber works outside its rating or its limits, so it counts for nothing until that is put right.",
}


def standing_of_light(evaluation: Evaluation, context: Context) -> Severity | None:
    """The worst that is found at any class A chamber: "fail", "caution", None for neither."""
    found = {standing(evaluation, context, uv) for uv in context.ultraviolet if context.device_class(uv) == "A"}
    return "fail" if "fail" in found else "caution" if "caution" in found else None


def guarded_by_class_a(context: Context) -> bool:
    """Whether all drinking water passes a class A chamber."""
    strong = frozenset(uv for uv in context.ultraviolet if context.device_class(uv) == "A")
    return bool(strong) and not (context.reached_without(strong) & set(context.drinking_ends))


def _row(context: Context, analyte: str) -> WaterLimit | None:
    return next(iter(context.limits.of(analyte)), None)


def _e_coli(evaluation: Evaluation, context: Context) -> Iterator[Finding]:
    """Never better than a caution; a fail where not all drinking water passes a class A chamber that works inside its limits."""
    if context.germs("e_coli") != "present":
        return
    row = _row(context, "e_coli")
    guarded = guarded_by_class_a(context)
    stands = standing_of_light(evaluation, context)
    severity: Severity = "caution" if guarded and stands != "fail" else "fail"
    tail = "This train does not treat it." if not guarded else _BEHIND[stands]
    yield Finding(
        "health", severity, HOUSE, "E. coli in the water", f"The sample holds E. coli, which comes from sewage or manure. {tail}", "e_coli",
        limit=Amount.of(0.0, "count"), source=row.source if row else "common-practice", status=row.status if row else "common practice",
        cause="health:e_coli", cautions=(not_now(context), "Have the well looked at: find and close the way in."),
    )  # fmt: skip


def _coliform(evaluation: Evaluation, context: Context) -> Iterator[Finding]:
    """Behind a class A chamber coliform stays a standing caution; without one the way to the taps is told elsewhere."""
    if context.germs("total_coliform") != "present" or not guarded_by_class_a(context) or context.germs("e_coli") == "present":
        return
    row = _row(context, "total_coliform")
    stands = standing_of_light(evaluation, context)
    strong = [uv for uv in context.ultraviolet if context.device_class(uv) == "A"]
    uv = next((uv for uv in strong if standing(evaluation, context, uv) == stands), strong[0])
    title = "Coliform: treated by design, test to confirm" if stands is None else "Coliform in the water"
    yield Finding(
        "health" if stands == "fail" else "after-start-up", "fail" if stands == "fail" else "caution", uv, title,
        f"The sample holds coliform bacteria. {_BEHIND[stands]}", "total_coliform",
        limit=Amount.of(0.0, "count"), source=row.source if row else "common-practice", status=row.status if row else "common practice",
        cause="health:total_coliform",
        cautions=((until(context, "this is put right"),) if stands == "fail" else ()) + (_PIPES,),
    )  # fmt: skip


def _surface(context: Context) -> Iterator[Finding]:
    """Surface water asks for filtration that holds cysts and for licensed design, never for UV alone."""
    if not (context.influence == "yes" or context.plan.source in SURFACE):
        return
    barrier = [s for s in context.having("sediment") if _holds_cysts(context, s)]
    held = bool(barrier) and not (context.reached_without(frozenset(barrier)) & set(context.drinking_ends))
    told = context.influence == "yes"
    where = "Surface water reaches this source" if told else _SOURCE.get(context.plan.source, "This source is surface water")
    tail = (
        "the absolute cartridge in this train may be that filter: its certificate has to say so."
        if held
        else "no filter of this train is one, and UV alone is not enough."
    )
    yield Finding(
        "health", "caution" if held else "fail", HOUSE, "Surface water needs more than this program can judge",
        f"{where}: it needs filtration rated for cysts, disinfection, and a licensed designer; {tail}",
        source="health-canada-protozoa", status="published", cause="health:surface",
        cautions=() if held else (until(context, "a licensed designer has treated it"),),
    )  # fmt: skip


def _holds_cysts(context: Context, stage: str) -> bool:
    """An absolute rating of 1 µm or finer."""
    rating = context.setting(stage, "rating")
    return isinstance(rating, float) and rating <= 1.0e-6 * (1 + 1e-9) and context.setting(stage, "rating_basis") == "absolute"


def _regulated(context: Context) -> Iterator[Finding]:
    use, people, most = context.document.site.word("use"), context.document.people, rule("public_people")
    if use not in ("food", "public") and people < most.value:
        return
    why = {"food": "it serves a food business", "public": "it serves the public"}.get(use, f"{people} people drink here")
    yield Finding(
        "regulated", "caution", "", "This supply is likely to be regulated",
        f"The water is not a household's alone: {why}. Ask the authority what it asks for before anything is bought; "
        "approval, certified devices and a record of tests are usual.",
        source=most.source, status=most.status, cause="regulated",
    )  # fmt: skip
