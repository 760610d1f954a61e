"""The JSON that commands print."""

from __future__ import annotations

import json
import sys


def json_text(tree: object) -> str:
    """One object as text. JSON is UTF-8 by its own rules; where the terminal is not, escapes say the same."""
    plain = "utf" not in (getattr(sys.stdout, "encoding", "") or "").lower()
    return json.dumps(tree, ensure_ascii=plain, indent=1, allow_nan=False)
