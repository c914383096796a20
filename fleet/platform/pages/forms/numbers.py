"""A number as a person writes it, with the mark of the own language or the other.

What can be read in two ways is refused, for a limit that is a thousand times too large
looks like any other. The strict grammar behind is that of `fleet/platform/units.py`.
"""

import re

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

_COMMA_LANGUAGES = frozenset({"de"})
_BLANKS = str.maketrans({"\u00a0": " ", "\u202f": " ", "\u2212": "-"})
# Up to three digits that do not begin with 0, a mark, three digits: also thousands.
_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2}([.,][0-9]{3})+", re.ASCII)


def mark_of(language: str) -> str:
    """Return the decimal mark of a language.

    >>> mark_of("de"), mark_of("en")
    (',', '.')
    """
    return "," if language[:2] in _COMMA_LANGUAGES else "."


def plain(text: str, *, language: str) -> str:
    """Return a typed number with a decimal point, as the grammar takes it.

    Raises ValidationError for what can be read in two ways; whether the rest is a
    number at all is left to the grammar.

    >>> plain("12,7", language="en"), plain("1 3/16", language="en")
    ('12.7', '1 3/16')
    """
    text = " ".join(text.translate(_BLANKS).split())
    if ("," in text and "." in text) or text.count(",") > 1 or text.count(".") > 1:
        raise ValidationError(
            _("“%(text)s”: leave out the mark for thousands, as in 1234.5 or 1234,5.")
            % {"text": text[:40]}
        )
    own = mark_of(language)
    other = "." if own == "," else ","
    if other in text and _THOUSANDS.fullmatch(text):
        raise ValidationError(
            _(
                "“%(text)s” can be read in two ways. Write %(decimal)s or "
                "%(whole)s, whichever is meant."
            )
            % {
                "text": text[:40],
                "decimal": text.replace(other, own),
                "whole": text.replace(other, ""),
            }
        )
    return text.replace(",", ".")


def written(value: float, *, language: str) -> str:
    """Return a number as its reader writes it, six figures at most.

    >>> written(12.7, language="de"), written(600.0, language="en")
    ('12,7', '600')
    """
    text = f"{value:.6g}"
    if "e" in text:
        text = f"{value:.6f}".rstrip("0").rstrip(".")
    return text.replace(".", mark_of(language))
