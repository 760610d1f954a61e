"""Order of work and start-up of the job sheet: what has to be put in, set, charged and disinfected, each with its figure."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from tests.reports.printing import evaluated, flowed, site, tree_of
from tests.reports.test_job_sheet_pipes import lanes
from trainapp.reports.drawing.display import Text
from trainapp.reports.handover_sheets import upkeep_job
from trainapp.reports.job_sheet import job_sheet
from trainapp.reports.job_sheet_lines import Section, lines
from trainapp.reports.job_sheet_names import place_names
from trainapp.reports.job_sheet_tables import SheetTables
from trainapp.reports.job_sheet_values import LineValues
from trainapp.reports.ledger import Ledger
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import PAPERS
from trainapp.reports.print_sources import Citations
from trainapp.spelling import american, spelt_in
from trainapp.train.evaluation import Evaluation

LETTER = PAPERS["letter"]


def told(section: Section, evaluation: Evaluation) -> str:
    model = Ledger(evaluation, [], "us").model
    values = LineValues(evaluation, model, place_names(model), "us").all()
    return "\n".join(line.text.format(**values) for line in lines(section, evaluation)).replace("\u202f", " ")


def printed(tree: dict[str, Any]) -> list[Text]:
    job = job_sheet(*evaluated(tree), "us", LETTER)
    return [text for _, texts in flowed(job) for text, _ in texts]


def test_a_blend_is_set_at_the_peak_and_checked_at_two_flows() -> None:
    evaluation, _ = evaluated(lanes())
    flow = evaluation.stages["blend"].flow[-1] / 6.30902e-5
    assert f"At the peak it takes: Bypass: {flow:.1f} gpm of 7.0 gpm, 20 %." in told("work", evaluation)
    start = told("start", evaluation)
    assert "each bypass was set to its share" in start and "ahead of 3 Pressure regulator" in start and "at the day's average flow" in start


def test_a_closed_bypass_is_tagged_and_not_set() -> None:
    tree = lanes()
    next(stage for stage in tree["stages"] if stage["id"] == "blend")["settings"] = {"position": "closed"}
    work = told("work", evaluated(tree)[0])
    assert "Close and tag what is drawn closed: Bypass." in work and "can be set" not in work


def test_the_tank_is_charged_and_its_relief_valve_is_put_in_and_tried() -> None:
    evaluation, _ = site("inkwell-croft")
    work, start = told("work", evaluation), told("start", evaluation)
    assert "Charge the pressure tank (" in work and "psi of air while it is empty of water." in work
    assert "A relief valve at the pressure tank" in work and "would push 92.0 psi." in work
    assert "The air in the empty pressure tank was read: " in start and "The relief valve at the pressure tank was opened" in start
    assert "relief valve" not in told("work", site("pebble-court-3")[0])


def test_a_storage_tank_gets_its_cover_vent_and_overflow() -> None:
    tree = lanes()
    tree["stages"][-1] = {"id": "reg", "kind": "storage_pump", "settings": {"volume": "300 gal"}}
    assert "a screened vent, and a screened overflow that ends above a drain" in told("work", evaluated(tree)[0])


def test_metal_at_the_chamber_has_its_length_and_untreated_taps_their_breaker() -> None:
    work = told("work", site("lone-alder-farm")[0])
    assert "Metal pipe for 12 in at least on both sides" in work and "a vacuum breaker" in work and "as the code asks" in work


def test_new_pipe_is_disinfected_where_no_chamber_stands() -> None:
    lone, court = (told("start", site(name)[0]) for name in ("lone-alder-farm", "pebble-court-3"))
    assert "New pipe and fittings have been filled with a chlorine solution as the local code says" in court
    assert court.index("New pipe and fittings") < court.index("The chlorine for it was fed in behind softener and carbon")
    assert "New pipe and fittings" not in lone and "All pipes behind the chamber" in lone


def test_heights_stand_where_the_order_of_work_says() -> None:
    words = [text.text for text in printed(tree_of("lone-alder-farm"))]
    assert {"Free above", "Ports at", "33/52"} <= set(words)
    work = told("work", site("lone-alder-farm")[0])
    assert "keep the free heights that stand in the rows under it" in work and "the overhead run at 72 in" in work


def test_the_day_of_start_up_comes_from_the_log() -> None:
    tree = tree_of("pebble-court-3")
    tree["log"] = [{"event": "upkeep", "date": "2026-03-14", "what": "Start-up"}]
    assert "2026-03-14" in {text.text for text in printed(tree)}


def test_the_line_to_sign_stays_with_the_table_above_it() -> None:
    for name in ("lone-alder-farm", "inkwell-croft"):
        for page in job_sheet(*site(name), "us", LETTER).pages:
            words = {text.text for _, texts in flowed(PrintJob("", "", (page,))) for text, _ in texts}
            assert ("date of start-up" in words) == ("designed for" in words)


def test_a_mark_goes_over_the_page_with_its_text() -> None:
    flow = Flow(LETTER, "running")
    flow.new_page()
    flow.y = flow.bottom - 60.0
    before = len(flow.items)
    flow.marked("note", "word " * 60)
    assert flow.count == 3 and len(flow._items[1]) == before


def test_safety_of_electricity_reads_as_its_reader_spells() -> None:
    assert spelt_in("an earthed outlet; a licence", True) == "a grounded outlet; a license"
    assert spelt_in("an earthed outlet; a licence", False) == "an earthed outlet; a licence"


@pytest.mark.parametrize(("locale", "words"), [("en_US.UTF-8", ("color", "grounded")), ("en_GB.UTF-8", ("colour", "earthed"))])
def test_papers_are_spelt_alike(locale: str, words: tuple[str, str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LC_ALL", locale)
    american.cache_clear()
    evaluation, found = site("lone-alder-farm")
    pages = job_sheet(evaluation, found, "us", LETTER), upkeep_job(evaluation, evaluation.plan.document, "us", LETTER, date(2026, 3, 14))
    for job in pages:
        told = " ".join(text.text for _, texts in flowed(job) for text, _ in texts)
        assert all(word in told for word in words)
    american.cache_clear()


def test_a_least_length_is_never_told_shorter() -> None:
    evaluation, _ = site("lone-alder-farm", "metric")
    model = Ledger(evaluation, [], "metric").model
    assert LineValues(evaluation, model, place_names(model), "metric").all()["metal_run"] == "305\u202fmm"


def test_sizes_of_valves_are_nominal_as_those_of_pipes() -> None:
    ledger = Ledger(*site("inkwell-croft", "metric"), "metric")
    told = " ".join(cell for row in SheetTables(ledger, Citations()).stages().rows for cell in row)
    assert "valve DN 32" in told and "1-1/4 in" not in told
