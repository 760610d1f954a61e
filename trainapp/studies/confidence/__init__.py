"""Confidence: how often the verdict on a train holds when lab error, season and flow are drawn, and which of them matters most."""

from __future__ import annotations

from trainapp.studies.confidence.spreads import Spreads, SpreadsError, default_spreads, read_spreads
from trainapp.studies.confidence.study import Confidence, Met, Share, confidence

__all__ = ["Confidence", "Met", "Share", "Spreads", "SpreadsError", "confidence", "default_spreads", "read_spreads"]
