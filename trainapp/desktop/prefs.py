"""What the program remembers of its user: units, theme, size of the window, the last folder. Kept by Qt, beside no document."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import cast

from PySide6.QtCore import QSettings, QSize

from trainapp.desktop.recent import RecentFiles
from trainapp.desktop.theme import CHOICES, Choice


class Prefs:
    """Preferences; what is not there or makes no sense reads as its default."""

    def __init__(self, settings: QSettings | None = None) -> None:
        self._kept = settings or QSettings(QSettings.Format.IniFormat, QSettings.Scope.UserScope, "trainapp", "trainapp")
        self.recent = RecentFiles(self._kept)

    def _word(self, key: str, allowed: tuple[str, ...]) -> str:
        word = str(self._kept.value(key, allowed[0]))
        return word if word in allowed else allowed[0]

    @property
    def units(self) -> str:
        """ "us" or "metric"."""
        return self._word("units", ("us", "metric"))

    @units.setter
    def units(self, value: str) -> None:
        self._kept.setValue("units", value)

    @property
    def theme(self) -> Choice:
        """The theme that was asked for."""
        return cast(Choice, self._word("theme", CHOICES))

    @theme.setter
    def theme(self, value: Choice) -> None:
        self._kept.setValue("theme", value)

    @property
    def high_contrast(self) -> bool:
        """Whether contrast is high."""
        return self._word("contrast", ("normal", "high")) == "high"

    @high_contrast.setter
    def high_contrast(self, value: bool) -> None:
        self._kept.setValue("contrast", "high" if value else "normal")

    @property
    def size(self) -> QSize | None:
        """Size of the last window, None before there was one."""
        value = self._kept.value("size")
        return value if isinstance(value, QSize) and value.isValid() else None

    @size.setter
    def size(self, value: QSize | None) -> None:
        if value is not None:
            self._kept.setValue("size", value)

    @property
    def folder(self) -> str:
        """Where files were opened or saved last."""
        text = str(self._kept.value("folder", ""))
        return text or str(Path.home())

    @folder.setter
    def folder(self, value: str) -> None:
        self._kept.setValue("folder", value)

    @property
    def catalogues(self) -> tuple[Path, ...]:
        """The user's own catalogues."""
        return self._paths("catalogues")

    def _paths(self, key: str) -> tuple[Path, ...]:
        try:
            names = json.loads(str(self._kept.value(key, "[]")))
        except ValueError:
            return ()
        return tuple(Path(name) for name in names if isinstance(name, str) and name) if isinstance(names, list) else ()

    @catalogues.setter
    def catalogues(self, paths: Iterable[Path]) -> None:
        self._kept.setValue("catalogues", json.dumps([str(path) for path in paths], ensure_ascii=False))

    @property
    def recovery(self) -> Path:
        """Folder of copies of what was not saved."""
        return Path(self._kept.fileName()).parent / "recovery"

    @property
    def price_list(self) -> Path | None:
        """The user's own price list, None for the program's invented one."""
        name = str(self._kept.value("price list", ""))
        return Path(name) if name else None

    @price_list.setter
    def price_list(self, path: Path | None) -> None:
        self._kept.setValue("price list", str(path) if path is not None else "")

    @property
    def guesses(self) -> str:
        """What classes guessed in lessons, as JSON text."""
        return str(self._kept.value("guesses", "{}"))

    @guesses.setter
    def guesses(self, text: str) -> None:
        self._kept.setValue("guesses", text)

    @property
    def lessons(self) -> tuple[Path, ...]:
        """Files of the user's own lessons, in the order that they came in."""
        return self._paths("lessons")

    @lessons.setter
    def lessons(self, paths: Iterable[Path]) -> None:
        self._kept.setValue("lessons", json.dumps([str(path) for path in paths], ensure_ascii=False))

    @property
    def papers(self) -> str:
        """Files of the dealer's own that papers are made with, as JSON text."""
        return str(self._kept.value("papers", "{}"))

    @papers.setter
    def papers(self, text: str) -> None:
        self._kept.setValue("papers", text)

    @property
    def keys(self) -> Mapping[str, tuple[str, ...]]:
        """Shortcuts of the user's own by command, in Qt's portable text; none for a command that has no key any more."""
        try:
            kept = json.loads(str(self._kept.value("keys", "{}")))
        except ValueError:
            return {}
        if not isinstance(kept, dict):
            return {}
        return {str(name): tuple(map(str, keys)) for name, keys in kept.items() if isinstance(keys, list)}

    @keys.setter
    def keys(self, keys: Mapping[str, Iterable[str]]) -> None:
        self._kept.setValue("keys", json.dumps({name: list(texts) for name, texts in keys.items()}))
