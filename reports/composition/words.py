"""Findings in the active language: what was looked at, what it means, what helps."""

import unicodedata
from collections.abc import Iterable

from django.utils.translation import gettext
from django.utils.translation import gettext as _

from inspections import wording
from inspections.kinds import KINDS
from inspections.models import Finding, Grade
from inspections.reasons import Code, Criterion, Place, Term, Topic
from inspections.reasons.catalogue import WORDS
from inspections.reasons.serial import (
    field_of,
    limit_of,
    quantity_of,
    term_of,
    topic_of,
)
from reports.composition import reasons
from reports.composition.reader import Reader
from reports.composition.topics import TOPICS, TopicWords
from reports.figures import lettering

# Reasons that say once more what value, limit and margin say already.
_ECHOES = (Code.WITHIN_LIMIT, Code.BEYOND_LIMIT, Code.CALCULATION_CLOSES)


def said(text: str) -> str:
    """Return a stored text in the active language, as it is where none is known."""
    return gettext(WORDS.get(text, text)) if text else ""


def as_entered(text: str, *, longest: int = 300) -> str:
    """Return what somebody typed on one line, a letter that has no type as "?".

    A document is never refused for a remark; a long one is cut.
    """
    one_line = " ".join(unicodedata.normalize("NFC", text).split())
    if lettering.first_unprintable(one_line) is not None:
        one_line = "".join(
            "?" if lettering.first_unprintable(letter) else letter
            for letter in one_line
        )
    return one_line if len(one_line) <= longest else f"{one_line[:longest]}..."


def topic(name: str) -> TopicWords:
    """Return what is said of a topic; a plain one for topics without own words."""
    known = topic_of(name)
    found = TOPICS.get(known) if isinstance(known, Topic) else None
    if found is None:
        called = wording.name(known)
        return TopicWords(
            what=called[:1].upper() + called[1:],
            meaning="",
            decision=_("Have it looked at by a competent person"),
            remedy=_("Look at it again"),
        )
    return TopicWords(
        what=said(found.what),
        meaning=said(found.meaning),
        decision=said(found.decision),
        remedy=said(found.remedy),
    )


def case(code: str) -> str:
    """Return a load case, or what else sets a limit, in words."""
    known = limit_of(code)
    if not isinstance(known, Term | Criterion):
        # The wires' limits are criteria of their own.
        known = term_of(code.lower())
    is_named = isinstance(known, Term | Criterion)
    return wording.name(known) if is_named else _plain(code)


def register_item(name: str) -> str:
    """Return a value of the register in words; empty for one without words."""
    known = field_of(name)
    return wording.name(known) if isinstance(known, Term) else ""


def kind(code: str) -> str:
    """Return what a reading is of."""
    return said(KINDS[code].name if code in KINDS else code.replace("_", " "))


def quantity(code: str) -> str:
    """Return a worn quantity in words."""
    known = quantity_of(code)
    return wording.name(known) if isinstance(known, Term) else _plain(code)


def place(name: str) -> str:
    """Return a finding's place in the active language."""
    return wording.place(name)


def places(found: Iterable[Place]) -> str:
    """Return places one after another in the active language."""
    return ", ".join(map(wording.at, found))


def _plain(code: str) -> str:
    return said(code.replace("_", " ").lower())


def meaning(finding: Finding, *, reader: Reader) -> str:
    """Return a finding's sentence for a layman, the worst load case named."""
    parts = [topic(finding.topic).meaning]
    if finding.topic == Topic.TRACTION and "worst" in finding.detail:
        parts.append(_closest_case(finding, reader=reader))
    if finding.unconfirmed:
        parts.append(_("A reading behind this is unconfirmed; it is taken as true."))
    if finding.grade != Grade.IN_ORDER:
        why = reasons.stored(
            finding.said, finding.reason, reader=reader, without=_ECHOES
        )
        parts.append(sentence(why))
    parts.append(open_sentence(finding, reader=reader))
    return " ".join(part for part in parts if part)


def open_sentence(finding: Finding, *, reader: Reader) -> str:
    """Return both ends, the chance and what decides of an open finding, else ""."""
    said = finding.said_open if finding.is_open else None
    return "" if said is None else sentence(reasons.say(said, reader=reader))


def _closest_case(finding: Finding, *, reader: Reader) -> str:
    """Return what the worst load case asks for and what the groove holds."""
    worst = finding.detail["worst"]
    cases = finding.detail.get("cases", ())
    found = next((c for c in cases if c["tensions"]["case"] == worst), None)
    if found is None:
        return ""
    tensions = found["tensions"]
    ratio = tensions["t1_n"] / tensions["t2_n"] * found["dynamic_factor"]
    return _(
        "Closest case: %(case)s. The load asks for a ratio of %(asked)s, the groove "
        "as worn holds %(held)s by the calculation."
    ) % {
        "case": case(worst),
        "asked": reader.ratio(ratio),
        "held": reader.ratio(found["limit_ratio"]),
    }


def sentence(text: str) -> str:
    """Return a text with a capital first letter and one full stop; empty for none."""
    if not text:
        return ""
    return text[:1].upper() + text[1:].rstrip(".") + "."
