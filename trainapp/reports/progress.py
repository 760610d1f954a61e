"""Progress at the prompt: nothing for what is quick, one line on standard error for what is not."""

from __future__ import annotations

import signal
import sys
import threading
import time
from types import FrameType, TracebackType
from typing import Any, Self

#: s that a command may take before it says how far it is, and s between two sayings.
_QUIET, _EVERY = 0.5, 0.2


class Progress:
    """Tells how far something is; a context that leaves no half a line behind, whatever ends it.

    An interrupt from the keyboard that comes while Python throws something away is lost with what it was thrown into; here it is kept, and
    raised again at the next telling.

    Args:
        what: "Running the year".
    """

    def __init__(self, what: str) -> None:
        self._what, self._began, self._said, self._shown = what, time.monotonic(), 0.0, 0
        self._interrupted = False
        self._before: Any = None

    def __call__(self, share: float) -> bool:
        """Tell a share from 0 to 1; answers True: go on.

        Raises:
            KeyboardInterrupt: one has come meanwhile.
        """
        if self._interrupted:
            raise KeyboardInterrupt
        now = time.monotonic()
        if now - self._began >= _QUIET and now - self._said >= _EVERY:
            self._said = now
            self._write(f"{self._what}: {100 * share:.0f} %")
        return True

    def _write(self, text: str) -> None:
        if not sys.stderr.isatty():
            # a file gets a line now and then instead of one that is written over
            print(text, file=sys.stderr)
            self._said += 5.0
            return
        print(f"\r{text:<{self._shown}}", end="", file=sys.stderr, flush=True)
        self._shown = len(text)

    def _interrupt(self, number: int, frame: FrameType | None) -> None:
        self._interrupted = True
        raise KeyboardInterrupt

    def __enter__(self) -> Self:
        # handlers belong to the main thread, and one that somebody else has set stays
        if threading.current_thread() is threading.main_thread() and signal.getsignal(signal.SIGINT) is signal.default_int_handler:
            self._before = signal.signal(signal.SIGINT, self._interrupt)
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        if self._before is not None:
            signal.signal(signal.SIGINT, self._before)
        if self._shown:
            print(f"\r{'':<{self._shown}}\r", end="", file=sys.stderr, flush=True)
        if kind is not None and issubclass(kind, KeyboardInterrupt):
            print(f"{self._what}: stopped, nothing was written", file=sys.stderr)
