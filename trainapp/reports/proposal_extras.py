"""What a dealer puts on a proposal: a logo from a PNG or JPEG file, and terms from a text file."""

from __future__ import annotations

import datetime
import io
from dataclasses import dataclass, replace
from pathlib import Path

from trainapp.reports.export_file import ExportError
from trainapp.reports.print_pages import Picture

#: Box that a logo is shown in, px of the page; and dots in it at the most, so that a proposal stays small.
LOGO_WIDTH, LOGO_HEIGHT = 260.0, 64.0
_MOST_DOTS = (1300, 320)
_MOST_BYTES, _MOST_PIXELS = 20_000_000, 60_000_000
_MOST_TERMS = 200_000
#: What a logo may be, as its file says, not its name.
_FORMATS = ("PNG", "JPEG")


@dataclass(frozen=True, slots=True)
class Logo:
    """A logo, made ready: a PNG file, and how large it stands on the page, px."""

    png: bytes
    width: float
    height: float

    def within(self, width: float, height: float) -> Logo:
        """The same in a smaller box."""
        scale = min(1.0, width / self.width, height / self.height)
        return replace(self, width=self.width * scale, height=self.height * scale)

    def at(self, x: float, y: float) -> Picture:
        """The logo with its left upper corner there."""
        return Picture(self.png, x, y, self.width, self.height)


@dataclass(frozen=True, slots=True)
class Extras:
    """A dealer's own: logo, terms (line ends are kept), and the day of issue, None for none."""

    logo: Logo | None = None
    terms: str = ""
    issued: datetime.date | None = None

    @property
    def day(self) -> str:
        """The day of issue in a sentence, "" where none is given."""
        return f"Issued {self.issued.isoformat()}." if self.issued is not None else ""


def read_logo(path: str | Path) -> Logo:
    """A logo from its file.

    Raises:
        ExportError: no PNG or JPEG, too large, or damaged; one sentence that names the file.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    raw = _read(Path(path), _MOST_BYTES, "a logo")
    try:
        with Image.open(io.BytesIO(raw), formats=_FORMATS) as found:
            if found.width * found.height > _MOST_PIXELS:
                raise ExportError(f"{path}: {found.width} by {found.height} dots are too many for a logo")
            upright = ImageOps.exif_transpose(found).convert("RGBA")
    except (UnidentifiedImageError, Image.DecompressionBombError):
        raise ExportError(f"{path} is neither a PNG nor a JPEG picture") from None
    except (OSError, SyntaxError, ValueError) as error:
        if isinstance(error, ExportError):
            raise
        raise ExportError(f"{path} is damaged: it cannot be read as a picture") from None
    upright.thumbnail(_MOST_DOTS, Image.Resampling.LANCZOS)
    made = io.BytesIO()
    upright.save(made, "PNG")
    scale = min(LOGO_WIDTH / upright.width, LOGO_HEIGHT / upright.height)
    return Logo(made.getvalue(), upright.width * scale, upright.height * scale)


def read_terms(path: str | Path) -> str:
    """Terms from a text file in UTF-8; signs that nobody sees are left out.

    Raises:
        ExportError: it cannot be read, is no text, or is too long; one sentence that names the file.
    """
    raw = _read(Path(path), _MOST_TERMS, "terms")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ExportError(f"{path} is not a text in UTF-8") from None
    lines = text.expandtabs(4).splitlines()
    return "\n".join("".join(c if c.isprintable() else " " for c in line).rstrip() for line in lines).strip("\n")


def _read(path: Path, most: int, what: str) -> bytes:
    try:
        with path.open("rb") as file:
            raw = file.read(most + 1)
    except OSError as error:
        raise ExportError(f"{path} cannot be read: {error.strerror or error}") from None
    if len(raw) > most:
        raise ExportError(f"{path} is larger than {most // 1000:,} kB, too much for {what}")
    return raw


__all__ = ["Extras", "Logo", "read_logo", "read_terms"]
