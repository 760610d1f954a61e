"""How near the pipes over the run may be drawn to each other."""

from __future__ import annotations

from trainapp.train.floor import HANGER

#: Least step between headers that can be told apart, px, and under a ceiling that is drawn so low that they would come through it.
_STEP_LEAST, _STEP_TIGHT = 14.0, 9.0


def least_step(run: float, ceiling: float | None, headers: int, scale: float) -> float:
    """Least step between headers that can be told apart, px; less under a ceiling (m) that they would come through.

    Args:
        run: height of the overhead run, metres. headers: levels above it. scale: px per metre.
    """
    if ceiling is None or not headers:
        return _STEP_LEAST
    return min(max((ceiling - HANGER - run) * scale / headers, _STEP_TIGHT), _STEP_LEAST)
