"""What reading the document had to say: stages that stand loose, outlets without a pipe, keys that are not known, old items."""

from __future__ import annotations

from collections.abc import Iterable

from trainapp.checks.context import Context, names_of, start
from trainapp.checks.finding import Finding
from trainapp.stages.base import Severity
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import item_reports
from trainapp.train.evaluation import Evaluation
from trainapp.train.naming import place_in_words

_TITLES: dict[str, tuple[Severity, str]] = {
    "loose": ("caution", "A stage stands loose"),
    "unfed": ("caution", "An outlet without a pipe"),
    "unknown-key": ("note", "Something in the document is not known"),
    "unknown-setting": ("note", "A setting is not known"),
    "gone": ("note", "An acceptance without its stage"),
    "item-differs": ("note", "The catalogue has changed since"),
}


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Every report of the document, items that the catalogue now has otherwise, and outlets that a closed valve leaves dry."""
    changed = item_reports(context.document, Catalogue.load()) if context.document.items else ()
    for report in (*context.document.reports, *changed):
        severity, title = _TITLES.get(report.code, ("note", "A word on the document"))
        kind, _, rest = report.place.partition(".")
        if report.code == "gone" and kind == "samples":
            title = "A sample from a place that is not here"
        stage = rest.split(".", 1)[0] if kind in ("stages", "outlets") else ""
        where = place_in_words(context.document, context.plan.once(names_of), report.place)
        yield Finding(
            report.code, severity, stage if stage in context.plan.graph else "", title, f"{start(where)}: {report.message}.",
            source="document", cause=f"{report.code}:{report.place}",
        )  # fmt: skip
    for end in context.document.outlets:
        if context.plan.graph.nodes[end]["live"] and end not in evaluation.points:
            yield Finding(
                "unfed", "caution", end, "An outlet without water",
                f"{start(context.name(end))} is reached by way of a closed bypass alone: no water comes there.", source="document",
                cause=f"unfed:{end}",
            )  # fmt: skip
