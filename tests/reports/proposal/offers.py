"""Offers that tests of the proposal share: each is sought once."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from tests.reports.printing import LONG_SITE, tree_of
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import PAPERS
from trainapp.reports.proposal import proposal_job
from trainapp.reports.proposal_extras import Extras
from trainapp.reports.proposal_offer import Offer, offer_of
from trainapp.studies.options import Proposal, Proposer, Site
from trainapp.studies.options.contender import of_option
from trainapp.train.document import Document
from trainapp.units import System

LONG_OPTION = "The option that the whole family talked over at length in the kitchen on a rainy Sunday, Neverendingword" + "x" * 60


@cache
def sought(site: str, system: System = "us") -> tuple[Proposer, Proposal]:
    """A sample site and what was found for it."""
    proposer = Proposer(Document.of(_tree(site)), None, system)
    return proposer, proposer.propose()


@cache
def offer(site: str, system: System = "us") -> Offer:
    """What is laid before the customer of a site: a sample site by its name, or a changed one."""
    return offer_of(*sought(site, system))


@cache
def job(site: str, system: System = "us", paper: str = "letter", short: bool = False) -> PrintJob:
    """The pages of its proposal."""
    return proposal_job(offer(site, system), Extras(terms="Offer holds for 30 days."), PAPERS[paper], short)


def renamed(site: str, name: str) -> Offer:
    """An offer whose options all have one name."""
    proposer, proposal = sought(site)
    return offer_of(proposer, proposal, [of_option(option.renamed(name)) for option in proposal.options])


def _tree(site: str) -> dict[str, Any]:
    """A sample site by its name, or one that is changed here."""
    made = {"poisoned": _poisoned, "long": _long, "surface": _surface, "bare": _bare, "too much": _too_much, "soft": _soft}
    return made[site]() if site in made else tree_of(site)


def _court() -> dict[str, Any]:
    return tree_of("pebble-court-3")


def _poisoned() -> dict[str, Any]:
    """Arsenic and nitrate over their limits: nothing among the options takes them out."""
    tree = _court()
    tree["samples"][0]["results"] |= {"arsenic": "0.031 mg/L", "nitrate": "14 mg/L"}
    return tree


def overrun() -> Offer:
    """The same with everything over its limit that has one for health: a search of its own would take too long."""
    tree = _court()
    tree["samples"][0]["results"] |= {
        "arsenic": "0.5 mg/L", "nitrate": "90 mg/L", "nitrite": "9 mg/L", "fluoride": "12 mg/L", "lead": "0.9 mg/L", "barium": "9 mg/L",
        "copper": "9 mg/L", "uranium": "0.9 mg/L", "boron": "60 mg/L",
    }  # fmt: skip
    return replace(offer("poisoned"), unsolved=Site(Document.of(tree)).unsolved)


def _long() -> dict[str, Any]:
    tree = tree_of("marzipan-moth-tea-room")
    tree["site"]["name"] = LONG_SITE
    return tree


def _surface() -> dict[str, Any]:
    """E. coli in a well that surface water reaches, of moderate hardness."""
    tree = tree_of("marzipan-moth-tea-room")
    tree["supply"]["surface_influence"] = "yes"
    tree["samples"][0]["results"] |= {"e_coli": "present", "total_coliform": "present"}
    return tree


def _too_much() -> dict[str, Any]:
    """More pressure is wanted than the main has."""
    tree = _court()
    tree["goals"]["outlet_pressure"] = "70 psi"
    return tree


def _soft() -> dict[str, Any]:
    """Water that asks for nothing."""
    tree = _court()
    tree["samples"][0]["results"] |= {"hardness": "20 mg/L", "free_chlorine": "0.1 mg/L"}
    return tree


def _bare() -> dict[str, Any]:
    """No stage stands yet."""
    tree = _court()
    tree["stages"], tree["links"] = [], [{"from": "supply", "to": "house"}]
    tree.pop("items", None)
    return tree
