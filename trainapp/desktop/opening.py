"""From a file to a session. Loads the engine, so it is imported once the window stands."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, cast

from trainapp.desktop.engine import System
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.train.document import Document, DocumentError, blank, load
from trainapp.train.store import StoreError

if TYPE_CHECKING:
    from trainapp.studies.cost import PriceList


@dataclass(frozen=True, slots=True)
class Aside:
    """A train that is worked on beside another one of the same site.

    Attributes:
        called: what tells its window from that of the other. prices: that it is counted with.
    """

    document: Document
    called: str
    prices: PriceList


def session_of(document: Document | Aside, prefs: Prefs) -> Session:
    """The session of a document that has no file yet."""
    if isinstance(document, Document):
        return Session(document, system=cast(System, prefs.units))
    session = Session(document.document, system=cast(System, prefs.units))
    session.called, session.prices = document.called, document.prices
    return session


def open_session(path: Path | None, prefs: Prefs, copy: bool = False) -> tuple[Session | None, str]:
    """The session of a file or of a new train; None with one sentence where the file cannot be used.

    Args:
        copy: work on a copy without a file, so that a sample is not written over.
    """
    system = cast(System, prefs.units)
    try:
        document = load(path) if path is not None else blank()
        return Session(document, None if copy else path, system=system), ""
    except (DocumentError, StoreError) as error:
        name = path.name if path is not None else "A new train"
        return None, f"{name} cannot be opened. {error}."
