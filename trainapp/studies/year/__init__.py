"""A year of service: a train run through its days, with what fills up, wears, is washed, served and forgotten.

:func:`run` is the way in; :func:`compare` and :func:`before_and_after` lay two trains on one clock. Everything about how fast a film grows
on a sleeve is illustrative and is told as a band, without a date.
"""

from trainapp.studies.year.balance import Balance
from trainapp.studies.year.happenings import GoneWrong, Happening
from trainapp.studies.year.hour import Hour, Stand, hour_of
from trainapp.studies.year.march import Progress
from trainapp.studies.year.options import (
    DETAILS,
    UPKEEP,
    Cancelled,
    ExtraService,
    Options,
    PowerCut,
    Spike,
    Upkeep,
    YearError,
    read_spike,
    usual_cuts,
)
from trainapp.studies.year.pairs import Measure, Pair, bare, before_and_after, compare, without
from trainapp.studies.year.result import StageCourse, Year
from trainapp.studies.year.running import run
from trainapp.studies.year.series import Courses, Quantity
from trainapp.studies.year.totals import LightTotals, Totals

__all__ = [
    "DETAILS", "UPKEEP", "Balance", "Cancelled", "Courses", "ExtraService", "GoneWrong", "Happening", "Hour", "LightTotals",
    "Measure", "Options", "Pair", "PowerCut", "Progress", "Quantity", "Spike", "Stand", "StageCourse", "Totals", "Upkeep", "Year",
    "YearError", "bare", "before_and_after", "compare", "hour_of", "read_spike", "run", "usual_cuts", "without",
]  # fmt: skip
