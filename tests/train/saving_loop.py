"""Run as a process by the tests of saving: forks a child that saves two documents in turn, without end, for each line it is sent."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from trainapp.train.document import loads
from trainapp.train.store import save


def main(folder: Path) -> None:
    documents = [loads((folder / name).read_text("utf-8")) for name in ("first.json", "second.json")]
    for line in sys.stdin:
        child = os.fork()
        if not child:
            while True:
                for document in documents:
                    save(document, line.strip())
        print(child, flush=True)
        os.waitpid(child, 0)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
