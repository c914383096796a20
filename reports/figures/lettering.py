"""The typeface, and the one rule about which texts it can print.

A text the fonts cannot print, or that could print as something else than it is
(control characters, direction marks, scripts that need shaping), is refused with
the name of its field. Nothing is replaced by a box or left out.
"""

import re
import unicodedata
from functools import cache, lru_cache
from pathlib import Path

from reportlab.graphics import shapes
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR = "DejaVuSansCondensed"
BOLD = "DejaVuSansCondensed-Bold"
OBLIQUE = "DejaVuSansCondensed-Oblique"

_TYPEFACE = Path(__file__).parent / "typeface"
_PLAIN = re.compile(r"[ -~\n]*")
_UNPRINTABLE = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
_RIGHT_TO_LEFT = frozenset({"R", "AL", "AN"})


class UnprintableText(ValueError):
    """A text holds a character that the document cannot print as it is."""

    def __init__(self, *, field: str, character: str) -> None:
        name = unicodedata.name(character, "unnamed")
        super().__init__(
            f"{field} holds U+{ord(character):04X} ({name}), "
            "which the document's fonts cannot print"
        )
        self.field = field
        self.character = character


@cache
def register() -> None:
    """Make the three faces known to the drawing library, once a process."""
    # A drawing begins with this font even if no text uses it; the library's own
    # default would stand in the file without being embedded.
    shapes.STATE_DEFAULTS["fontName"] = REGULAR
    for name in (REGULAR, BOLD, OBLIQUE):
        pdfmetrics.registerFont(TTFont(name, str(_TYPEFACE / f"{name}.ttf")))
    pdfmetrics.registerFontFamily(
        REGULAR, normal=REGULAR, bold=BOLD, italic=OBLIQUE, boldItalic=BOLD
    )


@cache
def _letters() -> frozenset[int]:
    """Return the code points that all three faces have."""
    register()
    faces = [pdfmetrics.getFont(name).face for name in (REGULAR, BOLD, OBLIQUE)]
    return frozenset.intersection(*(frozenset(face.charToGlyph) for face in faces))


def printable(text: str, *, field: str) -> str:
    """Return the text in NFC. Raises UnprintableText."""
    if _PLAIN.fullmatch(text):
        return text
    normal = unicodedata.normalize("NFC", text)
    refused = _first_refused(normal)
    if refused is not None:
        raise UnprintableText(field=field, character=refused)
    return normal


def first_unprintable(text: str) -> str | None:
    """Return the first letter that documents cannot print; None where there is none."""
    if _PLAIN.fullmatch(text):
        return None
    return _first_refused(unicodedata.normalize("NFC", text))


@lru_cache(maxsize=8192)
def _first_refused(text: str) -> str | None:
    return next((letter for letter in text if not _can_print(letter)), None)


def _can_print(letter: str) -> bool:
    if letter == "\n":
        return True
    if unicodedata.category(letter) in _UNPRINTABLE:
        return False
    if unicodedata.bidirectional(letter) in _RIGHT_TO_LEFT:
        return False
    return ord(letter) in _letters()


def width(text: str, *, size: float, face: str = REGULAR) -> float:
    """Return how wide a text prints, in points."""
    register()
    return float(pdfmetrics.stringWidth(text, face, size))


def shortened(text: str, *, size: float, room: float, face: str = REGULAR) -> str:
    """Return the text, or its beginning with an ellipsis, to fit into the room.

    Only for figures, beside which the full text stands in the document.
    """
    if width(text, size=size, face=face) <= room:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if width(text[:middle] + "…", size=size, face=face) <= room:
            low = middle
        else:
            high = middle - 1
    return text[:low].rstrip() + "…"
