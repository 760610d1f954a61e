"""A search that has too much to look at: it answers all the same, says so, and never offers what does not stand up."""

from __future__ import annotations

from pathlib import Path

import pytest

from trainapp.reports.options_json import options_json
from trainapp.reports.options_text import options_lines
from trainapp.studies.options import propose, search
from trainapp.train.document import load

_ROOT = Path(__file__).resolve().parents[2]


def test_what_was_not_looked_at_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    train = load(_ROOT / "samples" / "marzipan-moth-tea-room.train.json")
    whole = propose(train)
    monkeypatch.setattr(search, "_MOST_PAIRS", 100)
    cut = propose(train)
    assert whole.tally.followed == 0 and cut.tally.followed > 0
    assert cut.options and not any(option.measured.fails for option in cut.options)
    least = min(option.value("buy") for option in whole.options)
    assert min(option.value("buy") for option in cut.options) >= least
    told = " ".join(" ".join(options_lines(cut)).split())
    assert "trains that were not looked at may do better" in told
    assert "may do better" in options_json(cut)["not_all_looked_at"] and "not_all_looked_at" not in options_json(whole)
