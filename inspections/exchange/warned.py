"""What a file's readings are warned of, in the reader's language.

The intake says it in English. A sentence that is not known here stays as it was said.
"""

import re
from datetime import date

from django.utils import formats
from django.utils.translation import get_language, gettext

from inspections import wording
from inspections.intake.gauging import OVERDUE
from inspections.kinds import KINDS
from inspections.reasons import Code, because

_OVERDUE = re.compile(
    r"(?:(?P<first>.*); )?"
    + re.sub(r"\\\{(\w+)\\\}", r"(?P<\1>.*)", re.escape(OVERDUE)),
    re.DOTALL,
)
_WORD = re.compile(r"(?P<kind>\w+): (?P<word>\w+)")


def in_words(warning: str) -> str:
    """Return a warning in the active language."""
    if get_language() in (None, "en"):
        return warning
    overdue = _OVERDUE.fullmatch(warning)
    if overdue is None:
        return _one(warning)
    day = formats.date_format(date.fromisoformat(overdue["day"]), "SHORT_DATE_FORMAT")
    said = gettext(OVERDUE).format(gauge=overdue["gauge"], day=day)
    return f"{_one(overdue['first'])}; {said}" if overdue["first"] else said


def _one(warning: str) -> str:
    word = _WORD.fullmatch(warning)
    if word is None or word["kind"] not in KINDS:
        return gettext(warning)
    return wording.say(because(Code.WORD_UNSAFE, **word.groupdict()))
