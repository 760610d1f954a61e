"""The answer of `trainapp confidence --json`."""

from __future__ import annotations

from typing import Any

from trainapp.checks import not_judged
from trainapp.reports.check_json import finding_json
from trainapp.reports.confidence_text import NOT_DRAWN, NOT_SAFE, headline, is_counted
from trainapp.studies.confidence import Confidence
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan

JSON = dict[str, Any]


def confidence_json(answer: Confidence) -> JSON:
    """The whole answer as one JSON object; counts of what touches health or disinfection alone are null."""
    return {
        "format": "trainapp/confidence",
        "version": 1,
        "draws": answer.draws,
        "seed": answer.seed,
        "verdict": answer.verdict,
        "headline": headline(answer),
        "no_failure": answer.no_fail if is_counted(answer) else None,
        "no_caution": answer.no_caution if is_counted(answer) else None,
        "fixed": [finding_json(finding) for finding in answer.fixed],
        "met": [
            {
                "what": met.what,
                "at": met.at,
                "analyte": met.analyte,
                "fails": met.fails if met.counted else None,
                "cautions": met.cautions if met.counted else None,
            }
            for met in answer.met
        ],
        "variance_of": "failing" if answer.of_failing else "closeness",
        "shares": [{"key": s.key, "label": s.label, "first": round(s.first, 4), "total": round(s.total, 4)} for s in answer.shares],
        "not_judged": list(not_judged(evaluate(open_plan(answer.document)))),
        "cautions": [*filter(None, [answer.warning]), NOT_DRAWN, NOT_SAFE],
    }
