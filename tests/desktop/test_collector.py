"""Circles are collected on the window's thread, whichever thread makes them."""

from __future__ import annotations

import gc
import threading
import weakref

from pytestqt.qtbot import QtBot

from trainapp.desktop.collector import Collector, tidy


class _Circle:
    def __init__(self) -> None:
        self.own = self


def test_what_a_worker_drops_is_collected_on_the_windows_thread(qtbot: QtBot) -> None:
    usual = gc.get_threshold()
    gc.set_threshold(700, 10, 10)  # the prompt's own, if it ran in this process, are far higher
    collector = Collector()
    threads: list[int] = []
    gone: list[int] = []

    def heard(phase: str, _info: dict[str, int]) -> None:
        threads.append(threading.get_ident())

    def work() -> None:
        for _ in range(5000):
            weakref.finalize(_Circle(), gone.append, 1)

    gc.callbacks.append(heard)
    try:
        worker = threading.Thread(target=work)
        worker.start()
        worker.join()
        assert not gone
        qtbot.waitUntil(lambda: len(gone) == 5000, timeout=10_000)
    finally:
        gc.callbacks.remove(heard)
        collector.stop()
        gc.set_threshold(*usual)
    assert set(threads) == {threading.get_ident()}
    assert gc.isenabled()


def test_nothing_is_collected_before_it_is_due() -> None:
    gc.collect()
    rounds: list[str] = []

    def heard(phase: str, _info: dict[str, int]) -> None:
        rounds.append(phase)

    gc.callbacks.append(heard)
    try:
        tidy()
    finally:
        gc.callbacks.remove(heard)
    assert not rounds
