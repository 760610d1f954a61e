"""Files that are dropped on a window."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QMimeData

#: What a train's file may end in.
TRAINS = (".json",)
#: What a catalogue's file may end in.
CATALOGUES = (".toml", ".csv")


def dropped_files(data: QMimeData, endings: Sequence[str]) -> list[Path]:
    """Local files of a drag whose names end so, in their order."""
    paths = [Path(url.toLocalFile()) for url in data.urls() if url.isLocalFile()] if data.hasUrls() else []
    return [path for path in paths if path.suffix.lower() in endings]
