"""One line for each lift: its state, how fresh what is known is, what says most."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from django.utils.translation import gettext as _

from inspections import condition
from inspections.models import Finding, Forecast, Grade
from reports import content
from reports.composition import graded, least_set, lines, standing, stops, words
from reports.composition.reader import Reader
from reports.queries import MachineRecord

_A_YEAR = timedelta(days=365)


def lifts(
    facts: Sequence[MachineRecord], *, reader: Reader, today: date
) -> tuple[content.LiftLine, ...]:
    """Return a line for each machine, those out of service first, then by urgency."""
    return tuple(_line(one, reader=reader, today=today) for one in facts)


def by_urgency(facts: Sequence[MachineRecord], *, today: date) -> list[MachineRecord]:
    """Return machines as they are read: what stands, what asks, what is not known."""
    order = {grade: at for at, grade in enumerate(content.MOST_URGENT_FIRST)}

    def key(one: MachineRecord) -> tuple[bool, int]:
        grade = content.PrintedGrade(graded.grade_of(one, today=today))
        return not one.stops, order[grade]

    return sorted(facts, key=key)


def _line(facts: MachineRecord, *, reader: Reader, today: date) -> content.LiftLine:
    grade = graded.grade_of(facts, today=today)
    return content.LiftLine(
        machine=facts.machine.code,
        name=facts.machine.name,
        grade=content.PrintedGrade(grade),
        state=_state(facts, grade),
        measured=_measured(facts, reader=reader),
        says_most=_says_most(facts, reader=reader, today=today),
    )


def _state(facts: MachineRecord, grade: str) -> str:
    if facts.stops:
        return _("OUT OF SERVICE")
    if grade == Grade.NOT_ASSESSED:
        return _("not known; in use as far as the contractor has told")
    return _("in use as far as the contractor has told")


def _measured(facts: MachineRecord, *, reader: Reader) -> str:
    """Return when the newest reading was taken."""
    taken = [reading.taken_at for reading in facts.snapshot.readings]
    return reader.day(max(taken)) if taken else _("never")


def _says_most(facts: MachineRecord, *, reader: Reader, today: date) -> str:
    """Return what stops it, else what asks most, else which limit comes first."""
    if facts.stops:
        return "; ".join(dict.fromkeys(stops.cause_of(stop) for stop in facts.stops))
    urgent, past = graded.urgent(facts), graded.past(facts)
    first = graded.first_limit(facts)
    ahead = _first(first, reader=reader, today=today) if first is not None else ""
    unknown = list(_unknown(facts, reader=reader))
    if urgent:
        return _named(urgent[0])
    if unknown:
        return "; ".join(filter(None, (*unknown, ahead)))
    if first is not None and _is_near(first, today=today):
        return ahead
    if past:
        return _named(past[0])
    if ahead:
        return ahead
    made = sum(f.grade != Grade.NOT_ASSESSED for f in facts.findings)
    if not made:
        return _("too little is known to say anything")
    return _("nothing found in the checks made (%(made)s of %(all)s)") % {
        "made": made,
        "all": len(facts.findings),
    }


def _is_near(first: Forecast, *, today: date) -> bool:
    due = first.plan_before_on
    return due is not None and condition.near_from(due) <= today


def _named(found: Finding) -> str:
    what, where = words.topic(found.topic).what, words.place(found.place)
    return f"{what} ({where})" if where else what


def _unknown(facts: MachineRecord, *, reader: Reader) -> Iterator[str]:
    """Yield what keeps a state from being known; it stands before any date."""
    if facts.findings and least_set.is_little_known(facts):
        yield least_set.little_known(facts)
    elif missed := list(least_set.missed(facts, reader=reader)):
        yield missed[0]


def _first(first: Forecast, *, reader: Reader, today: date) -> str:
    limit = words.case(first.limit_reason or "wear")
    if first.p10_on is None:
        return _("first limit ahead: %(limit)s") % {"limit": limit}
    said = {"limit": limit, "early": reader.roughly(first.p10_on, today=today)}
    if first.p90_on is None:
        return _("first limit ahead: %(limit)s, hardly before %(early)s") % said
    said["late"] = reader.roughly(first.p90_on, today=today)
    if said["early"] == said["late"]:
        return _("first limit ahead: %(limit)s, likely in %(early)s") % said
    return _("first limit ahead: %(limit)s, likely from %(early)s to %(late)s") % said


def next_visit(facts: Sequence[MachineRecord], *, reader: Reader, today: date) -> str:
    """Return when somebody reads again: as forecasts ask, a year after at the latest.

    Once a year is common practice, no source.
    """
    due = [(found, one.machine.code) for one in facts for found in _due(one, reader)]
    if not due:
        return ""
    first = min(due)[0]
    codes = [code for day, code in due if max(day, today) == max(first, today)]
    when = reader.day(first) if first > today else _("now")
    return _("Next readings: %(when)s (%(machines)s).") % {
        "when": when,
        "machines": lines.some(sorted(codes), most=standing.MOST_MACHINES),
    }


def _due(facts: MachineRecord, reader: Reader) -> Iterator[date]:
    taken = [reading.taken_at for reading in facts.snapshot.readings]
    days = [f.visit_before_on for f in facts.forecasts if f.visit_before_on]
    if taken:
        days.append(max(taken).astimezone(reader.zone).date() + _A_YEAR)
    if days:
        yield min(days)
