"""One line for each lift: its state, how fresh what is known is, what says most."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from django.utils import formats
from django.utils.translation import gettext as _

from inspections.models import Forecast, Grade
from reports import content
from reports.composition import lines, machine, standing, stops, words
from reports.composition.reader import Reader
from reports.queries import MachineRecord

# Beyond this nobody plans by the day.
_BY_THE_DAY = timedelta(days=730)
_A_YEAR = timedelta(days=365)


def lifts(
    facts: Sequence[MachineRecord], *, reader: Reader, today: date
) -> tuple[content.LiftLine, ...]:
    """Return a line for each machine, those out of service first."""
    ordered = sorted(facts, key=lambda one: not one.stops)
    return tuple(_line(one, reader=reader, today=today) for one in ordered)


def _line(facts: MachineRecord, *, reader: Reader, today: date) -> content.LiftLine:
    grade = machine.grade_of(facts, today=today)
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
    asking = machine.urgent(facts) or machine.past(facts)
    if asking:
        found = asking[0]
        what, where = words.topic(found.topic).what, words.place(found.place)
        return f"{what} ({where})" if where else what
    first = machine.first_limit(facts)
    if first is not None:
        return _first(first, reader=reader, today=today)
    made = sum(f.grade != Grade.NOT_ASSESSED for f in facts.findings)
    if not made:
        return _("too little is known to say anything")
    return _("nothing found in the checks made (%(made)s of %(all)s)") % {
        "made": made,
        "all": len(facts.findings),
    }


def _first(first: Forecast, *, reader: Reader, today: date) -> str:
    limit = words.case(first.limit_reason or "wear")
    if first.p10_on is None:
        return _("first limit ahead: %(limit)s") % {"limit": limit}
    said = {"limit": limit, "early": roughly(first.p10_on, reader=reader, today=today)}
    if first.p90_on is None:
        return _("first limit ahead: %(limit)s, hardly before %(early)s") % said
    said["late"] = roughly(first.p90_on, reader=reader, today=today)
    if said["early"] == said["late"]:
        return _("first limit ahead: %(limit)s, likely in %(early)s") % said
    return _("first limit ahead: %(limit)s, likely from %(early)s to %(late)s") % said


def roughly(day: date, *, reader: Reader, today: date) -> str:
    """Return a day within two years, a month beyond: no forecast knows it better."""
    if day <= today + _BY_THE_DAY:
        return reader.day(day)
    # Translators: how a month is written, in Django's own signs for dates.
    return formats.date_format(day, _("M Y"))


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
