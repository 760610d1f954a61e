"""The upkeep calendar: as another program reads it, and as RFC 5545 writes it."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from tests.reports.printing import SITES, evaluated, site, tree_of
from trainapp.cli import app
from trainapp.reports import calendar
from trainapp.reports.calendar import calendar_text, notice_of, write_calendar
from trainapp.reports.export_file import ExportError
from trainapp.reports.upkeep import Task, upkeep
from trainapp.reports.upkeep_log import due, first_day, row_of

START = datetime.date(2026, 5, 4)


def events(name: str = "lone-alder-farm", start: datetime.date = START) -> list[Any]:
    return icalendar.Calendar.from_ical(calendar_text(site(name)[0], start)).walk("VEVENT")


def lamp(found: list[Any]) -> Any:
    return next(event for event in found if "Change the UV lamp" in event["SUMMARY"])


def task(days: float, item: str = "", what: str = "Do it") -> Task:
    return Task("uv", what, days, item, 1.0, "none", "common-practice", "common practice")


@pytest.mark.parametrize("name", SITES)
def test_every_chore_is_an_event_that_another_program_reads(name: str) -> None:
    found, tasks = events(name), upkeep(site(name)[0])
    assert len(found) == len(tasks) > 3
    for event, chore in zip(found, tasks, strict=True):
        assert event["SUMMARY"].startswith(f"{chore.short} (") and chore.told.rstrip(".") in event["DESCRIPTION"]
        assert f"({chore.status})" in event["DESCRIPTION"]
        assert event["DTSTART"].dt > START and ("RRULE" in event) != chore.once


def test_a_lamp_is_changed_after_twelve_months_with_thirty_days_notice() -> None:
    # common practice, no source
    event = lamp(events())
    assert event["DTSTART"].dt == datetime.date(2027, 5, 4) and event["RRULE"]["FREQ"] == ["YEARLY"]
    (alarm,) = event.walk("VALARM")
    assert alarm["TRIGGER"].dt == -datetime.timedelta(days=30) and alarm["ACTION"] == "DISPLAY"
    assert "burns eyes and skin" in event["DESCRIPTION"] and "mercury" in event["DESCRIPTION"]


def test_what_rfc_5545_asks_of_every_calendar_and_event_is_there() -> None:
    whole = icalendar.Calendar.from_ical(calendar_text(site("lone-alder-farm")[0], START))
    assert whole["VERSION"] == "2.0" and whole["PRODID"]  # 3.6: both are required
    for event in whole.walk("VEVENT"):  # 3.6.1: UID and DTSTAMP are required
        assert event["UID"] and event["DTSTAMP"].dt.tzinfo is not None
    assert not whole.errors and not any(event.errors for event in whole.walk("VEVENT"))


@pytest.mark.parametrize("name", SITES)
def test_lines_end_in_crlf_and_hold_at_most_75_octets(name: str) -> None:
    raw = calendar_text(site(name)[0], START).encode("utf-8")
    assert raw.endswith(b"\r\n") and b"\n" not in raw.replace(b"\r\n", b"")
    assert max(map(len, raw.split(b"\r\n"))) == 75


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=200))
def test_any_text_comes_back_as_it_was(text: str) -> None:
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:x", "BEGIN:VEVENT", f"SUMMARY:{calendar._text(text)}", "END:VEVENT", "END:VCALENDAR"]
    raw = "".join(f"{piece}\r\n" for line in lines for piece in calendar._fold(line))
    assert max(len(line.encode("utf-8")) for line in raw.split("\r\n")) <= 75
    (event,) = icalendar.Calendar.from_ical(raw).walk("VEVENT")
    wanted = "".join(c if c.isprintable() or c == "\n" else " " if c.isspace() else "" for c in text.strip())
    assert str(event["SUMMARY"]) == wanted


def test_events_keep_their_names_whatever_the_day_of_start_up() -> None:
    first, later = events(), events(start=datetime.date(2028, 1, 31))
    assert [e["UID"] for e in first] == [e["UID"] for e in later] and len({e["UID"] for e in first}) == len(first)
    assert not {e["UID"] for e in first} & {e["UID"] for e in events("inkwell-croft")}


def test_a_chore_in_the_log_renews_its_event_a_year_after_it_was_done() -> None:
    tree, log = tree_of("lone-alder-farm"), [row_of(datetime.date(2026, 1, 10), "", "Start-up")]
    day = datetime.date(2026, 1, 10)
    before = icalendar.Calendar.from_ical(calendar_text(evaluated(tree | {"log": log})[0], day)).walk("VEVENT")
    assert lamp(before)["DTSTART"].dt == datetime.date(2027, 1, 10)
    log.append(row_of(datetime.date(2026, 11, 1), "uv", "Change the UV lamp"))
    evaluation = evaluated(tree | {"log": log})[0]
    after = icalendar.Calendar.from_ical(calendar_text(evaluation, day)).walk("VEVENT")
    assert lamp(after)["DTSTART"].dt == datetime.date(2027, 11, 1)
    assert [e["UID"] for e in after] == [e["UID"] for e in before] and after[0]["DTSTAMP"].dt > before[0]["DTSTAMP"].dt
    # the list of the window and the printed plan
    assert sorted(e["DTSTART"].dt for e in after) == [item.date for item in due(evaluation, evaluation.plan.document, START)]


def test_a_chore_comes_first_however_long_the_name_of_the_site() -> None:
    tree = tree_of("lone-alder-farm")
    tree["site"]["name"] = "House of very many letters " * 4
    found = icalendar.Calendar.from_ical(calendar_text(evaluated(tree)[0], START)).walk("VEVENT")
    assert not any(str(event["SUMMARY"]).startswith("House") for event in found)
    assert all("House of very many letters" in event["SUMMARY"] for event in found)


def test_another_setting_renews_an_event_and_adds_none() -> None:
    tree = tree_of("lone-alder-farm")
    tree["stages"][4]["settings"]["lamp_life"] = "6000 h"
    changed = icalendar.Calendar.from_ical(calendar_text(evaluated(tree)[0], START)).walk("VEVENT")
    assert lamp(changed)["UID"] == lamp(events())["UID"]
    assert lamp(changed)["DTSTART"].dt < lamp(events())["DTSTART"].dt


def test_the_same_train_and_day_give_the_same_bytes() -> None:
    assert calendar_text(site("lone-alder-farm")[0], START) == calendar_text(evaluated(tree_of("lone-alder-farm"))[0], START)


@given(st.dates(datetime.date(1970, 1, 1), datetime.date(2200, 12, 31)), st.floats(0.5, 50 * 365.25))
def test_the_first_day_is_one_interval_on_and_stands_in_every_month(start: datetime.date, days: float) -> None:
    chore = task(days)
    first = first_day(chore, start)
    assert first > start and abs((first - start).days - days) <= 4 + 0.06 * 365.25
    if chore.rhythm.unit in ("month", "year"):
        # RFC 5545, 3.3.10: dates that do not exist are left out, so a day after the 28th would skip months
        assert first.day <= 28


@pytest.mark.parametrize(
    ("item", "days", "notice"), [("UV lamp", 365.25, 30), ("UV lamp", 20.0, 30), ("resin", 4383.0, 7), ("salt", 30.4, 1)]
)
def test_notice_follows_what_it_uses_and_how_seldom_it_comes(item: str, days: float, notice: int) -> None:
    assert notice_of(task(days, item)) == notice


def test_a_site_that_writes_like_a_calendar_cannot_break_it() -> None:
    tree = tree_of("lone-alder-farm")
    tree["site"]["name"] = "A; B, C\\n\r\nBEGIN:VEVENT\u2028ÅÄÖ"
    whole = icalendar.Calendar.from_ical(calendar_text(evaluated(tree)[0], START))
    assert len(whole.walk("VEVENT")) == len(events())
    assert "(A; B, C\\n" in str(whole.walk("VEVENT")[-1]["SUMMARY"])


# Files and the command --------------------------------------------------------------------------------------------------------


def test_a_file_is_whole_or_not_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "upkeep.ics"
    assert write_calendar(site("lone-alder-farm")[0], path, START) == len(events())

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    before = path.read_bytes()
    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(ExportError, match="No space left"):
        write_calendar(site("inkwell-croft")[0], path, START)
    assert path.read_bytes() == before and [p.name for p in tmp_path.iterdir()] == ["upkeep.ics"]


def run(*words: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, list(words))
    return result.exit_code, result.stdout, result.stderr


def test_the_command_counts_from_the_day_of_start_up(farm_well: Path, tmp_path: Path) -> None:
    out = tmp_path / "upkeep.ics"
    code, said, _ = run("calendar", str(farm_well), "--out", str(out), "--start", "2026-05-04")
    assert code == 0 and said.strip() == f"Wrote {out}, {len(events())} chores"
    assert out.read_bytes().decode("utf-8") == calendar_text(site("lone-alder-farm")[0], START)


def test_without_a_day_it_counts_from_today(farm_well: Path, tmp_path: Path) -> None:
    out = tmp_path / "upkeep.ics"
    assert run("calendar", str(farm_well), "--out", str(out))[0] == 0
    stamp = icalendar.Calendar.from_ical(out.read_bytes()).walk("VEVENT")[0]["DTSTAMP"].dt.date()
    assert abs((stamp - datetime.date.today()).days) <= 1


@pytest.mark.parametrize(
    ("out", "start", "sentence"),
    [
        ("upkeep.txt", "2026-05-04", "a calendar ends in .ics"), ("none/upkeep.ics", "2026-05-04", "there is no folder"),
        ("upkeep.ics", "4.5.2026", '--start: "4.5.2026" is not a day'), ("upkeep.ics", "2026-02-30", "is not a day"),
        ("upkeep.ics", "0001-01-01", "is not a day"),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_one_sentence(farm_well: Path, tmp_path: Path, out: str, start: str, sentence: str) -> None:
    code, said, error = run("calendar", str(farm_well), "--out", str(tmp_path / out), "--start", start)
    assert code == 2 and said == "" and sentence in error and error.count("\n") == 1
    assert list(tmp_path.iterdir()) == []
