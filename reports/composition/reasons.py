"""Stored reasons as a reader takes them: no code, no field's name, their language."""

import re
from collections.abc import Callable

from django.utils import formats
from django.utils.translation import get_language, gettext, gettext_noop, ngettext
from django.utils.translation import gettext as _

from inspections.engineering import criteria

_FEW_RUNS = re.compile(r"offsets_mm is (\d+); it must be 3 runs or more")
_NO_NUMBER = re.compile(
    r"(?P<set>[A-Z0-9_]+) has no number for: (?P<items>.+?)(?: and (?P<more>\d+) more)?"
)
_MISSING = re.compile(r"missing: (.+)")
_FED = re.compile(
    r"more than the gauges alone can show: the sheave feeds one rope ([\d.]+ mm) "
    r"more per trip than another; read the tensions at bottom and top"
)
_SCATTERED = re.compile(
    r"readings that scatter by ([\d.]+ mm) cannot tell a difference of ([\d.]+ mm); "
    r"none beyond the scatter was seen"
)
_OF_GROOVE = re.compile(r"(metal|seat depth|metal or seat depth) of groove (\d+)")

# What "missing:" is followed by, item by item; a test compares with the assessment.
_ITEMS = (
    gettext_noop("a rim survey: thickness at one or more places"),
    gettext_noop("run-out of the cast underside"),
    gettext_noop("place of the web"),
    gettext_noop("the maker's least metal"),
    gettext_noop("car mass"),
    gettext_noop("rated load"),
    gettext_noop("rated speed"),
    gettext_noop("travel"),
    gettext_noop("seat radius"),
    gettext_noop("balance or counterweight mass"),
    gettext_noop("compensation (0 if there is none)"),
    gettext_noop("travelling cable (0 if negligible)"),
    gettext_noop("a method for roping above 2:1"),
    gettext_noop("counterweight run-by"),
    gettext_noop("car run-by"),
    gettext_noop("rope tensions"),
    gettext_noop("no count of broken wires"),
    gettext_noop("no diameter reading"),
    gettext_noop("pitch diameter"),
    gettext_noop("pitch diameter or rope set"),
    gettext_noop("groove or masses"),
    gettext_noop("the seat's radius by gauge"),
    gettext_noop("the ropes were renewed in grooves that had worn to the ones before"),
    gettext_noop("depth of the seats"),
    gettext_noop("metal of the rim"),
    gettext_noop("crack check"),
    gettext_noop("hardness"),
    gettext_noop("metal"),
    gettext_noop("seat depth"),
    gettext_noop("metal or seat depth"),
    gettext_noop(
        "the grooves feed the ropes unequally: equalising alone does not last"
    ),
    gettext_noop(
        "blocked: grooves of different depth feed the ropes unequally; tensions set "
        "equal drift apart again"
    ),
)


def said(text: str) -> str:
    """Return a stored reason; said to be in English where no translation is known.

    Reasons carry numbers and names of the moment: not all of them can be listed, and
    none may be left out.
    """
    for pattern, words in _PATTERNS:
        found = pattern.fullmatch(text)
        told = words(found) if found else ""
        if told:
            return told
    known = _item(text) or _listed(text)
    if known or not text:
        return known
    return _("%(text)s [in English]") % {"text": text.rstrip(".")}


def _item(text: str) -> str:
    """Return one item in the active language; empty where it is not known."""
    if not text or get_language() in (None, "en"):
        return text
    numbered = _OF_GROOVE.fullmatch(text)
    if numbered:
        return _("%(what)s of groove %(number)s") % {
            "what": _(numbered[1]),
            "number": numbered[2],
        }
    found = gettext(text)
    return "" if found == text else found


def _few_runs(found: re.Match[str]) -> str:
    count = int(found[1])
    return ngettext(
        "read over %(count)s run; three or more are needed",
        "read over %(count)s runs; three or more are needed",
        count,
    ) % {"count": count}


def _no_number(found: re.Match[str]) -> str:
    titles = {one.code: one.title for one in criteria.ALL}
    named = "; ".join(_(item) for item in found["items"].split("; "))
    told = _("%(set)s has no number for: %(items)s") % {
        "set": titles.get(found["set"], found["set"].replace("_", " ")),
        "items": named,
    }
    if not found["more"]:
        return told
    return _("%(told)s and %(count)s more") % {"told": told, "count": found["more"]}


def _missing(found: re.Match[str]) -> str:
    """Return what is missing, item by item; empty where one has no translation."""
    items = _item(found[1]) or _listed(found[1])
    return _("missing: %(items)s") % {"items": items} if items else ""


def _listed(text: str) -> str:
    """Return a list of items in the active language; empty where one is not known."""
    items = [_item(item) for item in re.split(r"(?:, |; )", text)]
    return ", ".join(items) if all(items) else ""


def _local(length: str) -> str:
    mark = formats.get_format("DECIMAL_SEPARATOR")
    return length.replace(".", mark)


def _fed(found: re.Match[str]) -> str:
    return _(
        "more than the gauges alone can show: the sheave feeds one rope %(length)s "
        "more per trip than another; read the tensions at bottom and top"
    ) % {"length": _local(found[1])}


def _scattered(found: re.Match[str]) -> str:
    return _(
        "readings that scatter by %(scatter)s cannot tell a difference of "
        "%(difference)s; none beyond the scatter was seen"
    ) % {"scatter": _local(found[1]), "difference": _local(found[2])}


_PATTERNS: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], str]], ...] = (
    (_FEW_RUNS, _few_runs),
    (_NO_NUMBER, _no_number),
    (_MISSING, _missing),
    (_FED, _fed),
    (_SCATTERED, _scattered),
)
