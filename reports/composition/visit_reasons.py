"""Why a reading is due, in the reader's words: patterns of the worklist's sentences."""

import re
from collections.abc import Callable
from datetime import date

from django.utils.translation import gettext as _

from reports.composition import reasons, words
from reports.composition.reader import Reader

_DAY = r"(\d{4}-\d{2}-\d{2})"
_NEVER = "not read yet on the part fitted now"
_AGE = re.compile(rf"last read on {_DAY}, due again since {_DAY}")
_HELD = re.compile(rf"the reading of {_DAY} is held until it is confirmed")
_UNCONFIRMED = re.compile(
    rf"the reading of {_DAY} acts as if true until it is measured again"
)
_REACHED = re.compile(r"(.+) may already be at its limit")
_SUSPENDED = re.compile(r"the forecast of (.+?) is suspended(?:: (.+))?")
_BEFORE = re.compile(rf"(.+): the next visit should come before {_DAY}")
_THIN = re.compile(r"forecast of (.+?): (.+?)(?:: (.+))?")
_NOT_ASSESSED = re.compile(r"(.+) was not assessed: (.+)")

Words = Callable[[re.Match[str], Reader], str]


def said(text: str, *, reader: Reader) -> str:
    """Return why a reading is due; a sentence that is not known as it is stored."""
    if text == _NEVER:
        return _("not read yet on the part fitted now")
    for pattern, told in _PATTERNS:
        found = pattern.fullmatch(text)
        if found:
            return told(found, reader)
    return reasons.said(text)


def _day(text: str, reader: Reader) -> str:
    return reader.day(date.fromisoformat(text))


def _quantity(name: str) -> str:
    return words.quantity(name.replace(" ", "_"))


def _age(found: re.Match[str], reader: Reader) -> str:
    return _("last read on %(last)s, due since %(due)s") % {
        "last": _day(found[1], reader),
        "due": _day(found[2], reader),
    }


def _held(found: re.Match[str], reader: Reader) -> str:
    return _("the reading of %(day)s waits for a word: measure again") % {
        "day": _day(found[1], reader)
    }


def _reached(found: re.Match[str], reader: Reader) -> str:
    return _("%(what)s may be at its limit already") % {"what": _quantity(found[1])}


def _suspended(found: re.Match[str], reader: Reader) -> str:
    return _("the forecast of %(what)s rests: measure again") % {
        "what": _quantity(found[1])
    }


def _before(found: re.Match[str], reader: Reader) -> str:
    return _("%(what)s is to be read before %(day)s") % {
        "what": _quantity(found[1]),
        "day": _day(found[2], reader),
    }


def _thin(found: re.Match[str], reader: Reader) -> str:
    return _("the forecast of %(what)s rests on little: %(state)s") % {
        "what": _quantity(found[1]),
        "state": words.said(found[2]),
    }


def _not_assessed(found: re.Match[str], reader: Reader) -> str:
    return _("not assessed for lack of it: %(what)s") % {
        "what": words.topic(found[1]).what
    }


_PATTERNS: tuple[tuple[re.Pattern[str], Words], ...] = (
    (_AGE, _age),
    (_HELD, _held),
    (_UNCONFIRMED, _held),
    (_REACHED, _reached),
    (_SUSPENDED, _suspended),
    (_BEFORE, _before),
    (_NOT_ASSESSED, _not_assessed),
    (_THIN, _thin),
)
