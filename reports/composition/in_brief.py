"""One machine in a few plain sentences, and which limit comes first."""

from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections import condition
from inspections.models import Finding, Forecast, Grade
from reports.composition import (
    cautions,
    findings,
    graded,
    least_set,
    readings,
    stops,
    words,
)
from reports.composition.reader import Reader
from reports.queries import MachineRecord


def summary(facts: MachineRecord, *, reader: Reader, today: date) -> str:
    """Return the machine in a few plain sentences."""
    found = graded.urgent(facts)
    made = [f for f in facts.findings if f.grade != Grade.NOT_ASSESSED]
    parts = []
    if facts.stops:
        code = facts.machine.code
        parts.append(stops.headline([code], named=code))
    if found:
        topics = dict.fromkeys(words.topic(f.topic).what for f in found)
        parts.append(_("To be decided: %(topics)s.") % {"topics": "; ".join(topics)})
        parts.append(words.meaning(found[0], reader=reader))
        if any(f.stops_service for f in found) or facts.stops:
            parts.append(cautions.stop())
    elif graded.past(facts):
        topics = dict.fromkeys(words.topic(f.topic).what for f in graded.past(facts))
        parts.append(_("Beyond a limit: %(topics)s.") % {"topics": "; ".join(topics)})
    elif facts.stops:
        parts.append(cautions.stop())
    elif made and least_set.is_little_known(facts):
        parts.append(
            _("Little is known: %(unmade)s.")
            % {"unmade": least_set.little_known(facts)}
        )
        parts.append(_("In what was read nothing lies beyond a limit."))
    elif made and not graded.within_scatter(facts):
        parts.append(_("No reading lies beyond a limit of the criteria set."))
    elif not made:
        parts.append(_("Too little is known of this machine to assess it."))
    parts += _by_scatter(facts)
    if made and least_set.is_traction_open(facts):
        parts.append(_("Traction was not assessed."))
    if facts.held:
        parts.append(_held(facts))
    if told := "; ".join(least_set.missed(facts, reader=reader)):
        parts.append(_("Not known without: %(checks)s.") % {"checks": told})
    if not facts.stops:
        parts.append(_in_order(made))
    parts.append(_first_limit(facts, reader=reader, today=today))
    parts.append(
        ngettext(
            "%(made)s of %(all)s check was made.",
            "%(made)s of %(all)s checks were made.",
            len(facts.findings),
        )
        % {"made": len(made), "all": len(facts.findings)}
    )
    return " ".join(part for part in parts if part)


def _held(facts: MachineRecord) -> str:
    """Return what was read and is not used, in a sentence."""
    named = "; ".join(
        f"{words.kind(one.kind)}, {readings.place_of(one)}: "
        f"{readings.typed(one)} ({readings.label(one)})"
        for one in facts.held
    )
    text = _("Held back and not used until somebody confirms it: %(readings)s.")
    return text % {"readings": named}


def _by_scatter(facts: MachineRecord) -> list[str]:
    """Return what lies beyond a limit by less than its gauge can tell."""
    topics = dict.fromkeys(
        words.topic(f.topic).what for f in graded.within_scatter(facts)
    )
    if not topics:
        return []
    text = _("Beyond a limit by less than the gauge can tell: %(topics)s.")
    return [text % {"topics": "; ".join(topics)}]


def _in_order(made: list[Finding]) -> str:
    """Return in how many matters nothing was found; each stands in the appendix."""
    loud = {f.topic for f in made if f.grade != Grade.IN_ORDER or findings.is_past(f)}
    quiet = {f.topic for f in made} - loud
    if not quiet:
        return ""
    return ngettext(
        "In %(count)s other matter nothing was found in the checks made.",
        "In %(count)s other matters nothing was found in the checks made.",
        len(quiet),
    ) % {"count": len(quiet)}


def _first_limit(facts: MachineRecord, *, reader: Reader, today: date) -> str:
    first = graded.first_limit(facts)
    if first is None:
        return ""
    told = ahead(first, reader=reader, today=today)
    due = first.plan_before_on
    if due is None or due > today + condition.PLAN_AHEAD:
        return told
    if due <= today:
        now = _("Work on it is to be planned now.")
        return f"{told} {now}"
    planned = _("Work on it is to be planned before %(day)s.") % {
        "day": reader.day(due)
    }
    return f"{told} {planned}"


def ahead(first: Forecast, *, reader: Reader, today: date) -> str:
    """Return which limit comes first, and when where no question keeps that back."""
    where = f" ({words.place(first.place)})" if first.place else ""
    limit = words.case(first.limit_reason or "wear") + where
    if first.p10_on is None:
        return _("First limit ahead: %(limit)s.") % {"limit": limit}
    return _(
        "First limit ahead: %(limit)s; about 1 chance in 10 that it comes before "
        "%(day)s."
    ) % {"limit": limit, "day": reader.roughly(first.p10_on, today=today)}
