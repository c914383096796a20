"""Checks of the least set that were not made, or too long ago, in words."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from inspections.inputs import CHECKS
from inspections.models import Grade
from inspections.reasons import Place, Topic, place_of
from inspections.reasons.places import together
from reports import content
from reports.composition import words
from reports.composition.reader import Reader
from reports.queries import MachineRecord

_TOO_OLD, _NOT_SEEN = "TOO_OLD", "NOT_SEEN"


def is_incomplete(facts: MachineRecord) -> bool:
    """Return whether a check of the least set was not made in time."""
    return bool(_stored(facts))


def missed(facts: MachineRecord, *, reader: Reader) -> Iterator[str]:
    """Yield each check that was not made in time, with its places and why."""
    for what, why in _each(facts, reader=reader):
        yield _("%(check)s: %(why)s") % {"check": what, "why": why}


def rows(facts: MachineRecord, *, reader: Reader) -> tuple[content.NotAssessed, ...]:
    """Return the checks that were not made in time as what was not assessed."""
    return tuple(
        content.NotAssessed(
            what=_("Least set of checks: %(check)s") % {"check": what},
            reason=_("not known without it: %(why)s") % {"why": why},
            remedy=_("Make the check and report it"),
        )
        for what, why in _each(facts, reader=reader)
    )


def is_traction_open(facts: MachineRecord) -> bool:
    """Return whether nobody can say that the friction holds: at a groove, or at all."""
    found = [f for f in facts.findings if f.topic == Topic.TRACTION]
    return not found or any(f.grade == Grade.NOT_ASSESSED for f in found)


def is_little_known(facts: MachineRecord) -> bool:
    """Return whether too much is open for what was made to stand first."""
    made = sum(f.grade != Grade.NOT_ASSESSED for f in facts.findings)
    return is_traction_open(facts) or 2 * made < len(facts.findings)


def little_known(facts: MachineRecord) -> str:
    """Return how much was not checked, in a sentence's part."""
    unmade = sum(f.grade == Grade.NOT_ASSESSED for f in facts.findings)
    said = {"open": unmade, "all": len(facts.findings)}
    if is_traction_open(facts):
        return _("%(open)s of %(all)s checks not made, traction among them") % said
    return _("%(open)s of %(all)s checks not made") % said


def _stored(facts: MachineRecord) -> Sequence[Mapping[str, Any]]:
    checks = (facts.assessment.checks if facts.assessment else None) or {}
    return [each for each in checks.get("missed", ()) if each["check"] in CHECKS]


def _each(facts: MachineRecord, *, reader: Reader) -> Iterator[tuple[str, str]]:
    """Yield checks with their places, and why they do not count; alike as one."""
    alike: dict[str, dict[str, list[Place]]] = {}
    for one in _stored(facts):
        checks = alike.setdefault(_why(one, reader=reader), {})
        places = checks.setdefault(_called(one["check"]), [])
        if one["place"]:
            places.append(place_of(one["place"]))
    for why, checks in alike.items():
        yield ", ".join(_at(name, places) for name, places in checks.items()), why


def _at(name: str, places: Sequence[Place]) -> str:
    where = words.places(together(places))
    return f"{name} ({where})" if where and where != name else name


def _called(code: str) -> str:
    return _(code.replace("_", " ").replace("runby", "run-by"))


def _why(one: Mapping[str, Any], *, reader: Reader) -> str:
    if one["why"] == _TOO_OLD and one["last_on"]:
        return _("last made on %(day)s, asked for every %(months)s months") % {
            "day": reader.day(date.fromisoformat(one["last_on"])),
            "months": one["months"],
        }
    if one["why"] == _NOT_SEEN:
        return _("was not looked at")
    return _("never made")
