"""Scroll areas whose viewport shows whether the keyboard is there."""

from __future__ import annotations

from PySide6.QtGui import QFocusEvent


class FocusSeen:
    """Stands before a scroll area among the bases of its class: what is painted in the viewport is painted anew with the focus."""

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)  # type: ignore[misc]
        self.viewport().update()  # type: ignore[attr-defined]

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)  # type: ignore[misc]
        self.viewport().update()  # type: ignore[attr-defined]
