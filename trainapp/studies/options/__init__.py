"""Options: trains for a site, sought among all that the catalogue can build, each laid before a customer for a reason."""

from __future__ import annotations

from trainapp.studies.options.criteria import Criterion, criteria, criterion
from trainapp.studies.options.measure import Measured, measure
from trainapp.studies.options.obstacles import Obstacle
from trainapp.studies.options.proposal import Option, Proposal, Proposer, propose
from trainapp.studies.options.search import SearchCancelled
from trainapp.studies.options.site import Need, Site
from trainapp.studies.options.trains import Tally, Train
from trainapp.studies.options.words import PROVE, LeftOut, Treated, money, shown

__all__ = [
    "PROVE", "Criterion", "LeftOut", "Measured", "Need", "Obstacle", "Option", "Proposal", "Proposer", "SearchCancelled", "Site", "Tally",
    "Train", "Treated", "criteria", "criterion", "measure", "money", "propose", "shown",
]  # fmt: skip
