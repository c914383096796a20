"""Looking into a PDF: its pages as text, folded so that line breaks do not matter."""

import io
import re
import unicodedata
from functools import lru_cache

from pypdf import PdfReader


def reader(drawn):
    return PdfReader(io.BytesIO(drawn), strict=True)


def folded(text):
    """Return a text in NFC without any white space."""
    return re.sub(r"\s+", "", unicodedata.normalize("NFC", text))


@lru_cache(maxsize=16)
def pages(drawn):
    """Return the folded text of every page."""
    return [folded(page.extract_text()) for page in reader(drawn).pages]


def whole(drawn):
    """Return the folded text of the whole document."""
    return "".join(pages(drawn))
