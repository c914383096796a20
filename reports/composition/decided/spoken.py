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
    return "; ".join(gathered(texts, reader=reader))


def gathered(texts: Iterable[str], *, reader: Reader) -> tuple[str, ...]:
    """Return sentences, each once; what differs in grooves or places alone as one."""
    found: dict[tuple[str, str], list[str]] = {}
    for text in texts:
        for pattern in _ALIKE:
            alike = pattern.fullmatch(text)
            if alike:
                key = (alike["before"], alike["after"])
                found.setdefault(key, []).append(alike["one"])
                break
        else:
            found.setdefault((text, ""), [])
    told = (
        said(f"{before}{_row(ones)}{after}", reader=reader)
        for (before, after), ones in found.items()
    )
    return tuple(dict.fromkeys(told))


# Sentences that are said of groove after groove.
_ALIKE = (
    re.compile(r"(?P<before>(?:metal|seat depth).* of groove )(?P<one>\d+)(?P<after>)"),
    re.compile(
        r"(?P<before>.+: it blurs the date of .+ (?:groove|rope) )(?P<one>\d+)"
        r"(?P<after> most)"
    ),
    re.compile(
        "(?P<before>(?:never watched|monitoring alone is not enough "
        "for|new ropes would run in grooves with an open finding): .+, "
        r"(?:groove|rope) )(?P<one>\d+)(?P<after>(?: by [\d-]+| is not "
        "assessed)?)"
    ),
)


def _row(numbers: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(numbers))


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
    # What blurs a date is named by its field of the register.
    known = words.register_item(text) or (gettext(text) if text else "")
    if known == text and get_language() not in (None, "en"):
        known = _pieces(text) or words.reason(text)
    return matters.shown(known, reader=reader)


def _pieces(text: str) -> str:
    """Return what commas set apart, piece by piece; empty where one is not known."""
    pieces = text.split(", ")
    told = [gettext(piece) for piece in pieces]
    is_known = all(one != other for one, other in zip(pieces, told, strict=True))
    return ", ".join(told) if is_known else ""


def _told(name: str, value: str, reader: Reader) -> str:
    """Return what a sentence carries, by the name it carries it under."""
    if name.endswith("_mm"):
        digits = 2 if name in _FINE else 1
        return reader.length(float(value), digits=digits).replace("-", "−")
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
    if name in ("work", "text"):
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


_FINE = ("depth_mm", "equal_mm")
_LIMIT = re.compile(r" ((?:groove|rope) [\d, ]+)$")
