"""What options say, in the active language and with the reader's own days."""

import re
from collections.abc import Iterable

from django.utils.translation import get_language, gettext

from inspections.planning import kinds
from reports.composition import words
from reports.composition.decided import matters
from reports.composition.decided.patterns import PATTERNS
from reports.composition.reader import Reader

_CASE = re.compile(r"([A-Z_]+) (-?[\d.]+)")


def kind(code: str) -> str:
    """Return a kind of work in words."""
    return gettext(kinds.WORDS.get(code, code.replace("_", " ").lower()))


def listed(texts: Iterable[str], *, reader: Reader) -> str:
    """Return several sentences in a row, each of them once."""
    return "; ".join(dict.fromkeys(said(text, reader=reader) for text in texts))


def said(text: str, *, reader: Reader) -> str:
    """Return one sentence of an option; said to be in English where it has no words."""
    for pattern, sentence in PATTERNS:
        found = pattern.fullmatch(text)
        if found:
            told = {
                name: _told(name, value, reader)
                for name, value in found.groupdict().items()
            }
            return gettext(sentence) % told
    known = gettext(text) if text else ""
    if known == text and get_language() not in (None, "en"):
        known = words.reason(text)
    return matters.shown(known, reader=reader)


def _told(name: str, value: str, reader: Reader) -> str:
    """Return what a sentence carries, by the name it carries it under."""
    if name.endswith("_mm"):
        return reader.length(float(value), digits=1).replace("-", "−")
    if name.endswith("_share"):
        return reader.local(f"{100.0 * float(value):.3g} %")
    if name == "matter":
        return matters.matter(value, reader=reader)
    if name == "matters":
        found = (matters.matter(text, reader=reader) for text in value.split("; "))
        return "; ".join(dict.fromkeys(found))
    if name == "limit":
        return matters.matter(_LIMIT.sub(r", \1", value.strip()), reader=reader)
    if name == "place":
        return words.place(value)
    if name == "work":
        return gettext(value)
    if name == "item":
        return words.register_item(value.replace(" ", "_")) or words.said(value)
    if name == "items":
        return listed(value.split("; "), reader=reader)
    if name == "sentence":
        return said(value, reader=reader)
    if name == "cases":
        return ", ".join(
            f"{words.case(code)} {reader.local(margin)}".replace("-", "−")
            for code, margin in _CASE.findall(value)
        )
    return matters.shown(value, reader=reader)


_LIMIT = re.compile(r" ((?:groove|rope) \d+)$")
